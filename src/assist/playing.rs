//! What a player plays in a score: in how many of its bars, from which note to which.

use super::sounding::{Seat, events};
use crate::music::Pitch;
use crate::rules::Desk;
use crate::rules::report::Checked;
use crate::score::event::EventKind;
use std::sync::Arc;

/// How far apart a block may have moved in the list to be found again without being looked at anew.
const NEAR: usize = 16;

/// A note at one end of what somebody plays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    pub sounding: Pitch,
    /// For the instrument in hand.
    pub written: Pitch,
    /// Number of its bar.
    pub bar: i64,
}

/// What a player plays.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Use {
    /// Bars of the score, as written.
    pub bars: u64,
    /// Those in which this player sounds or improvises.
    pub playing: u64,
    pub lowest: Option<Extreme>,
    pub highest: Option<Extreme>,
}

/// The same of one block, whose bars are counted from 0.
#[derive(Debug, Clone, Copy, Default)]
struct InBlock {
    playing: u64,
    lowest: Option<Extreme>,
    highest: Option<Extreme>,
}

/// What players play, kept block by block: after an edit only what is another now is looked at.
#[derive(Default)]
pub struct Uses {
    players: Vec<Vec<(Arc<Checked>, InBlock)>>,
    looked_at: u64,
}

impl Uses {
    /// What a player plays; an index into the score.
    pub fn of(&mut self, desk: &Desk, player: usize) -> Use {
        let score = desk.score();
        let mut all = Use::default();
        if self.players.len() <= player {
            self.players.resize_with(player + 1, Vec::new);
        }
        let old = self.players.get_mut(player).map(std::mem::take).unwrap_or_default();
        let mut kept = Vec::with_capacity(old.len());
        let mut next = 0;
        let track = desk.report().tracks.get(player);
        for (block, placed) in score.blocks.iter().enumerate() {
            all.bars += u64::from(placed.frame.bars) + u64::from(placed.frame.gap);
            let Some(checked) = track.and_then(|t| t.blocks.get(block)?.as_ref()) else { continue };
            let near = old.iter().enumerate().skip(next).take(NEAR);
            let found = near.into_iter().find(|(_, (known, _))| Arc::ptr_eq(known, checked));
            let here = match found {
                Some((at, (_, here))) => {
                    next = at + 1;
                    *here
                }
                None => {
                    self.looked_at += 1;
                    look(desk, block, player)
                }
            };
            kept.push((Arc::clone(checked), here));
            all.playing += here.playing;
            let numbered = |e: Extreme| Extreme { bar: placed.frame.first_bar + e.bar, ..e };
            all.lowest = lower(all.lowest, here.lowest.map(numbered));
            all.highest = higher(all.highest, here.highest.map(numbered));
        }
        if let Some(place) = self.players.get_mut(player) {
            *place = kept;
        }
        all
    }

    /// Pairs of player and block that were looked at since the beginning.
    pub fn looked_at(&self) -> u64 {
        self.looked_at
    }
}

fn lower(a: Option<Extreme>, b: Option<Extreme>) -> Option<Extreme> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.sounding.midi() < a.sounding.midi() { b } else { a }),
        (a, b) => a.or(b),
    }
}

fn higher(a: Option<Extreme>, b: Option<Extreme>) -> Option<Extreme> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.sounding.midi() > a.sounding.midi() { b } else { a }),
        (a, b) => a.or(b),
    }
}

fn look(desk: &Desk, block: usize, player: usize) -> InBlock {
    let mut here = InBlock::default();
    let mut played: Vec<u32> = Vec::new();
    let seats = desk.score().head.players.get(player).map_or(1, |p| p.seats.max(1));
    for seat in 0..seats {
        for event in events(desk, Seat { block, player, seat }) {
            if matches!(event.kind, EventKind::Note | EventKind::Hold | EventKind::Improvised) {
                played.push(event.bar);
            }
            if matches!(event.kind, EventKind::Note | EventKind::Grace) {
                let bar = i64::from(event.bar);
                let note = Extreme { sounding: event.sounding, written: event.written, bar };
                here.lowest = lower(here.lowest, Some(note));
                here.highest = higher(here.highest, Some(note));
            }
        }
    }
    played.sort_unstable();
    played.dedup();
    here.playing = played.len() as u64;
    here
}
