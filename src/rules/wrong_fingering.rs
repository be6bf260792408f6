//! # wrong-fingering
//!
//! A fingering or position written with `@` does not give the note.
//!
//! **Why.** A choice marked in a part is obeyed in rehearsal, and then the wrong note sounds. An
//! unusual choice that does hold the note is respected without a word.
//!
//! **Numbers.** Valves: the nearest harmonic of the chosen length lies more than 80 cents away. Slides:
//! more than 60 cents from the position, which the ear then corrects. Valves, positions, thumb or
//! attachments that the instrument does not have.
//!
//! **Source.** Follows from the length of the tube; the charts it agrees with are named in
//! `tests/tables`.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : C5@1 Bb4@1 |
//! //             ^^^^^ error wrong-fingering: usual
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | h : C5@13 D5@3 |
//! ```
//!
//! **Fixes.** The usual fingering or position.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::rule::{Check, Found, LocalFinding, Rule, View};
use super::wording::{capital, distance, pitch_for};
use crate::brass::choice::{Verdict, check as judge};
use crate::brass::hand::fingered_as;
use crate::brass::how::How;
use crate::brass::kind::Kind;
use crate::notation::tree::{Choice, Mark};
use crate::score::event::{Event, EventKind, Origin};
use crate::score::player::PlayerInstrument;

/// The rule.
pub const RULE: Rule = Rule {
    name: "wrong-fingering",
    severity: Severity::Error,
    source: include_str!("wrong_fingering.rs"),
    limits: &[],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    for event in view.events {
        let Some(choice) = event.marks.choice else { continue };
        if event.origin == Origin::Again || !matches!(event.kind, EventKind::Note | EventKind::Grace) {
            continue;
        }
        let Some(instrument) = view.instrument(event) else { continue };
        // Where no fingering gives the note, that is told already.
        if matches!(lie::of(view.player, event), Lie::Gap { .. } | Lie::Nowhere { .. }) {
            continue;
        }
        if let Some(finding) = judged(view, event, choice, instrument, found.rule) {
            found.push(finding);
        }
    }
}

/// How far another note lies: `a tone higher`, `97 cents higher`.
fn away(cents: f64) -> String {
    let side = if cents < 0.0 { "lower" } else { "higher" };
    let semitones = (cents.abs() / 100.0).round();
    if semitones >= 1.0 && (cents.abs() - 100.0 * semitones).abs() < 20.0 {
        format!("{} {side}", distance(semitones as i32))
    } else {
        format!("{:.0} cents {side}", cents.abs())
    }
}

fn judged(
    view: &View<'_>,
    event: &Event,
    choice: Choice,
    instrument: &PlayerInstrument,
    rule: &'static str,
) -> Option<LocalFinding> {
    let how = How::new(choice.thumb, choice.second, choice.digits);
    let midi = event.sounding.midi();
    let stopped = (event.marks.has(Mark::Stopped) || event.played.stopped)
        && instrument.instrument.kind == Kind::Horn
        && instrument.instrument.build.has_valves();
    // Stopped tight, a horn sounds a semitone higher than it is fingered.
    let fingered = if stopped { fingered_as(midi) } else { midi };
    let told = capital(&view.told(event));
    let label = &instrument.label;
    let (message, measured) = match judge(&instrument.instrument, how, fingered) {
        Verdict::Holds(_) => return None,
        Verdict::Gives(other) => (
            format!(
                "@{how} does not give {}: its nearest note on the {label} is {}, {}.",
                view.told(event),
                pitch_for(instrument, other.midi, view.key),
                away(other.off.into())
            ),
            format!("{:+.0} cents", other.off),
        ),
        Verdict::NoValve { wanted, valves } => (
            format!("{told} is marked @{how}, but the {label} has no valve {wanted}, only {valves}."),
            format!("valve {wanted}"),
        ),
        Verdict::NoThumb => (
            format!("{told} is marked @{how}, but the {label} has no thumb valve or attachment."),
            format!("@{how}"),
        ),
        Verdict::NoSecond => (
            format!("{told} is marked @{how}, but the {label} has no second attachment of that kind."),
            format!("@{how}"),
        ),
        Verdict::NoPosition { last } => (
            format!("{told} is marked @{how}, but the {label} has positions 1 to {last} there."),
            format!("@{how}"),
        ),
    };
    let usual =
        if stopped { instrument.instrument.stopped(midi) } else { instrument.instrument.note(midi).usual };
    let usual_told = usual.map(|way| way.how.to_string());
    let way_out = usual_told.as_ref().map_or_else(String::new, |u| format!(" The usual one is @{u}."));
    let cures = usual_told.iter().map(|with| Cure::UsualChoice { with: format!("@{with}") }).collect();
    Some(LocalFinding {
        rule,
        severity: Severity::Error,
        grade: 1,
        line: event.line,
        span: event.span,
        bar: event.bar,
        message: format!("{message}{way_out}"),
        measured: Some(measured),
        limit: usual_told.map(|u| format!("@{u}")),
        related: Vec::new(),
        cures,
    })
}
