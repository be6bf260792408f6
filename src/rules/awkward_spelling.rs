//! # awkward-spelling
//!
//! A note is spelled in a way that makes a player stumble in the part.
//!
//! **Why.** Double accidentals, an E♯ or C♭ that the key does not explain, and one sound spelled two
//! ways in one bar cost a player a beat of thought, and entries are missed. What looks plain in concert
//! pitch may not be so in the transposed part, so the *written* pitch is looked at.
//!
//! **Numbers.** A double sharp or flat: information; a warning for school and amateur players. E♯, B♯,
//! C♭, F♭ outside the written key: information. One sounding pitch spelled two ways in a bar:
//! information.
//!
//! **Source.** A brass-band player's account of entries missed over a double flat and an E♯ (2005);
//! common practice of copyists.
//!
//! ```brass
//! player Hn1 = horn in F
//! bar 1  meter 4/4  key C major
//! Hn1 | h : Gb4 F#4 |
//! //            ^^^ information awkward-spelling: two ways
//! ```
//!
//! ```brass
//! player Hn1 = horn in F
//! bar 1  meter 4/4  key C major
//! Hn1 | h : Bb4 A4 |
//! ```
//!
//! **Fixes.** The plainer spelling, which sounds the same.

use super::finding::{Cure, Severity};
use super::rule::{Check, Found, LocalFinding, Rule, View};
use super::wording::capital;
use crate::brass::Level;
use crate::brass::written::{reading_interval, written_key};
use crate::music::{Interval, Pitch, Step};
use crate::notation::tree::Basis;
use crate::score::event::{Event, EventKind, Origin};

/// The rule.
pub const RULE: Rule = Rule {
    name: "awkward-spelling",
    severity: Severity::Information,
    source: include_str!("awkward_spelling.rs"),
    limits: &[],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    // Only accidentals can be awkward; most blocks of most parts have few.
    let mut seen: Vec<(i32, Pitch)> = Vec::new();
    let mut told: Vec<i32> = Vec::new();
    let mut bar = u32::MAX;
    for event in view.events {
        if event.bar != bar {
            seen.clear();
            told.clear();
            bar = event.bar;
        }
        if !matches!(event.kind, EventKind::Note | EventKind::Grace) || event.origin == Origin::Again {
            continue;
        }
        let written = event.written;
        let midi = written.midi();
        let other = seen.iter().find(|(m, p)| *m == midi && *p != written).map(|(_, p)| *p);
        if !seen.iter().any(|(_, p)| *p == written) {
            seen.push((midi, written));
        }
        if written.alter == 0 && other.is_none() {
            continue;
        }
        // Once one of two spellings is told, the other is the way out.
        let other = other.filter(|_| !told.contains(&midi));
        if let Some(finding) = awkward(view, event, other, found.rule) {
            told.push(midi);
            found.push(finding);
        }
    }
}

fn awkward(view: &View<'_>, event: &Event, other: Option<Pitch>, rule: &'static str) -> Option<LocalFinding> {
    let instrument = view.instrument(event)?;
    let reading = reading_interval(instrument.instrument.reads, view.key);
    let key = view.key.and_then(|k| written_key(k, reading));
    let written = event.written;
    let label = &instrument.label;
    let outside = |p: Pitch| !key.is_some_and(|k| k.holds(p));
    let (severity, message) = if written.alter.abs() == 2 {
        let severity =
            if view.player.level == Level::Professional { Severity::Information } else { Severity::Warning };
        (severity, format!("{} in the part: a double accidental, easily misread", written_in(event, label)))
    } else if is_white_key(written) && outside(written) {
        (
            Severity::Information,
            format!(
                "{} in the part: an accidental on a natural note that the key does not explain",
                written_in(event, label)
            ),
        )
    } else if let Some(other) = other {
        (
            Severity::Information,
            format!(
                "{} in the part, and {other} for the same sound in this bar: one sound spelled two ways",
                written_in(event, label)
            ),
        )
    } else {
        return None;
    };
    let awkwardness = |p: Pitch| (p.alter.abs() == 2, !key.is_some_and(|k| k.holds(p)), is_white_key(p));
    let candidates = (-2..=2).filter_map(|d| Pitch::at(written.staff() + d, written.midi()));
    let best = match other {
        // The way it stood before, unless that is the worse of the two.
        Some(other) if awkwardness(other) <= awkwardness(written) => Some(other),
        Some(_) => None,
        None => candidates.filter(|p| *p != written).min_by_key(|p| (awkwardness(*p), p.alter.abs())),
    };
    let way_out = match best {
        Some(best) => match here(view, best, reading) {
            Some(here) if here != best => format!(" Write {here} here: {best} in the part."),
            _ => format!(" Write {best}."),
        },
        None => format!(" Spell both {}.", written.name()),
    };
    let cures = best
        .filter(|_| event.origin == Origin::Here)
        .and_then(|p| respelled(view, p, reading))
        .into_iter()
        .collect();
    Some(LocalFinding {
        rule,
        severity,
        grade: 1,
        line: event.line,
        span: event.span,
        bar: event.bar,
        message: format!("{message}.{way_out}"),
        measured: Some(written.to_string()),
        limit: None,
        related: Vec::new(),
        cures,
    })
}

fn written_in(event: &Event, label: &str) -> String {
    if event.written == event.sounding {
        capital(&event.written.to_string())
    } else {
        format!("{} is {} for the {label}", event.sounding, event.written)
    }
}

/// E♯ B♯ C♭ F♭: an accidental that leads to the sound of another natural.
fn is_white_key(p: Pitch) -> bool {
    matches!((p.step, p.alter), (Step::E | Step::B, 1) | (Step::C | Step::F, -1))
}

/// The text that spells it so, in the pitch of the row; only where the note stands there itself.
fn respelled(view: &View<'_>, written: Pitch, reading: Interval) -> Option<Cure> {
    Some(Cure::Respell { with: here(view, written, reading)?.to_string() })
}

/// A pitch of the part as it stands in the text.
fn here(view: &View<'_>, written: Pitch, reading: Interval) -> Option<Pitch> {
    match view.basis {
        Basis::Written => Some(written),
        Basis::Concert => reading.apply(written),
    }
}
