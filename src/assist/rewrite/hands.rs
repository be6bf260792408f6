//! Which instrument everybody has in hand at every entry of a block.

use super::Refusal;
use crate::brass::written::reading_interval;
use crate::music::Interval;
use crate::notation::tree::{Instruction, Item, Row, What};
use crate::rules::Desk;
use crate::score::pair::PairRow;
use crate::score::player::Player;
use crate::score::row::{Cell, Content};
use crate::score::score::Placed;
use std::collections::HashMap;

/// From written to sounding pitch, by line below the block's header and item of the row.
pub type Readings = HashMap<(u32, u32), Reading>;

/// How an entry is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// From written to sounding.
    pub interval: Interval,
    /// The first of its players.
    pub player: usize,
    /// The instrument in hand, 0 the player's first.
    pub instrument: u8,
}

/// The readings of a block's entries, for everybody who plays in it. Refused where two people read one entry
/// differently, or where a copy is read differently than what it copies.
pub fn readings(desk: &Desk, block: usize) -> Result<Readings, Refusal> {
    let score = desk.score();
    let mut all = Readings::new();
    let Some(placed) = score.blocks.get(block) else { return Ok(all) };
    for pair in &placed.read.pairs {
        let index = usize::from(pair.player);
        let Some(player) = score.head.players.get(index) else { continue };
        let checked = desk.report().tracks.get(index).and_then(|t| t.blocks.get(block)?.as_ref());
        let Some(checked) = checked else { continue };
        let reads: Vec<Interval> = player
            .instruments
            .iter()
            .map(|i| reading_interval(i.instrument.reads, placed.frame.key))
            .collect();
        let at = |i: u8| reads.get(usize::from(i)).copied().unwrap_or(Interval::UNISON);
        let given = checked.given();
        let first = given.played.instrument;
        if given.later.iter().any(|(_, s)| at(s.instrument) != at(first)) {
            return Err(Refusal::new(format!(
                "{} has another instrument in hand when bar {} is played again, so its notes have no one written pitch",
                player.id, placed.frame.first_bar
            )));
        }
        let mut walk = Walk { player, index, placed, reads: &reads, instrument: first, all: &mut all };
        for (row, cell) in pair.cells() {
            walk.cell(row, cell)?;
        }
    }
    Ok(all)
}

struct Walk<'a> {
    player: &'a Player,
    index: usize,
    placed: &'a Placed,
    reads: &'a [Interval],
    instrument: u8,
    all: &'a mut Readings,
}

impl Walk<'_> {
    fn cell(&mut self, row: &PairRow, cell: &Cell) -> Result<(), Refusal> {
        let Some(tree) = row.tree() else { return Ok(()) };
        let Some(source) = tree.bars.get(cell.source as usize) else { return Ok(()) };
        let range = source.items.start..source.items.end;
        if let Content::Entries { items, .. } = cell.content
            && items == cell.source
        {
            return self.items(row, tree, range, cell);
        }
        let timed = |i: &Item| i.what.is_entry() || i.what.is_bars();
        let before =
            source.items.of(&tree.items).iter().position(timed).map_or(range.end, |n| range.start + n as u32);
        if cell.first {
            self.items(row, tree, range.start..before, cell)?;
        }
        match cell.content {
            Content::Entries { items, .. } => {
                if let Some(bar) = tree.bars.get(items as usize) {
                    self.items(row, tree, bar.items.start..bar.items.end, cell)?;
                }
            }
            Content::Phrase { bar, .. } => {
                // The pitch of a phrase depends on nobody's hands, but a phrase may change what is in them.
                let phrases = std::sync::Arc::clone(&self.player.phrases);
                if let Some(phrase) = phrases.get(bar.phrase)
                    && let Some(tree) = phrase.tree()
                    && let Some(source) = tree.row.bars.get(bar.items as usize)
                {
                    for item in source.items.of(&tree.row.items) {
                        self.switch(&tree.row, &phrase.line.text, item);
                    }
                }
            }
            Content::Silence | Content::Held | Content::Improvised => {}
        }
        if cell.last {
            self.items(row, tree, (before + 1).min(range.end)..range.end, cell)?;
        }
        Ok(())
    }

    fn items(
        &mut self,
        row: &PairRow,
        tree: &Row,
        range: std::ops::Range<u32>,
        cell: &Cell,
    ) -> Result<(), Refusal> {
        for at in range {
            let Some(item) = tree.items.get(at as usize) else { continue };
            self.switch(tree, &row.text.text, item);
            let notes = matches!(
                item.what,
                What::Note(_) | What::Chord(_) | What::GraceNote(_) | What::GraceChord(_) | What::Hold
            );
            if !notes && !matches!(item.what, What::Play(_)) {
                continue;
            }
            let interval = self.reads.get(usize::from(self.instrument)).copied().unwrap_or(Interval::UNISON);
            let reading = Reading { interval, player: self.index, instrument: self.instrument };
            let known = self.all.entry((row.line, at)).or_insert(reading);
            if known.interval != interval {
                let bar = self.placed.frame.first_bar + i64::from(cell.bar);
                let why = if known.player == self.index {
                    format!(
                        "bar {bar} repeats notes for {} with another instrument in hand; write it out first",
                        self.player.id
                    )
                } else {
                    format!(
                        "in bar {bar} {} shares a row with somebody who reads the same note differently; give each transposition a row of its own first",
                        self.player.id
                    )
                };
                return Err(Refusal::new(why));
            }
        }
        Ok(())
    }

    fn switch(&mut self, tree: &Row, text: &str, item: &Item) {
        if let What::Instruction(Instruction::Switch(i)) = item.what
            && let Some(switch) = tree.switches.get(i as usize)
            && let Some(index) = self.player.instrument_called(switch.instrument.of(text), switch.read_in)
        {
            self.instrument = index;
        }
    }
}
