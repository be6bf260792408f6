//! Valves: each adds its own length of tube, and lengths add.
//!
//! That is why combinations are sharp: a valve is cut for the open tube, and the tube is already
//! longer when another is down.

use super::tube::{cents_of, length_of};

/// Most valves a hand works.
pub const MOST_VALVES: usize = 7;

/// A set of valves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Valves {
    /// Length each finger's valve adds, as a share of the open tube.
    added: [f64; MOST_VALVES],
    count: u8,
    /// With the fourth valve down the air runs through the first three once more, in loops cut for the
    /// longer tube.
    compensating: bool,
    /// The fifth is cut for the tube with the fourth down, and is no use without it.
    fifth_behind_fourth: bool,
}

impl Valves {
    /// Valves that lower the open tube by so many semitones, each exact when used alone; at most seven.
    pub fn exact(semitones: &[f64]) -> Valves {
        let mut added = [0.0; MOST_VALVES];
        for (slot, semitones) in added.iter_mut().zip(semitones) {
            *slot = length_of(*semitones) - 1.0;
        }
        Valves {
            added,
            count: semitones.len().min(MOST_VALVES) as u8,
            compensating: false,
            fifth_behind_fourth: false,
        }
    }

    /// The three valves of nearly every brass instrument: a tone, a semitone, a tone and a half.
    pub fn three() -> Valves {
        Valves::exact(&[2.0, 1.0, 3.0])
    }

    /// Three and a plain fourth, a perfect fourth.
    pub fn four_plain() -> Valves {
        Valves::exact(&[2.0, 1.0, 3.0, 5.0])
    }

    /// Three and a fourth, compensating.
    pub fn four_compensating() -> Valves {
        Valves { compensating: true, ..Valves::four_plain() }
    }

    /// Four plain and a fifth, a long whole tone: exact together with the fourth (common practice; how long
    /// differs from maker to maker).
    pub fn five() -> Valves {
        let mut valves = Valves { fifth_behind_fourth: true, ..Valves::exact(&[2.0, 1.0, 3.0, 5.0, 2.0]) };
        let [_, _, _, fourth, fifth, ..] = &mut valves.added;
        *fifth = length_of(7.0) - 1.0 - *fourth;
        valves
    }

    /// The same with one valve (1 to 7) that is flat by so many cents when used alone.
    pub fn tuned_long(mut self, valve: usize, cents: f64) -> Valves {
        if let Some(added) = valve.checked_sub(1).and_then(|v| self.added.get_mut(v)) {
            *added = length_of(cents_of(1.0 + *added) / 100.0 + cents / 100.0) - 1.0;
        }
        self
    }

    /// How many.
    pub fn count(&self) -> u8 {
        self.count
    }

    /// True with compensating loops.
    pub fn compensates(&self) -> bool {
        self.compensating
    }

    /// True if these valves are pressed together: a long fifth goes with the fourth.
    pub fn go_together(&self, digits: u8) -> bool {
        !self.fifth_behind_fourth || digits & 0b11000 != 0b10000
    }

    /// All of them down, as digits (bit 0 for valve 1).
    pub fn all(&self) -> u8 {
        ((1u16 << self.count) - 1) as u8
    }

    /// Length of the tube with these valves down (bit 0 for valve 1), 1 when open.
    pub fn length(&self, digits: u8) -> f64 {
        let sum = |from: usize, to: usize| -> f64 {
            let valves = self.added.iter().enumerate().skip(from).take(to - from);
            valves.filter(|(v, _)| digits & (1 << v) != 0).map(|(_, added)| added).sum()
        };
        if self.compensating && digits & 0b1000 != 0 {
            (1.0 + sum(3, 4)) * (1.0 + sum(0, 3)) + sum(4, MOST_VALVES)
        } else {
            1.0 + sum(0, MOST_VALVES)
        }
    }

    /// Semitones by which the set is meant to lower the tube: the sum of what its valves do alone.
    pub fn nominal(&self, digits: u8) -> f64 {
        let down = self.added.iter().enumerate().filter(|(v, _)| digits & (1 << v) != 0);
        down.map(|(_, added)| cents_of(1.0 + added) / 100.0).sum()
    }

    /// How many cents the set is sharp of that sum; positive is sharp.
    pub fn sharpness(&self, digits: u8) -> f64 {
        100.0 * self.nominal(digits) - cents_of(self.length(digits))
    }
}
