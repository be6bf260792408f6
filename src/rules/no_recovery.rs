//! # no-recovery
//!
//! After a passage that was too long or too long high, the next high or very soft entry comes too soon.
//!
//! **Why.** Tired lips still play in the middle and loudly. What fails is what needs them most: the high entry
//! and the soft one.
//!
//! **Numbers.** After a stretch over the limit of `no-rest` or `long-high` the lips are owed rest: as long as
//! the stretch at school and for amateurs, half as long for professionals (`school`, `amateur`,
//! `professional`, shares of the stretch; of `long-high` its seconds up high). Only rests of 4 s and more
//! (`rest`) count. Warning where a note above the high mark of `long-high`, or one at pp or softer, comes
//! before they are paid; not while `long-high` goes on.
//!
//! **Source.** That recovering from loud playing is the bigger problem than the loud playing itself: an
//! orchestral trumpeter's account. The shares are estimates.
//!
//! **Caution.** This is general and no medical advice; the player, and the player's teacher, decide.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level school
//! allow no-rest
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | h : C5 C5, | %*5 | rest 3 | q : F5 C5 C5 - |
//! //                                    ^^ warning no-recovery: 12 s of rest
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level school
//! allow no-rest
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | h : C5 C5, | %*5 | rest 6 | q : F5 C5 C5 - |
//! ```
//!
//! **Fixes.** A longer rest; an easy entry first; another player for the high or soft one.

use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::{at_level, pitch_for};
use super::{long_high, no_rest};
use crate::brass::Level;
use crate::brass::body::Loudness;
use crate::brass::body::lips::{RECOVERY_SECONDS, RECOVERY_SHARE, REST_SECONDS, high_mark};
use crate::score::event::Event;
use crate::score::passage::SoundKind;

const fn share(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "of the stretch", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "no-recovery",
    severity: Severity::Warning,
    source: include_str!("no_recovery.rs"),
    limits: &[
        share("school", RECOVERY_SHARE[0]),
        share("amateur", RECOVERY_SHARE[1]),
        share("professional", RECOVERY_SHARE[2]),
        Limit { key: "rest", default: RECOVERY_SECONDS, unit: "s", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    stretch: no_rest::State,
    high: long_high::State,
    silence_seconds: f64,
    debt: Option<Debt>,
}

/// Rest that is owed.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Debt {
    /// The last note of what was too long, and how long that was.
    strain: Spot,
    strain_seconds: f64,
    owed_seconds: f64,
    rested_seconds: f64,
    /// The mouthpiece has left the lips since.
    resting: bool,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.stretch.age();
        self.high.age();
        self.debt.iter_mut().for_each(|debt| debt.strain.age());
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.no_recovery;
    let mut nobody = Vec::new();
    let mut silent = Told { rule: RULE.name, out: &mut nobody, left: &mut Vec::new() };
    for sound in passage.sounds {
        if sound.kind == SoundKind::Grace {
            continue;
        }
        let stretch = state.stretch.hear(passage, sound);
        let high = state.high.hear(passage, sound, &mut silent);
        let event = sound.event(passage.events);
        if sound.sounds() {
            let silence = std::mem::take(&mut state.silence_seconds);
            // What is too long high and goes on is told already; a note that goes on is no entry, and of what
            // is improvised nobody knows.
            let goes_on = high.is_some() || sound.kind != SoundKind::Note;
            let entry = event.and_then(|event| enter(passage, event, silence, goes_on, &mut state.debt));
            told.out.extend(entry);
        } else {
            state.silence_seconds += sound.seconds;
        }
        if let Some((last, seconds)) = stretch {
            owe(passage, &mut state.debt, last, seconds);
        }
        if let (Some(seconds), Some(event)) = (high, event) {
            owe(passage, &mut state.debt, Spot::of(event), seconds);
        }
        silent.out.clear();
    }
    if passage.ends {
        *state = State::default();
    }
}

fn owe(passage: &Passage<'_>, debt: &mut Option<Debt>, strain: Spot, strain_seconds: f64) {
    let share = RULE.limit(
        passage.settings,
        match passage.level() {
            Level::School => "school",
            Level::Amateur => "amateur",
            Level::Professional => "professional",
        },
    );
    let owed_seconds = share * strain_seconds;
    if debt.is_none_or(|old| old.owed_seconds - old.rested_seconds <= owed_seconds + SAME_SECONDS) {
        *debt = Some(Debt { strain, strain_seconds, owed_seconds, rested_seconds: 0.0, resting: false });
    }
}

fn enter(
    passage: &Passage<'_>,
    event: &Event,
    silence_seconds: f64,
    goes_on: bool,
    owed: &mut Option<Debt>,
) -> Option<PassageFinding> {
    let debt = owed.as_mut()?;
    debt.resting |= silence_seconds > REST_SECONDS - SAME_SECONDS;
    if silence_seconds > RULE.limit(passage.settings, "rest") - SAME_SECONDS {
        debt.rested_seconds += silence_seconds;
    }
    if debt.rested_seconds > debt.owed_seconds - SAME_SECONDS {
        *owed = None;
        return None;
    }
    let held = passage.instrument(event)?;
    let midi = event.sounding.midi();
    let high = midi > high_mark(&held.instrument, passage.level());
    let soft = Loudness::of(event.dynamic) == Loudness::Pp;
    if goes_on || !debt.resting || !high && !soft {
        return None;
    }
    let Debt { strain, strain_seconds, owed_seconds, rested_seconds, .. } = *debt;
    *owed = None;
    let here = Spot::of(event);
    let what = match (high, soft) {
        (true, true) => "high and soft",
        (true, false) => "high",
        _ => "very soft",
    };
    Some(PassageFinding {
        rule: RULE.name,
        severity: Severity::Warning,
        grade: 1,
        at: here,
        from: here,
        to: here,
        lead: format!("{rested_seconds:.0} s of rest before {}", pitch_for(held, midi, passage.key)),
        tail: format!(
            ", which is {what}: after {strain_seconds:.0} s of playing over the limit {} needs {owed_seconds:.0} s, in rests of {} s and more (an estimate). Write a longer rest or an easy entry first, or give this one to another player. A general caution, no medical advice: the player and their teacher decide.",
            at_level(passage.level()),
            RULE.limit(passage.settings, "rest")
        ),
        badness: owed_seconds - rested_seconds,
        measured: Some(format!("{rested_seconds:.0} s of rest")),
        limit: Some(format!("{owed_seconds:.0} s")),
        related: vec![(strain, "here the strain ends".to_owned())],
        cures: Vec::new(),
    })
}
