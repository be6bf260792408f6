//! Where a note lies: one answer per note, first match, so that one note is never told twice.

use super::rule::View;
use crate::brass::compass::Nature;
use crate::score::event::{Event, EventKind};
use crate::score::player::{Player, PlayerInstrument};

/// Where a note lies for this player.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lie {
    Fine,
    /// Between two notes of the tube.
    Gap {
        below: i32,
        above: i32,
    },
    /// The one weak note that is only just there.
    Weak,
    /// Below the last pedal of the tube.
    Nowhere {
        lowest: i32,
    },
    /// Not on the series of a natural tube.
    OffSeries {
        nearest: i32,
        partial: u16,
        by_hand: bool,
    },
    Pedal,
    /// Below what the level plays.
    Low {
        limit: i32,
    },
    /// Above the usual top.
    High {
        limit: i32,
    },
    /// Above what most professionals reach, or above this player's own top.
    Highest {
        limit: i32,
    },
}

/// Where a sounding height lies on an instrument in a player's hands.
pub fn lie(instrument: &PlayerInstrument, midi: i32) -> Lie {
    let limits = &instrument.limits;
    let note = instrument.instrument.note(midi);
    match note.nature {
        Nature::Ordinary | Nature::Weak => {}
        // A player who says how low they go is believed, pedals or not.
        Nature::Pedal if instrument.own_bottom.is_some() && midi < limits.low => {
            return Lie::Low { limit: limits.low };
        }
        Nature::Pedal => return Lie::Pedal,
        Nature::Gap { below, above } => return Lie::Gap { below, above },
        Nature::Below { lowest } => return Lie::Nowhere { lowest },
        Nature::OffSeries { nearest, partial, by_hand } => {
            return Lie::OffSeries { nearest, partial, by_hand };
        }
    }
    if note.nature == Nature::Weak {
        Lie::Weak
    } else if midi < limits.low {
        Lie::Low { limit: limits.low }
    } else if midi > limits.reach {
        Lie::Highest { limit: limits.reach }
    } else if midi > limits.usual {
        Lie::High { limit: limits.usual }
    } else {
        Lie::Fine
    }
}

/// Where an event's note lies; fine for what has no pitch or no known instrument.
pub fn of(player: &Player, event: &Event) -> Lie {
    if !matches!(event.kind, EventKind::Note | EventKind::Grace) {
        return Lie::Fine;
    }
    match player.instrument(event.played.instrument) {
        Some(instrument) => lie(instrument, event.sounding.midi()),
        None => Lie::Fine,
    }
}

/// Octaves (up positive) that bring every note of a run to where it lies well, nearest first; `None`
/// if none of two up or down does.
pub fn octave_that_fits(view: &View<'_>, events: &[&Event]) -> Option<i32> {
    [1, -1, 2, -2].into_iter().find(|octaves| {
        events.iter().all(|e| {
            view.instrument(e).is_some_and(|i| lie(i, e.sounding.midi() + 12 * octaves) == Lie::Fine)
        })
    })
}
