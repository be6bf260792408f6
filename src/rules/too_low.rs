//! # too-low
//!
//! A note is lower than the tube can sound, or lower than players of this level go.
//!
//! **Why.** Every valve down or the slide all the way out is the longest the tube gets. Below its lowest
//! pedal there is nothing at all; above that, the lowest notes are slow and weak in the hands of players
//! who have not worked at them.
//!
//! **Numbers.** Below the last pedal that the longest tube gives: an error, by physics. Below the
//! level's low: a warning. Pedals have a rule of their own, `pedal-care`; notes missing between the
//! pedals and the second harmonic too, `tube-gap`. A player's own `bottom` replaces the level's low.
//!
//! **Source.** The lowest note follows from the tube. `src/brass/catalogue.tsv` names the source of
//! each level's low, or says that it is an estimate.
//!
//! ```brass
//! player Hn1 = horn in F, level school
//! bar 1  meter 4/4
//! Hn1 | h : Bb2 C4 |
//! //        ^^^ warning too-low: school player
//! ```
//!
//! ```brass
//! player Hn1 = horn in F
//! bar 1  meter 4/4
//! Hn1 | h : Bb2 C4 |
//! ```
//!
//! **Fixes.** An octave up, where the passage then fits; a lower instrument; `bottom` on the player's
//! line if this person plays it.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::rule::{Check, Found, LocalFinding, Rule, View, runs};
use super::wording::{at_level, capital, distance, pitch_for};

/// The rule.
pub const RULE: Rule = Rule {
    name: "too-low",
    severity: Severity::Warning,
    source: include_str!("too_low.rs"),
    limits: &[],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.all_lie_well {
        return;
    }
    let low = |_: &_, lie| match lie {
        Lie::Low { limit } => Some((false, limit)),
        Lie::Nowhere { lowest } => Some((true, lowest)),
        _ => None,
    };
    for ((nowhere, limit), run) in runs(view, low) {
        let Some(bottom) = run.events.iter().min_by_key(|e| e.sounding.midi()) else { continue };
        let Some(instrument) = view.instrument(bottom) else { continue };
        let told = capital(&view.told(bottom));
        let under = distance(limit - bottom.sounding.midi());
        let limit_told = pitch_for(instrument, limit, view.key);
        let octave = lie::octave_that_fits(view, &run.events);
        let way_out = match octave {
            Some(1) => " An octave up it fits.",
            Some(2) => " Two octaves up it fits.",
            _ => " Give it to a lower instrument.",
        };
        let message = if nowhere {
            format!(
                "{told} is {under} below {limit_told}, the lowest pedal this tube gives ({}): nobody can play it.{way_out}",
                instrument.label
            )
        } else if instrument.own_bottom.is_some() {
            format!("{told} is {under} below this player's own bottom, {limit_told}.{way_out}")
        } else {
            format!(
                "{told} is {under} below {limit_told}, the lowest note to rely on from {} on the {}.{way_out}",
                at_level(view.player.level),
                instrument.label
            )
        };
        found.push(LocalFinding {
            measured: Some(bottom.written.to_string()),
            limit: Some(limit_told),
            cures: octave.map(|octaves| Cure::Octave { octaves }).into_iter().collect(),
            ..run.finding(
                found.rule,
                view,
                if nowhere { Severity::Error } else { Severity::Warning },
                message,
            )
        });
    }
}
