//! Another note, another choice, another trill, or a mark less, at entries of the finding's line.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::Mark;

/// The note of an entry is another; its marks stay.
pub fn note(case: &Case<'_>, entry: Span, with: &str) -> Option<Draft> {
    let pitch = head(case.line, entry)?;
    let title = format!("Write {with} instead of {}", pitch.of(&case.line.text));
    Some(of(case, title, vec![(pitch.span, with.to_owned())]))
}

/// Every entry has this choice.
pub fn choices(case: &Case<'_>, entries: &[(Span, String)]) -> Option<Draft> {
    let mut edits = Vec::with_capacity(entries.len());
    for (entry, with) in entries {
        let pitch = head(case.line, *entry)?;
        let old = touching(case.line, pitch).find(|t| t.kind == Kind::Choice);
        let at = old.map_or(Span::new(pitch.span.end, pitch.span.end), |t| t.span);
        edits.push((at, with.clone()));
    }
    let title = match entries {
        [] => return None,
        [(entry, with)] => format!("Write {with} at {}", entry.of(&case.line.text)),
        [(_, first), .., (_, last)] => format!("Write the {} choices, {first} to {last}", entries.len()),
    };
    Some(of(case, title, edits))
}

/// These marks are gone from their entries.
pub fn take_away(case: &Case<'_>, marks: &[(Span, Mark)]) -> Option<Draft> {
    let (_, first) = marks.first()?;
    let mut edits = Vec::with_capacity(marks.len());
    for (entry, mark) in marks {
        let pitch = head(case.line, *entry)?;
        let found = touching(case.line, pitch).find(|t| t.of(&case.line.text) == mark.sign())?;
        edits.push((found.span, String::new()));
    }
    Some(of(case, format!("Take {} away", first.sign()), edits).unlikely())
}

/// A slur leads on from an entry instead of a glissando.
pub fn legato(case: &Case<'_>, entry: Span) -> Option<Draft> {
    let pitch = head(case.line, entry)?;
    let mut marks = touching(case.line, pitch);
    let gliss = marks.find(|t| t.of(&case.line.text) == Mark::Gliss.sign())?;
    let slurred = touching(case.line, pitch).any(|t| t.of(&case.line.text) == Mark::Slur.sign());
    let with = if slurred { "" } else { Mark::Slur.sign() };
    let title = format!("Slur it instead, {}{}", pitch.of(&case.line.text), Mark::Slur.sign());
    Some(of(case, title, vec![(gliss.span, with.to_owned())]).unlikely())
}

/// The trill of the finding's entry goes to this note.
pub fn trill(case: &Case<'_>, with: &str) -> Option<Draft> {
    let pitch = head(case.line, case.finding.span)?;
    let mut marks = touching(case.line, pitch).skip_while(|t| t.of(&case.line.text) != Mark::Trill.sign());
    let trill = marks.next()?;
    let named = match (marks.next(), marks.next()) {
        (Some(equals), Some(to)) if equals.kind == Kind::Equals && to.kind == Kind::Pitch => to.span.end,
        _ => trill.span.end,
    };
    let edits = vec![(Span::new(trill.span.end, named), format!("={with}"))];
    Some(of(case, format!("Trill to {with}"), edits))
}

fn of(case: &Case<'_>, title: String, edits: Vec<(Span, String)>) -> Draft {
    Draft::of_line(title, case.finding.line, fitted(case, edits))
}

/// The pitch, or the hold, that an entry begins with.
fn head(line: &Line, entry: Span) -> Option<Token> {
    let at = line.tokens.iter().find(|t| t.span.start == entry.start)?;
    matches!(at.kind, Kind::Pitch | Kind::Equals).then_some(*at)
}

/// What touches it behind: its marks.
fn touching(line: &Line, head: Token) -> impl Iterator<Item = Token> + '_ {
    let behind = line.tokens.iter().copied().skip_while(move |t| t.span.start < head.span.end);
    behind.take_while(|t| {
        !matches!(t.kind, Kind::Blank | Kind::Barline | Kind::FigureBarline | Kind::ParenClose | Kind::Times)
    })
}
