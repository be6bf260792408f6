//! Seconds: where every bar and note of a score stands in time.
//!
//! In the order the score is written in, tempos are steps and, after `[rit]` or `[accel]`, straight
//! lines to the next tempo. Fermatas and breaks add their pauses. The order of play then puts the
//! blocks one after the other. Without a tempo there are no seconds.
//!
//! Each block has a clock of its own that begins at 0, and it is taken over while the block, the speed it is
//! reached with and the speed it leads to stay the same.

mod block;
mod marks;
mod speed;

pub use block::BlockClock;

use super::event::Event;
use super::order::Visit;
use super::score::Score;
use crate::music::Fraction;
use crate::music::tempo::Tempo;
use block::Given;
use marks::{Change, Marks};
use speed::Speed;
use std::sync::Arc;

/// Seconds that a fermata adds to its note (estimate).
pub const FERMATA_SECONDS: f64 = 1.0;
/// Seconds of a break for all (estimate).
pub const BREAK_SECONDS: f64 = 0.5;
/// Bars after which a `[rit]` or `[accel]` no longer leads to the next tempo (estimate).
pub const LONGEST_RAMP: i64 = 16;

/// Whole notes by which two places may differ and be one: far below the shortest value, far above what
/// rounding loses.
const SAME_PLACE: f64 = 1e-9;

/// The time of a score.
#[derive(Debug, Clone, Default)]
pub struct Clock {
    blocks: Vec<Arc<BlockClock>>,
    /// Seconds from the beginning at which each visit of the order begins.
    visits: Vec<Option<f64>>,
}

impl Clock {
    /// Works out the time of a score.
    pub fn of(score: &Score) -> Clock {
        Clock::after(score, None)
    }

    /// The same after an edit; `before` is the time of the score that was edited.
    pub fn after(score: &Score, before: Option<(&Clock, &Score)>) -> Clock {
        let old = |index: usize| {
            let (clock, score_before) = before?;
            let from = score.blocks.get(index)?.came_from? as usize;
            Some((clock.blocks.get(from)?, score_before.blocks.get(from)?))
        };
        let mut all: Vec<Arc<Marks>> = Vec::with_capacity(score.blocks.len());
        for (i, placed) in score.blocks.iter().enumerate() {
            all.push(match old(i) {
                Some((clock, then)) if Arc::ptr_eq(&then.read, &placed.read) => Arc::clone(&clock.marks),
                old => {
                    // Other notes in the same time: nobody else need hear of it.
                    let marks = Marks::of(score, &placed.read);
                    let same = old.map(|(clock, _)| &clock.marks).filter(|old| ***old == marks);
                    same.map_or_else(|| Arc::new(marks), Arc::clone)
                }
            });
        }
        let mut clock = Clock { blocks: Vec::with_capacity(all.len()), visits: Vec::new() };
        let mut arriving = Speed::default();
        for (i, (placed, marks)) in score.blocks.iter().zip(&all).enumerate() {
            let given = Given {
                arriving,
                gap: placed.frame.gap_length.to_f64(),
                ahead: ahead(score, &all, i, arriving),
            };
            let block = match old(i) {
                Some((old, _)) if Arc::ptr_eq(&old.marks, marks) && old.given == given => Arc::clone(old),
                _ => Arc::new(BlockClock::new(marks, given)),
            };
            arriving = block.leaving;
            clock.blocks.push(block);
        }
        clock.play(&score.order.visits);
        clock
    }

    /// True if every block has the time it had; blocks are compared in their places.
    pub fn same(&self, other: &Clock) -> bool {
        self.blocks.len() == other.blocks.len()
            && self.blocks.iter().zip(&other.blocks).all(|(a, b)| Arc::ptr_eq(a, b))
    }

    fn play(&mut self, visits: &[Visit]) {
        let mut now = Some(0.0);
        self.visits.reserve(visits.len() + 1);
        for visit in visits {
            let Some(block) = self.blocks.get(visit.block as usize) else { continue };
            // Silent bars before a block are counted once, as it is first reached.
            if visit.pass == 1 {
                now = now.zip(block.gap_seconds).map(|(a, b)| a + b);
            }
            self.visits.push(now);
            now = now.zip(block.seconds).map(|(a, b)| a + b);
        }
        self.visits.push(now);
    }

    /// The time of one block.
    pub fn of_block(&self, block: usize) -> Option<&Arc<BlockClock>> {
        self.blocks.get(block)
    }

    /// Seconds from the beginning of a block to a place in it.
    pub fn in_block(&self, block: usize, bar: u32, onset: Fraction) -> Option<f64> {
        let block = self.blocks.get(block)?;
        block.between(0.0, block.place(bar, onset)?)
    }

    /// Seconds that an event lasts, its pause included.
    pub fn length(&self, block: usize, event: &Event) -> Option<f64> {
        self.blocks.get(block)?.length(event)
    }

    /// Seconds that a block lasts.
    pub fn block(&self, block: usize) -> Option<f64> {
        self.blocks.get(block)?.seconds
    }

    /// Seconds from the beginning at which the n-th visit of the order of play begins.
    pub fn visit(&self, visit: usize) -> Option<f64> {
        *self.visits.get(visit)?
    }

    /// The pauses of a block: its bar, the place in it after which the pause falls, and seconds.
    pub fn pauses(&self, block: usize) -> Vec<(u32, Fraction, f64)> {
        let all = self.blocks.get(block).map(|block| block.pauses()).unwrap_or_default();
        all.iter().map(|pause| (pause.bar, pause.after, pause.seconds)).collect()
    }

    /// Seconds of the whole score as played.
    pub fn whole(&self) -> Option<f64> {
        *self.visits.last()?
    }
}

/// Where a bend that ends a block leads: whole notes from it to the next change, and the speed there. `None`
/// if the block ends steady, the change is too far off, or it is another bend.
fn ahead(score: &Score, all: &[Arc<Marks>], index: usize, arriving: Speed) -> Option<(f64, Tempo)> {
    let marks = all.get(index)?;
    let bend = marks.changes.last().filter(|c| c.change == Change::Bend)?;
    let bar_of = |block: usize, bar: u32| Some(score.blocks.get(block)?.frame.first_bar + i64::from(bar));
    let from = bar_of(index, bend.bar)?;
    let mut wholes = marks.end() - bend.at;
    for (i, next) in all.iter().enumerate().skip(index + 1) {
        let frame = &score.blocks.get(i)?.frame;
        if frame.first_bar - from > LONGEST_RAMP {
            return None;
        }
        wholes += frame.gap_length.to_f64();
        if let Some((at, bar, change)) = block::first_change(next) {
            let steady = marks.changes.iter().rev().find_map(|c| match c.change {
                Change::To(tempo) => Some(tempo),
                _ => None,
            });
            let to = Speed { steady: steady.or(arriving.steady), ..arriving }.heading(change)?;
            return (bar_of(i, bar)? - from <= LONGEST_RAMP).then_some((wholes + at, to));
        }
        wholes += next.end();
    }
    None
}
