//! How a note lies for somebody who might be given it.

use super::share::Lying;
use crate::rules::lie::{Lie, lie};
use crate::score::player::PlayerInstrument;

/// Points, all estimates.
mod points {
    pub const ABOVE_COMFORT: u32 = 10;
    pub const SEMITONE_ABOVE_COMFORT: u32 = 6;
    pub const SEMITONE_OFF_REGISTER: u32 = 1;
    pub const WEAK: u32 = 300;
}

/// How a sounding height lies on an instrument in a player's hands: inside the middle half of what is comfortable
/// it costs nothing.
pub fn lying(held: &PlayerInstrument, sounding: i32) -> Lying {
    let limits = &held.limits;
    let beyond = |limit: i32| Lying { beyond_semitones: sounding.abs_diff(limit), ..Lying::default() };
    let costs = |points: u32| Lying { points, ..Lying::default() };
    match lie(held, sounding) {
        Lie::Gap { .. } | Lie::Nowhere { .. } | Lie::OffSeries { .. } => {
            Lying { unplayable: true, ..Lying::default() }
        }
        Lie::Highest { .. } | Lie::High { .. } => beyond(limits.usual),
        Lie::Low { limit } => beyond(limit),
        Lie::Weak | Lie::Pedal => costs(points::WEAK),
        Lie::Fine if sounding > limits.comfortable => {
            let over = sounding.abs_diff(limits.comfortable);
            costs(points::ABOVE_COMFORT + points::SEMITONE_ABOVE_COMFORT * over)
        }
        Lie::Fine => {
            let quarter = (limits.comfortable - limits.low) / 4;
            let (low, high) = (limits.low + quarter, limits.comfortable - quarter);
            let off = (low - sounding).max(sounding - high).max(0).unsigned_abs();
            costs(points::SEMITONE_OFF_REGISTER * off)
        }
    }
}
