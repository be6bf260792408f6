//! What a trill goes to.

use super::event::Event;
use crate::music::{Key, Pitch};
use crate::notation::tree::Basis;

/// The sounding upper note of a trill on this note.
///
/// The one that is named; else the next letter above as the key has it, without a key that letter natural as
/// the row spells it; where that is neither a semitone nor a tone above, a tone above.
pub fn upper(note: &Event, named: Option<Pitch>, key: Option<Key>, basis: Basis) -> Pitch {
    if let Some(named) = named {
        return named;
    }
    above(note.sounding, in_row(note, basis), key)
}

/// The same for a trill that names no note, on a note that sounds so and stands so in its row.
pub fn above(sounding: Pitch, in_row: Pitch, key: Option<Key>) -> Pitch {
    let above = match key {
        Some(key) => next_letter(sounding, |letter| key.alter_of(letter.step)),
        None => next_letter(in_row, |_| 0),
    };
    a_step_above(sounding, above)
}

/// A note as its row writes it.
pub fn in_row(note: &Event, basis: Basis) -> Pitch {
    if basis == Basis::Written { note.written } else { note.sounding }
}

/// The note so many semitones above, on the next letter where that can be spelled.
pub fn a_step_above(pitch: Pitch, semitones: i32) -> Pitch {
    let midi = pitch.midi() + semitones;
    Pitch::at(pitch.staff() + 1, midi).unwrap_or_else(|| Pitch::plain(midi, pitch.alter < 0))
}

/// Semitones to the next letter with the accidental it is given; a tone where that is no trill.
fn next_letter(pitch: Pitch, alter: impl Fn(Pitch) -> i32) -> i32 {
    let letter = Pitch { step: crate::music::Step::from_index(pitch.staff() + 1), alter: 0, octave: 0 };
    let alter = alter(letter);
    let up = crate::music::Pitch::at(pitch.staff() + 1, pitch.midi() + 1)
        .map(|a_semitone| 1 + alter - i32::from(a_semitone.alter));
    up.filter(|up| matches!(up, 1 | 2)).unwrap_or(2)
}
