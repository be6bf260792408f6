//! # high-and-soft
//!
//! A high note is asked for so softly that it may not sound, or not stay.
//!
//! **Why.** The pressure at which lips begin to swing grows with the pitch. High up there is little between too
//! little breath, where nothing sounds, and more than soft.
//!
//! **Numbers.** Above written G5 on trumpets and cornets, F5 on horn (amateurs D5), F4 on trombone and euphonium,
//! sounding B♭3 on E♭ tuba; for school players above their comfortable top: pp and softer is a warning; for
//! professionals pp is information and ppp a warning. Nothing is said of p, which is everyday there (`from` is 2
//! for pp; with 1 p is information too). `shift` moves the marks by semitones. A note above the player's range has
//! a rule of its own, a muted one sounds softer than it is blown, and on the way from one dynamic to another nobody
//! knows how loud it is: there, and on natural instruments, the rule is silent.
//!
//! **Source.** Threshold pressure in proportion to frequency: Fletcher and Tarnopolsky, J. Acoust. Soc. Am. 105,
//! 874-881, 1999 (abstract). Trumpeters and horn players fear soft high entries (players' accounts). The pitches
//! and dynamics are estimates.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level amateur
//! bar 1  meter 4/4
//! Tp1 | h : pp Ab5 G5 |
//! //           ^^^ warning high-and-soft: pp
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level amateur
//! bar 1  meter 4/4
//! Tp1 | h : pp G5 [mute cup] Ab5 |
//! ```
//!
//! **Fixes.** mp, and softer from there; a mute; an octave lower; a flugelhorn for the trumpet; two in unison.

use super::finding::{Cure, Severity};
use super::lie::{Lie, octave_that_fits};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View, runs};
use super::wording::{at_level, capital, pitch_for};
use crate::brass::body::loudness::{soft_mark, softness, unstable_softness};
use crate::music::Dynamic;
use crate::score::event::Event;

/// The rule.
pub const RULE: Rule = Rule {
    name: "high-and-soft",
    severity: Severity::Warning,
    source: include_str!("high_and_soft.rs"),
    limits: &[
        Limit { key: "shift", default: 0.0, unit: "semitones", source: "estimate" },
        Limit { key: "from", default: 2.0, unit: "(1 is p, 2 pp, 3 ppp)", source: "estimate" },
    ],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.events.iter().any(|e| softness(e.dynamic) > 0) {
        return;
    }
    let from = RULE.limit(view.settings, "from").max(1.0) as u8;
    let shift = RULE.limit(view.settings, "shift") as i32;
    let high = |event: &Event, lie: Lie| {
        let dynamic = event.dynamic.filter(|_| softness(event.dynamic) >= from && event.swell.is_none())?;
        let held = view.instrument(event)?;
        let mark = soft_mark(&held.instrument, view.player.level)? + shift;
        let bare = event.played.mute.is_none() && matches!(lie, Lie::Fine);
        (bare && event.sounding.midi() > mark).then_some((dynamic, mark, event.played.instrument))
    };
    for ((dynamic, mark, instrument), run) in runs(view, high) {
        let (Some(first), Some(held)) = (run.events.first(), view.player.instrument(instrument)) else {
            continue;
        };
        let unstable = softness(Some(dynamic)) >= unstable_softness(view.player.level);
        let severity = if unstable { Severity::Warning } else { Severity::Information };
        let mark = pitch_for(held, mark, view.key);
        let many = match run.events.len() {
            1 => capital(&view.told(first)),
            n => format!("{n} notes above {mark}"),
        };
        let risk = if unstable { "may not speak" } else { "is a risk" };
        let lower = octave_that_fits(view, &run.events).filter(|octaves| *octaves == -1);
        found.push(LocalFinding {
            measured: Some(dynamic.word().to_owned()),
            limit: Some(format!("mp above {mark}")),
            cures: [Cure::Dynamic { with: Dynamic::Mp }]
                .into_iter()
                .chain(lower.map(|octaves| Cure::Octave { octaves }))
                .collect(),
            ..run.finding(
                found.rule,
                view,
                severity,
                format!(
                    "{many} at {}: so soft above {mark} {risk} with {} (an estimate). Write mp, a mute, or an octave lower.",
                    dynamic.word(),
                    at_level(view.player.level),
                ),
            )
        });
    }
}
