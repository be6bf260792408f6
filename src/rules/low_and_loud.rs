//! # low-and-loud
//!
//! A low note is marked so loud as the instrument is not down there.
//!
//! **Why.** Near the bottom of its range a tube gives little power, however hard it is blown: the sound grows
//! rough and not louder. What is meant to crush is covered by everybody who plays an octave higher.
//!
//! **Numbers.** ff or louder is a warning below written C4 on trumpets and cornets; below written G3 on horn,
//! E3 for professionals; below G2 on tenor trombone; below B♭2 on euphonium and baritone; below B♭1 on bass tubas
//! and F1 on contrabass tubas (sounding). `shift` moves the marks by semitones. Bass trombones are made for it.
//! Pedals and muted notes have rules of their own; under `dim` nobody knows how loud it is.
//!
//! **Source.** A studio tubist's workshop report, 2014: a D below the staff is far weaker than the octave above,
//! and composers write the tuba too low where it should be loud. Horn players: the low octave is easily covered
//! (players' accounts). The pitches are estimates.
//!
//! ```brass
//! player Tu = F tuba
//! bar 1  meter 4/4
//! Tu | h : ff A1 Bb1 |
//! //          ^^ warning low-and-loud: ff
//! ```
//!
//! ```brass
//! player Tu = F tuba
//! bar 1  meter 4/4
//! Tu | h : ff Bb1 f A1 |
//! ```
//!
//! **Fixes.** An octave up; f; octaves between trombone and tuba; a bass trombone in unison.

use super::finding::{Cure, Severity};
use super::lie::{Lie, octave_that_fits};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View, runs};
use super::wording::{capital, pitch_for};
use crate::brass::body::Loudness;
use crate::brass::body::loudness::loud_mark;
use crate::music::Dynamic;
use crate::score::event::Event;
use crate::score::state::Swell;

/// The rule.
pub const RULE: Rule = Rule {
    name: "low-and-loud",
    severity: Severity::Warning,
    source: include_str!("low_and_loud.rs"),
    limits: &[Limit { key: "shift", default: 0.0, unit: "semitones", source: "estimate" }],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.events.iter().any(|e| Loudness::of(e.dynamic) >= Loudness::Ff) {
        return;
    }
    let shift = RULE.limit(view.settings, "shift") as i32;
    let low = |event: &Event, lie: Lie| {
        let loud = Loudness::of(event.dynamic) >= Loudness::Ff && event.swell != Some(Swell::Fading);
        let dynamic = event.dynamic.filter(|_| loud && event.played.mute.is_none() && lie == Lie::Fine)?;
        let held = view.instrument(event)?;
        let mark = loud_mark(&held.instrument, view.player.level)? + shift;
        (event.sounding.midi() < mark).then_some((dynamic, mark, event.played.instrument))
    };
    for ((dynamic, mark, instrument), run) in runs(view, low) {
        let (Some(first), Some(held)) = (run.events.first(), view.player.instrument(instrument)) else {
            continue;
        };
        let mark = pitch_for(held, mark, view.key);
        let many = match run.events.len() {
            1 => capital(&view.told(first)),
            n => format!("{n} notes below {mark}"),
        };
        let higher = octave_that_fits(view, &run.events).filter(|octaves| *octaves == 1);
        found.push(LocalFinding {
            measured: Some(dynamic.word().to_owned()),
            limit: Some(format!("f below {mark}")),
            cures: higher
                .map(|octaves| Cure::Octave { octaves })
                .into_iter()
                .chain([Cure::Dynamic { with: Dynamic::F }])
                .collect(),
            ..run.finding(
                found.rule,
                view,
                Severity::Warning,
                format!(
                    "{many} at {}: below {mark} the {} has little power, however hard it is blown (an estimate). Write an octave higher, octaves with another instrument, or f.",
                    dynamic.word(),
                    held.label,
                ),
            )
        });
    }
}
