//! What others hear of one person in one block.

use crate::brass::Mute;
use crate::brass::body::Loudness;
use crate::music::{Dynamic, Fraction, Pitch};
use crate::notation::Span;
use crate::notation::tree::Mark;
use crate::score::event::{Event, EventKind, Origin};

/// Whole notes by which two places may differ and be one.
pub const SAME_PLACE: f64 = 1e-9;

/// A note with its holds, up to a breath.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Note {
    /// Whole notes from the beginning of the block.
    pub from: f64,
    pub to: f64,
    /// `None` for what is improvised, and for what is held on from a block before.
    pub sounding: Option<Pitch>,
    /// Lines below the block's header.
    pub line: u32,
    pub span: Span,
    /// Bar of the block, from 0.
    pub bar: u32,
    /// How many play it: the seats of a part that are at one.
    pub people: u8,
    /// Which of the player's instruments is in hand.
    pub instrument: u8,
    pub dynamic: Option<Dynamic>,
    /// False where the note before goes on after a breath or from a block before.
    pub attacked: bool,
    /// A breath mark stands at its end.
    pub breath: bool,
    /// A mute is in, or the hand closes the bell.
    pub muted: bool,
    pub mute: Option<Mute>,
    /// It stands in its own place, not in a copy or a phrase.
    pub here: bool,
}

impl Note {
    /// As loud as it is marked.
    pub fn loudness(&self) -> Loudness {
        Loudness::of(self.dynamic)
    }

    /// Whole notes.
    pub fn length(&self) -> f64 {
        self.to - self.from
    }

    /// True if it sounds on both sides of a place.
    pub fn spans(&self, place: f64) -> bool {
        self.from < place - SAME_PLACE && self.to > place + SAME_PLACE
    }

    /// True if it sounds at a place or begins there.
    pub fn sounds_at(&self, place: f64) -> bool {
        self.from < place + SAME_PLACE && self.to > place + SAME_PLACE
    }

    /// True if it sounds up to a place.
    pub fn reaches(&self, place: f64) -> bool {
        self.from < place - SAME_PLACE && self.to > place - SAME_PLACE
    }
}

/// Adds the notes of one seat's events, which `people` play alike. Graces take no time and are left out.
pub fn add(events: &[Event], lengths: &[Fraction], people: u32, out: &mut Vec<Note>) {
    let first = out.len();
    let (mut bar, mut start) = (0, 0.0);
    let mut bars = lengths.iter();
    for event in events {
        while bar < event.bar {
            start += bars.next().map_or(0.0, |l| l.to_f64());
            bar += 1;
        }
        if event.length.is_zero() || matches!(event.kind, EventKind::Rest | EventKind::Grace) {
            continue;
        }
        let from = start + event.onset.to_f64();
        let to = from + event.length.to_f64();
        let breath = event.marks.has(Mark::Breath);
        let mut before = out.get_mut(first..).and_then(<[Note]>::last_mut);
        before = before.filter(|note| (note.to - from).abs() < SAME_PLACE);
        let held = event.kind == EventKind::Hold;
        let sounding = match (event.kind, &before) {
            (EventKind::Note, _) => Some(event.sounding),
            (EventKind::Hold, Some(note)) => note.sounding,
            _ => None,
        };
        if let Some(note) = before.filter(|note| held && !note.breath) {
            note.to = to;
            note.breath = breath;
            continue;
        }
        out.push(Note {
            from,
            to,
            sounding,
            line: event.line,
            span: event.span,
            bar: event.bar,
            people: people.min(64) as u8,
            instrument: event.played.instrument,
            dynamic: event.dynamic,
            attacked: !held,
            breath,
            mute: event.played.mute,
            muted: event.played.mute.is_some() || event.played.stopped || event.played.hand,
            here: event.origin == Origin::Here,
        });
    }
}
