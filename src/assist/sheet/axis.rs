//! Along which a score is drawn: seconds as it is played, or bars where no tempo tells the seconds.

use crate::music::Fraction;
use crate::rules::Desk;

/// What is counted along the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    Seconds,
    /// Bars in the order of playing, for a score whose time is not known from end to end.
    Bars,
}

/// A block as it comes round.
#[derive(Debug, Clone, Copy)]
struct Stop {
    block: usize,
    /// Silent bars before it that are played with it, and where on the axis they begin.
    gap: u32,
    gap_from: f64,
    /// Where on the axis its own first bar begins.
    from: f64,
    bars: u32,
    /// Bars played before it, the silent ones before it not among them.
    played_before: u64,
}

impl Stop {
    fn bars_in_all(&self) -> u64 {
        u64::from(self.gap) + u64::from(self.bars)
    }
}

/// A rehearsal mark as it comes by.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisMark {
    /// In units of the axis.
    pub at: f64,
    pub name: String,
    /// Number of its bar.
    pub bar: i64,
}

/// A played score from left to right.
#[derive(Debug, Clone)]
pub struct Axis {
    pub unit: Unit,
    /// In that unit.
    pub length: f64,
    /// Bars as played, repeats counted each time.
    pub played_bars: u64,
    /// One for each visit of the order of play.
    stops: Vec<Stop>,
    /// By block of the score: the first of its visits.
    first_visits: Vec<Option<usize>>,
}

impl Axis {
    /// That of a score.
    pub fn of(desk: &Desk) -> Axis {
        let (score, clock) = (desk.score(), &desk.report().clock);
        let whole = clock.whole().filter(|seconds| *seconds > 0.0);
        let unit = if whole.is_some() { Unit::Seconds } else { Unit::Bars };
        let mut stops = Vec::with_capacity(score.order.visits.len());
        let mut first_visits = vec![None; score.blocks.len()];
        let mut played: u64 = 0;
        for (number, visit) in score.order.visits.iter().enumerate() {
            let block = visit.block as usize;
            let Some(placed) = score.blocks.get(block) else { continue };
            let gap = if visit.pass == 1 { placed.frame.gap } else { 0 };
            let begins = played + u64::from(gap);
            let (gap_from, from) = match unit {
                Unit::Seconds => {
                    let from = clock.visit(number).unwrap_or(0.0);
                    let silent = clock.of_block(block).and_then(|b| b.gap_seconds).filter(|_| gap > 0);
                    (from - silent.unwrap_or(0.0), from)
                }
                Unit::Bars => (played as f64, begins as f64),
            };
            if let Some(first) = first_visits.get_mut(block) {
                first.get_or_insert(stops.len());
            }
            let bars = placed.frame.bars;
            stops.push(Stop { block, gap, gap_from, from, bars, played_before: played });
            played = begins + u64::from(bars);
        }
        Axis { unit, length: whole.unwrap_or(played as f64), played_bars: played, stops, first_visits }
    }

    /// Where silent bars before a visit, or else the visit, begin.
    pub fn visit_with_gap(&self, visit: usize) -> f64 {
        self.stops.get(visit).map_or(self.length, |stop| stop.gap_from)
    }

    /// Bars played before a bar of a visit.
    pub fn played_before(&self, visit: usize, bar: u32) -> u64 {
        self.stops
            .get(visit)
            .map_or(self.played_bars, |stop| stop.played_before + u64::from(stop.gap) + u64::from(bar))
    }

    /// Where a place of a visit lies.
    pub fn at(&self, desk: &Desk, visit: usize, bar: u32, onset: Fraction) -> f64 {
        let Some(stop) = self.stops.get(visit) else { return self.length };
        stop.from
            + match self.unit {
                Unit::Seconds => desk.report().clock.in_block(stop.block, bar, onset).unwrap_or(0.0),
                Unit::Bars => {
                    let frame = desk.score().blocks.get(stop.block).map(|placed| &placed.frame);
                    let length = frame.and_then(|f| f.lengths.get(bar as usize)).map_or(1.0, |l| l.to_f64());
                    f64::from(bar) + if length > 0.0 { (onset.to_f64() / length).min(1.0) } else { 0.0 }
                }
            }
    }

    /// Where the n-th bar that is played begins, from 0; behind the last, the end.
    pub fn bar_begins(&self, desk: &Desk, played: u64) -> f64 {
        let Some((visit, stop, bar)) = self.played_bar(played) else { return self.length };
        match bar.checked_sub(u64::from(stop.gap)) {
            Some(own) => self.at(desk, visit, own as u32, Fraction::ZERO),
            None => stop.gap_from + (stop.from - stop.gap_from) * bar as f64 / f64::from(stop.gap),
        }
    }

    /// The number of the n-th bar that is played, from 0.
    pub fn bar_number(&self, desk: &Desk, played: u64) -> Option<i64> {
        let (_, stop, bar) = self.played_bar(played)?;
        Some(desk.score().blocks.get(stop.block)?.frame.first_bar - i64::from(stop.gap) + bar as i64)
    }

    /// The visit in which the n-th played bar lies, and which of its bars it is, silent ones before it counted.
    fn played_bar(&self, played: u64) -> Option<(usize, &Stop, u64)> {
        let visit = self.stops.partition_point(|stop| stop.played_before <= played).checked_sub(1)?;
        // Of several that begin with the same bar only the last has any.
        let stop = self.stops.get(visit)?;
        let bar = played - stop.played_before;
        (bar < stop.bars_in_all()).then_some((visit, stop, bar))
    }

    /// Where the first time a block is played a bar of it begins; both from 0.
    pub fn first_time(&self, desk: &Desk, block: usize, bar: u32) -> Option<f64> {
        let visit = (*self.first_visits.get(block)?)?;
        Some(self.at(desk, visit, bar, Fraction::ZERO))
    }

    /// Rehearsal marks, in the order of playing.
    pub fn marks(&self, desk: &Desk) -> Vec<AxisMark> {
        let mut all = Vec::new();
        for stop in &self.stops {
            let Some(placed) = desk.score().blocks.get(stop.block) else { continue };
            for name in placed.read.block.sections.iter().take(1) {
                all.push(AxisMark { at: stop.from, name: name.clone(), bar: placed.frame.first_bar });
            }
        }
        all
    }
}
