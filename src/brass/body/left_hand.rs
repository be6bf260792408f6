//! Notes for which the left hand draws a valve slide out.

use crate::brass::build::Build;
use crate::brass::instrument::Instrument;
use crate::brass::way::Way;

/// Cents sharp from which players draw the third valve's slide (1-3 is 30 cents sharp, 1-2-3 is 54; lengths
/// add).
pub const DRAWN_CENTS: f64 = 29.0;

/// Cents that the left hand would take away from this fingering: valves 1-3 and 1-2-3 of a three-valve
/// instrument (The Modern Trumpet, "Only one left hand"). `None` where the hand is free.
pub fn draws_slide(instrument: &Instrument, way: &Way) -> Option<f64> {
    let Build::Valved(valves) = &instrument.build else { return None };
    if valves.count() != 3 || way.how.digits & 0b101 != 0b101 {
        return None;
    }
    let sharp = valves.sharpness(way.how.digits);
    (sharp >= DRAWN_CENTS).then_some(sharp)
}
