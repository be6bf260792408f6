//! What one player does in one block: the rows that name them, bar by bar.

use super::player::Player;
use super::rhythm::RhythmRead;
use super::row::{Cell, Content, RowRead};
use super::state::PlayedChange;
use crate::music::Fraction;
use crate::notation::line::Line;
use crate::notation::tree::{Instruction, Item, LineTree, Mark, Row, What};
use crate::notation::{Fault, FaultName, Span};
use std::sync::Arc;

/// A row that names the player.
#[derive(Debug, Clone)]
pub struct PairRow {
    /// Lines below the block's header line.
    pub line: u32,
    /// Place of this player's first seat among the people of the row.
    pub first: u16,
    /// People of the row.
    pub people: u16,
    pub text: Arc<Line>,
    pub read: Arc<RowRead>,
    pub rhythm: Option<Arc<RhythmRead>>,
}

impl PairRow {
    /// The parsed row.
    pub fn tree(&self) -> Option<&Row> {
        match &self.text.tree {
            LineTree::Row(row) => Some(row),
            _ => None,
        }
    }

    /// True if it may hold an instruction, in its own bars or in a phrase.
    fn instructs(&self) -> bool {
        self.tree().is_some_and(|row| {
            row.items.iter().any(|i| matches!(i.what, What::Instruction(_) | What::Play(_)))
        })
    }

    /// True if it says anything about what is played with, or prints words.
    fn says(&self) -> bool {
        self.instructs() || self.tree().is_some_and(|row| row.items.iter().any(|i| i.what == What::Words))
    }

    /// True if it says the same in the same place.
    pub fn same(&self, other: &PairRow) -> bool {
        let rhythm = match (&self.rhythm, &other.rhythm) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        self.line == other.line
            && self.first == other.first
            && self.people == other.people
            && rhythm
            && Arc::ptr_eq(&self.read, &other.read)
            && Arc::ptr_eq(&self.text, &other.text)
    }
}

/// One player in one block.
#[derive(Debug, Clone)]
pub struct Pair {
    pub player: u16,
    pub made_for: Arc<Player>,
    pub rows: Vec<PairRow>,
    /// Row and cell in the order of the bars; empty when one row has them all in order.
    pub sequence: Vec<(u16, u32)>,
    /// Bars of the block.
    pub bars: u32,
    /// By line below the header.
    pub faults: Vec<(u32, Fault)>,
    pub played: PlayedChange,
    /// It may hold instructions or printed words: see [`turns`](super::turn::turns).
    pub says: bool,
}

impl Pair {
    /// Puts a player's rows together.
    pub fn new(player: &Arc<Player>, index: u16, rows: Vec<PairRow>, bars: u32) -> Pair {
        let mut pair = Pair {
            player: index,
            made_for: Arc::clone(player),
            rows,
            sequence: Vec::new(),
            bars,
            faults: Vec::new(),
            played: PlayedChange::default(),
            says: false,
        };
        pair.merge(player);
        pair.summarise(player);
        pair
    }

    /// The cells in the order of the bars, each with its row.
    pub fn cells(&self) -> Box<dyn Iterator<Item = (&PairRow, &Cell)> + '_> {
        match self.rows.as_slice() {
            [only] => Box::new(only.read.cells.iter().map(move |cell| (only, cell))),
            _ => Box::new(self.sequence.iter().filter_map(|(row, cell)| {
                let row = self.rows.get(usize::from(*row))?;
                Some((row, row.read.cells.get(*cell as usize)?))
            })),
        }
    }

    fn merge(&mut self, player: &Player) {
        if self.rows.len() < 2 {
            return;
        }
        let mut all: Vec<(u32, u16, u32)> = Vec::new();
        for (r, row) in self.rows.iter().enumerate().take(usize::from(u16::MAX)) {
            for (c, cell) in row.read.cells.iter().enumerate() {
                all.push((cell.bar, r as u16, c as u32));
            }
        }
        all.sort_unstable();
        let mut last: Option<u32> = None;
        let mut told = vec![false; self.rows.len()];
        for (bar, row, cell) in all {
            if last == Some(bar) {
                if let Some(told) = told.get_mut(usize::from(row)).filter(|told| !**told) {
                    *told = true;
                    self.twice(player, row, cell);
                }
                continue;
            }
            last = Some(bar);
            self.sequence.push((row, cell));
        }
    }

    fn twice(&mut self, player: &Player, row: u16, cell: u32) {
        let Some(row) = self.rows.get(usize::from(row)) else { return };
        let span = row
            .read
            .cells
            .get(cell as usize)
            .and_then(|c| row.tree()?.bars.get(c.source as usize))
            .map_or(Span::default(), |b| b.span);
        self.faults.push((
            row.line,
            Fault::new(
                FaultName::TwoAtOnce,
                trimmed(span, &row.text.text),
                format!(
                    "{} already has this bar in a row above: a player does one thing at a time. Leave one of the two blank.",
                    player.id
                ),
            ),
        ));
    }

    /// Works out what the block does to mutes and instruments, whatever came before.
    fn summarise(&mut self, player: &Player) {
        let mut played = PlayedChange::default();
        let mut faults = Vec::new();
        if self.rows.iter().any(PairRow::instructs) {
            for (row, cell) in self.cells() {
                Summary { player, row, played: &mut played, faults: &mut faults }.cell(cell);
            }
        }
        self.played = played;
        self.says = self.rows.iter().any(PairRow::says);
        self.faults.append(&mut faults);
    }
}

/// A bar's span without the blanks at its ends.
pub fn trimmed(span: Span, text: &str) -> Span {
    let inside = span.of(text);
    let start = span.start + (inside.len() - inside.trim_start().len()) as u32;
    let end = span.end - (inside.len() - inside.trim_end().len()) as u32;
    if start < end { Span::new(start, end) } else { span }
}

struct Summary<'a> {
    player: &'a Player,
    row: &'a PairRow,
    played: &'a mut PlayedChange,
    faults: &'a mut Vec<(u32, Fault)>,
}

/// Where an instruction stands: in the row, or in a phrase that it plays.
#[derive(Clone, Copy)]
struct Place<'a> {
    row: &'a Row,
    /// The line that the row was read from.
    text: &'a str,
    /// The `play` that brings it.
    at: Option<Span>,
}

impl Summary<'_> {
    fn cell(&mut self, cell: &Cell) {
        let Some(row) = self.row.tree() else { return };
        let here = Place { row, text: &self.row.text.text, at: None };
        let bar_items = |bar: u32| row.bars.get(bar as usize).map_or(&[][..], |b| b.items.of(&row.items));
        let items = bar_items(cell.source);
        let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
        if cell.first {
            items.iter().take(timed).for_each(|i| self.free(i, here));
        }
        match cell.content {
            Content::Entries { items: bar, .. } if bar == cell.source => {
                items.iter().skip(timed).for_each(|i| self.free(i, here));
                return;
            }
            Content::Entries { items: bar, .. } => bar_items(bar).iter().for_each(|i| self.free(i, here)),
            Content::Phrase { bar, .. } => {
                if let Some(phrase) = self.player.phrases.get(bar.phrase)
                    && let Some(tree) = phrase.tree()
                    && let Some(source) = tree.row.bars.get(bar.items as usize)
                {
                    let at = items.get(timed).map(|i| i.span);
                    let there = Place { row: &tree.row, text: &phrase.line.text, at };
                    source.items.of(&tree.row.items).iter().for_each(|i| self.free(i, there));
                }
            }
            Content::Silence | Content::Improvised | Content::Held => {}
        }
        if cell.last {
            items.iter().skip(timed + 1).for_each(|i| self.free(i, here));
        }
    }

    fn free(&mut self, item: &Item, place: Place<'_>) {
        if let What::Instruction(instruction) = item.what {
            self.instruction(instruction, item, place);
        }
    }

    fn instruction(&mut self, instruction: Instruction, item: &Item, place: Place<'_>) {
        match instruction {
            Instruction::Solo | Instruction::Tutti => {
                if self.player.seats < 2 {
                    self.faults.push((
                        self.row.line,
                        Fault::new(
                            FaultName::Unreadable,
                            place.at.unwrap_or(item.span),
                            format!(
                                "{} is one person; `[solo]` and `[tutti]` are for a part that several read (`seats 3` on the player's line).",
                                self.player.id
                            ),
                        ),
                    ));
                }
            }
            Instruction::Switch(i) => {
                let Some(switch) = place.row.switches.get(i as usize) else { return };
                let text = switch.instrument.of(place.text);
                let span = place.at.unwrap_or(switch.instrument);
                let called = self.player.instruments_called(text, switch.read_in);
                if let Some(index) = called.first() {
                    *self.played = self.played.then(PlayedChange::switch(*index));
                }
                let fault = match called.as_slice() {
                    [_] => return,
                    [] => self.no_such_instrument(span, text),
                    several => self.which_instrument(span, text, several),
                };
                self.faults.push((self.row.line, fault));
            }
            other => {
                if let Some(change) = played_change(other) {
                    *self.played = self.played.then(change);
                }
            }
        }
    }

    fn which_instrument(&self, span: Span, text: &str, several: &[u8]) -> Fault {
        let has: Vec<&str> =
            several.iter().filter_map(|i| self.player.instrument(*i)).map(|i| i.label.as_str()).collect();
        let fault = Fault::new(
            FaultName::UnknownInstrument,
            span,
            format!(
                "{} has more than one {text}: {}. Say which: `[switch {}]`.",
                self.player.id,
                has.join(", "),
                has.first().copied().unwrap_or(text)
            ),
        );
        match has.first() {
            Some(first) => fault.fixed_by(format!("Switch to the {first}"), span, *first),
            None => fault,
        }
    }

    fn no_such_instrument(&self, span: Span, text: &str) -> Fault {
        let has: Vec<&str> = self.player.instruments.iter().map(|i| i.label.as_str()).collect();
        Fault::new(
            FaultName::UnknownInstrument,
            span,
            format!(
                "{} does not have a {text} to switch to, only: {}. Add `, doubles {text}` to the player's line.",
                self.player.id,
                has.join(", ")
            ),
        )
    }
}

/// What an instruction does to the played state, `[switch]` aside.
pub fn played_change(instruction: Instruction) -> Option<PlayedChange> {
    Some(match instruction {
        Instruction::Mute(mute) => PlayedChange::mute(mute),
        Instruction::Open => PlayedChange::open(),
        Instruction::Plain => PlayedChange::plain(),
        Instruction::Stopped => PlayedChange { stopped: Some(true), ..PlayedChange::default() },
        Instruction::Hand => PlayedChange { hand: Some(true), ..PlayedChange::default() },
        Instruction::Flutter => PlayedChange { flutter: Some(true), ..PlayedChange::default() },
        _ => return None,
    })
}

/// True for a mark that belongs to the last copy of a repeated entry only.
pub fn last_copy_only(mark: Mark) -> bool {
    matches!(mark, Mark::Slur | Mark::Breath | Mark::Break)
}

/// Length of the block's bar, nothing beyond its end.
pub fn bar_length(lengths: &[Fraction], bar: u32) -> Fraction {
    lengths.get(bar as usize).copied().unwrap_or(Fraction::ZERO)
}
