//! Tubes and what they sound: harmonic series, valves, slides, hands, the catalogue of instruments.
//!
//! Everything is derived from the length of the tube. Knows no text and no time.

pub mod level;
pub mod mute;

pub use level::Level;
pub use mute::Mute;
