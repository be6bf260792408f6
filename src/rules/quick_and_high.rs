//! # quick-and-high
//!
//! A horn has quick notes in the high register.
//!
//! **Why.** Up there the harmonics of a horn lie a tone or less apart. To hit one of them the lips need a
//! moment, and quick notes do not give it: one wrong neighbour and the rest of the run is gone.
//!
//! **Numbers.** Four notes or more (`notes`), each less than a quarter of a second after the one before (more
//! than 4 notes a second, `rate`), all above written F5 on a horn in F; D5 for school players. It is the
//! speed that counts: a single high note among low ones is no such run.
//!
//! **Source.** A horn player about demisemiquavers above the stave in a trio (player's account). The rate and
//! the count are estimates.
//!
//! ```brass
//! pitch written
//! player Hn1 = horn in F
//! bar 1  meter 4/4  tempo q = 80
//! Hn1 | s*4 q h : G5 A5 G5 A5 G5 F5 |
//! //              ^^^^^^^^^^^^^^ warning quick-and-high: 5.3 notes a second
//! ```
//!
//! ```brass
//! pitch written
//! player Hn1 = horn in F
//! bar 1  meter 4/4  tempo q = 80
//! Hn1 | e*4 h : G5 A5 G5 A5 G5 |
//! ```
//!
//! **Fixes.** Every other note left out; the run given to trumpets, or taken an octave down.

use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::pitch_for;
use crate::brass::body::Voice;
use crate::brass::body::lips::high_mark;
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};

/// The rule.
pub const RULE: Rule = Rule {
    name: "quick-and-high",
    severity: Severity::Warning,
    source: include_str!("quick_and_high.rs"),
    limits: &[
        Limit { key: "rate", default: 4.0, unit: "notes a second", source: "estimate" },
        Limit { key: "notes", default: 4.0, unit: "notes", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    run: Option<Run>,
}

/// High notes, each soon after the one before.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Run {
    first: Spot,
    last: Spot,
    /// Where the least number was reached.
    passed: Option<Spot>,
    notes: u32,
    /// From the first attack to the last.
    seconds: f64,
    /// Since the last attack.
    since_seconds: f64,
    mark: i32,
    instrument: u8,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(run) = &mut self.run {
            run.first.age();
            run.last.age();
            run.passed.iter_mut().for_each(Spot::age);
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.quick_and_high;
    let quick_seconds = 1.0 / RULE.limit(passage.settings, "rate").max(0.1);
    for sound in passage.sounds {
        if let Some((event, mark)) = high(passage, sound) {
            let here = Spot::of(event);
            match &mut state.run {
                Some(run) if run.since_seconds < quick_seconds - SAME_SECONDS => {
                    run.notes += 1;
                    run.seconds += run.since_seconds;
                    run.since_seconds = 0.0;
                    run.last = here;
                    if f64::from(run.notes) >= RULE.limit(passage.settings, "notes") {
                        run.passed.get_or_insert(here);
                    }
                }
                _ => {
                    finish(passage, state, told);
                    state.run = Some(Run {
                        first: here,
                        last: here,
                        passed: None,
                        notes: 1,
                        seconds: 0.0,
                        since_seconds: 0.0,
                        mark,
                        instrument: event.played.instrument,
                    });
                }
            }
        } else if matches!(sound.kind, SoundKind::Note | SoundKind::Improvised) {
            finish(passage, state, told);
        }
        if let Some(run) = &mut state.run {
            run.since_seconds += sound.seconds;
            if run.since_seconds >= quick_seconds - SAME_SECONDS {
                finish(passage, state, told);
            }
        }
    }
    if passage.ends {
        finish(passage, state, told);
    }
}

/// A horn's note above the mark.
fn high<'e>(passage: &Passage<'e>, sound: &Sound) -> Option<(&'e Event, i32)> {
    let midi = sound.sounding.filter(|_| sound.kind == SoundKind::Note)?.midi();
    let event = sound.event(passage.events)?;
    let instrument = &passage.instrument(event)?.instrument;
    if Voice::of(instrument) != Voice::Horn {
        return None;
    }
    let mark = high_mark(instrument, passage.level());
    (midi > mark).then_some((event, mark))
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(run) = state.run.take() else { return };
    if run.passed.is_none() {
        return;
    }
    let rate = f64::from(run.notes - 1) / run.seconds.max(SAME_SECONDS);
    let limit = RULE.limit(passage.settings, "rate");
    let held = passage.player.instrument(run.instrument);
    let above =
        held.map_or_else(String::new, |held| format!(" above {}", pitch_for(held, run.mark, passage.key)));
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: 1,
        at: run.first,
        from: run.first,
        to: run.last,
        lead: format!("{} notes{above} at {rate:.1} notes a second", run.notes),
        tail: format!(
            "; up there the harmonics lie so close that from {limit} a second on wrong ones are hit (an estimate). Leave out every other note, give the run to a trumpet, or write it an octave lower."
        ),
        badness: rate,
        measured: Some(format!("{rate:.1} notes a second")),
        limit: Some(format!("{limit} notes a second")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
