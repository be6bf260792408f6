//! A breath mark where a phrase has its joint.

use super::case::Case;
use super::draft::Draft;
use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;

/// A comma after the entry that a related place of the finding points at. The figure stays: the breath comes
/// from the end of that note.
pub fn after(case: &Case<'_>, related: usize) -> Option<Draft> {
    let place = case.finding.related.get(related)?;
    let line = case.desk.document().lines().get(place.line as usize)?;
    let at = end_of_entry(line, place.span)?;
    let title = match case.finding.bar {
        Some(_) if place.line == case.finding.line => format!("Breathe after {}", place.span.of(&line.text)),
        _ => format!("Breathe after {} in line {}", place.span.of(&line.text), place.line + 1),
    };
    let edit = TextEdit { line: place.line, span: Span::new(at, at), with: ",".to_owned() };
    Some(Draft::new(title, vec![edit]))
}

/// Where the marks of a note or a hold end; `None` for anything else, and where a breath is marked already.
pub(super) fn end_of_entry(line: &Line, span: Span) -> Option<u32> {
    let mut tokens = line.tokens.iter().skip_while(|t| t.span.start < span.start);
    let first = tokens.next()?;
    if !matches!(first.kind, Kind::Pitch | Kind::Equals) {
        return None;
    }
    let mut end = first.span.end;
    for token in tokens {
        match token.kind {
            Kind::Comma | Kind::Commas => return None,
            Kind::Dot
            | Kind::Minus
            | Kind::Greater
            | Kind::Caret
            | Kind::Low
            | Kind::Technique
            | Kind::Choice => end = token.span.end,
            // `*n` may follow: of copies only the last breathes.
            _ => break,
        }
    }
    Some(end)
}
