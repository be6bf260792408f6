//! What a block inherits from the blocks before it: bar numbers, meters in turn, key, tempo.

use super::block::Block;
use crate::music::{Fraction, Key};
use crate::notation::tree::{Meter, TempoMark};
use crate::notation::{Fault, FaultName};
use std::sync::Arc;

/// Where a block stands.
#[derive(Debug, Clone)]
pub struct Frame {
    /// Number of its first bar.
    pub first_bar: i64,
    pub bars: u32,
    /// Silent bars before it, which no block has.
    pub gap: u32,
    /// How long they last together, in the meters before this block, in whole notes.
    pub gap_length: Fraction,
    pub lengths: Arc<[Fraction]>,
    pub meters: Arc<[Meter]>,
    /// Which of the meters the first full bar takes.
    pub turn: u64,
    /// Concert key.
    pub key: Option<Key>,
    /// In force at its first bar.
    pub tempo: Option<TempoMark>,
}

/// Walks over the blocks in the order they are written.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    next_bar: i64,
    first: bool,
    meters: Arc<[Meter]>,
    turn: u64,
    key: Option<Key>,
    tempo: Option<TempoMark>,
}

impl Default for Walk {
    fn default() -> Self {
        let four_four = Meter { groups: [4].into(), beat: 4 };
        Walk { next_bar: 1, first: true, meters: [four_four].into(), turn: 0, key: None, tempo: None }
    }
}

impl Walk {
    /// The frame of the next block. `old` is its frame before the edit, whose lengths are kept if they
    /// come out the same. Faults are of the header line.
    pub fn step(&mut self, block: &Block, old: Option<&Frame>, faults: &mut Vec<Fault>) -> Frame {
        let first_bar = self.number(block, faults);
        let gap = if self.first { 0 } else { (first_bar - self.next_bar).clamp(0, 100_000) as u32 };
        let gap_length = self.silence(gap);
        if let Some(meters) = &block.meters {
            if **meters != *self.meters {
                self.meters = Arc::clone(meters);
            }
            self.turn = 0;
        }
        if let Some(key) = block.key {
            self.key = key;
        }
        if let Some(tempo) = block.tempo {
            self.tempo = Some(tempo);
        }
        let turn = self.turn;
        let lengths = self.lengths(block);
        let lengths = match old {
            Some(old) if *old.lengths == *lengths => Arc::clone(&old.lengths),
            _ => lengths.into(),
        };
        self.first = false;
        self.next_bar = first_bar + i64::from(block.bars);
        Frame {
            first_bar,
            bars: block.bars,
            gap,
            gap_length,
            lengths,
            meters: Arc::clone(&self.meters),
            turn,
            key: self.key,
            tempo: self.tempo,
        }
    }

    /// Passes over silent bars; a length that cannot be counted adds nothing.
    fn silence(&mut self, bars: u32) -> Fraction {
        let mut all = Fraction::ZERO;
        for _ in 0..bars {
            let length = self.next_length();
            all = all.plus(length).unwrap_or(all);
        }
        all
    }

    /// The meter whose turn it is, as a length.
    fn next_length(&mut self) -> Fraction {
        let count = self.meters.len().max(1) as u64;
        let meter = self.meters.get((self.turn % count) as usize);
        self.turn += 1;
        meter.and_then(Meter::length).unwrap_or(Fraction::ONE)
    }

    /// A block may leave another tempo than it began with.
    pub fn leave_tempo(&mut self, tempo: TempoMark) {
        self.tempo = Some(tempo);
    }

    fn number(&self, block: &Block, faults: &mut Vec<Fault>) -> i64 {
        let pickup = block.pickup.is_some();
        let Some((span, number)) = block.number else {
            return match (self.first, pickup) {
                (true, true) => 0,
                (true, false) => 1,
                _ => self.next_bar,
            };
        };
        let number = i64::from(number);
        if number == 0 && !pickup && (self.first || self.next_bar <= 0) {
            faults.push(
                Fault::new(
                    FaultName::BlockOrder,
                    span,
                    "Bar 0 is a pickup: say how long it lasts (`pickup q`), or begin with bar 1.",
                )
                .fixed_by("Begin with bar 1", span, "1"),
            );
        }
        if !self.first && number < self.next_bar {
            faults.push(
                Fault::new(
                    FaultName::BlockOrder,
                    span,
                    format!(
                        "The block before reaches to bar {}, so this one cannot begin at bar {number}; bar {} is free.",
                        self.next_bar - 1,
                        self.next_bar
                    ),
                )
                .fixed_by(
                    format!("Begin at bar {}", self.next_bar),
                    span,
                    self.next_bar.to_string(),
                ),
            );
            return self.next_bar;
        }
        number
    }

    fn lengths(&mut self, block: &Block) -> Vec<Fraction> {
        let n = block.bars as usize;
        let mut lengths = Vec::with_capacity(n);
        for i in 0..n {
            if i == 0
                && let Some(pickup) = block.pickup
            {
                lengths.push(pickup);
                continue;
            }
            let full = self.next_length();
            lengths.push(if i + 1 == n { block.close.unwrap_or(full) } else { full });
        }
        lengths
    }
}
