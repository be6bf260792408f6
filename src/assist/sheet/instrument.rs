//! The instruments of a player as the sheet tells them.

use super::high::mark;
use crate::assist::hover::reads::read;
use crate::brass::Level;
use crate::music::{Clef, Pitch};
use crate::score::player::PlayerInstrument;

/// An instrument, how high and low it goes for this player, and how much of it is played.
#[derive(Debug, Clone, PartialEq)]
pub struct InstrumentUse {
    /// As a player would say it: `trumpet in Bb`.
    pub label: String,
    pub clef: Clef,
    /// Of this player at this level; the limits of the ranges, all written.
    pub low_written: Pitch,
    pub comfortable_written: Pitch,
    pub usual_written: Pitch,
    pub reach_written: Pitch,
    /// Time above this written note counts as high.
    pub high_mark_written: Pitch,
    pub notes: u64,
    /// Nothing without a tempo.
    pub playing_seconds: Option<f64>,
}

impl InstrumentUse {
    /// One that has not been played yet.
    pub fn of(held: &PlayerInstrument, level: Level) -> InstrumentUse {
        let written = |midi: i32| read(held, midi, None);
        InstrumentUse {
            label: held.label.clone(),
            clef: held.clef.unwrap_or(held.instrument.clef),
            low_written: written(held.limits.low),
            comfortable_written: written(held.limits.comfortable),
            usual_written: written(held.limits.usual),
            reach_written: written(held.limits.reach),
            high_mark_written: written(mark(held, level)),
            notes: 0,
            playing_seconds: None,
        }
    }
}
