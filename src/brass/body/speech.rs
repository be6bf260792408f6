//! How soon a note speaks.
//!
//! Lips need some swings before the tube answers. A tubist reckons that F1 (43.7 Hz) as a quaver at 120 has
//! about 11 of them; the limits are estimates, set below that.

use crate::music::pitch::hertz;

/// Swings below which a note comes late or as a thud.
pub const LEAST_CYCLES: f64 = 10.0;
/// Swings below which hardly anything sounds.
pub const STRONG_CYCLES: f64 = 6.0;

/// Attacks a second that low notes of a horn follow. For tubas and bass trombones the same number is that of
/// ten swings at 60 Hz, about B1 (The Composer's Guide to the Tuba: clean articulation cannot make low notes
/// speak faster; the rate is an estimate).
pub const LOW_HORN_ATTACKS_PER_SECOND: f64 = 6.0;
/// Sounding pitch below which a horn is low: written G3.
pub const LOW_HORN_BELOW: i32 = 48;

/// Swings of a sounding pitch in so many seconds, at A4 = 440 Hz.
pub fn cycles(midi: i32, seconds: f64) -> f64 {
    hertz(f64::from(midi), 440.0) * seconds
}
