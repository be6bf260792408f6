//! Bars' rests that are gathered in a part, and slashes where a player improvises.

use super::tones::{Chord, ChordKind};
use crate::exchange::paper::{LineBar, SheetBar};

/// By bar: how many bars' rest begin there, 0 where none does. Gathered are bars in which nothing is to be read;
/// the first may have something at its beginning, the last at its end.
pub fn gathered(sheet: &[SheetBar], line: &[LineBar], chords: &[Vec<Chord>]) -> Vec<u32> {
    let mut all = vec![0; sheet.len()];
    let mut start: Option<usize> = None;
    let mut count = 0u32;
    for (at, ((bar, own), chords)) in sheet.iter().zip(line).zip(chords).enumerate() {
        let silent = chords.iter().all(|c| c.kind == ChordKind::Rest && c.marks.is_empty() && !c.fermata)
            && own.free.iter().all(|f| f.onset.is_zero())
            && bar.over.iter().all(|o| o.onset.is_zero())
            && !bar.pickup;
        let before = at.checked_sub(1).and_then(|i| sheet.get(i));
        let same_as = |before: &SheetBar| {
            before.meter == bar.meter
                && before.length == bar.length
                && before.key == bar.key
                && before.closes.is_none()
                && before.ending_closes.is_none()
        };
        let goes_on = silent
            && start.is_some()
            && own.free.is_empty()
            && bar.over.is_empty()
            && !bar.opens
            && bar.ending_opens.is_none()
            && before.is_some_and(same_as);
        if goes_on {
            count += 1;
        } else {
            note(&mut all, start, count);
            (start, count) = (silent.then_some(at), 1);
        }
    }
    note(&mut all, start, count);
    all
}

fn note(all: &mut [u32], start: Option<usize>, count: u32) {
    if let Some(slot) = start.and_then(|at| all.get_mut(at)).filter(|_| count > 1) {
        *slot = count;
    }
}

/// True if the player improvises in this bar.
pub fn improvised(chords: &[Chord]) -> bool {
    chords.iter().any(|c| c.kind == ChordKind::Improvised)
}
