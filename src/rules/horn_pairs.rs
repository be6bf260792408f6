//! # horn-pairs
//!
//! A passage for two horns is given to first and third, or to second and fourth.
//!
//! **Why.** Horn players sit and work in pairs: first and second, third and fourth, a high player with a low one
//! beside. Two voices given to two high players lack the low one, and the two sit apart.
//!
//! **Numbers.** Information where in a block only two horns of the section play, both high (1 and 3) or both low (2
//! and 4), and have two different notes for two bars or more (`bars`). In unison nothing is said, nor of
//! three horns or four.
//!
//! **Source.** First and third high, second and fourth low; the pairs are 1 and 2, 3 and 4: two articles of an
//! orchestration site, 2013 to 2018; a composers' thread, 2025. The bars are an estimate.
//!
//! ```brass
//! player Hn1 = horn in F
//! player Hn2 = horn in F
//! player Hn3 = horn in F
//! player Hn4 = horn in F
//! bar 1  meter 4/4  tempo q = 80
//! Hn1 | h h : mp F4 Eb4 | h h : D4 C4 |
//! //             ^^^^^^^^^^^^^^^^^^^^ information horn-pairs: 1 and 3
//! Hn3 | h h : mp D4 C4  | h h : Bb3 A3 |
//! bar 3
//! Hn2 | w : C4 |
//! ```
//!
//! ```brass
//! player Hn1 = horn in F
//! player Hn2 = horn in F
//! player Hn3 = horn in F
//! player Hn4 = horn in F
//! bar 1  meter 4/4  tempo q = 80
//! Hn1 | h h : mp F4 Eb4 | h h : D4 C4 |
//! Hn2 | h h : mp D4 C4  | h h : Bb3 A3 |
//! bar 3
//! Hn3 | w : C4 |
//! ```
//!
//! **Fixes.** The passage given to 1 and 2, or to 3 and 4.

use super::ensemble::{Chair, Part, SAME_PLACE, Shared, SharedFound, Sounding, Together};
use super::finding::Severity;
use super::rule::{Check, Limit, LocalFinding, Rule};
use crate::brass::Kind;

/// The rule.
pub const RULE: Rule = Rule {
    name: "horn-pairs",
    severity: Severity::Information,
    source: include_str!("horn_pairs.rs"),
    limits: &[Limit { key: "bars", default: 2.0, unit: "bars", source: "estimate" }],
    check: Check::Block(check),
};

/// A horn player with a note in the block.
type Horn<'a> = (Chair<'a>, &'a Part<'a>);

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let horns: Vec<Horn<'_>> = together
        .parts
        .iter()
        .filter(|part| plays_horn(part))
        .filter_map(|part| Some((Chair::of(part.person)?, part)))
        .collect();
    for (at, (chair, _)) in horns.iter().enumerate() {
        let here = |horn: &&Horn<'_>| horn.0.section == chair.section;
        let mut section = horns.iter().filter(here);
        // Each section is looked at once, from its first.
        let first = horns.iter().position(|horn| here(&horn)) == Some(at);
        if let (true, Some(a), Some(b), None) = (first, section.next(), section.next(), section.next())
            && a.0.number.abs_diff(b.0.number) == 2
        {
            let (one, other) = if a.0.number < b.0.number { (a, b) } else { (b, a) };
            found.out.extend(pair(*one, *other, found.rule, together));
        }
    }
}

/// True if there is a note, and all of them are played on a horn.
fn plays_horn(part: &Part<'_>) -> bool {
    let mut notes = part.notes.iter().filter(|n| n.sounding.is_some()).peekable();
    notes.peek().is_some()
        && notes
            .all(|n| part.person.instrument(n.instrument).is_some_and(|i| i.instrument.kind == Kind::Horn))
}

fn pair(one: Horn<'_>, other: Horn<'_>, rule: &'static str, together: &Together<'_>) -> Option<Shared> {
    let mut wholes = 0.0;
    let mut notes: Option<(Sounding<'_>, Sounding<'_>, Sounding<'_>)> = None;
    for moment in together.moments.iter() {
        let of = |part: &Part<'_>| moment.sounding.iter().find(|s| s.part.player == part.player);
        let (Some(a), Some(b)) = (of(one.1), of(other.1)) else { continue };
        if a.midi != b.midi {
            wholes += moment.length();
            notes.get_or_insert((*a, *a, *b)).1 = *a;
        }
    }
    let (first, last, with) = notes?;
    let bar = together.lengths.get(first.note.bar as usize)?.to_f64();
    let bars = wholes / bar;
    let limit = RULE.limit(together.settings, "bars");
    if bars < limit - SAME_PLACE {
        return None;
    }
    let (low, high) = (one.0.number, other.0.number);
    let kind = if one.0.is_low_horn() { "low" } else { "high" };
    let neighbours = |n: u32| if n.is_multiple_of(2) { (n - 1, n) } else { (n, n + 1) };
    let (a, b) = (neighbours(low), neighbours(high));
    let same_line = last.note.line == first.note.line && last.note.span.start >= first.note.span.start;
    Some(Shared {
        players: vec![one.1.player, other.1.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: first.note.line,
            span: if same_line { first.note.span.to(last.note.span) } else { first.note.span },
            bar: first.note.bar,
            message: format!(
                "Two voices for horns {low} and {high}, both {kind} players, for {bars:.1} bars (from {limit} on it is told, an estimate): horns work in pairs of a high and a low one. Give them to {} and {}, or to {} and {}.",
                a.0, a.1, b.0, b.1
            ),
            measured: Some(format!("{low} and {high}")),
            limit: None,
            related: vec![(
                with.note.line,
                with.note.span,
                format!("the other voice, {}", with.part.person.id),
            )],
            cures: Vec::new(),
        },
    })
}
