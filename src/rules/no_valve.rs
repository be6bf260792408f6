//! # no-valve
//!
//! A half-valve effect for an instrument that has no valve.
//!
//! **Why.** The veiled sound of `:halfvalve` comes from a valve pressed halfway. A natural horn, a bugle or a
//! trombone without an attachment has none to press.
//!
//! **Numbers.** None: there is a valve or there is not. On a slide the attachment's valve serves.
//!
//! **Source.** Follows from how the instrument is built.
//!
//! ```brass
//! player Tb1 = straight trombone
//! bar 1  meter 4/4
//! Tb1 | h : Bb3:halfvalve F3 |
//! //        ^^^^^^^^^^^^^ error no-valve: no valve
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tb1 = trombone
//! bar 1  meter 4/4
//! Tp1 | h : C5:halfvalve G4 |
//! Tb1 | h : F3:halfvalve F3 |
//! ```
//!
//! **Fixes.** The effect left out; a glissando or a bend of the lips instead; an instrument with valves.

use super::finding::{Cure, Severity};
use super::rule::{Check, Found, LocalFinding, Rule, View, runs};
use super::wording::capital;
use crate::brass::Build;
use crate::notation::tree::Mark;
use crate::score::event::Event;

/// The rule.
pub const RULE: Rule = Rule {
    name: "no-valve",
    severity: Severity::Error,
    source: include_str!("no_valve.rs"),
    limits: &[],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.events.iter().any(|e| e.marks.has(Mark::Halfvalve)) {
        return;
    }
    let without = |event: &Event, _| {
        let held = view.instrument(event).filter(|_| event.marks.has(Mark::Halfvalve))?;
        let slides = match &held.instrument.build {
            Build::Natural { .. } => false,
            Build::Slide(slide) if slide.behind(true, false).is_none() => true,
            _ => return None,
        };
        Some((event.played.instrument, slides))
    };
    for ((instrument, slides), run) in runs(view, without) {
        let Some(held) = view.player.instrument(instrument) else { continue };
        let Some(first) = run.events.first() else { continue };
        let instead = if slides { "a glissando of the slide" } else { "a bend of the lips" };
        let marked = run.events.iter().map(|e| (e.span, Mark::Halfvalve)).collect();
        found.push(LocalFinding {
            cures: vec![Cure::TakeAway { marks: marked }],
            ..run.finding(
                found.rule,
                view,
                Severity::Error,
                format!(
                    "{} is marked :halfvalve, but the {} has no valve to press halfway. Leave the mark out, or write {instead}.",
                    capital(&view.told(first)),
                    held.label
                ),
            )
        });
    }
}
