//! # short-breath
//!
//! There are places to breathe, but they are too short: the air that comes in is less than goes out, or it
//! is never fresh.
//!
//! **Why.** A quick breath is a part of a breath. Where every gap is a quick one, each phrase begins with
//! less air than the one before. And where little air flows, as on a soft high trumpet, lungs stay full of
//! air that is used up: such gaps are too short to let it out and take in fresh.
//!
//! **Numbers.** A gap below 0.25 s brings no air; a longer one 3 L a second, to no more than a full breath
//! (`catch`, `refill` of `no-breath`). Warning where the air at hand, never filled up, runs out, though every
//! stretch by itself is within a breath; strong at twice a breath. Nothing is said where breaths taken from
//! the ends of tongued notes of half a second and more make up for it. Information where slurs would have to
//! be broken for it, where the only gap of a stretch is below 0.25 s, and where for 40 s (`stale`) there is no
//! gap of half a second (`exchange`) while less than one breath goes through the instrument. Litres and flows
//! are those of `no-breath`.
//!
//! **Source.** That deep breaths are rapid in all players, and that some instruments are limited by holding
//! the breath and not by its volume: Bouhuys, J. Appl. Physiol. 19, 967-975, 1964. The numbers are estimates.
//!
//! **Caution.** Breathing fast and deeply for long, as loud low brass must, can make light-headed. This is
//! general and no medical advice; the player, and the player's teacher, decide.
//!
//! ```brass
//! player Tu = Eb tuba, level amateur
//! bar 1  meter 4/4  tempo q = 112
//! rhythm | e*7 e-                      | e*7 e-                    | w  |
//! Tu     | f Bb1 C2 D2 Eb2 F2 Eb2 D2   | C2 D2 Eb2 F2 Eb2 D2 C2    | -  |
//! //                                                  ^^^^^^^^^ warning short-breath: 0.8 L
//! ```
//!
//! ```brass
//! player Tu = Eb tuba, level amateur
//! bar 1  meter 4/4  tempo q = 112
//! rhythm | e*7 e-                      | e*7 e-                    | w  |
//! Tu     | p Bb1 C2 D2 Eb2 F2 Eb2 D2   | C2 D2 Eb2 F2 Eb2 D2 C2    | -  |
//! ```
//!
//! **Fixes.** One rest of half a second or more in each phrase; a dotted value made a note and a rest; a
//! softer dynamic; two players in turn.

use super::breathing::{Spell, Stretch};
use super::finding::Severity;
use super::no_breath::{cures, severity, words};
use super::passage::PassageFinding;
use super::rule::{Check, Limit, Rule};
use super::settings::Settings;
use super::wording::{at_level, capital, counted};
use crate::brass::Level;
use crate::brass::body::Air;
use crate::brass::body::air::{EXCHANGE_SECONDS, STALE_SECONDS};

/// Share of a breath from which the warning is a strong one (estimate).
const STRONG: f64 = 2.0;

/// The rule.
pub const RULE: Rule = Rule {
    name: "short-breath",
    severity: Severity::Warning,
    source: include_str!("short_breath.rs"),
    limits: &[
        Limit { key: "stale", default: STALE_SECONDS, unit: "s", source: "estimate" },
        Limit { key: "exchange", default: EXCHANGE_SECONDS, unit: "s", source: "estimate" },
    ],
    check: Check::Beside("no-breath"),
};

/// Puts this rule's limits in force.
pub(super) fn set(air: &mut Air, settings: &Settings) {
    air.stale_seconds = RULE.limit(settings, "stale").max(1.0);
    air.exchange_seconds = RULE.limit(settings, "exchange").max(0.0);
}

/// From full lungs to full lungs.
pub(super) fn found(spell: &Spell, air: &Air, level: Level) -> Option<PassageFinding> {
    let who = at_level(level);
    let caution = if spell.loud {
        " Breathing fast and deeply for long can make light-headed; a general caution, no medical advice: the player and their teacher decide."
    } else {
        ""
    };
    let all = |at, severity, lead: String, tail: String, measured: String, limit: String| PassageFinding {
        rule: RULE.name,
        severity,
        grade: if severity == Severity::Warning && spell.breaking > STRONG { 2 } else { 1 },
        at,
        from: spell.first,
        to: spell.last,
        lead,
        tail,
        badness: spell.breaking,
        measured: Some(measured),
        limit: Some(limit),
        related: std::iter::once((spell.first, "here the lungs are full".to_owned()))
            .chain(spell.joint.map(|(spot, joint, _)| (spot, words(joint).to_owned())))
            .collect(),
        cures: cures(spell.joint),
    };
    if let Some(at) = spell.ran_out {
        let missing = counted(spell.missing_litres, air.most_litres() - air.usable_litres, 1);
        let severity = severity(spell.by_choice, spell.breaking)?;
        let gaps = match spell.gaps {
            1 => format!("a gap of {:.1} s brings back", spell.gap_seconds),
            n => format!("{n} gaps of {:.1} s in all bring back", spell.gap_seconds),
        };
        return Some(all(
            at,
            severity,
            "Too little time to breathe".to_owned(),
            format!(
                ": {gaps} {:.1} L, and {missing} L are missing then, with the {} L that {who} has at the beginning (estimates). Write one rest of half a second or more in each phrase, a softer dynamic, or let two players take turns.{caution}",
                spell.gap_seconds * air.refill_litres_per_second,
                air.usable_litres,
            ),
            format!("{missing} L missing"),
            format!("{} L", air.usable_litres),
        ));
    }
    let at = spell.stale.filter(|_| !spell.too_long)?;
    let stale = counted(spell.stale_seconds, air.most_stale_seconds(), 0);
    Some(all(
        at,
        Severity::Information,
        format!("{} s without a gap of {} s", capital(&stale), air.exchange_seconds),
        format!(
            ": so little air flows that lungs stay full of stale air; from {} s on that is tiring (an estimate). Write one rest of half a second or more.",
            air.stale_seconds
        ),
        format!("{stale} s"),
        format!("{} s", air.stale_seconds),
    ))
}

/// A stretch whose only gaps are too short for a breath.
pub(super) fn tiny(stretch: &Stretch, air: &Air, level: Level) -> PassageFinding {
    PassageFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        at: stretch.passed.map_or(stretch.last, |p| p.0),
        from: stretch.first,
        to: stretch.last,
        lead: format!(
            "No gap long enough for a breath in {} s of playing",
            counted(stretch.seconds, air.most_seconds(), 0)
        ),
        tail: format!(
            ": the longest lasts {:.2} s, the quickest breath {} s (an estimate), and {} needs one here. End the note before the gap sooner.",
            stretch.tiny_seconds,
            air.catch_seconds,
            at_level(level)
        ),
        badness: stretch.breaking,
        measured: Some(format!("{:.2} s", stretch.tiny_seconds)),
        limit: Some(format!("{} s", air.catch_seconds)),
        related: std::iter::once((stretch.first, "here the breath begins".to_owned()))
            .chain(stretch.joint.map(|(spot, joint, _)| (spot, words(joint).to_owned())))
            .collect(),
        cures: cures(stretch.joint),
    }
}
