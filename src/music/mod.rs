//! Pitch, interval, key, fraction, value, tempo, chord symbol and frequency.
//!
//! This layer knows music theory and nothing else: no instruments, no text files.

pub mod chord_symbol;
pub mod clef;
pub mod dynamic;
pub mod fraction;
pub mod interval;
pub mod key;
pub mod pitch;
pub mod tempo;

pub use chord_symbol::{ChordSymbol, NoteName};
pub use clef::Clef;
pub use dynamic::Dynamic;
pub use fraction::Fraction;
pub use interval::Interval;
pub use key::{Key, Mode};
pub use pitch::{Pitch, Step};
pub use tempo::{Ramp, Tempo};
