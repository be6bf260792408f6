//! A player: a person, or several who read one part, with the instruments they have.

use super::phrase::Phrases;
use crate::brass::instrument::Instrument;
use crate::brass::limits::Limits;
use crate::brass::register::own_reading;
use crate::brass::{Level, Mute};
use crate::music::{Clef, Pitch};
use crate::notation::Fault;
use crate::notation::line::Line;
use crate::notation::tree::ReadIn;
use std::sync::Arc;

/// Somebody who plays.
#[derive(Debug, Clone)]
pub struct Player {
    /// In normal form C.
    pub id: String,
    /// `name "…"`.
    pub name: Option<String>,
    pub level: Level,
    /// People who read the part, 1 to 64.
    pub seats: u32,
    /// False for `signature none`.
    pub signature: bool,
    /// The first is in hand at the start; empty if the line names none that is known.
    pub instruments: Vec<PlayerInstrument>,
    /// The score's phrases, which this player may be given.
    pub phrases: Arc<Phrases>,
    /// The line that declares this player.
    pub line: Arc<Line>,
    /// What is wrong on it beyond what could not be read.
    pub faults: Vec<Fault>,
    /// What else the reading of the line depended on.
    pub given: Given,
}

/// What the meaning of a player line depends on, besides its text.
#[derive(Debug, Clone)]
pub struct Given {
    pub default_level: Level,
    /// The `instrument` lines of the score.
    pub own: Arc<[Arc<Line>]>,
}

impl Given {
    /// True if it is the same.
    pub fn same(&self, other: &Given) -> bool {
        self.default_level == other.default_level
            && self.own.len() == other.own.len()
            && self.own.iter().zip(other.own.iter()).all(|(a, b)| Arc::ptr_eq(a, b))
    }
}

/// An instrument a player has.
#[derive(Debug, Clone)]
pub struct PlayerInstrument {
    /// As a player would say it: `trumpet in Bb`.
    pub label: String,
    /// The words of its name alone.
    pub words: String,
    pub read_in: Option<ReadIn>,
    pub instrument: Arc<Instrument>,
    /// This person's, sounding.
    pub limits: Limits,
    /// `top` and `bottom` as the player's line says them, written.
    pub own_top: Option<Pitch>,
    pub own_bottom: Option<Pitch>,
    /// What this person brings; `None`: every mute made for it.
    pub mutes: Option<Vec<Mute>>,
    pub clef: Option<Clef>,
}

impl Player {
    /// The instruments that a `[switch …]` may mean: its words and, where it names one, its key. One is
    /// as it should be.
    pub fn instruments_called(&self, words: &str, read_in: Option<ReadIn>) -> Vec<u8> {
        let called = |i: &PlayerInstrument| {
            i.words.split_whitespace().eq(words.split_whitespace())
                && read_in.is_none_or(|key| i.read_in.map(reading) == Some(reading(key)))
        };
        (0u8..).zip(&self.instruments).filter(|(_, i)| called(i)).map(|(n, _)| n).collect()
    }

    /// The first of them.
    pub fn instrument_called(&self, words: &str, read_in: Option<ReadIn>) -> Option<u8> {
        self.instruments_called(words, read_in).first().copied()
    }

    /// The instrument with this number.
    pub fn instrument(&self, index: u8) -> Option<&PlayerInstrument> {
        self.instruments.get(usize::from(index))
    }
}

/// What `in KEY` means for the pitch.
fn reading(key: ReadIn) -> crate::music::Interval {
    own_reading(key.key, key.register)
}
