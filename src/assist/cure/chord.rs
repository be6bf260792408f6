//! Chords with too many notes, or written downwards.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use crate::notation::Span;
use crate::notation::tree::{Item, Member, MemberKind, Row, What};

/// The chord that a finding is about.
fn chord<'a>(case: &Case<'a>) -> Option<(&'a Row, &'a Item, &'a [Member])> {
    let tree = case.bars()?;
    let item = tree.items.iter().find(|i| i.span == case.finding.span)?;
    let (What::Chord(slice) | What::GraceChord(slice)) = item.what else { return None };
    Some((tree, item, slice.of(&tree.members)))
}

/// The upper notes kept; under `[solo]`, everybody called back.
pub fn too_many(case: &Case<'_>) -> Vec<Draft> {
    let (Some(row), Some((_, item, members))) = (case.row(), chord(case)) else { return Vec::new() };
    let people = row.row.people.len();
    if members.len() <= people {
        let at = Span::new(item.span.start, item.span.start);
        let edits = vec![(at, "[tutti] ".to_owned())];
        return vec![Draft::of_line("Write [tutti] before it", case.finding.line, fitted(case, edits))];
    }
    kept(case, item, members, people).into_iter().collect()
}

fn kept(case: &Case<'_>, item: &Item, members: &[Member], people: usize) -> Option<Draft> {
    let first_kept = members.get(members.len().checked_sub(people)?)?;
    let first = members.first()?;
    let last = members.last()?;
    let gone = Span::new(first.span.start, first_kept.span.start);
    let line = case.finding.line;
    if people > 1 {
        let title = format!("Keep the last {people} notes of {}", members.len());
        return Some(Draft::of_line(title, line, fitted(case, vec![(gone, String::new())])).unlikely());
    }
    // One note has no brackets; what touched the closing one stays.
    let open = Span::new(first.span.start.checked_sub(1)?, first_kept.span.start);
    let inside = case.text(Span::new(last.span.end, item.span.end));
    let close = Span::new(last.span.end, last.span.end + u32::try_from(inside.find(')')?).ok()? + 1);
    let edits = vec![(open, String::new()), (close, String::new())];
    let title = format!("Keep the last note, {}", case.text(last.span));
    let brackets = case.text(open).starts_with('(');
    brackets.then(|| Draft::of_line(title, line, fitted(case, edits)).unlikely())
}

/// The notes from the lowest to the highest; everybody keeps a note, but perhaps another.
pub fn upwards(case: &Case<'_>) -> Vec<Draft> {
    let Some((_, _, members)) = chord(case).filter(|_| case.finding.cures.is_empty()) else {
        return Vec::new();
    };
    let mut sorted: Vec<(i32, Span)> = Vec::new();
    for member in members {
        let MemberKind::Note(pitch) = member.what else { return Vec::new() };
        sorted.push((pitch.midi(), member.span));
    }
    sorted.sort_by_key(|(midi, _)| *midi);
    let all: Vec<&str> = sorted.iter().map(|(_, span)| case.text(*span)).collect();
    let places = members.iter().map(|m| m.span).zip(&all);
    let edits =
        places.filter(|(span, with)| case.text(*span) != **with).map(|(s, with)| (s, (*with).to_owned()));
    let title = format!("Write it upwards: {}", all.join(" "));
    vec![Draft::of_line(title, case.finding.line, fitted(case, edits.collect())).unlikely()]
}
