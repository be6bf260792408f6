//! What a block says about time: changes of speed and pauses, each at its place.

use super::{BREAK_SECONDS, FERMATA_SECONDS};
use crate::music::Fraction;
use crate::music::tempo::Tempo;
use crate::notation::tree::{Instruction, LineTree, Mark, TempoMark, What};
use crate::score::event::{Event, Reading, events};
use crate::score::read::BlockRead;
use crate::score::rhythm::Ruling;
use crate::score::score::Score;
use crate::score::state::{PlayedState, WrittenState};

/// What happens to the speed at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    To(Tempo),
    /// `[rit]` or `[accel]`.
    Bend,
    /// `[a-tempo]`.
    Back,
}

/// A change at its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChangeAt {
    /// Whole notes from the beginning of the block.
    pub at: f64,
    /// Bar of the block, from 0.
    pub bar: u32,
    pub change: Change,
}

/// A pause, after whatever ends at its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pause {
    /// Whole notes from the beginning of the block.
    pub at: f64,
    /// The same as a bar of the block, from 0, and whole notes from the beginning of that bar.
    pub bar: u32,
    pub after: Fraction,
    pub seconds: f64,
    /// A break, in which nobody sounds; else a fermata, which goes on sounding.
    pub silent: bool,
}

impl Pause {
    fn new(bars: &[f64], bar: u32, after: Fraction, seconds: f64, silent: bool) -> Option<Pause> {
        Some(Pause { at: bars.get(bar as usize)? + after.to_f64(), bar, after, seconds, silent })
    }
}

/// All of a block; made once for a block as it was read.
#[derive(Debug, PartialEq)]
pub struct Marks {
    /// Whole notes from the beginning of the block to each of its bars, and to its end.
    pub bars: Box<[f64]>,
    pub changes: Box<[ChangeAt]>,
    pub pauses: Box<[Pause]>,
}

impl Marks {
    /// Reads them.
    pub fn of(score: &Score, read: &BlockRead) -> Marks {
        let mut now = Fraction::ZERO;
        let mut bars = Vec::with_capacity(read.lengths.len() + 1);
        bars.push(0.0);
        for length in read.lengths.iter() {
            now = now.plus(*length).unwrap_or(now);
            bars.push(now.to_f64());
        }
        let changes = changes(read, &bars);
        let pauses = pauses(score, read, &bars);
        Marks { bars: bars.into(), changes: changes.into(), pauses: pauses.into() }
    }

    /// Whole notes from the beginning of the block to its end.
    pub fn end(&self) -> f64 {
        self.bars.last().copied().unwrap_or(0.0)
    }

    /// Whole notes from the beginning of the block to a place in it.
    pub fn place(&self, bar: u32, onset: Fraction) -> Option<f64> {
        Some(self.bars.get(bar as usize)? + onset.to_f64())
    }
}

fn tempo(mark: &TempoMark) -> Option<Tempo> {
    Tempo::new(mark.beat, mark.per_minute)
}

fn changes(read: &BlockRead, bars: &[f64]) -> Vec<ChangeAt> {
    let mut all = Vec::new();
    if let Some(tempo) = read.block.tempo.as_ref().and_then(tempo) {
        all.push(ChangeAt { at: 0.0, bar: 0, change: Change::To(tempo) });
    }
    for (row, rhythm) in read.block.rows.iter().zip(&read.rhythms) {
        let Some(rhythm) = rhythm else { continue };
        let Some(LineTree::Row(tree)) = read.block.text.lines.get(row.line as usize).map(|l| &l.tree) else {
            continue;
        };
        for thing in &rhythm.things {
            let Some(What::Instruction(instruction)) = tree.items.get(thing.item as usize).map(|i| i.what)
            else {
                continue;
            };
            let change = match instruction {
                Instruction::Tempo(i) => tree.tempos.get(i as usize).and_then(tempo).map(Change::To),
                Instruction::Rit | Instruction::Accel => Some(Change::Bend),
                Instruction::ATempo => Some(Change::Back),
                _ => None,
            };
            if let (Some(change), Some(bar)) = (change, bars.get(thing.bar as usize)) {
                all.push(ChangeAt { at: bar + thing.onset.to_f64(), bar: thing.bar, change });
            }
        }
    }
    all.sort_by(|a, b| a.at.total_cmp(&b.at));
    all
}

/// After notes with a fermata, and breaks for all; where both fall together, the longer. A fermata of a
/// rhythm row concerns everybody, whoever takes their figure from it.
fn pauses(score: &Score, read: &BlockRead, bars: &[f64]) -> Vec<Pause> {
    let mut all = Vec::new();
    for rhythm in read.rhythms.iter().flatten().filter(|r| r.places.iter().any(|p| p.fermata)) {
        for (bar, ruling) in (0..).zip(&rhythm.bars) {
            let Ruling::Places(slice) = ruling else { continue };
            let held = slice.of(&rhythm.places).iter().filter(|p| p.fermata);
            all.extend(held.filter_map(|place| {
                Pause::new(bars, bar, place.onset.plus(place.length)?, FERMATA_SECONDS, false)
            }));
        }
    }
    let mut scratch = Vec::new();
    for pair in &read.pairs {
        let holds = pair.rows.iter().any(|row| {
            let ruled = row.rhythm.as_ref().is_some_and(|r| r.places.iter().any(|p| p.fermata));
            let own = row.read.places.iter().any(|p| p.fermata);
            let marked = row.tree().is_some_and(|tree| {
                let marks = tree.items.iter().map(|i| i.marks).chain(tree.members.iter().map(|m| m.marks));
                let played = tree.items.iter().any(|i| matches!(i.what, What::Play(_)));
                played || marks.into_iter().any(|m| m.has(Mark::Fermata) || m.has(Mark::Break))
            });
            ruled || own || marked
        });
        let Some(player) = score.head.players.get(usize::from(pair.player)).filter(|_| holds) else {
            continue;
        };
        // Pitches are of no matter here, so neither are key and states.
        let reading = Reading { player, basis: score.head.basis, key: None, lengths: &read.lengths };
        scratch.clear();
        let (written, played) = (WrittenState::default(), PlayedState::default());
        events(pair, 0, written, played, &reading, &mut scratch, &mut Vec::new());
        all.extend(scratch.iter().filter_map(|event| pause(event, bars)));
    }
    all.sort_by(|a, b| a.at.total_cmp(&b.at).then(b.seconds.total_cmp(&a.seconds)));
    all.dedup_by(|a, b| (a.at - b.at).abs() < super::SAME_PLACE);
    all
}

fn pause(event: &Event, bars: &[f64]) -> Option<Pause> {
    let (seconds, silent) = if event.fermata {
        (FERMATA_SECONDS, false)
    } else if event.marks.has(Mark::Break) {
        (BREAK_SECONDS, true)
    } else {
        return None;
    };
    Pause::new(bars, event.bar, event.onset.plus(event.length)?, seconds, silent)
}
