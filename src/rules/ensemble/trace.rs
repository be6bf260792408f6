//! What a line leaves behind as it is heard, for rules that see several players.

use super::super::long_silence::Silence;
use super::super::passage::{PassageFinding, Spot};
use crate::music::Fraction;

/// Something of one person's line that the others may change the meaning of.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// The rule that left it, and that will ask for it.
    pub rule: &'static str,
    pub what: Left,
}

/// What is left.
#[derive(Debug, Clone, PartialEq)]
pub enum Left {
    /// Somebody comes in after a silence; what there is to say of it if nobody helps.
    Entry { at: Spot, silence_seconds: f64, alone: Option<Box<PassageFinding>> },
    /// What there is to say of one player, unless the others make it untrue or have the same.
    Unless(Box<PassageFinding>),
    /// Somebody comes in after many bars of rest.
    Silence { at: Spot, silence: Silence },
    /// A breath is marked at the end of a note that goes on after it.
    /// `after`: where the note ends, in whole notes from the beginning of its bar.
    Breath { at: Spot, after: Fraction },
    /// A tone is over in which somebody breathed, or that was too long for one breath.
    /// `onset`: where it begins in its bar; `lasts_seconds`: how long it could sound on one breath.
    Tone { first: Spot, onset: Fraction, last: Spot, seconds: f64, lasts_seconds: f64, breathed: bool },
}
