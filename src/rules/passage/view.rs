//! What a passage rule sees of one visit.

use super::super::settings::Settings;
use super::super::slide_too_far;
use super::PlannedStep;
use crate::brass::Level;
use crate::brass::plan::Planner;
use crate::music::Key;
use crate::notation::tree::Basis;
use crate::score::event::Event;
use crate::score::passage::Sound;
use crate::score::player::{Player, PlayerInstrument};
use crate::score::state::PlayedState;
use crate::score::turn::Turn;

/// One visit of one person; of a part that several read, the first seat.
pub struct Passage<'a> {
    pub player: &'a Player,
    /// In the order of playing; empty at the end and where time is unknown.
    pub sounds: &'a [Sound],
    /// Told even where time is unknown, for what needs none.
    pub events: &'a [Event],
    /// What slide and fingers do, as far as it is settled by now: the notes may stand in visits before.
    pub steps: &'a [PlannedStep],
    /// What the player is told, about mutes, instruments, clefs and cues; even where time is unknown.
    pub turns: &'a [Turn],
    /// In force as the visit begins, and as the block's first visit began.
    pub arriving: PlayedState,
    pub first_arriving: PlayedState,
    /// The block has not been played before.
    pub first_time: bool,
    /// Bars of the block, and silent bars before it that are played now.
    pub bars: u32,
    pub gap_bars: u32,
    /// Concert key of the block.
    pub key: Option<Key>,
    pub basis: Basis,
    /// Silence comes before the first event: bars that no block has, or a block without a row.
    pub after_silence: bool,
    /// Nothing follows, or nothing whose time is known: what is still open is over.
    pub ends: bool,
    /// The piece is over: nothing is played now, and nothing will be.
    pub over: bool,
    pub tools: &'a Tools,
    pub settings: &'a Settings,
}

impl Passage<'_> {
    /// The instrument in hand at an event.
    pub fn instrument(&self, event: &Event) -> Option<&PlayerInstrument> {
        self.player.instrument(event.played.instrument)
    }

    /// What the player of this line is.
    pub fn level(&self) -> Level {
        self.player.level
    }
}

/// What is worked out once for a player.
#[derive(Debug)]
pub struct Tools {
    /// One for each of the player's instruments.
    planners: Vec<Planner>,
}

impl Tools {
    /// For this player, with the limits in force.
    pub fn of(player: &Player, settings: &Settings) -> Tools {
        let effort = slide_too_far::effort(player.level, settings);
        Tools { planners: player.instruments.iter().map(|i| Planner::new(&i.instrument, effort)).collect() }
    }

    /// Plans for one of the player's instruments.
    pub fn planner(&self, instrument: u8) -> Option<&Planner> {
        self.planners.get(usize::from(instrument))
    }
}
