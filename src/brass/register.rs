//! The word after a key that moves a reading by an octave.

use crate::music::{Interval, Pitch};

/// `alto`, `basso` or `up`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Register {
    Alto,
    Basso,
    Up,
}

impl Register {
    /// All of them.
    pub const ALL: [Register; 3] = [Register::Alto, Register::Basso, Register::Up];

    /// The word for it in a score.
    pub fn word(self) -> &'static str {
        match self {
            Register::Alto => "alto",
            Register::Basso => "basso",
            Register::Up => "up",
        }
    }

    /// Reads the word.
    pub fn from_word(word: &str) -> Option<Register> {
        Register::ALL.into_iter().find(|r| r.word() == word)
    }
}

/// The interval from written to sounding of an instrument of one's own read `in KEY`: written C4 sounds the
/// key's note next below (C4 itself in C), `basso` an octave lower, `up` an octave higher. Only letter and
/// accidental of `key` count.
pub fn own_reading(key: Pitch, register: Option<Register>) -> Interval {
    let c4 = Pitch { step: crate::music::Step::C, alter: 0, octave: 4 };
    let tonic = Pitch { octave: 4, ..key };
    let octaves = if tonic.midi() > c4.midi() { -1 } else { 0 }
        + match register {
            Some(Register::Basso) => -1,
            Some(Register::Up) => 1,
            Some(Register::Alto) | None => 0,
        };
    Interval::between(c4, tonic).then(Interval::new(7 * octaves, 12 * octaves))
}
