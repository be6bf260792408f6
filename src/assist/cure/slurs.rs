//! Slurs that give the tongue less to do: the notes and their times stay.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::notes::tokens;
use super::octave::of_finding;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{Mark, Marks, What};
use crate::rules::Cure;
use crate::score::event::{Event, EventKind};

/// Slur two, tongue two; and slurs in pairs.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    if !case.finding.cures.contains(&Cure::Slurs) {
        return Vec::new();
    }
    let ways = [(4, "Slur two, tongue two"), (2, "Slur in pairs")];
    ways.into_iter().filter_map(|(group, title)| draft(case, group, title)).collect()
}

fn draft(case: &Case<'_>, group: i64, title: &str) -> Option<Draft> {
    let row = case.row()?;
    let notes: Vec<Event> =
        of_finding(case)?.iter().map(|n| n.event).filter(|e| e.kind == EventKind::Note).collect();
    let mut edits: Vec<(Span, String)> = Vec::new();
    for pair in notes.windows(2) {
        let [a, b] = pair else { continue };
        if !is_pair(a, b, group) {
            continue;
        }
        // Copies of one entry, chords and phrases are left alone: a mark there is everybody's.
        let alone = |e: &Event| {
            let item = row.tree.items.iter().find(|i| i.span.start == e.span.start);
            item.filter(|i| matches!(i.what, What::Note(_)) && i.times <= 1)
        };
        let (Some(item), Some(_)) = (alone(a), alone(b)) else { continue };
        let pitch = tokens(case.line, item.span).find(|t| t.kind == Kind::Pitch)?;
        let at = if a.marks == Marks::default() { pitch.span.end } else { item.span.end };
        edits.push((Span::new(at, at), Mark::Slur.sign().to_owned()));
    }
    if edits.is_empty() {
        return None;
    }
    let count = match edits.len() {
        1 => "1 slur".to_owned(),
        n => format!("{n} slurs"),
    };
    Some(Draft::of_line(format!("{title}: {count}"), case.finding.line, fitted(case, edits)))
}

/// True where a slur from the one note to the other begins a group, counted from the barline: a pair; of
/// triplets the first two.
fn is_pair(a: &Event, b: &Event, group: i64) -> bool {
    let joined = a.bar == b.bar && a.length == b.length && a.onset.plus(a.length) == Some(b.onset);
    let free = |e: &Event| {
        let barred = [Mark::Staccato, Mark::Wedge, Mark::Slur, Mark::Breath, Mark::Break, Mark::Gliss];
        barred.into_iter().all(|mark| !e.marks.has(mark))
    };
    let Some(place) = a.onset.over(a.length).filter(|place| place.is_whole()) else { return false };
    let triplets = a.length.denominator() % 3 == 0;
    let first = place.numerator().rem_euclid(if triplets { 3 } else { group }) == 0;
    joined && first && free(a) && free(b) && a.sounding != b.sounding && a.length > Fraction::ZERO
}
