//! Tongue: single, double and triple tonguing.
//!
//! Tuba single 9-10 a second at most, double 12 and more (contemporarytuba.com); trombonists: 8 a second "my
//! limit", 6.7 another's, 8.8 "between single and double"; a trumpet learner timed at 8.4 (players' threads).
//! The split by level is an estimate.

use super::voice::Voice;
use crate::brass::level::Level;

/// Single tonguing that lasts, notes a second, by voice; school, amateur, professional.
pub const SINGLE_NOTES_PER_SECOND: [[f64; 3]; 6] =
    [[5.0, 7.0, 9.0], [4.5, 6.3, 8.0], [4.5, 6.7, 8.5], [4.5, 6.7, 8.5], [4.5, 6.7, 8.5], [4.0, 6.0, 8.0]];

/// Single tonguing for a few notes, professional; others in the proportion of their lasting rates (estimate).
pub const BURST_NOTES_PER_SECOND: [f64; 6] = [10.0, 9.0, 10.0, 10.0, 10.0, 10.0];

/// Most notes of a burst.
pub const BURST_NOTES: u32 = 4;
/// Notes from which a rate counts as lasting.
pub const LASTING_NOTES: u32 = 8;

/// Double and triple tonguing, notes a second; school (none), amateur, professional (contemporarytuba.com;
/// the split by level an estimate, amateurs 9 to 10).
pub const MULTIPLE_NOTES_PER_SECOND: [f64; 3] = [0.0, 9.5, 12.0];

/// Between these rates a passage is too fast for one technique and too slow for the other (8.8 in the thread
/// above; the edges are estimates).
pub const BETWEEN_NOTES_PER_SECOND: (f64, f64) = (8.2, 9.2);

/// Seconds of tonguing near the limit after which the tongue tires, and what near is (estimates; that it
/// tires: contemporarytuba.com).
pub const TIRING_SECONDS: f64 = 8.0;
pub const TIRING_SHARE: f64 = 0.85;

/// Leaps wider than this many semitones spoil multiple tonguing above this rate (estimate).
pub const LEAP_SEMITONES: i32 = 5;
pub const LEAP_NOTES_PER_SECOND: f64 = 9.0;

/// What a player's tongue is judged by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tongue {
    pub single_notes_per_second: f64,
    pub burst_notes_per_second: f64,
    /// 0 for players who have none.
    pub multiple_notes_per_second: f64,
}

impl Tongue {
    /// At a level, from the constants above.
    pub fn at(voice: Voice, level: Level) -> Tongue {
        let by_level = voice.pick(SINGLE_NOTES_PER_SECOND);
        let single = level.pick(by_level);
        Tongue {
            single_notes_per_second: single,
            burst_notes_per_second: voice.pick(BURST_NOTES_PER_SECOND) * single
                / Level::Professional.pick(by_level),
            multiple_notes_per_second: level.pick(MULTIPLE_NOTES_PER_SECOND),
        }
    }

    /// The fastest that lasts, whatever the technique.
    pub fn lasting_notes_per_second(&self) -> f64 {
        self.single_notes_per_second.max(self.multiple_notes_per_second)
    }

    /// The fastest for a few notes, whatever the technique: multiple tonguing, too, goes faster for a moment,
    /// in the proportion of single tonguing (estimate).
    pub fn few_notes_per_second(&self) -> f64 {
        let share = self.burst_notes_per_second / self.single_notes_per_second;
        self.burst_notes_per_second.max(self.multiple_notes_per_second * share)
    }

    /// How a run of tongued notes at one rate is managed.
    pub fn manner(&self, notes: u32, notes_per_second: f64) -> Manner {
        if notes_per_second <= self.single_notes_per_second {
            Manner::Single
        } else if notes <= BURST_NOTES && notes_per_second <= self.burst_notes_per_second {
            Manner::Burst
        } else if notes_per_second <= self.multiple_notes_per_second {
            Manner::Multiple
        } else {
            Manner::TooFast
        }
    }
}

/// How a run is tongued.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Manner {
    Single,
    /// A few notes faster than would last.
    Burst,
    /// Double or triple.
    Multiple,
    TooFast,
}
