//! What one player does, note by note, in the order of playing.

use super::axis::{Axis, Unit};
use crate::brass::body::hands::Bell;
use crate::music::{Fraction, Pitch};
use crate::rules::Desk;
use crate::rules::passage::Passage;
use crate::score::event::{Event, EventKind};
use crate::score::passage::SoundKind;
use crate::score::player::{Player, PlayerInstrument};
use crate::score::state::PlayedState;

/// Something that sounds. Of a part that several read, the first seat's.
#[derive(Debug, Clone, Copy)]
pub struct Act<'a> {
    /// Never silence.
    pub kind: SoundKind,
    /// Where it begins and ends on the axis.
    pub from: f64,
    pub to: f64,
    /// Nothing for what is improvised.
    pub written: Option<Pitch>,
    pub sounding: Option<Pitch>,
    /// With their holds; the first is the note.
    pub events: &'a [Event],
    pub event: &'a Event,
    /// Number in the order of play, and the block that is played.
    pub visit: usize,
    pub block: usize,
    /// Line of the block's header in the file, from 0.
    pub block_line: u32,
    /// Numbers of the bars in which it begins and ends.
    pub first_bar: i64,
    pub last_bar: i64,
    /// Bars played before these.
    pub first_played: u64,
    pub last_played: u64,
    pub instrument: Option<&'a PlayerInstrument>,
    pub bell: Bell,
}

impl Act<'_> {
    /// How long, in units of the axis.
    pub fn lasts(&self) -> f64 {
        (self.to - self.from).max(0.0)
    }
}

/// What is in or before the bell.
pub fn bell(played: PlayedState) -> Bell {
    match played.mute {
        _ if played.stopped => Bell::Stopped,
        Some(mute) => Bell::Muted(mute),
        None => Bell::Open,
    }
}

/// Plays a player's line.
pub fn walk(desk: &Desk, axis: &Axis, player: usize, told: &mut dyn FnMut(&Act<'_>)) {
    let Some(person) = desk.score().head.players.get(player) else { return };
    let mut last_written = None;
    desk.report().listen_to_sounds(desk.score(), player, &mut |visit, passage| {
        let stage = Stage { desk, axis, person, visit };
        match axis.unit {
            Unit::Seconds => stage.timed(passage, &mut last_written, told),
            Unit::Bars => stage.untimed(passage, &mut last_written, told),
        }
    });
}

/// Where acts happen.
struct Stage<'a> {
    desk: &'a Desk,
    axis: &'a Axis,
    person: &'a Player,
    visit: usize,
}

impl Stage<'_> {
    fn timed(&self, passage: &Passage<'_>, last: &mut Option<Pitch>, told: &mut dyn FnMut(&Act<'_>)) {
        let begins = self.axis.visit_with_gap(self.visit);
        for sound in passage.sounds.iter().filter(|sound| sound.sounds()) {
            let events = sound.of(passage.events);
            let (from, to) = (begins + sound.onset_seconds, begins + sound.end_seconds());
            self.act(sound.kind, (from, to), sound.sounding, events, last, told);
        }
    }

    fn untimed(&self, passage: &Passage<'_>, last: &mut Option<Pitch>, told: &mut dyn FnMut(&Act<'_>)) {
        for (event, alone) in passage.events.iter().zip(passage.events.chunks(1)) {
            let (kind, sounding) = match event.kind {
                EventKind::Note => (SoundKind::Note, Some(event.sounding)),
                EventKind::Grace => (SoundKind::Grace, Some(event.sounding)),
                EventKind::Hold => (SoundKind::Held, None),
                EventKind::Improvised => (SoundKind::Improvised, None),
                EventKind::Rest => continue,
            };
            let end = event.onset.plus(event.length).unwrap_or(event.onset);
            let place = |onset: Fraction| self.axis.at(self.desk, self.visit, event.bar, onset);
            self.act(kind, (place(event.onset), place(end)), sounding, alone, last, told);
        }
    }

    fn act(
        &self,
        kind: SoundKind,
        (from, to): (f64, f64),
        sounding: Option<Pitch>,
        events: &[Event],
        last_written: &mut Option<Pitch>,
        told: &mut dyn FnMut(&Act<'_>),
    ) {
        let (Some(event), Some(last)) = (events.first(), events.last()) else { return };
        let Some(visit) = self.desk.score().order.visits.get(self.visit) else { return };
        let Some(placed) = self.desk.score().blocks.get(visit.block as usize) else { return };
        match kind {
            SoundKind::Note | SoundKind::Grace => *last_written = Some(event.written),
            SoundKind::Improvised => *last_written = None,
            SoundKind::Held | SoundKind::Silence => {}
        }
        told(&Act {
            kind,
            from,
            to,
            written: *last_written,
            sounding,
            events,
            event,
            visit: self.visit,
            block: visit.block as usize,
            block_line: placed.line,
            first_bar: placed.frame.first_bar + i64::from(event.bar),
            last_bar: placed.frame.first_bar + i64::from(last.bar),
            first_played: self.axis.played_before(self.visit, event.bar),
            last_played: self.axis.played_before(self.visit, last.bar),
            instrument: self.person.instrument(event.played.instrument),
            bell: bell(event.played),
        });
    }
}
