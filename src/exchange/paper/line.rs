//! What one player has in each bar: slots of time that the figure makes, and free things between them.

use super::bars::{SheetBar, unquoted};
use super::figure::{Written, written};
use crate::exchange::part::ruled;
use crate::music::{Dynamic, Fraction};
use crate::notation::tree::{FigureNode, Instruction, Item, LineTree, PlaceKind, Row, What};
use crate::rules::Desk;
use crate::score::block::Block;
use crate::score::event::{Event, EventKind};
use crate::score::figure::{MOST_PLACES, Timed};
use crate::score::pair::PairRow;
use crate::score::phrase::PhraseKind;
use crate::score::player::Player;
use crate::score::row::{Cell, Content};
use std::collections::HashMap;

/// A player's bars, one for each bar of the sheet.
pub type Line = Vec<LineBar>;

/// A bar of a player. Slots follow each other in time; where there is none, nothing is written.
#[derive(Debug, Clone, Default)]
pub struct LineBar {
    pub slots: Vec<Slot>,
    /// In order.
    pub free: Vec<FreeAt>,
    /// Said behind the last entry: it takes effect with the next bar.
    late: Vec<Free>,
}

/// A stretch of a bar that a place of the figure makes.
#[derive(Debug, Clone)]
pub struct Slot {
    pub onset: Fraction,
    pub length: Fraction,
    /// By seat: a note, a hold, a rest, or improvisation.
    pub seats: Vec<Event>,
    /// By seat: what comes before its note and takes no time.
    pub graces: Vec<Vec<Event>>,
    /// How the figure writes it.
    pub written: Option<Written>,
}

/// A free thing and where it takes effect.
#[derive(Debug, Clone, PartialEq)]
pub struct FreeAt {
    pub onset: Fraction,
    pub what: Free,
}

/// Which.
#[derive(Debug, Clone, PartialEq)]
pub enum Free {
    Dynamic(Dynamic),
    Crescendo,
    Diminuendo,
    Words(String),
    Instruction(Instruction),
    /// To this instrument of the player.
    Switch(u8),
}

/// The bars of a player, by index into the score's players.
pub fn line(desk: &Desk, sheet: &[SheetBar], player: usize) -> Line {
    let mut all: Line = vec![LineBar::default(); sheet.len()];
    let score = desk.score();
    let Some(of) = score.head.players.get(player) else { return all };
    let mut at = 0;
    for (block, placed) in score.blocks.iter().enumerate() {
        at += placed.frame.gap as usize;
        let bars = placed.frame.lengths.len();
        let checked = desk.report().tracks.get(player).and_then(|t| t.blocks.get(block)?.as_ref());
        if let (Some(checked), Some(own)) = (checked, all.get_mut(at..at + bars)) {
            let seats: Vec<Vec<Event>> = (0..of.seats.max(1))
                .map(|seat| desk.report().events_of_seat(score, block, player, seat))
                .collect();
            slots(&seats, own, &placed.read.lengths);
            let mut reader =
                Reader { player: of, block: &placed.read.block, sources: HashMap::new(), bars: own };
            for (row, cell) in checked.pair.cells() {
                reader.cell(row, cell);
            }
        }
        at += bars;
    }
    late_things(&mut all);
    all
}

/// Puts the seats' events side by side: they have the same places.
fn slots(seats: &[Vec<Event>], bars: &mut [LineBar], lengths: &[Fraction]) {
    let Some(first) = seats.first() else { return };
    for event in first.iter().filter(|e| e.kind != EventKind::Grace && !e.length.is_zero()) {
        let (Some(bar), Some(length)) = (bars.get_mut(event.bar as usize), lengths.get(event.bar as usize))
        else {
            continue;
        };
        // What a fault made too long ends with the bar, what it put elsewhere is left out.
        let end = bar.slots.last().and_then(|s| s.onset.plus(s.length)).unwrap_or_default();
        let fits = event.onset >= end && event.onset < *length;
        let room = length.minus(event.onset).unwrap_or_default();
        if fits {
            let graces = vec![Vec::new(); seats.len()];
            let length = event.length.min(room);
            bar.slots.push(Slot { onset: event.onset, length, seats: Vec::new(), graces, written: None });
        }
    }
    for (seat, events) in seats.iter().enumerate() {
        let mut graces = Vec::new();
        for event in events {
            if event.kind == EventKind::Grace {
                graces.push(*event);
                continue;
            }
            let before = std::mem::take(&mut graces);
            let Some(bar) = bars.get_mut(event.bar as usize) else { continue };
            let at = bar.slots.partition_point(|s| s.onset < event.onset);
            let Some(slot) = bar.slots.get_mut(at).filter(|s| s.onset == event.onset) else { continue };
            if slot.seats.len() != seat || event.length.is_zero() {
                continue;
            }
            slot.seats.push(*event);
            // A grace leads to a note.
            if let Some(own) = slot.graces.get_mut(seat).filter(|_| event.kind == EventKind::Note) {
                *own = before;
            }
        }
    }
}

struct Reader<'a> {
    player: &'a Player,
    block: &'a Block,
    /// By rhythm row: which of its bars stands over each bar of the block.
    sources: HashMap<u32, Vec<(usize, bool)>>,
    bars: &'a mut [LineBar],
}

/// Where items stand.
#[derive(Clone, Copy)]
struct Source<'a> {
    tree: &'a Row,
    text: &'a str,
    bar: u32,
}

impl Reader<'_> {
    fn cell(&mut self, row: &PairRow, cell: &Cell) {
        let Some(tree) = row.tree() else { return };
        let here = Source { tree, text: &row.text.text, bar: cell.bar };
        let Some(source) = tree.bars.get(cell.source as usize) else { return };
        let items = source.items.of(&tree.items);
        if let Content::Entries { items: at, places } = cell.content
            && at == cell.source
        {
            let timed = row.read.timed(places, row.rhythm.as_deref());
            self.entries(here, items, timed);
            self.figure(row, at, cell.bar, timed);
            return;
        }
        let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
        if cell.first {
            items.iter().take(timed).for_each(|i| self.free(here, i, Some(Fraction::ZERO)));
        }
        match cell.content {
            Content::Entries { items: at, places } => {
                if let Some(bar) = tree.bars.get(at as usize) {
                    let timed = row.read.timed(places, row.rhythm.as_deref());
                    self.entries(here, bar.items.of(&tree.items), timed);
                    self.figure(row, at, cell.bar, timed);
                }
            }
            Content::Phrase { bar, .. } if bar.kind == PhraseKind::Entries => {
                let phrases = std::sync::Arc::clone(&self.player.phrases);
                if let Some(phrase) = phrases.get(bar.phrase)
                    && let Some(of) = phrase.tree()
                    && let Some(source) = of.row.bars.get(bar.items as usize)
                {
                    let there = Source { tree: &of.row, text: &phrase.line.text, bar: cell.bar };
                    let timed = bar.places.of(&phrase.places);
                    self.entries(there, source.items.of(&of.row.items), timed);
                    self.put(source.nodes.of(&of.row.nodes), cell.bar, timed);
                }
            }
            _ => {}
        }
        if cell.last {
            // Behind the bar: it counts from the next note.
            items.iter().skip(timed + 1).for_each(|i| self.free(here, i, None));
        }
    }

    /// Free things of a list stand before the place of the next entry.
    fn entries(&mut self, here: Source<'_>, items: &[Item], places: &[Timed]) {
        let mut entries = places.iter().filter(|p| p.kind == PlaceKind::Entry).peekable();
        for item in items {
            if item.what.is_entry() {
                (0..item.times.max(1)).for_each(|_| {
                    entries.next();
                });
            } else {
                let onset = entries.peek().map(|p| p.onset);
                self.free(here, item, onset);
            }
        }
    }

    fn free(&mut self, here: Source<'_>, item: &Item, onset: Option<Fraction>) {
        let what = match item.what {
            What::Dynamic(dynamic) => Free::Dynamic(dynamic),
            What::Crescendo => Free::Crescendo,
            What::Diminuendo => Free::Diminuendo,
            What::Words => Free::Words(unquoted(item.span.of(here.text))),
            What::Instruction(Instruction::Switch(i)) => {
                let called = here.tree.switches.get(i as usize).and_then(|switch| {
                    self.player.instrument_called(switch.instrument.of(here.text), switch.read_in)
                });
                let Some(index) = called else { return };
                Free::Switch(index)
            }
            What::Instruction(Instruction::Solo | Instruction::Tutti) if self.player.seats < 2 => return,
            What::Instruction(instruction) => Free::Instruction(instruction),
            _ => return,
        };
        if let Some(bar) = self.bars.get_mut(here.bar as usize) {
            match onset {
                Some(onset) => bar.free.push(FreeAt { onset, what }),
                None => bar.late.push(what),
            }
        }
    }

    /// The figure of a bar of a row: its own, or the rhythm row's.
    fn figure(&mut self, row: &PairRow, at: u32, bar: u32, timed: &[Timed]) {
        let Some(tree) = row.tree() else { return };
        let Some(source) = tree.bars.get(at as usize) else { return };
        if source.has_figure {
            self.put(source.nodes.of(&tree.nodes), bar, timed);
            return;
        }
        let rows = &self.block.rows;
        let ruled = rows.binary_search_by_key(&row.line, |r| r.line).ok().and_then(|i| rows.get(i));
        let Some(ruler) = ruled.and_then(|r| r.ruled_by) else { return };
        let cells = &row.read.cells;
        let over = cells.get(cells.partition_point(|c| c.source < at)).filter(|c| c.source == at);
        let line = rows.get(ruler as usize).and_then(|r| self.block.text.lines.get(r.line as usize));
        let (Some(over), Some(line)) = (over, line) else { return };
        let LineTree::Row(rhythm) = &line.tree else { return };
        let bars = self.bars.len();
        let sources = self.sources.entry(ruler).or_insert_with(|| ruled::sources(rhythm, bars));
        let source = sources.get(over.bar as usize).and_then(|(source, _)| rhythm.bars.get(*source));
        if let Some(source) = source {
            self.put(source.nodes.of(&rhythm.nodes), bar, timed);
        }
    }

    fn put(&mut self, nodes: &[FigureNode], bar: u32, timed: &[Timed]) {
        let Some(all) = written(nodes, MOST_PLACES).filter(|all| all.len() == timed.len()) else { return };
        let Some(bar) = self.bars.get_mut(bar as usize) else { return };
        let slot_of = |place: &Timed| {
            let at = bar.slots.partition_point(|s| s.onset < place.onset);
            bar.slots.get(at).filter(|s| s.onset == place.onset && s.length == place.length).map(|_| at)
        };
        // A tuplet of which a fault took something away is none.
        let places: Option<Vec<usize>> = timed.iter().map(slot_of).collect();
        for (at, written) in places.unwrap_or_default().into_iter().zip(all) {
            if let Some(slot) = bar.slots.get_mut(at) {
                slot.written = Some(written);
            }
        }
    }
}

/// What stands at the end of a bar takes effect with the next.
fn late_things(line: &mut Line) {
    let mut late: Vec<Free> = Vec::new();
    for bar in line.iter_mut() {
        let before = late.into_iter().map(|what| FreeAt { onset: Fraction::ZERO, what });
        bar.free.splice(0..0, before);
        late = std::mem::take(&mut bar.late);
    }
}
