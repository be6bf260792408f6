//! The time of one block, counted from its own beginning.

use super::SAME_PLACE;
use super::marks::{Change, Marks, Pause};
use super::speed::{Motion, Speed};
use crate::music::Fraction;
use crate::music::tempo::Tempo;
use crate::score::event::Event;
use std::sync::Arc;

/// A block's time. It knows nothing of where the block stands, so it stays while the block does.
#[derive(Debug, PartialEq)]
pub struct BlockClock {
    pub(super) marks: Arc<Marks>,
    pub(super) given: Given,
    pub(super) leaving: Speed,
    /// Seconds of the silent bars before it; `None` without a tempo.
    pub gap_seconds: Option<f64>,
    /// Seconds it lasts; `None` where a tempo is missing.
    pub seconds: Option<f64>,
    pieces: Box<[Piece]>,
}

/// All that a block's time depends on besides its marks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Given {
    /// At the end of the block before.
    pub arriving: Speed,
    /// Silent bars before the block, in whole notes.
    pub gap: f64,
    /// Where the block ends on the way to another speed: whole notes to there from its last change, and that
    /// speed.
    pub ahead: Option<(f64, Tempo)>,
}

/// A stretch of one motion.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    /// Whole notes from the beginning of the block.
    from: f64,
    /// Seconds there, as if silence without a tempo took none.
    seconds: f64,
    motion: Motion,
}

impl BlockClock {
    pub(super) fn new(marks: &Arc<Marks>, given: Given) -> BlockClock {
        let mut speed = given.arriving;
        let gap_seconds = if given.gap > 0.0 { speed.motion.seconds(given.gap) } else { Some(0.0) };
        speed.motion = speed.motion.after(given.gap);
        let mut pieces = vec![Piece { from: 0.0, seconds: 0.0, motion: speed.motion }];
        for (i, mark) in marks.changes.iter().enumerate() {
            let next = match marks.changes.get(i + 1) {
                Some(next) => speed.heading(next.change).map(|to| (next.at - mark.at, to)),
                None => given.ahead,
            };
            let passed = pieces.last().map_or(0.0, |last| mark.at - last.from);
            let seconds = pieces.last().map_or(0.0, |last| last.at(passed));
            speed.change(mark.change, next);
            pieces.push(Piece { from: mark.at, seconds, motion: speed.motion });
        }
        let last = pieces.last().map_or(0.0, |last| last.from);
        speed.motion = speed.motion.after(marks.end() - last);
        let mut clock = BlockClock {
            marks: Arc::clone(marks),
            given,
            leaving: speed,
            gap_seconds,
            seconds: None,
            pieces: pieces.into(),
        };
        clock.seconds = clock.between(0.0, marks.end());
        clock
    }

    /// Seconds between two places, in whole notes from the beginning of the block, with the pauses after the
    /// first up to the second; `None` where a tempo is missing.
    pub fn between(&self, from: f64, to: f64) -> Option<f64> {
        if to - from < SAME_PLACE {
            return Some(0.0);
        }
        let seconds = match &*self.pieces {
            [only] => only.motion.seconds(to)? - only.motion.seconds(from)?,
            pieces => {
                let first = pieces.partition_point(|p| p.from <= from + SAME_PLACE).checked_sub(1)?;
                let last = pieces.partition_point(|p| p.from < to - SAME_PLACE).checked_sub(1)?;
                let (a, b) = (pieces.get(first)?, pieces.get(last)?);
                if pieces.get(first..=last)?.iter().any(|p| !p.motion.moves()) {
                    return None;
                }
                b.at(to - b.from) - a.at(from - a.from)
            }
        };
        Some(seconds + self.paused(from, to, |_| true))
    }

    /// Seconds of the breaks at a place, in which nobody sounds.
    pub fn silence_at(&self, place: f64) -> f64 {
        self.paused(place - 2.0 * SAME_PLACE, place, |silent| silent)
    }

    fn paused(&self, from: f64, to: f64, counts: impl Fn(bool) -> bool) -> f64 {
        if self.marks.pauses.is_empty() {
            return 0.0;
        }
        let within = |at: f64| at > from + SAME_PLACE && at <= to + SAME_PLACE;
        let pauses = self.marks.pauses.iter().filter(|p| within(p.at) && counts(p.silent));
        pauses.map(|p| p.seconds).sum()
    }

    /// Whole notes from the beginning of the block to a place in it.
    pub fn place(&self, bar: u32, onset: Fraction) -> Option<f64> {
        self.marks.place(bar, onset)
    }

    /// Its pauses, in order.
    pub(super) fn pauses(&self) -> &[Pause] {
        &self.marks.pauses
    }

    /// Whole notes from the beginning of the block to its end.
    pub fn end(&self) -> f64 {
        self.marks.end()
    }

    /// Seconds that an event lasts, its pause included.
    pub fn length(&self, event: &Event) -> Option<f64> {
        let from = self.place(event.bar, event.onset)?;
        self.between(from, from + event.length.to_f64())
    }
}

impl Piece {
    fn at(&self, wholes: f64) -> f64 {
        self.seconds + self.motion.seconds(wholes).unwrap_or(0.0)
    }
}

/// The first change of a block, for a bend that leads there.
pub(super) fn first_change(marks: &Marks) -> Option<(f64, u32, Change)> {
    marks.changes.first().map(|c| (c.at, c.bar, c.change))
}
