//! An instruction at the start of the rest, or taken out.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::given::fitted;
use crate::notation::Span;

/// The instruction behind this entry, or at the beginning of its row.
pub fn earlier(case: &Case<'_>, instruction: Span, after: Option<Span>) -> Option<Draft> {
    let row = case.row()?;
    let text = case.text(instruction);
    let put = match after {
        Some(entry) => {
            let holds = |span: Span| span.start <= entry.start && entry.end <= span.end;
            let item = row.tree.items.iter().find(|i| !i.what.is_free() && holds(i.span))?;
            (Span::new(item.span.end, item.span.end), format!(" {text}"))
        }
        None => {
            let first = row.items(row.tree.bars.first()?).first()?;
            (Span::new(first.span.start, first.span.start), format!("{text} "))
        }
    };
    if put.0.start >= instruction.start {
        return None;
    }
    let edits = fitted(case, vec![put, (with_blank(&row, instruction), String::new())]);
    Some(Draft::of_line(format!("Write {text} at the start of the rest"), case.finding.line, edits))
}

/// The instructions are gone.
pub fn without(case: &Case<'_>, instructions: &[Span]) -> Option<Draft> {
    let row = case.row()?;
    let gone = |span: &Span| (with_blank(&row, *span), String::new());
    let edits = fitted(case, instructions.iter().map(gone).collect());
    let words: Vec<&str> = instructions.iter().map(|span| case.text(*span)).collect();
    Some(Draft::of_line(format!("Take {} out", words.join(" and ")), case.finding.line, edits).unlikely())
}

/// The stretch and the blank behind it, or before it.
fn with_blank(row: &RowHere<'_>, span: Span) -> Span {
    let text = &row.line.text;
    let behind = text.get(span.end as usize..).is_some_and(|rest| rest.starts_with(' '));
    let before = text.get(..span.start as usize).is_some_and(|rest| rest.ends_with(' '));
    match (behind, before) {
        (true, _) => Span::new(span.start, span.end + 1),
        (false, true) => Span::new(span.start - 1, span.end),
        (false, false) => span,
    }
}
