//! # too-high
//!
//! A note is higher than players of this level can be relied on to play.
//!
//! **Why.** The top of a brass instrument is soft: it depends on the person, the day and the bars before.
//! A note above the usual top may come out, crack, or tire the lips for what follows.
//!
//! **Numbers.** Each instrument has a usual top for school, amateur and professional players, and a
//! reach: what most professionals can play. `waterkey chart INSTRUMENT` prints them. Above the usual top
//! is a warning; above the reach a strong one. Nothing is an error for being high. A player's own `top`
//! replaces both.
//!
//! **Source.** The table of instruments (`src/brass/catalogue.tsv` in the project) names the source of
//! every limit, or says that it is an estimate. For the B♭ trumpet (written D6 usual, G6 reached): common practice.
//!
//! **Caution.** High playing strains the lips. These limits are general; the player, and the player's
//! teacher, decide.
//!
//! ```brass
//! player Tp1 = trumpet in Bb, level school
//! bar 1  meter 4/4
//! Tp1 | h : G5 F5 |
//! //        ^^ warning too-high: usual top
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : C6 Bb5 |
//! ```
//!
//! **Fixes.** An octave down, where the passage then fits; a player who reaches it; `top G6` on the
//! player's line if this person plays it.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::rule::{Check, Found, LocalFinding, Rule, View, runs};
use super::wording::{at_level, distance, pitch_for};

/// The rule.
pub const RULE: Rule = Rule {
    name: "too-high",
    severity: Severity::Warning,
    source: include_str!("too_high.rs"),
    limits: &[],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.all_lie_well {
        return;
    }
    let high = |_: &_, lie| match lie {
        Lie::High { limit } => Some((1u8, limit)),
        Lie::Highest { limit } => Some((2, limit)),
        _ => None,
    };
    for ((grade, limit), run) in runs(view, high) {
        let Some(top) = run.events.iter().max_by_key(|e| e.sounding.midi()) else { continue };
        let Some(instrument) = view.instrument(top) else { continue };
        let over = distance(top.sounding.midi() - limit);
        let limit_told = pitch_for(instrument, limit, view.key);
        let whose = if instrument.own_top.is_some() {
            format!("this player's own top, {limit_told}")
        } else if grade == 2 {
            format!("{limit_told}, the highest note that most professionals reach on this instrument")
        } else {
            format!(
                "{limit_told}, the usual top of {} on the {}",
                at_level(view.player.level),
                instrument.label
            )
        };
        let told = super::wording::capital(&view.told(top));
        let octave = lie::octave_that_fits(view, &run.events);
        let way_out = match octave {
            Some(-1) => " An octave down it fits.",
            _ if instrument.own_top.is_some() => " Give it to a higher player.",
            _ if grade == 2 => " Few people play it: write it for one you know, and let `top` say so.",
            _ => " Give it to a stronger player, or let `top` say how far this one goes.",
        };
        found.push(LocalFinding {
            grade,
            measured: Some(told_plain(top)),
            limit: Some(limit_told),
            cures: octave.map(|octaves| Cure::Octave { octaves }).into_iter().collect(),
            ..run.finding(
                found.rule,
                view,
                Severity::Warning,
                format!("{told} is {over} above {whose}.{way_out}"),
            )
        });
    }
}

fn told_plain(event: &crate::score::event::Event) -> String {
    event.written.to_string()
}
