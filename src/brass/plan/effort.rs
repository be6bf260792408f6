//! What moves cost.
//!
//! Effort is counted in hundredths of a centimetre of slide travel, or of a finger that moves; only sums of
//! one kind are ever compared. The estimates decide which of two playable ways is taken, never whether
//! something is playable.

use super::Joined;
use super::ways::Spot;
use crate::brass::body::Arm;
use crate::brass::level::Level;
use crate::brass::way::Way;

/// Effort of an attachment that goes down or up: as much as so much travel (estimate: 3 cm).
pub const ATTACHMENT: u32 = 300;
/// Effort of a way that is not the usual one (estimate): 2 cm, or a third of a finger.
pub const ALTERNATE_SLIDE: u32 = 200;
pub const ALTERNATE_VALVES: u32 = 33;
/// Effort of a finger that moves; half as much again for the third alone, double for fingers that change
/// places (practice: third-valve technique; the weights are estimates).
pub const FINGER: u32 = 100;
/// Effort of each cent out of tune beyond the first ten (estimate).
pub const CENT: u32 = 4;
pub const CENTS_FREE: f32 = 10.0;
/// Effort of a jump over most of the slide besides its way (estimate: 10 m), so that a plan has as few as can be.
pub const JUMP: u32 = 100_000;
/// Such a jump, from first position to sixth or from second to seventh (common practice; 46 cm and 48 cm).
pub const JUMP_CM: f64 = 44.0;
/// Seconds from which it is a shift like any other (estimate).
pub const JUMP_SECONDS: f64 = 0.7;
/// Effort of harmonics 9 and 15, harder to hit than their neighbours (estimate).
pub const CLOSE_PARTIAL: u32 = 50;

/// What one path costs, compared in the order of its fields.
///
/// Packed into one integer, so that a path's weight is a sum: 8 bits for broken glissandos, 12 for strongly
/// late shifts, 16 for late ones, the rest for effort.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Weight(pub(super) u64);

const LATE: u64 = 1 << 28;
const STRONGLY_LATE: u64 = 1 << 44;
const BROKEN: u64 = 1 << 56;

impl Weight {
    /// Of effort alone.
    pub(super) const fn of(effort: u32) -> Weight {
        Weight(effort as u64)
    }

    /// Sum.
    pub(super) fn plus(self, other: Weight) -> Weight {
        Weight(self.0 + other.0)
    }

    /// Glissandos that leave their harmonic.
    pub fn broken(self) -> u32 {
        (self.0 >> 56) as u32
    }

    /// Shifts that have less than half the time they take.
    pub fn strongly_late(self) -> u32 {
        (self.0 >> 44 & 0xfff) as u32
    }

    /// Other shifts that have less time than they take.
    pub fn late(self) -> u32 {
        (self.0 >> 28 & 0xffff) as u32
    }

    /// Hundredths of a centimetre, or of a finger.
    pub fn effort(self) -> u32 {
        (self.0 & (LATE - 1)) as u32
    }
}

/// What moves are weighed by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    pub arm: Arm,
    /// A shift this far in less than these seconds is a jump.
    pub jump_cm: f64,
    pub jump_seconds: f64,
}

/// Whether a shift is in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Lateness {
    #[default]
    InTime,
    Late,
    /// It has less than half the time it takes.
    FarTooLate,
}

/// How far the slide gets in the time there is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Time {
    /// Hundredths of a centimetre covered in time, and in double the time.
    reach: i32,
    double: i32,
    /// From here on it is a jump.
    jump: i32,
}

impl Time {
    pub fn lateness(&self, way: i32) -> Lateness {
        match way {
            _ if way > self.double => Lateness::FarTooLate,
            _ if way > self.reach => Lateness::Late,
            _ => Lateness::InTime,
        }
    }

    pub fn jumps(&self, way: i32) -> bool {
        way >= self.jump
    }
}

impl Effort {
    /// Of players at a level.
    pub fn at(level: Level) -> Effort {
        Effort { arm: Arm::at(level), jump_cm: JUMP_CM, jump_seconds: JUMP_SECONDS }
    }

    /// Effort of a way that is not the usual one, wherever the hand comes from.
    pub(super) fn strain(&self, way: &Way) -> Weight {
        let off = (way.cents.abs() - CENTS_FREE).max(0.0) as u32 * CENT;
        let close = if matches!(way.partial, 9 | 15) { CLOSE_PARTIAL } else { 0 };
        let alternate = if way.position > 0.0 { ALTERNATE_SLIDE } else { ALTERNATE_VALVES };
        Weight::of(alternate + off + close)
    }

    pub(super) fn time(&self, seconds: f32) -> Time {
        let reach = |seconds: f64| (100.0 * self.arm.reach_cm(seconds)).min(1e6) as i32;
        let seconds = f64::from(seconds);
        let jump = if seconds < self.jump_seconds { (100.0 * self.jump_cm) as i32 } else { i32::MAX };
        Time { reach: reach(seconds), double: reach(2.0 * seconds), jump }
    }

    /// The cost of going from one way to the next.
    #[inline]
    pub(super) fn step(&self, slides: bool, from: &Spot, to: &Spot, time: &Time, joined: Joined) -> Weight {
        if slides {
            slide_step(from, to, time, joined)
        } else {
            Weight::of(finger_effort(from.fingers, to.fingers))
        }
    }
}

#[inline]
fn slide_step(from: &Spot, to: &Spot, time: &Time, joined: Joined) -> Weight {
    let way = (from.place - to.place).abs();
    let same_side = from.fingers == to.fingers;
    let mut weight = way as u64 + if same_side { 0 } else { u64::from(ATTACHMENT) };
    if joined == Joined::Glides {
        // The glide itself takes the time of its note.
        return Weight(if same_side && from.partial == to.partial { weight } else { weight + BROKEN });
    }
    weight += u64::from(way > time.reach) * LATE;
    weight += u64::from(way > time.double) * (STRONGLY_LATE - LATE);
    weight += u64::from(time.jumps(way)) * u64::from(JUMP);
    Weight(weight)
}

/// Effort of the fingers between two valve settings.
#[inline]
pub(super) fn finger_effort(from: u16, to: u16) -> u32 {
    let changed = from ^ to;
    if changed == 0b100 {
        return FINGER * 3 / 2;
    }
    let exchange = from & !to != 0 && to & !from != 0;
    changed.count_ones() * if exchange { 2 * FINGER } else { FINGER }
}
