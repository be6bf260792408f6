//! The arm that moves a slide.
//!
//! Professionals move and accelerate the slide faster (Lammers, Kruger and others, 1983-1997; abstracts). No
//! public figure for the speed was found: the times are estimates.

use crate::brass::level::Level;

/// Seconds before the slide is under way and after it has come to rest; school, amateur, professional.
pub const START_SECONDS: [f64; 3] = [0.090, 0.060, 0.045];
/// Seconds for each centimetre of the way.
pub const SECONDS_PER_CM: [f64; 3] = [0.006, 0.0042, 0.0032];

/// Shorter moves than this are corrections of the ear and not shifts (estimate).
pub const SHIFT_CM: f64 = 3.0;

/// What a player's slide arm is judged by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm {
    pub start_seconds: f64,
    pub seconds_per_cm: f64,
}

impl Arm {
    /// At a level, from the constants above.
    pub fn at(level: Level) -> Arm {
        Arm { start_seconds: level.pick(START_SECONDS), seconds_per_cm: level.pick(SECONDS_PER_CM) }
    }

    /// Seconds that a shift takes; nothing where the slide stays.
    pub fn shift_seconds(&self, cm: f64) -> f64 {
        if cm < SHIFT_CM { 0.0 } else { self.start_seconds + cm * self.seconds_per_cm }
    }

    /// Greatest distance that can be covered in these seconds.
    pub fn reach_cm(&self, seconds: f64) -> f64 {
        ((seconds - self.start_seconds) / self.seconds_per_cm).max(SHIFT_CM)
    }
}
