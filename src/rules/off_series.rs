//! # off-series
//!
//! A note is not among the harmonics of a tube without valves or slide, or is one of those that are
//! out of tune by nature.
//!
//! **Why.** A natural horn, natural trumpet, bugle or alphorn sounds the harmonic series of one tube
//! and nothing else. A horn player's hand in the bell lowers a harmonic and so reaches some notes
//! between, with another colour.
//!
//! **Numbers.** Not a harmonic: an error; on a natural horn, where the hand reaches it, a warning, and
//! silence where `:stopped` or `[stopped]` says that it is meant. Harmonics 7, 11, 13 and 14, which lie
//! 31 cents low, 49 low, 41 high and 31 low: information.
//!
//! **Source.** The deviations follow from the series. What the hand reaches: common practice.
//!
//! ```brass
//! player Tp1 = natural trumpet in D
//! bar 1  meter 4/4
//! Tp1 | h : D5 Eb5 |
//! //           ^^^ error off-series: harmonic
//! ```
//!
//! ```brass
//! player Tp1 = natural trumpet in D
//! bar 1  meter 4/4
//! Tp1 | h : D5 F#5 |
//! ```
//!
//! **Fixes.** The nearest harmonic; another crook; an instrument with valves.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::rule::{Check, Found, LocalFinding, Rule, View, runs};
use super::wording::{capital, pitch_for};
use crate::brass::build::Build;
use crate::notation::tree::Mark;
use crate::score::event::Event;

/// The rule.
pub const RULE: Rule = Rule {
    name: "off-series",
    severity: Severity::Error,
    source: include_str!("off_series.rs"),
    limits: &[],
    check: Check::Pair(check),
};

#[derive(Clone, Copy, PartialEq)]
enum Off {
    Missing { nearest: i32, partial: u16 },
    ByHand,
    OutOfTune { partial: u16 },
}

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.player.instruments.iter().any(|i| matches!(i.instrument.build, Build::Natural { .. })) {
        return;
    }
    for (off, run) in runs(view, |event, lie| off(view, event, lie)) {
        let Some(event) = run.events.first() else { continue };
        let Some(instrument) = view.instrument(event) else { continue };
        let told = capital(&view.told(event));
        let label = &instrument.label;
        let octave = lie::octave_that_fits(view, &run.events);
        let (severity, message, measured) = match off {
            Off::Missing { nearest, partial } => (
                Severity::Error,
                format!(
                    "{told} is not a harmonic of the {label}. The nearest is {} (harmonic {partial}). Use that, another crook, or an instrument with valves.",
                    pitch_for(instrument, nearest, view.key)
                ),
                event.written.to_string(),
            ),
            Off::ByHand => (
                Severity::Warning,
                format!(
                    "{told} is not a harmonic of the {label}; the hand in the bell reaches it, with a covered sound. If that is meant, mark it `:stopped`."
                ),
                event.written.to_string(),
            ),
            Off::OutOfTune { partial } => {
                let cents = instrument.instrument.note(event.sounding.midi()).usual.map_or(0.0, |w| w.cents);
                (
                    Severity::Information,
                    format!(
                        "{told} is harmonic {partial} of the {label}, {:.0} cents too {}: it sounds out of tune unless the player lips or shades it.",
                        cents.abs(),
                        if cents < 0.0 { "low" } else { "high" }
                    ),
                    format!("{cents:+.0} cents"),
                )
            }
        };
        found.push(LocalFinding {
            measured: Some(measured),
            cures: octave.map(|octaves| Cure::Octave { octaves }).into_iter().collect(),
            ..run.finding(found.rule, view, severity, message)
        });
    }
}

fn off(view: &View<'_>, event: &Event, lie: Lie) -> Option<Off> {
    let instrument = view.instrument(event)?;
    if !matches!(instrument.instrument.build, Build::Natural { .. }) {
        return None;
    }
    let stopped = event.marks.has(Mark::Stopped) || event.played.stopped || event.played.hand;
    match lie {
        Lie::OffSeries { by_hand: true, .. } if stopped => None,
        Lie::OffSeries { by_hand: true, .. } => Some(Off::ByHand),
        Lie::OffSeries { nearest, partial, .. } => Some(Off::Missing { nearest, partial }),
        _ => {
            let way = instrument.instrument.note(event.sounding.midi()).usual?;
            matches!(way.partial, 7 | 11 | 13 | 14).then_some(Off::OutOfTune { partial: way.partial })
        }
    }
}
