//! Whether two players play the same.

use super::stretch::Stretch;
use crate::music::Fraction;
use crate::rules::Desk;
use crate::score::event::{Event, EventKind};

/// True if another player has every note of the stretch, at its pitch and for its time, and nothing else.
pub fn doubles(desk: &Desk, stretch: &Stretch, notes: &[Event], other: usize) -> bool {
    let theirs = Stretch { player: other, ..*stretch }.events(desk);
    let heard = |all: &[Event]| -> Vec<(EventKind, u32, Fraction, Fraction, i32)> {
        let sounding = all.iter().filter(|e| e.kind != EventKind::Rest);
        let pitch = |e: &Event| if e.kind == EventKind::Hold { 0 } else { e.sounding.midi() };
        sounding.map(|e| (e.kind, e.bar, e.onset, e.length, pitch(e))).collect()
    };
    let mine = heard(notes);
    !mine.is_empty() && mine == heard(&theirs)
}
