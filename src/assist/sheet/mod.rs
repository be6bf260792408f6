//! The rehearsal sheet: what a score asks of each of its players, to be seen at one look before the rehearsal.
//!
//! Time is that of playing: repeats, endings and the road map are unrolled. Spans, and bars with or without
//! notes, are those of the written score.

pub mod act;
pub mod axis;
pub mod changes;
pub mod chart;
pub mod found;
pub mod hard;
pub mod high;
pub mod instrument;
pub mod player;
pub mod unbroken;
pub mod wording;

pub use axis::{Axis, AxisMark, Unit};
pub use changes::{Change, Changes, Enough};
pub use chart::{Cell, Chart, Drawn, Span};
pub use found::FoundAt;
pub use hard::{HardBar, Load};
pub use high::{High, HighPassage};
pub use instrument::InstrumentUse;
pub use player::{PlayerSheet, Time, time_of};
pub use unbroken::Unbroken;

use crate::rules::{Desk, Finding};

/// The sheet of a score.
#[derive(Debug, Clone)]
pub struct Sheet {
    pub title: Option<String>,
    pub composer: Option<String>,
    pub arranger: Option<String>,
    /// Bars of the score, as written.
    pub bars: u64,
    pub axis: Axis,
    /// Where bars begin that a reader looks for: a few, spread evenly, each with its number.
    pub ticks: Vec<(f64, i64)>,
    pub marks: Vec<AxisMark>,
    /// In the order of the score.
    pub players: Vec<PlayerSheet>,
    /// What was found that is no one player's.
    pub findings: Vec<Finding>,
}

/// Ticks below a chart at most; a telephone has room for no more.
const MOST_TICKS: u64 = 10;

/// Works out the sheet of a score.
pub fn sheet(desk: &Desk) -> Sheet {
    let head = &desk.score().head;
    let axis = Axis::of(desk);
    let mut of_players: Vec<Vec<Finding>> = vec![Vec::new(); head.players.len()];
    let mut findings = Vec::new();
    for finding in desk.findings_apart() {
        let player = finding.player.as_ref().and_then(|id| head.players.iter().position(|p| p.id == *id));
        match player.and_then(|index| of_players.get_mut(index)) {
            Some(own) => own.push(finding),
            None => findings.push(finding),
        }
    }
    let players = of_players.into_iter().enumerate();
    let players = players.filter_map(|(index, own)| player::player_sheet(desk, &axis, index, own)).collect();
    let frames = desk.score().blocks.iter().map(|placed| &placed.frame);
    Sheet {
        title: head.title.clone(),
        composer: head.composer.clone(),
        arranger: head.arranger.clone(),
        bars: frames.map(|frame| u64::from(frame.bars) + u64::from(frame.gap)).sum(),
        ticks: ticks(desk, &axis),
        marks: axis.marks(desk),
        players,
        findings,
        axis,
    }
}

/// Every so many bars, a number that is easily counted.
fn ticks(desk: &Desk, axis: &Axis) -> Vec<(f64, i64)> {
    let every = nice(axis.played_bars.div_ceil(MOST_TICKS));
    let bars = (0..axis.played_bars).step_by(every as usize);
    bars.filter_map(|bar| Some((axis.bar_begins(desk, bar), axis.bar_number(desk, bar)?))).collect()
}

/// The next of 1, 2, 4, 8, 16, 20, 40, 80, 100, 200, 400, 800, 1000 and so on.
fn nice(least: u64) -> u64 {
    let steps = [1, 2, 4, 8].into_iter();
    let tens = (1..=8).flat_map(|power| [1, 2, 4, 8].map(|n: u64| n * 10_u64.pow(power)));
    steps.chain([16]).chain(tens.filter(|n| *n > 16)).find(|n| *n >= least).unwrap_or(least.max(1))
}
