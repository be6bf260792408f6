//! # tube-gap
//!
//! A note lies between the last note of the second harmonic and the first pedal, where this tube has
//! nothing.
//!
//! **Why.** The first harmonic, the pedal, lies an octave below the second. The slide or three valves
//! lengthen the tube by six semitones only, so the notes in between are missing: on a straight trombone
//! from E♭2 down to B1. An attachment or a fourth valve fills the gap, not always wholly.
//!
//! **Numbers.** A note that no valves or position reach within 60 cents (slides: 20 cents beyond their
//! end): an error, by physics. A note only 60 to 80 cents off, or the one weak note of a compensating
//! instrument: a warning.
//!
//! **Source.** Follows from the length of the tube; the missing notes of the straight trombone, of
//! three- and four-valve instruments and of the F attachment are checked against published position
//! tables in `tests/tables`.
//!
//! ```brass
//! player Tb1 = straight trombone
//! bar 1  meter 4/4
//! Tb1 | h : E2 Eb2 |
//! //           ^^^ error tube-gap: between the pedal Bb1 and E2
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4
//! Tb1 | h : E2 Eb2 |
//! ```
//!
//! **Fixes.** An octave up; an instrument with an attachment or a fourth valve. Players sometimes lip
//! such a note as an effect (a false tone): `allow tube-gap` says that this is meant.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::rule::{Check, Found, LocalFinding, Rule, View, runs};
use super::wording::{capital, pitch_for};
use crate::brass::build::Build;

/// The rule.
pub const RULE: Rule = Rule {
    name: "tube-gap",
    severity: Severity::Error,
    source: include_str!("tube_gap.rs"),
    limits: &[],
    check: Check::Pair(check),
};

/// What a tube would need to fill the gap of one built so.
fn fills_it(build: &Build) -> &'static str {
    match build {
        Build::Slide(slide) => match slide.attachments().count() {
            // The slide alone counts as one.
            0 | 1 => "a trombone with an attachment",
            2 => "a bass trombone with two attachments, or a tuba",
            _ => "a lower instrument",
        },
        Build::Valved(_) if build.fingers() == 3 => "a lower instrument, or one with a fourth valve",
        Build::Valved(_) if build.fingers() == 4 => {
            "a lower instrument, or one with compensating valves or a fifth valve"
        }
        Build::Valved(_) | Build::Double(_) | Build::Natural { .. } => "a lower instrument",
    }
}

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.all_lie_well {
        return;
    }
    let gap = |_: &_, lie| match lie {
        Lie::Gap { below, above } => Some(Some((below, above))),
        Lie::Weak => Some(None),
        _ => None,
    };
    for (gap, run) in runs(view, gap) {
        let Some(event) = run.events.first() else { continue };
        let Some(instrument) = view.instrument(event) else { continue };
        let told = capital(&view.told(event));
        let octave = lie::octave_that_fits(view, &run.events);
        let (severity, message, measured, limit) = match gap {
            Some((below, above)) => {
                let (below, above) =
                    (pitch_for(instrument, below, view.key), pitch_for(instrument, above, view.key));
                let other = fills_it(&instrument.instrument.build);
                let up = if octave == Some(1) {
                    format!(" An octave up it fits; else give it to {other}.")
                } else {
                    format!(" Give it to {other}.")
                };
                (
                    Severity::Error,
                    format!(
                        "{told} lies between the pedal {below} and {above}, the lowest note above the pedals: the {} has nothing there. Lipped as a false tone it is an effect.{up}",
                        instrument.label
                    ),
                    Some(event.written.to_string()),
                    Some(format!("{below} to {above}")),
                )
            }
            None => {
                let cents = instrument.instrument.note(event.sounding.midi()).usual.map_or(0.0, |w| w.cents);
                (
                    Severity::Warning,
                    format!(
                        "{told} is the weak note of the {}: its best fingering is {cents:+.0} cents off and has to be lipped into tune. Give it to another instrument, or keep it short and soft in the texture.",
                        instrument.label
                    ),
                    Some(format!("{cents:+.0} cents")),
                    None,
                )
            }
        };
        found.push(LocalFinding {
            measured,
            limit,
            cures: octave.map(|octaves| Cure::Octave { octaves }).into_iter().collect(),
            ..run.finding(found.rule, view, severity, message)
        });
    }
}
