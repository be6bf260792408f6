//! Keys: tonic and mode, or none.

use super::interval::Interval;
use super::pitch::{Pitch, Step, accidental_text, parse_accidental};
use std::fmt;

/// Major or minor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mode {
    Major,
    Minor,
}

/// A key with a signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Key {
    /// Letter of the tonic.
    pub step: Step,
    /// Accidental of the tonic, -2 to 2.
    pub alter: i8,
    /// Mode.
    pub mode: Mode,
}

impl Key {
    /// Reads a tonic such as `Bb` or `F#`.
    pub fn parse(tonic: &str, mode: Mode) -> Option<Key> {
        let mut chars = tonic.chars();
        let step = Step::from_letter(chars.next()?)?;
        let alter = parse_accidental(chars.as_str())?;
        Some(Key { step, alter: alter as i8, mode })
    }

    /// Sharps (positive) or flats (negative) of the signature; beyond ±7 in keys nobody writes.
    pub fn fifths(self) -> i32 {
        let natural = match self.step {
            Step::F => -1,
            Step::C => 0,
            Step::G => 1,
            Step::D => 2,
            Step::A => 3,
            Step::E => 4,
            Step::B => 5,
        };
        let mode = if self.mode == Mode::Minor { -3 } else { 0 };
        natural + 7 * i32::from(self.alter) + mode
    }

    /// The key of a signature.
    pub fn from_fifths(fifths: i32, mode: Mode) -> Option<Key> {
        Step::ALL
            .into_iter()
            .flat_map(|step| (-2..=2).map(move |alter| Key { step, alter: alter as i8, mode }))
            .find(|key| key.fifths() == fifths)
    }

    /// The key of the same notes under other names, as Db major for C# major; `None` where that would need
    /// more than seven accidentals.
    pub fn enharmonic(self) -> Option<Key> {
        let fifths = self.fifths();
        let twin = if fifths > 0 { fifths - 12 } else { fifths + 12 };
        if twin.abs() > 7 { None } else { Key::from_fifths(twin, self.mode) }
    }

    /// The key itself, or the one of the same notes that has at most six accidentals.
    pub fn readable(self) -> Key {
        let fifths = self.fifths();
        let rounds = (fifths.abs() - 6 + 11).div_euclid(12).max(0) * fifths.signum();
        Key::from_fifths(fifths - 12 * rounds, self.mode).unwrap_or(self)
    }

    /// Accidental that the signature gives this letter, -2 to 2.
    pub fn alter_of(self, step: Step) -> i32 {
        // Order of sharps F C G D A E B: the letter is sharp once the signature has gone past it.
        let order = match step {
            Step::F => 0,
            Step::C => 1,
            Step::G => 2,
            Step::D => 3,
            Step::A => 4,
            Step::E => 5,
            Step::B => 6,
        };
        (self.fifths() - order + 6).div_euclid(7)
    }

    /// True if the pitch is in the scale of the signature.
    pub fn holds(self, pitch: Pitch) -> bool {
        self.alter_of(pitch.step) == i32::from(pitch.alter)
    }

    /// The key moved by an interval, letter arithmetic kept, whatever the signature becomes; `None` beyond
    /// a double accidental in the tonic.
    pub fn moved(self, by: Interval) -> Option<Key> {
        let tonic = Pitch { step: self.step, alter: self.alter, octave: 4 };
        let moved = by.apply(tonic)?;
        Some(Key { step: moved.step, alter: moved.alter, mode: self.mode })
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mode = match self.mode {
            Mode::Major => "major",
            Mode::Minor => "minor",
        };
        write!(f, "{}{} {mode}", self.step.letter(), accidental_text(i32::from(self.alter)))
    }
}
