//! The cures that a rule or a fault names itself.

use super::at_entry;
use super::breath;
use super::case::Case;
use super::draft::Draft;
use super::dynamic;
use super::fit::fit;
use super::notes::tokens;
use super::{stagger, undot};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::LineTree;
use crate::rules::Cure;

/// All but the octaves, which have a page of their own.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    case.finding.cures.iter().filter_map(|cure| draft(case, cure)).collect()
}

fn draft(case: &Case<'_>, cure: &Cure) -> Option<Draft> {
    let line = case.finding.line;
    match cure {
        Cure::Replace { title, edits } => {
            let slip = matches!(case.finding.rule, "unreadable" | "unclosed") && is_slip(case.line, edits);
            let safe = slip || is_number_of_block(case, edits);
            Some(Draft::of_line(title.clone(), line, fitted(case, edits.clone())).safe(safe))
        }
        Cure::UsualChoice { with } => {
            let choice = tokens(case.line, case.finding.span).find(|t| t.kind == Kind::Choice)?;
            let edits = fitted(case, vec![(choice.span, with.clone())]);
            Some(Draft::of_line(format!("Write {with}, as is usual"), line, edits))
        }
        Cure::Respell { with } => {
            let pitch = tokens(case.line, case.finding.span).find(|t| t.kind == Kind::Pitch)?;
            let edits = fitted(case, vec![(pitch.span, with.clone())]);
            Some(Draft::of_line(format!("Write {with}, which sounds the same"), line, edits).safe(true))
        }
        Cure::Breathe { related } => breath::after(case, *related),
        Cure::Note { entry, with } => at_entry::note(case, *entry, with),
        Cure::Choices { entries } => at_entry::choices(case, entries),
        Cure::TakeAway { marks } => at_entry::take_away(case, marks),
        Cure::Trill { with } => at_entry::trill(case, with),
        Cure::Legato { entry } => at_entry::legato(case, *entry),
        Cure::Undot { related } => undot::draft(case, *related),
        Cure::Stagger => stagger::draft(case),
        Cure::Dynamic { with } => dynamic::draft(case, *with),
        Cure::Octave { .. } | Cure::Slurs => None,
    }
}

/// Edits of the finding's line, with barlines left where they are.
pub fn fitted(case: &Case<'_>, edits: Vec<(Span, String)>) -> Vec<(Span, String)> {
    match case.bars() {
        Some(row) => fit(case.line, row, edits),
        None => edits,
    }
}

/// The number that a block is read with already.
fn is_number_of_block(case: &Case<'_>, edits: &[(Span, String)]) -> bool {
    let LineTree::Block(block) = &case.line.tree else { return false };
    let (Some((span, _)), [(edited, with)]) = (block.number, edits) else { return false };
    let reads = case.block().map(|(_, placed, _)| placed.frame.first_bar.to_string());
    span == *edited && reads.as_ref() == Some(with)
}

/// True for a slip of the pen: signs and blanks put in, capitals, quotes; every letter and digit stays.
fn is_slip(line: &Line, edits: &[(Span, String)]) -> bool {
    let mut after = String::new();
    let mut at = 0;
    for (span, with) in edits {
        after.push_str(Span::new(at, span.start).of(&line.text));
        after.push_str(with);
        at = span.end;
    }
    after.push_str(Span::new(at, line.text.len() as u32).of(&line.text));
    let in_bars = matches!(line.tree, LineTree::Row(_) | LineTree::Phrase(_));
    // Words that might be anything do not become words to be printed unasked.
    let quotes = |text: &str| text.contains('"');
    let printed = edits
        .iter()
        .any(|(span, with)| quotes(with) && !span.of(&line.text).starts_with(['"', '“', '”', '„', '‟']));
    if in_bars && printed {
        return false;
    }
    let (before, after) = (folded(&line.text, in_bars), folded(&after, in_bars));
    let letters =
        |text: &[char]| -> Vec<char> { text.iter().copied().filter(|c| c.is_alphanumeric()).collect() };
    letters(&before) == letters(&after) && is_within(&before, &after)
}

/// What a text says, whatever its capitals, blanks and kinds of quotes; commas of the head are no more than
/// blanks, and barlines that touch are one.
fn folded(text: &str, in_bars: bool) -> Vec<char> {
    let mut last = ' ';
    let touching = |c: &char| {
        let again = *c == '|' && last == '|';
        last = *c;
        !again
    };
    let chars = text.chars().filter(touching).flat_map(char::to_lowercase);
    let kept = chars.filter(|c| !c.is_whitespace() && *c != '\u{feff}' && (in_bars || *c != ','));
    kept.map(|c| match c {
        '“' | '”' | '„' | '‟' => '"',
        '–' | '—' | '−' | '‐' | '‑' | '‒' => '-',
        other => other,
    })
    .collect()
}

/// True if all of the one stand in the other in the same order.
fn is_within(small: &[char], large: &[char]) -> bool {
    let mut rest = large.iter();
    small.iter().all(|c| rest.any(|other| other == c))
}
