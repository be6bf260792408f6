//! # transposition-doubt
//!
//! A part looks as if it had been written in the wrong pitch: transposed once too often, or not at all.
//!
//! **Why.** A score is at concert pitch or in the pitch that players read, and a line copied from the other kind is
//! off by the interval of the instrument from its first note to its last. Each note of it can be played, and
//! none is right.
//!
//! **Numbers.** Two players have the same rhythm throughout a block, at least twelve notes (`notes`) of four
//! different heights or more in four bars or more (`bars`), and the distance between them never changes: if it is, in
//! some octave, the interval by which one of them transposes and the other does not, it is told: a warning for
//! whole tones, since nobody doubles a line so on purpose, information for fourths, fifths, thirds and sixths.
//! And information where half of a part's notes or more, at least eight (`range-notes`), lie outside of what the
//! instrument has at any level, and all of them would fit if an interval of a fourth or more were taken away or
//! added once more. Where nobody else plays in the block nothing is said.
//!
//! **Source.** Accounts of amateurs who transposed the wrong way; common practice. The counts are estimates.
//!
//! ```brass
//! pitch concert
//! player Tp1 = trumpet in Bb
//! player Tb1 = trombone
//! bar 1  meter 4/4  key F major  tempo q = 100
//! Tp1 | q*4 : mf G4 A4 B4 C5 | h q q : D5 C5 B4 | q*4 : A4 B4 A4 G4 | w : A4, |
//! //             ^^ warning transposition-doubt: a tone
//! Tb1 | q*4 : mf F3 G3 A3 Bb3 | h q q : C4 Bb3 A3 | q*4 : G3 A3 G3 F3 | w : G3, |
//! ```
//!
//! ```brass
//! pitch concert
//! player Tp1 = trumpet in Bb
//! player Tb1 = trombone
//! bar 1  meter 4/4  key F major  tempo q = 100
//! Tp1 | q*4 : mf F4 G4 A4 Bb4 | h q q : C5 Bb4 A4 | q*4 : G4 A4 G4 F4 | w : G4, |
//! Tb1 | q*4 : mf F3 G3 A3 Bb3 | h q q : C4 Bb3 A3 | q*4 : G3 A3 G3 F3 | w : G3, |
//! ```
//!
//! **Fixes.** `pitch written` or `pitch concert` as the source has it; the line transposed by the interval.

use super::ensemble::{Note, Part, SAME_PLACE, Shared, SharedFound, Together};
use super::finding::Severity;
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::wording::distance;
use crate::notation::tree::Basis;
use crate::score::player::PlayerInstrument;

const fn estimate(key: &'static str, default: f64, unit: &'static str) -> Limit {
    Limit { key, default, unit, source: "estimate" }
}

/// Different heights that make a tune of notes (estimate): over two or three, everything is parallel.
const HEIGHTS: u32 = 4;
/// Semitones of a transposition from which the range tells anything (estimate): a fourth.
const WIDE: i32 = 5;

/// The rule.
pub const RULE: Rule = Rule {
    name: "transposition-doubt",
    severity: Severity::Information,
    source: include_str!("transposition_doubt.rs"),
    limits: &[
        estimate("notes", 12.0, "notes"),
        estimate("bars", 4.0, "bars"),
        estimate("range-notes", 8.0, "notes"),
    ],
    check: Check::Block(check),
};

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let limit = |key: &str| RULE.limit(together.settings, key) - SAME_PLACE;
    let (notes, bars, range_notes) = (limit("notes"), limit("bars"), limit("range-notes"));
    for (at, part) in together.parts.iter().enumerate() {
        let Some(held) = only_instrument(part) else { continue };
        if part.notes.len() as f64 > range_notes {
            found.out.extend(out_of_range(part, held, found.rule, together));
        }
        if (part.notes.len() as f64) < notes || (together.lengths.len() as f64) < bars {
            continue;
        }
        for other in together.parts.iter().skip(at + 1) {
            let Some(with) = only_instrument(other) else { continue };
            let Some(apart) = parallel(part, other) else { continue };
            // The one that transposes by this interval is the one in doubt.
            let of = |h: &PlayerInstrument, w: &PlayerInstrument| {
                let reads = h.instrument.reads.semitones;
                let fits = (apart - reads) % 12 == 0 || (apart + reads) % 12 == 0;
                fits && reads % 12 != 0 && (reads - w.instrument.reads.semitones) % 12 != 0
            };
            let (who, than) = match (of(held, with), of(with, held)) {
                (true, _) => (part, other),
                (_, true) => (other, part),
                _ => continue,
            };
            if played_bars(part) > bars {
                found.out.extend(tell(who, than, apart, found.rule, together));
            }
        }
    }
}

/// What a part is played on, if that is one thing, by one voice.
fn only_instrument<'a>(part: &Part<'a>) -> Option<&'a PlayerInstrument> {
    let first = part.notes.first()?.instrument;
    if part.person.seats > 1 || part.notes.iter().any(|n| n.instrument != first) {
        return None;
    }
    part.person.instrument(first)
}

/// Semitones between two parts that move in one rhythm and never come nearer; `None` if they do.
fn parallel(a: &Part<'_>, b: &Part<'_>) -> Option<i32> {
    if a.notes.len() != b.notes.len() {
        return None;
    }
    let height = |n: &Note| n.sounding.map(|p| p.midi());
    let apart = height(a.notes.first()?)? - height(b.notes.first()?)?;
    if apart % 12 == 0 {
        return None;
    }
    let mut heights = 0u128;
    for (x, y) in a.notes.iter().zip(b.notes) {
        let together = (x.from - y.from).abs() < SAME_PLACE && (x.to - y.to).abs() < SAME_PLACE;
        let midi = height(x)?;
        if !together || midi - height(y)? != apart {
            return None;
        }
        heights |= 1u128.checked_shl(midi.clamp(0, 127) as u32).unwrap_or(0);
    }
    (heights.count_ones() >= HEIGHTS).then_some(apart)
}

/// Bars in which something begins.
fn played_bars(part: &Part<'_>) -> f64 {
    let bars = part.notes.iter().zip(part.notes.iter().skip(1)).filter(|(a, b)| a.bar != b.bar).count();
    (bars + 1) as f64
}

fn basis(together: &Together<'_>) -> &'static str {
    match together.basis {
        Basis::Concert => "concert pitch",
        Basis::Written => "written pitch",
    }
}

fn tell(
    who: &Part<'_>,
    than: &Part<'_>,
    apart: i32,
    rule: &'static str,
    together: &Together<'_>,
) -> Option<Shared> {
    let first = who.notes.first()?;
    let (id, other) = (&who.person.id, &than.person.id);
    let held = who.person.instrument(first.instrument)?;
    let class = (apart.abs() % 12).min(12 - apart.abs() % 12);
    let severity = if class == 2 { Severity::Warning } else { Severity::Information };
    let interval = interval(apart.abs());
    Some(Shared {
        players: vec![who.player, than.player],
        finding: LocalFinding {
            rule,
            severity,
            grade: 1,
            line: first.line,
            span: first.span,
            bar: first.bar,
            message: format!(
                "{id} and {other} have one rhythm and stay {interval} apart for {} notes, by as much as a {} transposes. This score is in {}: was the line of {id} copied from one that is not? Transpose it, or say `pitch written` or `pitch concert` as the source has it.",
                who.notes.len(),
                held.label,
                basis(together),
            ),
            measured: Some(interval),
            limit: None,
            related: than
                .notes
                .first()
                .map(|n| (n.line, n.span, format!("the line of {other}")))
                .into_iter()
                .collect(),
            cures: Vec::new(),
        },
    })
}

fn interval(semitones: i32) -> String {
    match (semitones % 12, semitones / 12) {
        (near, 0) => distance(near),
        (near, 1) => format!("{} and an octave", distance(near)),
        (near, octaves) => format!("{} and {octaves} octaves", distance(near)),
    }
}

fn out_of_range(
    part: &Part<'_>,
    held: &PlayerInstrument,
    rule: &'static str,
    together: &Together<'_>,
) -> Option<Shared> {
    let reads = held.instrument.reads.semitones;
    if reads.abs() < WIDE {
        return None;
    }
    let limits = &held.limits;
    let low = limits.pedal_low.map_or(limits.low, |pedal| pedal.min(limits.low));
    let top = limits.reach.max(limits.usual);
    let mut heights = part.notes.iter().filter_map(|n| n.sounding).map(|p| p.midi());
    let outside = heights.clone().filter(|midi| *midi < low || *midi > top).count();
    if outside == 0 || outside * 2 < part.notes.len() {
        return None;
    }
    let fits = |by: i32, mut all: &mut dyn Iterator<Item = i32>| {
        (&mut all).all(|midi| (limits.low..=limits.usual).contains(&(midi + by)))
    };
    let (once_more, taken_away) = (fits(reads, &mut heights.clone()), fits(-reads, &mut heights));
    let what = match (once_more, taken_away) {
        (true, false) => "were transposed once more",
        (false, true) => "were not transposed",
        _ => return None,
    };
    let first = part.notes.first()?;
    Some(Shared {
        players: vec![part.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: first.line,
            span: first.span,
            bar: first.bar,
            message: format!(
                "{outside} of {} notes lie outside of what a {} has at all, and every one would fit if they {what}. This score is in {}: was the line copied from one that is not?",
                part.notes.len(),
                held.label,
                basis(together),
            ),
            measured: Some(format!("{outside} of {} notes", part.notes.len())),
            limit: None,
            related: Vec::new(),
            cures: Vec::new(),
        },
    })
}
