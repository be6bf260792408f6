//! # hard-key
//!
//! A part's key signature has more accidentals than players at its level read easily.
//!
//! **Why.** A comfortable concert key may be a hard one once transposed: concert E major is six sharps
//! for a trumpet in B♭. Beyond six accidentals the enharmonic key is used by itself; where even that
//! does not help, or for players still learning, it is worth knowing.
//!
//! **Numbers.** More than six sharps or flats for professionals, five for amateurs, four for school
//! players (`professional`, `amateur`, `school`).
//!
//! **Source.** More than six: common practice, the enharmonic key is easier. Five and four: estimates.
//!
//! ```brass
//! player Tp1 = trumpet in Bb, level school
//! bar 1  meter 4/4  key A major
//! //                ^^^^^^^^^^^ information hard-key: 5 sharps
//! Tp1 | h : A4 B4 |
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  key A major
//! Tp1 | h : A4 B4 |
//! ```
//!
//! **Fixes.** Another key for the piece; `signature none` on the player's line if this person prefers
//! accidentals.

use super::finding::Severity;
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View};
use crate::brass::Level;
use crate::brass::written::{reading_interval, written_key};

/// The rule. It looks at a player where a block names a key.
pub const RULE: Rule = Rule {
    name: "hard-key",
    severity: Severity::Information,
    source: include_str!("hard_key.rs"),
    limits: &[
        Limit { key: "professional", default: 6.0, unit: "accidentals", source: "common practice" },
        Limit { key: "amateur", default: 5.0, unit: "accidentals", source: "estimate" },
        Limit { key: "school", default: 4.0, unit: "accidentals", source: "estimate" },
    ],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    let Some(span) = view.key_named.filter(|_| view.player.signature) else { return };
    let Some(key) = view.key else { return };
    let Some(instrument) = view.player.instruments.first() else { return };
    let reading = reading_interval(instrument.instrument.reads, Some(key));
    let Some(written) = written_key(key, reading) else { return };
    let level = match view.player.level {
        Level::Professional => "professional",
        Level::Amateur => "amateur",
        Level::School => "school",
    };
    let limit = RULE.limit(view.settings, level);
    let count = written.fifths().abs();
    if f64::from(count) <= limit {
        return;
    }
    let sign = if written.fifths() > 0 { "sharps" } else { "flats" };
    found.push(LocalFinding {
        rule: found.rule,
        severity: Severity::Information,
        grade: 1,
        line: 0,
        span,
        bar: 0,
        message: format!(
            "{} reads {written} here, {count} {sign} ({}); more than {limit} are hard going at {level} level. A key a semitone away, or `signature none` for this player, reads more easily.",
            view.player.id, instrument.label
        ),
        measured: Some(format!("{count} {sign}")),
        limit: Some(format!("{limit} accidentals")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
