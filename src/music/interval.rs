//! Intervals as letter steps *and* semitones, so that transposition keeps the spelling.

use super::pitch::Pitch;
use std::fmt;

/// A directed interval: both numbers are negative downwards.
///
/// A perfect fifth down is `{ steps: -4, semitones: -7 }`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Interval {
    /// Letters moved: a second is 1, an octave 7.
    pub steps: i32,
    /// Semitones moved.
    pub semitones: i32,
}

impl Interval {
    /// No movement.
    pub const UNISON: Interval = Interval { steps: 0, semitones: 0 };

    /// An interval from its two sizes.
    pub const fn new(steps: i32, semitones: i32) -> Interval {
        Interval { steps, semitones }
    }

    /// From one pitch to another.
    pub fn between(from: Pitch, to: Pitch) -> Interval {
        Interval { steps: to.staff() - from.staff(), semitones: to.midi() - from.midi() }
    }

    /// The same distance the other way.
    pub fn inverse(self) -> Interval {
        Interval { steps: -self.steps, semitones: -self.semitones }
    }

    /// One after the other.
    pub fn then(self, next: Interval) -> Interval {
        Interval { steps: self.steps + next.steps, semitones: self.semitones + next.semitones }
    }

    /// Moves a pitch, letter steps and semitones alike; `None` where more than a double accidental
    /// would be needed.
    pub fn apply(self, pitch: Pitch) -> Option<Pitch> {
        Pitch::at(pitch.staff() + self.steps, pitch.midi() + self.semitones)
    }

    /// Moves a pitch and never fails: keeps the letter steps where at most a double accidental is needed,
    /// else takes the neighbouring letter that needs the smallest accidental.
    pub fn apply_respelled(self, pitch: Pitch) -> Pitch {
        let (staff, midi) = (pitch.staff() + self.steps, pitch.midi() + self.semitones);
        Pitch::at(staff, midi)
            .or_else(|| {
                (-2..=2)
                    .filter_map(|d| Pitch::at(staff + d, midi))
                    .min_by_key(|p| (p.alter.unsigned_abs(), (p.staff() - staff).abs()))
            })
            .unwrap_or_else(|| Pitch::plain(midi, pitch.alter < 0))
    }

    /// Reads an upward interval such as `m3`, `P5`, `M10`, `A4`, `d7`: quality and number, 1 to 22.
    pub fn parse(text: &str) -> Option<Interval> {
        let mut chars = text.chars();
        let quality = chars.next()?;
        let digits = chars.as_str();
        if digits.is_empty() || digits.len() > 2 || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let number: i32 = digits.parse().ok()?;
        if !(1..=22).contains(&number) {
            return None;
        }
        let steps = number - 1;
        let natural = natural_semitones(steps);
        let perfect = matches!(steps.rem_euclid(7), 0 | 3 | 4);
        let change = match (quality, perfect) {
            ('P', true) | ('M', false) => 0,
            ('m', false) => -1,
            ('A', _) => 1,
            ('d', true) => -1,
            ('d', false) => -2,
            _ => return None,
        };
        Some(Interval { steps, semitones: natural + change })
    }
}

/// Semitones of the major or perfect interval of so many letter steps.
fn natural_semitones(steps: i32) -> i32 {
    let within = match steps.rem_euclid(7) {
        0 => 0,
        1 => 2,
        2 => 4,
        3 => 5,
        4 => 7,
        5 => 9,
        _ => 11,
    };
    steps.div_euclid(7) * 12 + within
}

impl fmt::Display for Interval {
    /// The short name: `P5`, `m3`; a leading `-` downwards.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let down = self.steps < 0 || (self.steps == 0 && self.semitones < 0);
        let size = if down { self.inverse() } else { *self };
        let change = size.semitones - natural_semitones(size.steps);
        let perfect = matches!(size.steps.rem_euclid(7), 0 | 3 | 4);
        let quality = match (change, perfect) {
            (0, true) => "P".to_owned(),
            (0, false) => "M".to_owned(),
            (-1, false) => "m".to_owned(),
            (n, _) if n > 0 => "A".repeat(n.unsigned_abs().min(9) as usize),
            (n, true) => "d".repeat(n.unsigned_abs().min(9) as usize),
            (n, false) => "d".repeat((n + 1).unsigned_abs().min(9) as usize),
        };
        write!(f, "{}{}{}", if down { "-" } else { "" }, quality, size.steps + 1)
    }
}
