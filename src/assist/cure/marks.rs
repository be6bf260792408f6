//! Ways out by the marks of a note: another position, another trill, no half-valve; and by another note.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::notes::tokens;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::rules::Cure;

/// The edits of such a cure.
pub fn draft(case: &Case<'_>, cure: &Cure) -> Option<Draft> {
    let (title, edits) = match cure {
        Cure::Note { entry, with } => {
            let pitch = tokens(case.line, *entry).find(|t| t.kind == Kind::Pitch)?;
            (
                format!("Write {with} instead of {}", pitch.of(&case.line.text)),
                vec![(pitch.span, with.clone())],
            )
        }
        Cure::Choices { entries } => {
            // A row of several people takes no choice.
            if case.row().is_some_and(|here| here.row.people.len() > 1) {
                return None;
            }
            let edits = entries.iter().map(|(entry, with)| choice(case.line, *entry, with));
            (format!("Write {}", told(entries)), edits.collect::<Option<Vec<_>>>()?)
        }
        Cure::TakeAway { marks } => {
            let first = marks.first()?.1.sign();
            let taken = marks.iter().map(|(entry, mark)| technique(case.line, *entry, mark.sign()));
            let edits: Option<Vec<_>> = taken.map(|span| Some((span?, String::new()))).collect();
            (format!("Take {first} away"), edits?)
        }
        Cure::Trill { with } => {
            (format!("Trill to {with}"), vec![trill(case.line, case.finding.span, with)?])
        }
        _ => return None,
    };
    (!edits.is_empty()).then(|| Draft::of_line(title, case.finding.line, fitted(case, edits)))
}

fn told(entries: &[(Span, String)]) -> String {
    let mut words: Vec<&str> = entries.iter().map(|(_, with)| with.as_str()).collect();
    words.dedup();
    words.join(" and ")
}

/// `@…` of an entry, put in after its pitch where it has none.
fn choice(line: &Line, entry: Span, with: &str) -> Option<(Span, String)> {
    let span = match tokens(line, entry).find(|t| t.kind == Kind::Choice) {
        Some(choice) => choice.span,
        None => {
            let pitch = tokens(line, entry).find(|t| t.kind == Kind::Pitch)?;
            Span::new(pitch.span.end, pitch.span.end)
        }
    };
    Some((span, with.to_owned()))
}

/// A technique of an entry with its colon.
fn technique(line: &Line, entry: Span, sign: &str) -> Option<Span> {
    let all: Vec<Token> = tokens(line, entry).collect();
    all.windows(2).find_map(|pair| {
        let [colon, word] = pair else { return None };
        let here = colon.of(&line.text) == ":" && sign.strip_prefix(':') == Some(word.of(&line.text));
        here.then(|| colon.span.to(word.span))
    })
}

/// `=…` of a trill, put in where it has none.
fn trill(line: &Line, entry: Span, with: &str) -> Option<(Span, String)> {
    let word = technique(line, entry, ":trill")?;
    let named = tokens(line, entry).find(|t| t.span.start > word.end && t.kind == Kind::Pitch);
    let touching = named.filter(|t| t.span.start == word.end + 1);
    Some(match touching {
        Some(pitch) => (pitch.span, with.to_owned()),
        None => (Span::new(word.end, word.end), format!("={with}")),
    })
}
