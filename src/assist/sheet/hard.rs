//! Which bars of a part are hardest.
//!
//! Bars are ranked by points, an estimate: what the rules find in the bar ([`POINTS`] says how much each finding counts),
//! and to it the load: how much of the bar the lips work, where high and loud notes weigh more as they do for
//! `no-rest` (1 is a bar played through at ease), and the notes of a second over [`NOTES_A_POINT`]. Of a bar that is
//! played several times its heaviest time counts; of equals the earlier bar is the harder.

use super::act::Act;
use super::axis::{Axis, Unit};
use super::found::FoundAt;
use crate::brass::Level;
use crate::brass::body::{Lips, Loudness};
use crate::music::Fraction;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Finding, Severity};
use crate::score::passage::SoundKind;
use std::collections::HashMap;

/// Points of a finding: hint, information, warning, strong warning, error (estimates).
pub const POINTS: [f64; 5] = [0.0, 1.0, 2.0, 4.0, 8.0];
/// Notes a second that weigh as much as a bar played through (estimate).
pub const NOTES_A_POINT: f64 = 4.0;
/// Bars that are told.
const MOST_TOLD: usize = 5;

/// What a player does in one bar.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Load {
    /// Share of the bar in which the lips work, high and loud notes counted for more; 0 and up.
    pub lips: f64,
    pub notes_per_second: f64,
}

impl Load {
    /// As one number: 1 and a little is ordinary playing, 3 is much.
    pub fn points(self) -> f64 {
        self.lips + self.notes_per_second / NOTES_A_POINT
    }
}

/// Seconds of ordinary playing for which a second of this counts; 0 without a known instrument.
pub fn weight(act: &Act<'_>, level: Level) -> f64 {
    let Some(held) = act.instrument else { return 0.0 };
    let lips = Lips::at(&held.instrument, level, held.limits.comfortable);
    lips.weight(act.sounding.map_or(i32::MIN, |pitch| pitch.midi()), Loudness::of(act.event.dynamic))
}

/// A hard bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HardBar {
    /// Its number.
    pub bar: i64,
    pub points: f64,
    /// Findings of it, without hints and faults of reading.
    pub findings: u64,
    /// Unknown without a tempo.
    pub load: Option<Load>,
}

/// Points of one finding.
pub fn points(finding: &Finding) -> f64 {
    let [hint, information, warning, strong, error] = POINTS;
    match finding.severity {
        Severity::Hint => hint,
        Severity::Information => information,
        Severity::Warning if finding.grade > 1 => strong,
        Severity::Warning => warning,
        Severity::Error => error,
    }
}

/// Weighs bars.
pub struct Scales<'a> {
    desk: &'a Desk,
    unit: Unit,
    level: Level,
    visit: usize,
    block: usize,
    /// Of the visit that is being played, by bar of the block: weighed seconds and notes.
    now: HashMap<u32, (f64, u32)>,
    /// By block and bar of it, the heaviest.
    loads: HashMap<(usize, u32), Load>,
}

impl<'a> Scales<'a> {
    /// For a player of a level.
    pub fn new(desk: &'a Desk, axis: &Axis, level: Level) -> Scales<'a> {
        let (now, loads) = (HashMap::new(), HashMap::new());
        Scales { desk, unit: axis.unit, level, visit: usize::MAX, block: 0, now, loads }
    }

    /// Hears what sounds next.
    pub fn hear(&mut self, act: &Act<'_>) {
        if self.visit != act.visit {
            self.close();
            (self.visit, self.block) = (act.visit, act.block);
        }
        let weight = weight(act, self.level);
        for event in act.events {
            let seconds = self.desk.report().clock.length(act.block, event).unwrap_or(0.0);
            let bar = self.now.entry(event.bar).or_default();
            bar.0 += seconds * weight;
        }
        if matches!(act.kind, SoundKind::Note | SoundKind::Grace) {
            self.now.entry(act.event.bar).or_default().1 += 1;
        }
    }

    fn close(&mut self) {
        let clock = &self.desk.report().clock;
        let block = self.block;
        for (bar, (weighed, notes)) in self.now.drain() {
            let begin = clock.in_block(block, bar, Fraction::ZERO);
            let end = clock.in_block(block, bar + 1, Fraction::ZERO).or_else(|| clock.block(block));
            let Some(seconds) = begin.zip(end).map(|(a, b)| b - a).filter(|s| *s > 0.0) else { continue };
            let load = Load { lips: weighed / seconds, notes_per_second: f64::from(notes) / seconds };
            let known = self.loads.entry((block, bar)).or_insert(load);
            if load.points() > known.points() {
                *known = load;
            }
        }
    }

    /// The hardest bars, hardest first.
    pub fn found(mut self, findings: &[FoundAt]) -> Vec<HardBar> {
        self.close();
        let score = self.desk.score();
        let mut bars: HashMap<(usize, u32), HardBar> = HashMap::new();
        let number = |block: usize, bar: u32| Some(score.blocks.get(block)?.frame.first_bar + i64::from(bar));
        if self.unit == Unit::Seconds {
            for ((block, bar), load) in &self.loads {
                let Some(number) = number(*block, *bar) else { continue };
                let hard = HardBar { bar: number, points: load.points(), findings: 0, load: Some(*load) };
                bars.insert((*block, *bar), hard);
            }
        }
        // A bar that cannot be read is not hard to play.
        for FoundAt { finding, .. } in findings.iter().filter(|f| !is_reading_fault(f.finding.rule)) {
            let weight = points(finding);
            let place = score.block_at(finding.line).zip(finding.bar).and_then(|(block, number)| {
                let first = score.blocks.get(block)?.frame.first_bar;
                Some((block, u32::try_from(number - first).ok()?, number))
            });
            let Some((block, bar, number)) = place.filter(|_| weight > 0.0) else { continue };
            let hard = HardBar { bar: number, points: 0.0, findings: 0, load: None };
            let hard = bars.entry((block, bar)).or_insert(hard);
            hard.points += weight;
            hard.findings += 1;
        }
        let mut all: Vec<((usize, u32), HardBar)> = bars.into_iter().collect();
        all.sort_by(|(a, x), (b, y)| y.points.total_cmp(&x.points).then(a.cmp(b)));
        all.into_iter().take(MOST_TOLD).map(|(_, hard)| hard).collect()
    }
}
