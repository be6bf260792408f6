//! Where a line says what to play with: a mute, the hand, another instrument, a clef; and printed words that
//! say the same to whoever reads them.
//!
//! An event tells what is in force when it sounds. What is told here is where the text says so, which may be
//! long before: at the start of a rest, so that the hands have time.

use super::event::Origin;
use super::pair::{Pair, PairRow, bar_length, played_change};
use super::row::{Cell, Content, Places};
use super::state::{PlayedChange, PlayedState};
use crate::brass::mute_words::{MuteWords, mute_words};
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::{Instruction, Item, PlaceKind, Row, What};

/// What is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    Instruction(Instruction),
    /// Printed words about a mute, which change nothing by themselves.
    Mute(MuteWords),
    /// Printed words that announce a cue.
    Cue,
}

/// Something said, at its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    pub says: Says,
    /// Bar of the block, from 0.
    pub bar: u32,
    /// In the bar, in whole notes: the end of what stands before it. Events that begin there or later come after
    /// it.
    pub onset: Fraction,
    /// From the beginning of the visit; `None` without a tempo, and where nobody has counted.
    pub seconds: Option<f64>,
    /// Lines below the block's header.
    pub line: u32,
    /// The instruction or words with brackets or quotes, or the `play` that brings them.
    pub span: Span,
    pub origin: Origin,
    /// In force before and after.
    pub from: PlayedState,
    pub to: PlayedState,
}

impl Turn {
    /// True for an event that comes after it, told by its bar and onset.
    pub fn is_before(&self, bar: u32, onset: Fraction) -> bool {
        (self.bar, self.onset) <= (bar, onset)
    }
}

/// Adds what one player is told in a block, in the order of the bars; `arriving` is in force at its beginning.
pub fn turns(pair: &Pair, arriving: PlayedState, lengths: &[Fraction], out: &mut Vec<Turn>) {
    if !pair.says {
        return;
    }
    let mut listener = Listener { pair, lengths, now: arriving, out };
    for (row, cell) in pair.cells() {
        listener.cell(row, cell);
    }
}

struct Listener<'a> {
    pair: &'a Pair,
    lengths: &'a [Fraction],
    now: PlayedState,
    out: &'a mut Vec<Turn>,
}

/// Where things are read.
#[derive(Clone, Copy)]
struct Source<'a> {
    line: u32,
    tree: &'a Row,
    text: &'a str,
    bar: u32,
    origin: Origin,
    /// Instead of the thing's own span.
    at: Option<Span>,
}

impl Listener<'_> {
    fn cell(&mut self, row: &PairRow, cell: &Cell) {
        let Some(tree) = row.tree() else { return };
        let text = &row.text.text;
        let here = Source { line: row.line, tree, text, bar: cell.bar, origin: Origin::Here, at: None };
        let items_of = |bar: u32| tree.bars.get(bar as usize).map_or(&[][..], |b| b.items.of(&tree.items));
        let items = items_of(cell.source);
        let places = |places: Places| row.read.timed(places, row.rhythm.as_deref());
        if let Content::Entries { items: bar, places: at } = cell.content
            && bar == cell.source
        {
            self.entries(here, items, places(at));
            return;
        }
        let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
        if cell.first {
            items.iter().take(timed).for_each(|i| self.free(here, i, Fraction::ZERO));
        }
        match cell.content {
            Content::Entries { items: bar, places: at } => {
                self.entries(Source { origin: Origin::Again, ..here }, items_of(bar), places(at));
            }
            Content::Phrase { bar, .. } => {
                let phrase = self.pair.made_for.phrases.get(bar.phrase);
                if let Some(phrase) = phrase
                    && let Some(tree) = phrase.tree()
                    && let Some(source) = tree.row.bars.get(bar.items as usize)
                {
                    let from = Source {
                        tree: &tree.row,
                        text: &phrase.line.text,
                        origin: Origin::Phrase,
                        at: items.get(timed).map(|i| i.span),
                        ..here
                    };
                    let places = bar.places.of(&phrase.places);
                    self.entries(from, source.items.of(&tree.row.items), places);
                }
            }
            Content::Silence | Content::Improvised | Content::Held => {}
        }
        if cell.last {
            let end = bar_length(self.lengths, cell.bar);
            items.iter().skip(timed + 1).for_each(|i| self.free(here, i, end));
        }
    }

    fn entries(&mut self, here: Source<'_>, items: &[Item], places: &[super::figure::Timed]) {
        let mut places = places.iter().filter(|place| place.kind == PlaceKind::Entry);
        let mut now = Fraction::ZERO;
        for item in items {
            if item.what.is_entry() {
                let last = places.by_ref().take(usize::from(item.times.max(1))).last();
                now = last.and_then(|p| p.onset.plus(p.length)).unwrap_or(now);
            } else {
                self.free(here, item, now);
            }
        }
    }

    fn free(&mut self, here: Source<'_>, item: &Item, onset: Fraction) {
        let from = self.now;
        let says = match item.what {
            What::Instruction(instruction) => {
                self.now = self.change(here, instruction).unwrap_or_default().after(from);
                Says::Instruction(instruction)
            }
            What::Words => match item.span.of(here.text).trim_matches('"') {
                words
                    if words
                        .split_whitespace()
                        .any(|w| w.trim_end_matches(':').eq_ignore_ascii_case("cue")) =>
                {
                    Says::Cue
                }
                words => match mute_words(words) {
                    Some(words) => Says::Mute(words),
                    None => return,
                },
            },
            _ => return,
        };
        self.out.push(Turn {
            says,
            bar: here.bar,
            onset,
            seconds: None,
            line: here.line,
            span: here.at.unwrap_or(item.span),
            origin: here.origin,
            from,
            to: self.now,
        });
    }

    fn change(&self, here: Source<'_>, instruction: Instruction) -> Option<PlayedChange> {
        let Instruction::Switch(i) = instruction else { return played_change(instruction) };
        let switch = here.tree.switches.get(i as usize)?;
        let player = &self.pair.made_for;
        player.instrument_called(switch.instrument.of(here.text), switch.read_in).map(PlayedChange::switch)
    }
}
