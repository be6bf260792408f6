//! Between what a player reads and what sounds.
//!
//! An instrument has one interval from written to sounding. In a key whose written signature would have
//! more than six accidentals a block is read in the enharmonic key instead, so the interval becomes its
//! twin (a diminished third for a major second), chosen once for the block: every note follows it and
//! keeps its letter.

use crate::music::{Interval, Key, Pitch};

/// Most accidentals of a written signature before the enharmonic key is taken.
pub const MOST_ACCIDENTALS: i32 = 6;

/// The interval from written to sounding for a block in this concert key, given the instrument's own.
///
/// A part at concert pitch, or octaves from it, keeps the key as it is.
pub fn reading_interval(reads: Interval, concert: Option<Key>) -> Interval {
    let Some(key) = concert else { return reads };
    if reads.semitones.rem_euclid(12) == 0 {
        return reads;
    }
    let accidentals = |interval: Interval| written_key(key, interval).map_or(i32::MAX, |k| k.fifths().abs());
    if accidentals(reads) <= MOST_ACCIDENTALS {
        return reads;
    }
    [0, 1, -1]
        .into_iter()
        .map(|steps| Interval { steps: reads.steps + steps, ..reads })
        .min_by_key(|interval| accidentals(*interval))
        .unwrap_or(reads)
}

/// The key a player reads when `concert` sounds; `None` beyond a double accidental in its tonic.
pub fn written_key(concert: Key, reading: Interval) -> Option<Key> {
    concert.moved(reading.inverse())
}

/// What sounds when this is read. Where letters would need a triple accidental, the note is respelled.
pub fn sounding(written: Pitch, reading: Interval) -> Pitch {
    reading.apply_respelled(written)
}

/// What is read when this sounds. Where letters would need a triple accidental, the note is respelled.
pub fn written(sounding: Pitch, reading: Interval) -> Pitch {
    reading.inverse().apply_respelled(sounding)
}
