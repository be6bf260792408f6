//! How long a note sounds of the time it is written for.

use crate::notation::tree::{Mark, Marks};

/// As a number of sixteenths of its length (estimates): a slur or a tenuto all of it, a plain note leaves a gap for the
/// tongue, a breath takes its time from the note before it.
pub fn sixteenths(marks: Marks) -> u64 {
    let has = |mark| marks.has(mark);
    let own = match (has(Mark::Wedge), has(Mark::Staccato), has(Mark::Tenuto), has(Mark::Slur)) {
        (true, ..) => 4,
        (_, true, true, _) | (_, true, _, true) => 12,
        (_, true, ..) => 8,
        (_, _, true, _) | (.., true) => 16,
        _ => 15,
    };
    if has(Mark::Breath) || has(Mark::Break) { own.min(14) } else { own }
}
