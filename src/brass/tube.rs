//! A tube and the series of harmonics it sounds.

use crate::music::Pitch;
use crate::music::pitch::hertz;

/// Speed of sound in centimetres a second, in dry air at 20 °C.
pub const SPEED_OF_SOUND: f64 = 34_300.0;

/// A brass tube as played: closed by the lips, flared so that its resonances are those of an open cone.
///
/// Lengths elsewhere in this module are ratios to the open tube; only here they are centimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tube {
    /// Sounding height of harmonic 1 in semitones, C4 = 60.
    pub fundamental: i32,
}

/// A harmonic as a note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Harmonic {
    /// Number, 1 for the fundamental.
    pub partial: u16,
    /// Nearest equal-tempered sounding pitch, C4 = 60.
    pub midi: i32,
    /// Cents above (or, negative, below) that pitch.
    pub cents: f64,
}

impl Tube {
    /// The open tube that sounds this fundamental.
    pub fn new(fundamental: Pitch) -> Tube {
        Tube { fundamental: fundamental.midi() }
    }

    /// Acoustic length in centimetres at A4 = 440 Hz; about 294 for B♭.
    pub fn centimetres(self) -> f64 {
        SPEED_OF_SOUND / (2.0 * hertz(f64::from(self.fundamental), 440.0))
    }

    /// Sounding height of a harmonic in cents (C4 = 6000) when the tube is `length` times as long.
    pub fn cents(self, partial: u16, length: f64) -> f64 {
        100.0 * f64::from(self.fundamental) + cents_of(f64::from(partial)) - cents_of(length)
    }

    /// A harmonic of the open tube.
    pub fn harmonic(self, partial: u16) -> Harmonic {
        let height = self.cents(partial, 1.0);
        let midi = (height / 100.0).round();
        Harmonic { partial, midi: midi as i32, cents: height - 100.0 * midi }
    }
}

/// Cents of a ratio of frequencies or lengths.
pub fn cents_of(ratio: f64) -> f64 {
    1200.0 * ratio.log2()
}

/// The ratio by which so many semitones lengthen a tube.
pub fn length_of(semitones: f64) -> f64 {
    (semitones / 12.0).exp2()
}
