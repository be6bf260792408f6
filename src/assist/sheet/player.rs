//! One player's part of the sheet.

use super::act::{Act, walk};
use super::axis::{Axis, Unit};
use super::changes::{Changes, Watch};
use super::chart::{Chart, Pen};
use super::found::{FoundAt, Lookout};
use super::hard::{HardBar, Scales};
use super::high::{Heights, High};
use super::instrument::InstrumentUse;
use super::unbroken::{Longest, Unbroken};
use crate::assist::playing::{Use, Uses};
use crate::brass::Level;
use crate::rules::{Desk, Finding, no_rest};
use crate::score::passage::SoundKind;

/// What one player of a score has to do.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerSheet {
    pub id: String,
    pub name: Option<String>,
    pub level: Level,
    /// People who read the part; times and changes are those of the first.
    pub seats: u32,
    /// The first is in hand at the beginning; the others are doublings.
    pub instruments: Vec<InstrumentUse>,
    /// Bars and span, as written.
    pub used: Use,
    pub notes: u64,
    /// Nothing without a tempo.
    pub time: Option<Time>,
    pub changes: Changes,
    /// Hardest first.
    pub hardest: Vec<HardBar>,
    /// In the order of playing.
    pub findings: Vec<FoundAt>,
    pub chart: Chart,
}

/// How long and how high somebody plays.
#[derive(Debug, Clone, PartialEq)]
pub struct Time {
    pub playing_seconds: f64,
    /// Of the whole score as played, 0 to 1.
    pub share: f64,
    pub longest: Option<Unbroken>,
    pub high: High,
}

/// Works out that of a player, an index into the score, with what was found there.
pub fn player_sheet(desk: &Desk, axis: &Axis, player: usize, findings: Vec<Finding>) -> Option<PlayerSheet> {
    let person = desk.score().head.players.get(player)?;
    let mut instruments: Vec<InstrumentUse> =
        person.instruments.iter().map(|held| InstrumentUse::of(held, person.level)).collect();
    let label = |number: u8| person.instrument(number).map(|i| (i.label.clone(), i.instrument.kind));
    let mut clock = Timing::new(desk, axis, person.level);
    let mut watch = Watch::new(axis.unit);
    let mut scales = Scales::new(desk, axis, person.level);
    let mut lookout = Lookout::new(findings);
    let mut pen = Pen::new(desk, axis, person.level);
    let mut notes = 0;
    walk(desk, axis, player, &mut |act| {
        let high = clock.hear(act);
        watch.see(act, &label);
        scales.hear(act);
        lookout.hear(act);
        pen.draw(act, high);
        let is_note = u64::from(act.kind == SoundKind::Note);
        notes += is_note;
        if let Some(used) = instruments.get_mut(usize::from(act.event.played.instrument)) {
            used.notes += is_note;
            if axis.unit == Unit::Seconds {
                *used.playing_seconds.get_or_insert(0.0) += act.lasts();
            }
        }
    });
    let findings = lookout.found(desk, axis);
    Some(PlayerSheet {
        id: person.id.clone(),
        name: person.name.clone(),
        level: person.level,
        seats: person.seats,
        instruments,
        used: Uses::default().of(desk, player),
        notes,
        time: clock.found(),
        changes: watch.found(),
        hardest: scales.found(&findings),
        findings,
        chart: pen.chart(),
    })
}

/// How long and how high a player plays, and nothing else of the sheet.
pub fn time_of(desk: &Desk, player: usize) -> Option<Time> {
    let axis = Axis::of(desk);
    if axis.unit != Unit::Seconds {
        return None;
    }
    let mut timing = Timing::new(desk, &axis, desk.score().head.players.get(player)?.level);
    walk(desk, &axis, player, &mut |act| {
        timing.hear(act);
    });
    timing.found()
}

struct Timing {
    /// Seconds of the score; nothing without a tempo.
    whole: Option<f64>,
    playing_seconds: f64,
    longest: Longest,
    heights: Heights,
}

impl Timing {
    fn new(desk: &Desk, axis: &Axis, level: Level) -> Timing {
        let rest_seconds = no_rest::RULE.limit(desk.settings(), "rest");
        Timing {
            whole: (axis.unit == Unit::Seconds).then_some(axis.length),
            playing_seconds: 0.0,
            longest: Longest::new(rest_seconds),
            heights: Heights::new(level, rest_seconds),
        }
    }

    /// Hears what sounds next; true if it is high.
    fn hear(&mut self, act: &Act<'_>) -> bool {
        self.playing_seconds += act.lasts();
        self.longest.hear(act);
        self.heights.hear(act);
        self.heights.is_high(act)
    }

    fn found(self) -> Option<Time> {
        let whole = self.whole?;
        Some(Time {
            playing_seconds: self.playing_seconds,
            share: (self.playing_seconds / whole).clamp(0.0, 1.0),
            longest: self.longest.found(),
            high: self.heights.found(),
        })
    }
}
