//! # bend-limits
//!
//! A bend, a fall, a doit, a shake or a rip that has nowhere to go.
//!
//! **Why.** These effects run along the harmonics. Below the lowest open note there is nothing to fall through;
//! near the top there is nothing to bend up to; low down the next harmonic is a fourth or a fifth away, which is no
//! shake; and high up the lips bend a note hardly at all.
//!
//! **Numbers.** Trumpets, cornets and flugelhorns, written pitch: a fall from C4 or lower, information; a doit from
//! above B♭5, a warning; a shake below E5, information, on trombones below sounding B♭3. A bend where playing counts
//! as high (on trumpet above written G5, on horn F5, on euphonium F4), information; a slide bends where lips do not.
//! A rip to a note with fewer than two harmonics of its tube to run through below it (the fourth and up are those
//! that are near enough), information.
//!
//! **Source.** That lips bend down far more easily than up: a mute maker's blog. A shake goes to the next harmonic:
//! an arranger's blog, 2013; lower parts finger it: a page on trumpet playing. Falls and doits: common practice.
//! Rips run from the fourth harmonic up (horn players). The pitches are estimates.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : C4:fall D4:shake |
//! //        ^^^^^^^ information bend-limits: nowhere to fall
//! //                ^^^^^^^^ information bend-limits: shake
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : D4:fall E5:shake |
//! ```
//!
//! **Fixes.** The effect left out, or on another note; a trill of the fingers for a shake; an octave higher.

use super::finding::{Cure, Severity};
use super::lie::{Lie, octave_that_fits};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View, runs};
use super::wording::{capital, pitch_for};
use crate::brass::Build;
use crate::brass::body::effects::{bend_top, doit_top, fall_floor, shake_floor};
use crate::brass::instrument::Instrument;
use crate::notation::Span;
use crate::notation::tree::Mark;
use crate::score::event::Event;

/// Lowest harmonic that a rip runs through (horn players' accounts).
const RIP_FROM: u16 = 4;
/// Harmonics that make a rip (estimate).
const RIP_LEAST: u16 = 2;
/// The marks that are looked at.
const MARKS: [Mark; 5] = [Mark::Fall, Mark::Doit, Mark::Shake, Mark::Bend, Mark::Rip];

/// The rule.
pub const RULE: Rule = Rule {
    name: "bend-limits",
    severity: Severity::Warning,
    source: include_str!("bend_limits.rs"),
    limits: &[Limit { key: "shift", default: 0.0, unit: "semitones", source: "estimate" }],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    for mark in MARKS {
        if view.events.iter().any(|e| e.marks.has(mark)) {
            judge(view, mark, found);
        }
    }
}

fn judge(view: &View<'_>, mark: Mark, found: &mut Found<'_>) {
    let shift = RULE.limit(view.settings, "shift") as i32;
    let fault = |event: &Event, lie: Lie| {
        let held = view.instrument(event).filter(|_| event.marks.has(mark) && lie == Lie::Fine)?;
        let (instrument, midi) = (&held.instrument, event.sounding.midi());
        let limit = match mark {
            Mark::Fall => fall_floor(instrument).map(|floor| floor + shift).filter(|floor| midi <= *floor)?,
            Mark::Doit => doit_top(instrument).map(|top| top + shift).filter(|top| midi > *top)?,
            Mark::Shake => {
                shake_floor(instrument).map(|floor| floor + shift).filter(|floor| midi < *floor)?
            }
            Mark::Bend => {
                bend_top(instrument, view.player.level).map(|top| top + shift).filter(|top| midi > *top)?
            }
            _ => runs_through(instrument, midi).filter(|harmonics| *harmonics < RIP_LEAST).map(i32::from)?,
        };
        Some((limit, event.played.instrument))
    };
    for ((limit, instrument), run) in runs(view, fault) {
        let (Some(first), Some(held)) = (run.events.first(), view.player.instrument(instrument)) else {
            continue;
        };
        let written = pitch_for(held, limit, view.key);
        let note = capital(&view.told(first));
        let (severity, what, limit) = match mark {
            Mark::Fall => (
                Severity::Information,
                format!(
                    "{note} has nowhere to fall: {written} is the lowest open note (common practice). Write the fall on a higher note, or leave it out"
                ),
                written,
            ),
            Mark::Doit => (
                Severity::Warning,
                format!(
                    "{note} has nothing to bend up to: above {written} a doit fails (an estimate). Write it lower, or leave the doit out"
                ),
                written,
            ),
            Mark::Shake => (
                Severity::Information,
                format!(
                    "{note} is low for a shake: below {written} the next harmonic is too far for the lips (an estimate). Write a trill, or leave it out"
                ),
                written,
            ),
            Mark::Bend => (
                Severity::Information,
                format!(
                    "{note} is high for a bend: above {written} lips bend less than a semitone (an estimate). Write it lower, or leave the bend out"
                ),
                written,
            ),
            _ => (
                Severity::Information,
                format!(
                    "A rip to {} has no run of harmonics below it (an estimate). Write a higher note, or leave the rip out",
                    view.told(first)
                ),
                format!("{RIP_LEAST} harmonics"),
            ),
        };
        let mut marks: Vec<(Span, Mark)> = run.events.iter().map(|e| (e.span, mark)).collect();
        marks.dedup();
        let octave = match mark {
            Mark::Doit | Mark::Bend => -1,
            _ => 1,
        };
        let octave = octave_that_fits(view, &run.events).filter(|fits| *fits == octave);
        found.push(LocalFinding {
            measured: Some(first.written.to_string()),
            limit: Some(limit),
            cures: [Cure::TakeAway { marks }]
                .into_iter()
                .chain(octave.map(|octaves| Cure::Octave { octaves }))
                .collect(),
            ..run.finding(found.rule, view, severity, format!("{what}."))
        });
    }
}

/// How many harmonics a rip to this note can run through below it, on the best tube for it; `None` where a slide
/// makes the way.
fn runs_through(instrument: &Instrument, midi: i32) -> Option<u16> {
    if matches!(instrument.build, Build::Slide(_)) {
        return None;
    }
    let highest = instrument.ways(midi).iter().map(|way| way.partial).max()?;
    Some(highest.saturating_sub(RIP_FROM))
}
