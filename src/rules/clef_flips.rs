//! # clef-flips
//!
//! A part that changes its clef again and again, or puts a beginner before a clef not learned yet.
//!
//! **Why.** A clef is for a passage, not for one note with many ledger lines: each change makes the reader
//! stumble, and two within a few bars are two stumbles for nothing. Trombonists at school read bass clef.
//!
//! **Numbers.** Information where `[clef …]` changes the clef more than once within 4 bars (`bars`), in the order of
//! the page. A clef that is in force already is no change, and another instrument begins in its own. A warning for
//! tenor or alto clef in a trombone part at school level, except on the alto trombone.
//!
//! **Source.** That the tenor clef is for a register and not for single notes, and that alto trombones read alto
//! clef: an orchestration site's articles on the tenor clef, trombonists' forum. The number of bars is an estimate.
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 96
//! Tb1 | h : Bb3 [clef tenor] F4 | h : [clef bass] D4 Bb3 |
//! //                                  ^^^^^^^^^^^ information clef-flips: 2 changes of clef
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 96
//! Tb1 | h : Bb3 [clef tenor] F4 | h : F4 G4 | h : F4 G4 | h : F4 D4 | h : [clef bass] D4 Bb3 |
//! ```
//!
//! **Fixes.** One clef for the whole passage.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, Spot, Told};
use super::rule::{Check, Limit, Rule};
use crate::brass::{Kind, Level};
use crate::music::Clef;
use crate::notation::tree::Instruction;
use crate::score::event::Origin;
use crate::score::turn::{Says, Turn};

/// The rule.
pub const RULE: Rule = Rule {
    name: "clef-flips",
    severity: Severity::Information,
    source: include_str!("clef_flips.rs"),
    limits: &[Limit { key: "bars", default: 4.0, unit: "bars", source: "estimate" }],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// In force; `None`: the one the instrument begins in.
    clef: Option<Clef>,
    run: Option<Run>,
}

/// Changes that follow one another closely.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Run {
    /// Before the first change.
    before: Clef,
    first: Spot,
    second: Option<Spot>,
    last: Spot,
    changes: u32,
    /// From the last change to the beginning of the visit.
    bars: u32,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(run) = &mut self.run {
            run.first.age();
            run.last.age();
            run.second.iter_mut().for_each(Spot::age);
        }
    }
}

/// Needs no time: it goes by the page.
fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.clef_flips;
    if passage.turns.is_empty() && state.run.is_none() {
        return;
    }
    let limit = RULE.limit(passage.settings, "bars").max(0.0) as u32;
    for turn in passage.turns.iter().filter(|turn| turn.origin != Origin::Again) {
        match turn.says {
            Says::Instruction(Instruction::Switch(_)) => {
                over(state.run.take(), state.clef, limit, told);
                state.clef = None;
            }
            Says::Instruction(Instruction::Clef(clef)) => {
                let Some(held) = passage.player.instrument(turn.to.instrument) else { continue };
                if passage.level() == Level::School
                    && held.instrument.clef == Clef::Bass
                    && matches!(held.instrument.kind, Kind::Trombone | Kind::BassTrombone)
                    && matches!(clef, Clef::Tenor | Clef::Alto)
                {
                    told.push(unknown(turn, clef, told.rule));
                }
                let now = state.clef.unwrap_or(held.clef.unwrap_or(held.instrument.clef));
                state.clef = Some(clef);
                if clef != now && passage.first_time {
                    state.change(turn, now, passage.gap_bars, limit, told);
                }
            }
            _ => {}
        }
    }
    // What comes round again stands on the page once.
    let ends = passage.over || !passage.first_time;
    if let Some(run) = &mut state.run {
        let far = if run.last.back == 0 {
            passage.bars.saturating_sub(run.last.bar)
        } else {
            run.bars.saturating_add(passage.gap_bars).saturating_add(passage.bars)
        };
        run.bars = far;
        if far >= limit || ends {
            over(state.run.take(), state.clef, limit, told);
        }
    }
}

impl State {
    fn change(&mut self, turn: &Turn, before: Clef, gap_bars: u32, limit: u32, told: &mut Told<'_>) {
        let here = Spot { back: 0, line: turn.line, span: turn.span, bar: turn.bar };
        let since = self.run.map(|run| match run.last.back {
            0 => turn.bar.saturating_sub(run.last.bar),
            _ => run.bars.saturating_add(gap_bars).saturating_add(turn.bar),
        });
        match (&mut self.run, since) {
            (Some(run), Some(since)) if since < limit => {
                run.second.get_or_insert(here);
                run.last = here;
                run.changes += 1;
            }
            _ => {
                over(self.run.take(), Some(before), limit, told);
                self.run = Some(Run { before, first: here, second: None, last: here, changes: 1, bars: 0 });
            }
        }
    }
}

fn over(run: Option<Run>, after: Option<Clef>, limit: u32, told: &mut Told<'_>) {
    let Some((run, second)) = run.and_then(|run| Some((run, run.second?))) else { return };
    let (first, last) = (run.first, run.last);
    let there_and_back = run.changes == 2 && after == Some(run.before);
    let one_line = first.back == second.back && first.line == second.line;
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Information,
        grade: 1,
        at: second,
        from: first,
        to: last,
        lead: format!("{} changes of clef", run.changes),
        tail: format!(
            ": more than one in {limit} bars makes the reader stumble (an estimate). Write the passage in one clef."
        ),
        badness: f64::from(run.changes),
        measured: Some(format!("{} changes", run.changes)),
        limit: Some(format!("1 in {limit} bars")),
        related: vec![(first, "the first of them".to_owned())],
        cures: if there_and_back && one_line {
            vec![Cure::WithoutInstructions { instructions: vec![first.span, second.span] }]
        } else {
            Vec::new()
        },
    });
}

fn unknown(turn: &Turn, clef: Clef, rule: &'static str) -> PassageFinding {
    let here = Spot { back: 0, line: turn.line, span: turn.span, bar: turn.bar };
    PassageFinding {
        rule,
        severity: Severity::Warning,
        grade: 1,
        at: here,
        from: here,
        to: here,
        lead: format!("A {} clef", clef.word()),
        tail: ": a trombonist at school level reads bass clef only (common practice). Write the passage in bass clef.".to_owned(),
        badness: 0.0,
        measured: Some(format!("{} clef", clef.word())),
        limit: Some("bass clef".to_owned()),
        related: Vec::new(),
        cures: if turn.origin == Origin::Here {
            vec![Cure::WithoutInstructions { instructions: vec![turn.span] }]
        } else {
            Vec::new()
        },
    }
}
