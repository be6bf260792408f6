//! # flutter-limits
//!
//! Flutter-tongue where it does not speak: too high, too low, too soft, or for too long.
//!
//! **Why.** The rolling tongue lets the air through in bursts and takes much of it. High notes break off between
//! the bursts, soft ones do not begin, and a tongue that rolls for long grows tired.
//!
//! **Numbers.** Trumpets and cornets: above written A5 a warning, above C6 a strong one. Tubas and euphoniums: a
//! warning in the lowest and the highest fifth of the range. Pedals: a warning. Everybody: pp and softer a
//! warning, p information. More than 6 s (`seconds`) without a breath or a rest: information, where the tempo is
//! known. `shift` moves the trumpet's marks by semitones. One finding a note, in this order.
//!
//! **Source.** Increasingly hard high, nearly impossible at the top especially when soft, needs more air: The
//! Modern Trumpet, 2020. Hard soft, least effective at the extremes: Hynds, The Composer's Guide to the Tuba. The
//! pitches, the fifths and the seconds are estimates. Not everybody can roll the tongue; a growl serves then.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : mf Bb5:flutter pp A4:flutter |
//! //           ^^^^^^^^^^^ warning flutter-limits: above written A5
//! //                          ^^^^^^^^^^ warning flutter-limits: pp
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : mf A5:flutter mp A4:flutter |
//! ```
//!
//! **Fixes.** Lower, or mf; a growl; the flutter left out; a rest within a long one.

use super::finding::{Cure, Severity};
use super::lie::Lie;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, Run, View, runs};
use super::wording::{capital, pitch_for};
use crate::brass::Level;
use crate::brass::body::effects::{FLUTTER_SECONDS, flutter_middle, flutter_tops};
use crate::brass::body::loudness::softness;
use crate::music::Dynamic;
use crate::notation::Span;
use crate::notation::tree::Mark;
use crate::score::event::Event;
use crate::score::passage::SoundKind;
use crate::score::state::Swell;

/// The rule.
pub const RULE: Rule = Rule {
    name: "flutter-limits",
    severity: Severity::Warning,
    source: include_str!("flutter_limits.rs"),
    limits: &[
        Limit { key: "seconds", default: FLUTTER_SECONDS, unit: "s", source: "estimate" },
        Limit { key: "shift", default: 0.0, unit: "semitones", source: "estimate" },
    ],
    check: Check::Both(check, passage),
};

#[derive(Debug, Clone, Copy, PartialEq)]
enum Fault {
    /// Above this sounding pitch; strong where hardly anybody does it.
    High {
        mark: i32,
        strong: bool,
    },
    Pedal,
    /// Outside these.
    Extreme {
        from: i32,
        to: i32,
    },
    Soft(Dynamic),
}

fn flutters(event: &Event) -> bool {
    event.played.flutter || event.marks.has(Mark::Flutter)
}

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.events.iter().any(flutters) {
        return;
    }
    let shift = RULE.limit(view.settings, "shift") as i32;
    let fault = |event: &Event, lie| Some((fault(view, event, lie, shift)?, event.played.instrument));
    for ((fault, instrument), run) in runs(view, fault) {
        let (Some(first), Some(held)) = (run.events.first(), view.player.instrument(instrument)) else {
            continue;
        };
        let note = capital(&view.told(first));
        let written = |midi| pitch_for(held, midi, view.key);
        let (severity, grade, what, way, measured, limit) = match fault {
            Fault::High { mark, strong } => (
                Severity::Warning,
                if strong { 2 } else { 1 },
                format!(
                    "above {} flutter is {}",
                    written(mark),
                    if strong { "nearly impossible" } else { "hard" }
                ),
                "Write it lower, or without flutter.",
                first.written.to_string(),
                written(mark),
            ),
            Fault::Pedal => (
                Severity::Warning,
                1,
                "a pedal does not speak with it".to_owned(),
                "Write it an octave higher, or without flutter.",
                first.written.to_string(),
                written(held.limits.low),
            ),
            Fault::Extreme { from, to } => (
                Severity::Warning,
                1,
                format!("on the {} it is good between {} and {}", held.label, written(from), written(to)),
                "Write it in the middle of the range, or without flutter.",
                first.written.to_string(),
                format!("{} to {}", written(from), written(to)),
            ),
            Fault::Soft(dynamic) => (
                if softness(Some(dynamic)) > 1 { Severity::Warning } else { Severity::Information },
                1,
                format!(
                    "at {} it {}",
                    dynamic.word(),
                    if softness(Some(dynamic)) > 1 { "hardly begins" } else { "needs luck" }
                ),
                "Write mf, or without flutter.",
                dynamic.word().to_owned(),
                "mp".to_owned(),
            ),
        };
        let softly = matches!(fault, Fault::Soft(_));
        found.push(LocalFinding {
            grade,
            measured: Some(measured),
            limit: Some(limit),
            cures: softly
                .then_some(Cure::Dynamic { with: Dynamic::Mf })
                .into_iter()
                .chain(ended(&run))
                .collect(),
            ..run.finding(
                found.rule,
                view,
                severity,
                format!(
                    "{note} with flutter-tongue: {what} (an estimate). {way}{}",
                    growl(view.player.level)
                ),
            )
        });
    }
}

fn growl(level: Level) -> &'static str {
    match level {
        Level::Professional => "",
        _ => " Not everybody can roll the tongue; a growl serves then.",
    }
}

/// The mark taken away, where each note has its own.
fn ended(run: &Run<'_>) -> Option<Cure> {
    let marked = run.events.iter().all(|e| e.marks.has(Mark::Flutter) && !e.played.flutter);
    let mut marks: Vec<(Span, Mark)> = run.events.iter().map(|e| (e.span, Mark::Flutter)).collect();
    marks.dedup();
    marked.then_some(Cure::TakeAway { marks })
}

fn fault(view: &View<'_>, event: &Event, lie: Lie, shift: i32) -> Option<Fault> {
    if !flutters(event) {
        return None;
    }
    let held = view.instrument(event)?;
    let midi = event.sounding.midi();
    if let Some((hard, hardest)) = flutter_tops(&held.instrument) {
        let (hard, hardest) = (hard + shift, hardest + shift);
        if midi > hardest {
            return Some(Fault::High { mark: hardest, strong: true });
        } else if midi > hard {
            return Some(Fault::High { mark: hard, strong: false });
        }
    }
    if lie == Lie::Pedal {
        return Some(Fault::Pedal);
    }
    if let Some((from, to)) = flutter_middle(&held.instrument, held.limits.low, held.limits.usual)
        && lie == Lie::Fine
        && !(from..=to).contains(&midi)
    {
        return Some(Fault::Extreme { from, to });
    }
    let known = event.swell != Some(Swell::Growing);
    event.dynamic.filter(|dynamic| known && softness(Some(*dynamic)) > 0).map(Fault::Soft)
}

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    roll: Option<Roll>,
}

/// Flutter without a gap.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Roll {
    first: Spot,
    last: Spot,
    seconds: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(roll) = &mut self.roll {
            roll.first.age();
            roll.last.age();
        }
    }
}

fn passage(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.flutter_limits;
    for sound in passage.sounds {
        match sound.kind {
            SoundKind::Grace => continue,
            SoundKind::Note => match sound.event(passage.events).filter(|event| flutters(event)) {
                Some(event) => {
                    let here = Spot::of(event);
                    let roll = state.roll.get_or_insert(Roll { first: here, last: here, seconds: 0.0 });
                    roll.last = here;
                }
                None => finish(passage, state, told),
            },
            SoundKind::Held => {}
            SoundKind::Silence | SoundKind::Improvised => finish(passage, state, told),
        }
        if let Some(roll) = &mut state.roll {
            roll.seconds += sound.seconds;
        }
        if sound.breath {
            finish(passage, state, told);
        }
    }
    if passage.ends {
        finish(passage, state, told);
    }
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(Roll { first, last, seconds }) = state.roll.take() else { return };
    let limit = RULE.limit(passage.settings, "seconds");
    if seconds <= limit + SAME_SECONDS {
        return;
    }
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Information,
        grade: 1,
        at: first,
        from: first,
        to: last,
        lead: format!("{seconds:.1} s of flutter-tongue without a gap"),
        tail: format!(
            "; after about {limit} s the tongue tires (an estimate). Write a rest within it, or let two players take turns.{}",
            growl(passage.level())
        ),
        badness: seconds,
        measured: Some(format!("{seconds:.1} s")),
        limit: Some(format!("{limit} s")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
