//! Notes whose octave was forgotten, or given twice.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use crate::music::Pitch;
use crate::music::Step;
use crate::music::pitch::parse_accidental;
use crate::notation::token::Kind;

/// The note nearest to the one before it on the line, else to the one after it.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    draft(case).into_iter().collect()
}

fn draft(case: &Case<'_>) -> Option<Draft> {
    case.bars()?;
    if !case.finding.cures.is_empty() {
        return None;
    }
    let said = case.said();
    let name = said.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = said.get(name.len()..)?;
    let mut letters = name.chars();
    let step = Step::from_letter(letters.next()?.to_ascii_uppercase())?;
    let alter = parse_accidental(letters.as_str())?;
    let barline = case.line.tokens.iter().find(|t| t.kind.is_barline())?.span.start;
    let pitch = |t: &crate::notation::token::Token| Pitch::parse(t.of(&case.line.text));
    let is = |t: &&crate::notation::token::Token| t.kind == Kind::Pitch && t.span.start > barline;
    let span = case.finding.span;
    let before =
        case.line.tokens.iter().filter(is).filter(|t| t.span.end <= span.start).filter_map(pitch).next_back();
    let after = case.line.tokens.iter().filter(is).filter(|t| t.span.start >= span.end).find_map(pitch);
    let near = before.or(after)?;
    let octaves = (0..=9).filter_map(|octave| Pitch::new(step, alter, octave));
    let with = match digits.len() {
        0 => octaves.min_by_key(|p| (p.midi() - near.midi()).abs())?,
        // One digit too many: one of them was meant.
        _ => octaves
            .filter(|p| digits.contains(&p.octave.to_string()))
            .min_by_key(|p| (p.midi() - near.midi()).abs())?,
    };
    let title = format!("Write {with}, nearest to {near}");
    Some(Draft::of_line(title, case.finding.line, fitted(case, vec![(span, with.to_string())])))
}
