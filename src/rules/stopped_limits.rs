//! # stopped-limits
//!
//! A horn is to be stopped by hand where the hand does not close it, or to and fro too fast.
//!
//! **Why.** The hand closes the bell tight only for waves that are short enough. Low down it leaks: the note has
//! no centre, or another one comes. And between open and stopped the hand moves and the fingers play a semitone
//! lower, which takes its time.
//!
//! **Numbers.** On a horn with valves, written pitch: below F♯3 a strong warning; from F♯3 to B3 a warning, for
//! professionals information; above A5 information; any stopped note of a school player, whose hand is small, a
//! warning. Three changes (`changes`) between open and stopped, each less than 0.25 s after the one before (4 a
//! second, `rate`): a warning; at more than 6 a second (`strong`) a strong one. A stopping mute needs no hand, and
//! natural horns are another art: both are left alone. On anything but a horn there is no hand to stop with: a
//! warning.
//!
//! **Source.** Best between written E4 and A5: Boldin, The Instrumentalist 63/2, 48-51, 2008. The low limits: Hill,
//! Extended Techniques for the Horn, 1983, from memory. The rates are estimates.
//!
//! ```brass
//! pitch written
//! player Hn1 = horn in F, level amateur
//! bar 1  meter 4/4
//! Hn1 | h : mf B3:stopped C4:stopped |
//! //           ^^^^^^^^^^ warning stopped-limits: below written C4
//! ```
//!
//! ```brass
//! pitch written
//! player Hn1 = horn in F, level amateur
//! bar 1  meter 4/4
//! Hn1 | h : mf C4:stopped [mute stopping] B3 |
//! ```
//!
//! **Fixes.** A stopping mute, or a straight one; an octave up; open.

use super::finding::{Cure, Severity};
use super::lie::{Lie, octave_that_fits};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, Run, View, runs};
use super::wording::{at_level, capital, pitch_for};
use crate::brass::body::effects::{STOPPED_CHANGES, STOPPED_GOOD, STOPPED_LEAST, STOPPED_TOP};
use crate::brass::body::{Voice, effects};
use crate::brass::{Kind, Level};
use crate::notation::Span;
use crate::notation::tree::Mark;
use crate::score::event::Event;
use crate::score::passage::SoundKind;

/// The rule.
pub const RULE: Rule = Rule {
    name: "stopped-limits",
    severity: Severity::Warning,
    source: include_str!("stopped_limits.rs"),
    limits: &[
        Limit { key: "rate", default: STOPPED_CHANGES.0, unit: "changes a second", source: "estimate" },
        Limit { key: "strong", default: STOPPED_CHANGES.1, unit: "changes a second", source: "estimate" },
        Limit { key: "changes", default: 3.0, unit: "changes", source: "estimate" },
    ],
    check: Check::Both(check, passage),
};

#[derive(Debug, Clone, Copy, PartialEq)]
enum Fault {
    NoHand,
    Leaks,
    Low,
    SmallHand,
    High,
}

fn stopped(event: &Event) -> bool {
    event.played.stopped || event.marks.has(Mark::Stopped)
}

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.events.iter().any(stopped) {
        return;
    }
    let fault = |event: &Event, lie: Lie| Some((fault(view, event, lie)?, event.played.instrument));
    for ((fault, instrument), run) in runs(view, fault) {
        let (Some(first), Some(held)) = (run.events.first(), view.player.instrument(instrument)) else {
            continue;
        };
        let level = view.player.level;
        let written = |midi| pitch_for(held, midi, view.key);
        let note = capital(&view.told(first));
        let (severity, grade, what, limit) = match fault {
            Fault::NoHand => (
                Severity::Warning,
                1,
                format!("is marked stopped, but the {} has no bell that a hand could close", held.label),
                None,
            ),
            Fault::Leaks => (
                Severity::Warning,
                2,
                format!("is stopped: below {} the hand does not close the bell", written(STOPPED_LEAST)),
                Some(written(STOPPED_LEAST)),
            ),
            Fault::Low => (
                if level == Level::Professional { Severity::Information } else { Severity::Warning },
                1,
                format!(
                    "is stopped: below {} that is uncertain for {}",
                    written(STOPPED_GOOD),
                    at_level(level)
                ),
                Some(written(STOPPED_GOOD)),
            ),
            Fault::SmallHand => {
                (Severity::Warning, 1, "is stopped: young hands rarely close the bell".to_owned(), None)
            }
            Fault::High => (
                Severity::Information,
                1,
                format!("is stopped: above {} it is insecure", written(STOPPED_TOP)),
                Some(written(STOPPED_TOP)),
            ),
        };
        let way = match fault {
            Fault::NoHand => "Write a mute, or leave it out.",
            Fault::High => "Write a stopping mute, or open.",
            _ => "Write a stopping mute, a straight one, or an octave higher.",
        };
        let from = if fault == Fault::NoHand { "" } else { " (an estimate)" };
        let higher = matches!(fault, Fault::Leaks | Fault::Low)
            .then(|| octave_that_fits(view, &run.events).filter(|octaves| *octaves == 1))
            .flatten();
        found.push(LocalFinding {
            grade,
            measured: Some(first.written.to_string()),
            limit,
            cures: ended(&run).into_iter().chain(higher.map(|octaves| Cure::Octave { octaves })).collect(),
            ..run.finding(found.rule, view, severity, format!("{note} {what}{from}. {way}"))
        });
    }
}

/// The mark taken away, where each note has its own.
fn ended(run: &Run<'_>) -> Option<Cure> {
    let marked = run.events.iter().all(|e| e.marks.has(Mark::Stopped) && !e.played.stopped);
    let mut marks: Vec<(Span, Mark)> = run.events.iter().map(|e| (e.span, Mark::Stopped)).collect();
    marks.dedup();
    marked.then_some(Cure::TakeAway { marks })
}

fn fault(view: &View<'_>, event: &Event, lie: Lie) -> Option<Fault> {
    if !stopped(event) || event.played.mute.is_some() {
        return None;
    }
    let instrument = &view.instrument(event)?.instrument;
    if !effects::has_hand(instrument) {
        return Some(Fault::NoHand);
    }
    let kind = instrument.kind;
    if kind != Kind::Horn || !matches!(lie, Lie::Fine | Lie::High { .. } | Lie::Highest { .. }) {
        return None;
    }
    match event.sounding.midi() {
        midi if midi < STOPPED_LEAST => Some(Fault::Leaks),
        midi if midi < STOPPED_GOOD => Some(Fault::Low),
        _ if view.player.level == Level::School => Some(Fault::SmallHand),
        midi if midi > STOPPED_TOP => Some(Fault::High),
        _ => None,
    }
}

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// How the last note is played, and since when.
    last: Option<Last>,
    swing: Option<Swing>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Last {
    spot: Spot,
    stopped: bool,
    /// Since it became so, up to what is slow.
    since_seconds: f64,
    /// It became so by a change, and not after silence.
    changed: bool,
}

/// To and fro, from the first changed note to the last.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Swing {
    first: Spot,
    last: Spot,
    changes: u32,
    seconds: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(last) = &mut self.last {
            last.spot.age();
        }
        if let Some(swing) = &mut self.swing {
            swing.first.age();
            swing.last.age();
        }
    }
}

fn passage(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.stopped_limits;
    let slow = 1.0 / RULE.limit(passage.settings, "rate").max(0.1);
    for sound in passage.sounds {
        if sound.kind == SoundKind::Note
            && sound.seconds > 0.0
            && let Some(event) = sound.event(passage.events)
        {
            let horn = passage.instrument(event).is_some_and(|held| {
                held.instrument.kind == Kind::Horn && Voice::of(&held.instrument) == Voice::Horn
            });
            if horn && event.played.mute.is_none() {
                state.note(passage, event, slow, told);
            } else {
                finish(passage, state, told);
                state.last = None;
            }
        }
        if let Some(last) = &mut state.last {
            last.since_seconds = (last.since_seconds + sound.seconds).min(slow);
            if last.since_seconds > slow - SAME_SECONDS {
                finish(passage, state, told);
                // What lasts so long is no swing, and only how it is played is of use.
                if sound.kind == SoundKind::Silence {
                    state.last = None;
                }
            }
        }
    }
    if passage.ends {
        finish(passage, state, told);
        state.last = None;
    }
}

impl State {
    fn note(&mut self, passage: &Passage<'_>, event: &Event, slow: f64, told: &mut Told<'_>) {
        let here = Spot::of(event);
        let stopped = stopped(event);
        let Some(last) = &mut self.last else {
            self.last = Some(Last { spot: here, stopped, since_seconds: 0.0, changed: false });
            return;
        };
        if last.stopped == stopped {
            return;
        }
        let now = Last { spot: here, stopped, since_seconds: 0.0, changed: true };
        let before = std::mem::replace(last, now);
        if before.changed && before.since_seconds < slow - SAME_SECONDS {
            let swing =
                self.swing.get_or_insert(Swing { first: before.spot, last: here, changes: 1, seconds: 0.0 });
            swing.changes += 1;
            swing.seconds += before.since_seconds;
            swing.last = here;
        } else {
            finish(passage, self, told);
        }
    }
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(swing) = state.swing.take() else { return };
    if f64::from(swing.changes) < RULE.limit(passage.settings, "changes") {
        return;
    }
    let rate = f64::from(swing.changes - 1) / swing.seconds.max(SAME_SECONDS);
    let (limit, strong) = (RULE.limit(passage.settings, "rate"), RULE.limit(passage.settings, "strong"));
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: if rate > strong + SAME_SECONDS { 2 } else { 1 },
        at: swing.first,
        from: swing.first,
        to: swing.last,
        lead: format!("{} changes between open and stopped, {rate:.1} a second", swing.changes),
        tail: format!(
            "; the hand follows {limit} a second (an estimate). Write longer values, leave some of the notes open, or let two horns share them."
        ),
        badness: rate,
        measured: Some(format!("{rate:.1} changes a second")),
        limit: Some(format!("{limit} changes a second")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
