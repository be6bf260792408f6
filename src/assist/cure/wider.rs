//! More than what is selected, an octave up or down: the slurred phrase, the bar, the whole block of a row.

use super::case::RowHere;
use super::draft::Draft;
use super::notes::{Sung, at_octave, of_row};
use super::octave::is_leap;
use super::range_words::{direction, told};
use super::trial::{Tally, Trial};
use super::{Cures, Offer, OfferKind, touches_fault};
use crate::assist::place::Extent;
use crate::notation::Span;
use crate::notation::tree::Mark;
use crate::rules::Severity;
use crate::rules::registry::is_reading_fault;

/// The octaves at which all of it lies well and less is found; the smallest stretch first.
pub fn moves(cures: &Cures<'_>, by: Extent) -> Vec<Offer> {
    let Some(row) = RowHere::on(cures.desk, by.from.line).filter(|_| by.from.line == by.to.line) else {
        return Vec::new();
    };
    let all = of_row(cures.desk, &row);
    let touches = |span: Span| span.start <= by.to.byte && by.from.byte <= span.end;
    let selected: Vec<Span> = all.iter().map(|n| n.event.span).filter(|s| touches(*s)).collect();
    if selected.is_empty() {
        return Vec::new();
    }
    let wrong: Vec<Span> = cures
        .desk
        .findings_of(&[row.block])
        .into_iter()
        .filter_map(|f| {
            (!is_reading_fault(f.rule) && f.line == row.at_line() && f.severity > Severity::Hint)
                .then_some(f.span)
        })
        .collect();
    let mut offers: Vec<Offer> = Vec::new();
    let mut before = selected.clone();
    for (name, notes) in wider(&row, &all, &selected) {
        let spans: Vec<Span> = notes.iter().map(|n| n.event.span).collect();
        let hurts = spans.iter().any(|s| wrong.iter().any(|w| w.start < s.end && s.start < w.end));
        if !hurts || spans.iter().all(|s| before.contains(s)) {
            continue;
        }
        for octaves in [-1, 1] {
            offers.extend(offer(cures, &row, &name, &notes, &spans, octaves));
        }
        before = spans;
    }
    offers
}

/// The phrase, the bar and the block around some notes, each with its name.
fn wider(row: &RowHere<'_>, all: &[Sung], selected: &[Span]) -> Vec<(String, Vec<Sung>)> {
    let has = |n: &Sung| selected.contains(&n.event.span);
    let bars: Vec<u32> = all.iter().filter(|n| has(n)).map(|n| n.event.bar).collect();
    let (Some(first), Some(last)) = (bars.iter().min().copied(), bars.iter().max().copied()) else {
        return Vec::new();
    };
    let numbers = |from: u32, to: u32| match (row.number_of(from), row.number_of(to)) {
        (a, b) if a == b => format!("bar {a}"),
        (a, b) => format!("bars {a} to {b}"),
    };
    let mut phrase = Vec::new();
    for person in &row.row.people {
        let mine: Vec<&Sung> =
            all.iter().filter(|n| (n.player, n.seat) == (person.player, person.seat)).collect();
        let slurs = |at: usize| mine.get(at).is_some_and(|n| n.event.marks.has(Mark::Slur));
        let Some(mut from) = mine.iter().position(|n| has(n)) else { continue };
        let mut to = mine.iter().rposition(|n| has(n)).unwrap_or(from);
        while from.checked_sub(1).is_some_and(slurs) {
            from -= 1;
        }
        while slurs(to) && to + 1 < mine.len() {
            to += 1;
        }
        phrase.extend(mine.iter().take(to + 1).skip(from).map(|n| **n));
    }
    let within = |from: u32, to: u32| -> Vec<Sung> {
        all.iter().filter(|n| (from..=to).contains(&n.event.bar)).copied().collect()
    };
    let end = row.placed.frame.bars.saturating_sub(1);
    vec![
        (format!("the phrase in {}", numbers(first, last)), phrase),
        (numbers(first, last), within(first, last)),
        (format!("all of {}", numbers(0, end)), all.to_vec()),
    ]
}

fn offer(
    cures: &Cures<'_>,
    row: &RowHere<'_>,
    name: &str,
    notes: &[Sung],
    spans: &[Span],
    octaves: i32,
) -> Option<Offer> {
    let effect = told(cures.desk, notes, 12 * octaves)?;
    let edits = at_octave(row.line, row.tree, spans, octaves)?;
    let title = format!("{}: {name}, all {effect}", direction(octaves));
    let draft = Draft::of_line(title, row.at_line(), edits).unlikely();
    if touches_fault(cures.desk, &draft.edits) {
        return None;
    }
    let trial = Trial::of(cures.desk, &draft.edits)?;
    let (before, after): (Tally, Tally) = trial.tallies();
    let fine =
        after < before && trial.came().all(|new| new.severity < Severity::Warning || is_leap(new.rule));
    fine.then(|| Draft { kind: OfferKind::Move, ..draft }.offer())
}
