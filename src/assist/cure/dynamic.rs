//! Another dynamic for the notes of a finding.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::octave::of_finding;
use crate::music::Dynamic;
use crate::notation::Span;
use crate::notation::tree::{Item, What};

/// The dynamic before the first note, and behind the last one what was in force again. Where the row ends, what
/// follows keeps the new one.
pub fn draft(case: &Case<'_>, with: Dynamic) -> Option<Draft> {
    let row = case.row()?;
    let old = of_finding(case)?.last()?.event.dynamic?;
    // A dynamic for one note alone stands before it and is written by itself.
    if old.leaves() != Some(old) {
        return None;
    }
    let span = case.finding.span;
    let holds = |at: u32| move |i: &Item| i.span.start <= at && at < i.span.end;
    let items = &row.tree.items;
    let first = items.iter().position(holds(span.start))?;
    let last = items.iter().position(holds(span.end.checked_sub(1)?))?;
    let colours = |i: &Item| matches!(i.what, What::Dynamic(_) | What::Crescendo | What::Diminuendo);
    if items.get(first..=last)?.iter().any(colours) {
        return None;
    }
    let mut edits: Vec<(Span, String)> = Vec::new();
    let before = first.checked_sub(1).and_then(|at| items.get(at));
    let start = items.get(first)?.span.start;
    match before.filter(|i| colours(i) && same_bar(row.tree.bars.iter().map(|b| b.span), i.span.start, start))
    {
        Some(Item { what: What::Dynamic(_), span, .. }) => edits.push((*span, with.word().to_owned())),
        Some(_) => return None,
        None => edits.push((Span::new(start, start), format!("{} ", with.word()))),
    }
    let behind = items.get(last + 1..)?;
    let next = behind.iter().find(|i| colours(i) || !matches!(i.what, What::Hold | What::Rest | What::Words));
    if let Some(next) = next.filter(|next| !colours(next)) {
        let at = next.span.start;
        edits.push((Span::new(at, at), format!("{} ", old.word())));
    }
    let title = format!("Write {} instead of {}", with.word(), old.word());
    Some(Draft::of_line(title, case.finding.line, fitted(case, edits)))
}

/// True if both bytes lie in one bar.
fn same_bar(bars: impl Iterator<Item = Span>, a: u32, b: u32) -> bool {
    bars.into_iter().any(|bar| bar.start <= a && b < bar.end)
}
