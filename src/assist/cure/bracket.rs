//! A bracket that is never closed.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::notes::tokens;
use crate::notation::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::RowKind;

/// Closed behind as many notes as there are players, or at the end of the bar; an instruction behind its words.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    draft(case).unwrap_or_default()
}

fn draft(case: &Case<'_>) -> Option<Vec<Draft>> {
    let row = case.row().filter(|r| r.row.kind == RowKind::Music)?;
    let (_, bar) = row.bar_at(case.finding.span.start)?;
    let inside: Vec<Token> = tokens(case.line, Span::new(case.finding.span.start, bar.span.end)).collect();
    let open = inside.first()?;
    let close = match case.text(open.span) {
        "(" => ")",
        "[" => "]",
        _ => return None,
    };
    let closed = inside.iter().any(|t| case.text(t.span) == close);
    let ends = ends_of_words(inside.get(1..)?);
    let (count, what) = if close == ")" {
        (row.row.people.len(), "the chord")
    } else {
        let word = inside.get(1).map_or("", |t| case.text(t.span));
        (if matches!(word, "mute" | "clef" | "switch") { 2 } else { 1 }, "the instruction")
    };
    if closed || ends.is_empty() || !case.finding.cures.is_empty() {
        return None;
    }
    let mut places: Vec<u32> = Vec::new();
    places.extend(ends.get(count.saturating_sub(1)));
    if close == ")" {
        places.extend(ends.last());
        places.dedup();
    }
    let draft = |at: &u32| {
        let shown = case.line.text.get(open.span.start as usize..*at as usize).unwrap_or("");
        let title = format!("Close {what}: {shown}{close}");
        Draft::of_line(title, case.finding.line, fitted(case, vec![(Span::new(*at, *at), close.to_owned())]))
    };
    Some(places.iter().map(draft).collect())
}

/// Where each stretch without blanks ends.
fn ends_of_words(tokens: &[Token]) -> Vec<u32> {
    let mut ends: Vec<u32> = Vec::new();
    let mut open = false;
    for token in tokens {
        if matches!(token.kind, Kind::Blank | Kind::Comment) {
            open = false;
        } else if open && let Some(last) = ends.last_mut() {
            *last = token.span.end;
        } else {
            ends.push(token.span.end);
            open = true;
        }
    }
    ends
}
