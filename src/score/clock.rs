//! Seconds: where every bar and note of a score stands in time.
//!
//! In the order the score is written in, tempos are steps and, after `[rit]` or `[accel]`, straight
//! lines to the next tempo. Fermatas and breaks add their pauses. The order of play then puts the
//! blocks one after the other. Without a tempo there are no seconds.

use super::event::{Event, Reading, events};
use super::order::Visit;
use super::rhythm::Ruling;
use super::score::{Placed, Score};
use super::state::{PlayedState, WrittenState};
use crate::music::Fraction;
use crate::music::tempo::{Ramp, Tempo};
use crate::notation::tree::{Instruction, LineTree, Mark, TempoMark, What};

/// Seconds that a fermata adds to its note (estimate).
pub const FERMATA_SECONDS: f64 = 1.0;
/// Seconds of a break for all (estimate).
pub const BREAK_SECONDS: f64 = 0.5;
/// Bars after which a `[rit]` or `[accel]` no longer leads to the next tempo (estimate).
pub const LONGEST_RAMP: i64 = 16;

/// The time of a score.
#[derive(Debug, Clone, Default)]
pub struct Clock {
    blocks: Vec<BlockClock>,
    /// Seconds from the beginning at which each visit of the order begins.
    visits: Vec<Option<f64>>,
    /// Speeds in written order.
    stretches: Vec<Stretch>,
    /// Pauses in written order, each at the place after which it falls.
    pauses: Vec<(Fraction, f64)>,
}

/// Where a block stands in written order.
#[derive(Debug, Clone)]
struct BlockClock {
    /// Whole notes from the beginning to each of its bars, and to its end.
    bars: Vec<Fraction>,
    /// Seconds of the silent bars before it.
    gap: Option<f64>,
    seconds: Option<f64>,
}

/// A stretch of one speed or of one straight line.
#[derive(Debug, Clone)]
struct Stretch {
    from: Fraction,
    tempo: Option<Tempo>,
    ramp: Option<Ramp>,
    /// Seconds from the beginning of the score in written order, as if silence without a tempo took none.
    at: f64,
}

/// What happens to the speed at a place.
#[derive(Debug, Clone, Copy)]
enum Change {
    To(Tempo),
    /// `[rit]` or `[accel]`.
    Bend,
    /// `[a-tempo]`.
    Back,
}

impl Clock {
    /// Works out the time of a score.
    pub fn of(score: &Score) -> Clock {
        let mut clock = Clock::default();
        let mut now = Fraction::ZERO;
        let mut changes: Vec<(Fraction, i64, Change)> = Vec::new();
        for placed in &score.blocks {
            now = now.plus(placed.frame.gap_length).unwrap_or(now);
            let mut bars = vec![now];
            for length in placed.frame.lengths.iter() {
                now = now.plus(*length).unwrap_or(now);
                bars.push(now);
            }
            changes.extend(changes_in(placed, &bars));
            clock.pauses.extend(pauses_in(score, placed, &bars));
            clock.blocks.push(BlockClock { bars, gap: None, seconds: None });
        }
        // Where several pause at once, the longest pause counts.
        clock.pauses.sort_by(|(a, long), (b, longer)| a.cmp(b).then(longer.total_cmp(long)));
        clock.pauses.dedup_by_key(|(at, _)| *at);
        clock.lay(&changes);
        let mut ends: Vec<(Option<f64>, Option<f64>)> = Vec::new();
        let mut end = Fraction::ZERO;
        for block in &clock.blocks {
            let (Some(first), Some(last)) = (block.bars.first(), block.bars.last()) else { continue };
            ends.push((clock.between(end, *first), clock.between(*first, *last)));
            end = *last;
        }
        for (block, (gap, seconds)) in clock.blocks.iter_mut().zip(ends) {
            (block.gap, block.seconds) = (gap, seconds);
        }
        clock.play(&score.order.visits);
        clock
    }

    /// Lays the stretches of the score in written order.
    fn lay(&mut self, changes: &[(Fraction, i64, Change)]) {
        let mut stretches: Vec<Stretch> =
            vec![Stretch { from: Fraction::ZERO, tempo: None, ramp: None, at: 0.0 }];
        let mut steady: Option<Tempo> = None;
        for (i, (at, bar, change)) in changes.iter().enumerate() {
            let (tempo, ramp) = match change {
                Change::To(tempo) => {
                    steady = Some(*tempo);
                    (Some(*tempo), None)
                }
                Change::Back => (steady, None),
                Change::Bend => {
                    let next = changes.get(i + 1).and_then(|(end, end_bar, next)| {
                        let to = match next {
                            Change::To(tempo) => *tempo,
                            Change::Back => steady?,
                            Change::Bend => return None,
                        };
                        (end_bar - bar <= LONGEST_RAMP).then_some((end.minus(*at)?, to))
                    });
                    let ramp = next.and_then(|(length, to)| Ramp::new(steady?, to, length));
                    (steady, ramp)
                }
            };
            let seconds = stretches.last().map_or(0.0, |last| last.at + last.seconds(*at).unwrap_or(0.0));
            stretches.push(Stretch { from: *at, tempo, ramp, at: seconds });
        }
        self.stretches = stretches;
    }

    /// Seconds between two places of the written order; `None` where there is no tempo between them.
    fn between(&self, from: Fraction, to: Fraction) -> Option<f64> {
        if from == to {
            return Some(0.0);
        }
        let first = self.stretches.partition_point(|s| s.from <= from).checked_sub(1)?;
        let last = self.stretches.partition_point(|s| s.from < to).checked_sub(1)?;
        if self.stretches.get(first..=last)?.iter().any(|s| s.tempo.is_none()) {
            return None;
        }
        let seconds = |index: usize, at: Fraction| {
            let stretch = self.stretches.get(index)?;
            Some(stretch.at + stretch.seconds(at)?)
        };
        let pauses: f64 =
            self.pauses.iter().filter(|(at, _)| *at > from && *at <= to).map(|(_, pause)| pause).sum();
        Some(seconds(last, to)? - seconds(first, from)? + pauses)
    }

    fn play(&mut self, visits: &[Visit]) {
        let mut now = Some(0.0);
        for visit in visits {
            let Some(block) = self.blocks.get(visit.block as usize) else { continue };
            // Silent bars before a block are counted once, as it is first reached.
            if visit.pass == 1 {
                now = now.zip(block.gap).map(|(a, b)| a + b);
            }
            self.visits.push(now);
            now = now.zip(block.seconds).map(|(a, b)| a + b);
        }
        self.visits.push(now);
    }

    /// Seconds from the beginning of a block to a place in it.
    pub fn in_block(&self, block: usize, bar: u32, onset: Fraction) -> Option<f64> {
        let bars = &self.blocks.get(block)?.bars;
        let place = bars.get(bar as usize)?.plus(onset)?;
        self.between(*bars.first()?, place)
    }

    /// Seconds that an event lasts, its pause included.
    pub fn length(&self, block: usize, event: &Event) -> Option<f64> {
        let from = self.blocks.get(block)?.bars.get(event.bar as usize)?.plus(event.onset)?;
        self.between(from, from.plus(event.length)?)
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
        let Some(bars) = self.blocks.get(block).map(|b| &b.bars) else { return Vec::new() };
        let (Some(first), Some(last)) = (bars.first(), bars.last()) else { return Vec::new() };
        let from = self.pauses.partition_point(|(at, _)| at <= first);
        let here = self.pauses.iter().skip(from).take_while(|(at, _)| at <= last);
        let placed = here.filter_map(|(at, seconds)| {
            let bar = bars.partition_point(|start| start < at).checked_sub(1)?;
            Some((bar as u32, at.minus(*bars.get(bar)?)?, *seconds))
        });
        placed.collect()
    }

    /// Seconds of the whole score as played.
    pub fn whole(&self) -> Option<f64> {
        *self.visits.last()?
    }
}

impl Stretch {
    /// Seconds from its beginning to a place in it or at its end.
    fn seconds(&self, to: Fraction) -> Option<f64> {
        let length = to.minus(self.from)?;
        match &self.ramp {
            Some(ramp) => Some(ramp.seconds_to(length)),
            None => Some(self.tempo?.seconds(length)),
        }
    }
}

fn tempo(mark: &TempoMark) -> Option<Tempo> {
    Tempo::new(mark.beat, mark.per_minute)
}

/// Changes of speed in a block, in order, each with its place and its bar.
fn changes_in(placed: &Placed, bars: &[Fraction]) -> Vec<(Fraction, i64, Change)> {
    let mut all = Vec::new();
    let start = bars.first().copied().unwrap_or(Fraction::ZERO);
    if let Some(tempo) = placed.read.block.tempo.as_ref().and_then(tempo) {
        all.push((start, placed.frame.first_bar, Change::To(tempo)));
    }
    for (row, rhythm) in placed.read.block.rows.iter().zip(&placed.read.rhythms) {
        let Some(rhythm) = rhythm else { continue };
        let Some(LineTree::Row(tree)) = placed.read.block.text.lines.get(row.line as usize).map(|l| &l.tree)
        else {
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
            let place = bars.get(thing.bar as usize).and_then(|bar| bar.plus(thing.onset));
            if let (Some(change), Some(place)) = (change, place) {
                all.push((place, placed.frame.first_bar + i64::from(thing.bar), change));
            }
        }
    }
    all.sort_by_key(|(at, _, _)| *at);
    all
}

/// Pauses in a block: after notes with a fermata, and breaks for all. A fermata of a rhythm row concerns
/// everybody, whoever takes their figure from it.
fn pauses_in(score: &Score, placed: &Placed, bars: &[Fraction]) -> Vec<(Fraction, f64)> {
    let mut all = Vec::new();
    for rhythm in placed.read.rhythms.iter().flatten().filter(|r| r.places.iter().any(|p| p.fermata)) {
        for (bar, ruling) in bars.iter().zip(&rhythm.bars) {
            let Ruling::Places(slice) = ruling else { continue };
            let ends = slice.of(&rhythm.places).iter().filter(|p| p.fermata);
            all.extend(ends.filter_map(|p| Some((bar.plus(p.onset)?.plus(p.length)?, FERMATA_SECONDS))));
        }
    }
    let mut scratch = Vec::new();
    for pair in &placed.read.pairs {
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
        let reading = Reading {
            player,
            basis: score.head.basis,
            key: placed.frame.key,
            lengths: &placed.frame.lengths,
        };
        scratch.clear();
        let (written, played) = (WrittenState::default(), PlayedState::default());
        events(pair, 0, written, played, &reading, &mut scratch, &mut Vec::new());
        for event in &scratch {
            let pause = if event.fermata {
                FERMATA_SECONDS
            } else if event.marks.has(Mark::Break) {
                BREAK_SECONDS
            } else {
                continue;
            };
            let end = bars.get(event.bar as usize).and_then(|bar| bar.plus(event.onset)?.plus(event.length));
            all.extend(end.map(|end| (end, pause)));
        }
    }
    all
}
