//! The hand in the bell of a horn.
//!
//! Closing the bell by degrees lowers a harmonic, at most to a semitone above the next lower one. That is how
//! a natural horn gets the notes between. Closed tight on the F side it comes out as the note a semitone
//! above the one fingered (common practice).

use super::tube::{Harmonic, Tube};

/// Lowest harmonic that a hand lowers: below, the hand is too small for the bell's end of the air.
const LOWEST: u16 = 3;

/// The harmonic that the hand lowers to a pitch that lies between two of them; `None` if none serves or
/// the pitch is itself a harmonic.
pub fn lowered(tube: Tube, midi: i32) -> Option<Harmonic> {
    let guess = (f64::from(midi - tube.fundamental) / 12.0).exp2().floor().clamp(1.0, 4096.0) as u16;
    let upper = (guess..=guess + 2).map(|n| tube.harmonic(n)).find(|h| h.midi >= midi)?;
    (upper.midi > midi && upper.partial >= LOWEST).then_some(upper)
}

/// The pitch whose fingering on the F side sounds this pitch when the bell is closed tight.
pub fn fingered_as(midi: i32) -> i32 {
    midi - 1
}
