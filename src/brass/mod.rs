//! Tubes and what they sound: harmonic series, valves, slides, hands, the catalogue of instruments.
//!
//! Everything is derived from the length of the tube. Knows no text and no score; seconds only as numbers
//! that somebody gives it.

pub mod body;
pub mod build;
pub mod catalogue;
pub mod chart;
pub mod choice;
pub mod citation;
pub mod compass;
pub mod glide;
pub mod hand;
pub mod how;
pub mod instrument;
pub mod kind;
pub mod level;
pub mod limits;
pub mod mute;
pub mod mute_words;
pub mod names;
pub mod own;
pub mod plan;
pub mod register;
pub mod slide;
pub mod trill;
pub mod tube;
pub mod usual;
pub mod valves;
pub mod way;
pub mod written;

pub use build::Build;
pub use catalogue::{CatalogueFault, Found, find};
pub use choice::{Verdict, check};
pub use compass::{Compass, Nature, Note};
pub use how::How;
pub use instrument::{Instrument, ValvesFault};
pub use kind::{Bore, Kind};
pub use level::Level;
pub use limits::Limits;
pub use mute::{Mute, Mutes};
pub use own::{OwnFault, OwnInstrument, OwnKind};
pub use register::Register;
pub use tube::Tube;
pub use way::Way;
pub use written::reading_interval;
