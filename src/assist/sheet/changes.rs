//! What the hands have to do between two notes: mutes, the closed bell of a horn, another instrument.

use super::act::Act;
use super::axis::Unit;
use crate::brass::body::Voice;
use crate::brass::body::hands::{Bell, HandTime, Hands, switch};

/// Changes that are kept; more are only counted.
const MOST_KEPT: usize = 500;

/// Whether there is time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Enough {
    Yes,
    /// Less than is comfortable.
    Hurried,
    /// Less than the least.
    No,
    /// Before the first note, or without a tempo.
    Unasked,
}

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What it was, as a player says it: `open`, `cup mute`, `trumpet in Bb`.
    pub from: String,
    pub to: String,
    /// True for another instrument.
    pub instrument: bool,
    /// Number of the bar of the last note before it; none before the first note.
    pub last_bar: Option<i64>,
    /// Number of the bar of the first note after it.
    pub first_bar: i64,
    /// Where that note begins on the axis.
    pub at: f64,
    /// Between the two notes.
    pub available_seconds: Option<f64>,
    pub needs: HandTime,
    pub enough: Enough,
}

/// All of one player.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Changes {
    /// In the order of playing.
    pub all: Vec<Change>,
    /// Those that are not kept.
    pub more: u64,
}

/// What was in hand at a note.
#[derive(Debug, Clone)]
struct Before {
    instrument: u8,
    bell: Bell,
    bar: i64,
    end: f64,
}

/// Gathers them.
pub struct Watch {
    unit: Unit,
    before: Option<Before>,
    found: Changes,
}

impl Watch {
    /// On an axis of this unit.
    pub fn new(unit: Unit) -> Watch {
        Watch { unit, before: None, found: Changes::default() }
    }

    /// Sees the next note; `label` names an instrument of the player.
    pub fn see(&mut self, act: &Act<'_>, label: &dyn Fn(u8) -> Option<(String, crate::brass::Kind)>) {
        let now = Before {
            instrument: act.event.played.instrument,
            bell: act.bell,
            bar: act.last_bar,
            end: act.to,
        };
        let before = self.before.replace(now);
        let (instrument, bell) = before.as_ref().map_or((0, Bell::Open), |b| (b.instrument, b.bell));
        let (here, held) = (act.event.played.instrument, act.instrument);
        let (from, to, needs) = if instrument != here {
            let (Some((from, was)), Some((to, is))) = (label(instrument), label(here)) else { return };
            (from, to, switch(was, is).1)
        } else {
            let Some(held) = held else { return };
            let Some(row) = Hands::of(Voice::of(&held.instrument)).change(bell, act.bell) else { return };
            (bell_word(bell), bell_word(act.bell), row.1)
        };
        let since = before.as_ref().filter(|_| self.unit == Unit::Seconds);
        let available_seconds = since.map(|b| (act.from - b.end).max(0.0));
        let enough = match available_seconds {
            None => Enough::Unasked,
            Some(seconds) if seconds < needs.least_seconds => Enough::No,
            Some(seconds) if seconds < needs.comfortable_seconds => Enough::Hurried,
            Some(_) => Enough::Yes,
        };
        if self.found.all.len() >= MOST_KEPT {
            self.found.more += 1;
            return;
        }
        self.found.all.push(Change {
            from,
            to,
            instrument: instrument != here,
            last_bar: before.map(|b| b.bar),
            first_bar: act.first_bar,
            at: act.from,
            available_seconds,
            needs,
            enough,
        });
    }

    /// All of them.
    pub fn found(self) -> Changes {
        self.found
    }
}

/// What is in the bell, as a player says it.
pub fn bell_word(bell: Bell) -> String {
    match bell {
        Bell::Open => "open".to_owned(),
        Bell::Muted(mute) => format!("{} mute", mute.word()),
        Bell::Stopped => "stopped".to_owned(),
    }
}
