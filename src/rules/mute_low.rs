//! # mute-low
//!
//! Low notes that hardly speak with this mute in.
//!
//! **Why.** A mute shortens the air column of the bell and leaves it a narrow way out: the lowest notes lose their
//! body, wobble, or do not come at all. A harmon has no lowest notes, a poor straight mute weak ones; every tuba
//! mute has wolf notes.
//!
//! **Numbers.** Information below these notes: with a harmon, the second harmonic of the open tube (`harmon`, 0
//! semitones from it): written C4 on trumpets, B♭2 on trombones. With a straight mute, for school and amateur
//! players, whose mutes are not always good: written A3 on trumpets (`straight-trumpet`, −3), F2 on tenor
//! trombones (`straight-trombone`, −5), written G3 on horns in F (`straight-horn`: sounding C3, 48 semitones above
//! C−1). With any mute on a tuba, sounding F1 (`tuba`, 29), and that is a warning.
//!
//! **Source.** That low notes are weak with a poor mute: a horn page on fundamentals, band directors' pages; wolf
//! notes: a tuba guide. The notes themselves are estimates.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | [mute harmon] rest 2 | h : A3 Bb3 |
//! //                               ^^ information mute-low: harmon
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | [mute cup] rest 2 | h : A3 Bb3 |
//! ```
//!
//! **Fixes.** An octave up; the passage open and soft; another mute.

use super::finding::{Cure, Severity};
use super::mute_time::name;
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View, runs};
use super::wording::{capital, pitch_for};
use crate::brass::body::Voice;
use crate::brass::{Kind, Level, Mute};
use crate::score::event::Event;
use crate::score::player::PlayerInstrument;

const fn from_harmonic(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "semitones from harmonic 2", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "mute-low",
    severity: Severity::Information,
    source: include_str!("mute_low.rs"),
    limits: &[
        from_harmonic("harmon", 0.0),
        from_harmonic("straight-trumpet", -3.0),
        from_harmonic("straight-trombone", -5.0),
        Limit { key: "straight-horn", default: 48.0, unit: "semitones above C-1", source: "estimate" },
        Limit { key: "tuba", default: 29.0, unit: "semitones above C-1", source: "estimate" },
    ],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.arriving.mute.is_none() && view.turns.is_empty() {
        return;
    }
    let weak = |event: &Event, _| {
        let mute = event.played.mute?;
        let held = view.instrument(event)?;
        let lowest = lowest(view, held, mute)?;
        (event.sounding.midi() < lowest).then_some((mute, event.played.instrument, lowest))
    };
    for ((mute, instrument, lowest), run) in runs(view, weak) {
        let Some(held) = view.player.instrument(instrument) else { continue };
        let Some(deepest) = run.events.iter().min_by_key(|e| e.sounding.midi()) else { continue };
        let tuba = Voice::of(&held.instrument) == Voice::Tuba;
        let message = format!(
            "{} lies low for the {} on the {}: below {} it hardly speaks (an estimate). Write it an octave higher, or open and soft.",
            capital(&view.told(deepest)),
            name(mute),
            held.label,
            pitch_for(held, lowest, view.key)
        );
        let severity = if tuba { Severity::Warning } else { Severity::Information };
        found.push(LocalFinding {
            measured: Some(deepest.written.to_string()),
            limit: Some(pitch_for(held, lowest, view.key)),
            cures: vec![Cure::Octave { octaves: 1 }],
            ..run.finding(found.rule, view, severity, message)
        });
    }
}

/// The lowest sounding note that still speaks; `None` where nothing is known.
fn lowest(view: &View<'_>, held: &PlayerInstrument, mute: Mute) -> Option<i32> {
    let limit = |key: &str| RULE.limit(view.settings, key).round() as i32;
    let tube = &held.instrument;
    let second = tube.tube.fundamental + 12;
    let simple = view.player.level != Level::Professional;
    Some(match (mute, Voice::of(tube)) {
        (_, Voice::Tuba) => limit("tuba"),
        (Mute::Harmon | Mute::HarmonStemless, Voice::Trumpet | Voice::Trombone | Voice::BassTrombone) => {
            second + limit("harmon")
        }
        (Mute::Straight, Voice::Trumpet) if simple => second + limit("straight-trumpet"),
        (Mute::Straight, Voice::Trombone) if simple && tube.kind == Kind::Trombone => {
            second + limit("straight-trombone")
        }
        (Mute::Straight, Voice::Horn) if simple && tube.kind == Kind::Horn => limit("straight-horn"),
        _ => return None,
    })
}
