//! # valve-tangle
//!
//! The fingers have more to do in a second than they do cleanly.
//!
//! **Why.** Valves are quick, but fingers that change places trip over each other, and the third is slow and apt to
//! leave its cap. What comes out is smeared, or the wrong harmonic.
//!
//! **Numbers.** Of all fingerings that hold each note the passage takes those that move least; one written with
//! `@` binds. A finger that moves counts 1, the third alone 1½, fingers of which one goes down while another comes
//! up 2 each (1-3 to 2: 6). More than 12 in one second (`window`) is told to school players, more than 18 to
//! amateurs, more than 24 to professionals (`school`, `amateur`, `professional`). A chromatic scale counts about
//! 2½ a note, so that a professional is left alone up to nine of them a second. It is an information, never more.
//!
//! **Source.** That the third finger is the slow one: an article on third-valve technique; that sharp keys lie
//! worse on valves than flat ones: players. The weights and the numbers are estimates.
//!
//! ```brass
//! player Tp1 = trumpet in C
//! bar 1  meter 4/4  tempo q = 144
//! Tp1 | s*16 : Ab4 F4 Ab4 F4 Ab4 F4 Ab4 F4 Ab4 F4 Ab4 F4 Ab4 F4 Ab4 F4 |
//! //           ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ information valve-tangle: finger moves
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in C
//! bar 1  meter 4/4  tempo q = 144
//! Tp1 | s*16 : G4 F4 G4 F4 G4 F4 G4 F4 G4 F4 G4 F4 G4 F4 G4 F4 |
//! ```
//!
//! **Fixes.** Another key; slurred groups; the figure given to two players by turns; the third valve for first and
//! second, where the easiest path has it.

use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, PlannedStep, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::at_level;
use crate::brass::plan::Joined;

const fn moves(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "finger moves a second", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "valve-tangle",
    severity: Severity::Information,
    source: include_str!("valve_tangle.rs"),
    limits: &[
        moves("school", 12.0),
        moves("amateur", 18.0),
        moves("professional", 24.0),
        Limit { key: "window", default: 1.0, unit: "s", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// Seconds between two tangles from which they are two passages (estimate).
const APART_SECONDS: f64 = 2.0;

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// The moves of the last window, the oldest first.
    moves: Vec<Move>,
    tangle: Option<Tangle>,
}

/// Fingers that go to a note.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Move {
    to: Spot,
    /// Seconds since then.
    ago: f64,
    weighed: f32,
}

/// Too many moves, or several times too many.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Tangle {
    first: Spot,
    last: Spot,
    ago: f64,
    most: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.moves.iter_mut().for_each(|m| m.to.age());
        if let Some(tangle) = &mut self.tangle {
            tangle.first.age();
            tangle.last.age();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    if !passage.player.instruments.iter().any(|i| i.instrument.build.has_valves()) {
        return;
    }
    let state = &mut carried.valve_tangle;
    let window = RULE.limit(passage.settings, "window").max(0.05);
    let limit = RULE.limit(passage.settings, passage.level().word());
    for planned in passage.steps {
        if planned.note.joined == Joined::Afresh || planned.step.way.is_none() {
            close(passage, state, told);
            state.moves.clear();
        }
        step(passage, state, planned, window, limit, told);
    }
    if passage.ends || carried.plan.rests() {
        close(passage, state, told);
        state.moves.clear();
    }
}

fn step(
    passage: &Passage<'_>,
    state: &mut State,
    planned: &PlannedStep,
    window: f64,
    limit: f64,
    told: &mut Told<'_>,
) {
    let seconds = f64::from(planned.step.has_seconds);
    state.moves.iter_mut().for_each(|m| m.ago += seconds);
    state.moves.retain(|m| m.ago < window - SAME_SECONDS);
    if let Some(tangle) = &mut state.tangle {
        tangle.ago += seconds;
        if tangle.ago > APART_SECONDS {
            close(passage, state, told);
        }
    }
    state.moves.push(Move { to: planned.spot, ago: 0.0, weighed: planned.step.finger_moves });
    let sum: f64 = state.moves.iter().map(|m| f64::from(m.weighed)).sum();
    let rate = sum / window;
    if rate <= limit + SAME_SECONDS {
        return;
    }
    let first = state.moves.first().map_or(planned.spot, |m| m.to);
    let tangle = state.tangle.get_or_insert(Tangle { first, last: planned.spot, ago: 0.0, most: 0.0 });
    tangle.last = planned.spot;
    tangle.ago = 0.0;
    tangle.most = tangle.most.max(rate);
}

fn close(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(tangle) = state.tangle.take() else { return };
    let limit = RULE.limit(passage.settings, passage.level().word());
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Information,
        grade: 1,
        at: tangle.first,
        from: tangle.first,
        to: tangle.last,
        lead: format!("{:.0} finger moves a second at the busiest, with the fingerings that move least", tangle.most),
        tail: format!(
            "; {} does {limit:.0} cleanly (an estimate; the third finger alone counts 1½, fingers that change places double). Another key, slurred groups or two players by turns help.",
            at_level(passage.level())
        ),
        badness: tangle.most / limit.max(1e-3),
        measured: Some(format!("{:.1} moves/s", tangle.most)),
        limit: Some(format!("{limit} moves/s")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
