//! The notes of a finding an octave up or down.

use super::case::Case;
use super::draft::Draft;
use super::notes::{Sung, at_octave, of_row};
use super::range_words::{count, title, told};
use crate::rules::Cure;

/// Where the rule names octaves at which the notes lie well.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let octaves = case.finding.cures.iter().filter_map(|cure| match cure {
        Cure::Octave { octaves } => Some(*octaves),
        _ => None,
    });
    octaves.filter_map(|octaves| draft(case, octaves)).collect()
}

/// True for what may follow from a note that goes to another octave than its neighbours: it may be the next
/// to follow, and a note that can be played is the better for it.
pub fn is_leap(rule: &str) -> bool {
    matches!(rule, "wide-leap" | "wide-slur")
}

fn draft(case: &Case<'_>, octaves: i32) -> Option<Draft> {
    let row = case.row()?;
    let notes = of_finding(case)?;
    let spans: Vec<_> = notes.iter().map(|n| n.event.span).collect();
    let edits = at_octave(case.line, row.tree, &spans, octaves)?;
    // Whoever shares a note goes with it.
    let everybody: Vec<Sung> =
        of_row(case.desk, &row).into_iter().filter(|n| spans.contains(&n.event.span)).collect();
    let effect = told(case.desk, &everybody, 12 * octaves);
    let title = title(octaves, count(&notes), effect.as_deref());
    Some(Draft::of_line(title, case.finding.line, edits).leaping())
}

/// The notes a finding is about: those of the person whose first and last note its stretch goes to.
pub fn of_finding(case: &Case<'_>) -> Option<Vec<Sung>> {
    let row = case.row()?;
    let (player, _) = case.player()?;
    let span = case.finding.span;
    let inside: Vec<Sung> = of_row(case.desk, &row)
        .into_iter()
        .filter(|n| usize::from(n.player) == player)
        .filter(|n| span.start <= n.event.span.start && n.event.span.end <= span.end)
        .collect();
    let seats = inside.iter().map(|n| n.seat).max()?;
    (0..=seats).find_map(|seat| {
        let mine: Vec<Sung> = inside.iter().filter(|n| n.seat == seat).copied().collect();
        let (first, last) = (mine.first()?.event.span, mine.last()?.event.span);
        (first.start == span.start && last.end == span.end).then_some(mine)
    })
}
