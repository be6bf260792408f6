//! What is in force for a player at a place: the instrument in hand, mute and technique, the dynamic.

use super::stretch::{At, begins, sounds};
use crate::music::Dynamic;
use crate::notation::tree::{Instruction, Item, What};
use crate::rules::Desk;
use crate::score::pair::{PairRow, played_change};
use crate::score::player::Player;
use crate::score::state::{PlayedChange, PlayedState};

/// In force.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct InForce {
    /// As the block is first played.
    pub played: PlayedState,
    /// The last dynamic that stays.
    pub dynamic: Option<Dynamic>,
    /// True if a dynamic for one note waits for that note.
    pub waits: bool,
}

/// What is in force for a player as a bar of a block begins, before anything that stands in the bar.
pub fn before_bar(desk: &Desk, player: usize, block: usize, bar: u32) -> InForce {
    let mine = desk.report().events(desk.score(), block, player);
    let earlier = || mine.iter().rev().skip_while(|e| e.bar >= bar);
    let mut now = match earlier().next() {
        Some(event) => {
            // Under a dynamic for one note the one that stays is that of the notes before.
            let one_note = |d: &Option<Dynamic>| d.is_some_and(|d| d.leaves().is_none());
            let stays = earlier().map(|e| e.dynamic).find(|d| !one_note(d));
            let dynamic =
                stays.map_or_else(|| dynamic_into(desk, player, block), |d| d.and_then(Dynamic::leaves));
            let waits = !sounds(event) && event.dynamic.is_some_and(|d| d.leaves() != Some(d));
            InForce { played: event.played, dynamic, waits }
        }
        None => InForce {
            played: played_into(desk, player, block),
            dynamic: dynamic_into(desk, player, block),
            waits: false,
        },
    };
    let from = earlier().next().map_or(0, |e| e.bar);
    let pair = desk.score().blocks.get(block).and_then(|b| b.read.pair(player as u16));
    let (Some(pair), Some(person)) = (pair, desk.score().head.players.get(player)) else { return now };
    // What stands behind the last entry of a bar.
    for (row, cell) in pair.cells().filter(|(_, c)| c.last && from <= c.bar && c.bar < bar) {
        let Some(tree) = row.tree() else { continue };
        let Some(source) = tree.bars.get(cell.source as usize) else { continue };
        let items = source.items.of(&tree.items);
        let behind = items.iter().rposition(|i| !i.what.is_free()).map_or(0, |n| n + 1);
        items.iter().skip(behind).for_each(|item| now.pass(item, row, person));
    }
    now
}

/// What a player has in hand, and how, at a place of a block, for weighing what a change takes.
pub fn in_hand(desk: &Desk, player: usize, block: usize, at: At) -> PlayedState {
    let mine = desk.report().events(desk.score(), block, player);
    let last = mine.iter().rfind(|e| begins(e) <= at && e.bar == at.bar);
    last.map_or_else(|| before_bar(desk, player, block, at.bar).played, |e| e.played)
}

impl InForce {
    fn pass(&mut self, item: &Item, row: &PairRow, person: &Player) {
        match item.what {
            What::Dynamic(d) => {
                self.dynamic = d.leaves().or(self.dynamic);
                self.waits |= d.leaves() != Some(d);
            }
            What::Instruction(Instruction::Switch(i)) => {
                let switch = row.tree().and_then(|tree| tree.switches.get(i as usize));
                let called =
                    switch.and_then(|s| person.instrument_called(s.instrument.of(&row.text.text), s.read_in));
                if let Some(instrument) = called {
                    self.played = PlayedChange::switch(instrument).after(self.played);
                }
            }
            What::Instruction(i) => {
                if let Some(change) = played_change(i) {
                    self.played = change.after(self.played);
                }
            }
            _ => {}
        }
    }
}

/// The state in which a block is first reached.
fn played_into(desk: &Desk, player: usize, block: usize) -> PlayedState {
    let mut now = PlayedState::default();
    for visit in &desk.score().order.visits {
        if visit.block as usize == block {
            break;
        }
        let placed = desk.score().blocks.get(visit.block as usize);
        if let Some(pair) = placed.and_then(|b| b.read.pair(player as u16)) {
            now = pair.played.after(now);
        }
    }
    now
}

/// The dynamic with which a block is reached; nothing changes it where the player has no row.
fn dynamic_into(desk: &Desk, player: usize, block: usize) -> Option<Dynamic> {
    let track = desk.report().tracks.get(player)?;
    if let Some(next) = track.blocks.iter().skip(block).flatten().next() {
        return next.given().written.dynamic;
    }
    let last = (0..block).rev().find(|b| matches!(track.blocks.get(*b), Some(Some(_))))?;
    let bars = desk.score().blocks.get(last)?.frame.bars;
    before_bar(desk, player, last, bars).dynamic
}
