//! Notes that the editor has selected, an octave up or down.

use super::case::RowHere;
use super::draft::Draft;
use super::notes::{Sung, at_octave, of_row};
use super::octave::is_leap;
use super::range_words::{count, title, told};
use super::trial::{Tally, Trial};
use super::{Cures, Offer, OfferKind, touches_fault};
use crate::assist::place::Extent;
use crate::notation::Span;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Severity};

/// Octaves that are tried, the nearest first.
const OCTAVES: [i32; 4] = [-1, 1, -2, 2];

/// The octaves at which there is less to find fault with.
pub fn moves(cures: &Cures<'_>, by: Extent) -> Vec<Offer> {
    let Some((row, notes)) = selected(cures.desk, by) else { return Vec::new() };
    // Where nothing is wrong, nothing lies better elsewhere.
    let here = cures.desk.findings_of(&[row.block]);
    let touched = |n: &Sung| {
        let wrong = |f: &&super::Finding| {
            !is_reading_fault(f.rule)
                && f.line == row.at_line()
                && f.span.start < n.event.span.end
                && n.event.span.start < f.span.end
        };
        here.iter().any(|f| wrong(&f))
    };
    if !notes.iter().any(touched) || told(cures.desk, &notes, 0).is_some() {
        return Vec::new();
    }
    let spans: Vec<Span> = notes.iter().map(|n| n.event.span).collect();
    let mut found: Vec<(bool, Tally, Offer)> = Vec::new();
    for octaves in OCTAVES {
        // Two octaves are for what one does not mend.
        if octaves.abs() > 1 && !found.is_empty() {
            break;
        }
        let Some(edits) = at_octave(row.line, row.tree, &spans, octaves) else { continue };
        let draft = Draft::of_line("", row.at_line(), edits);
        if touches_fault(cures.desk, &draft.edits) {
            continue;
        }
        let Some(trial) = Trial::of(cures.desk, &draft.edits) else { continue };
        let (before, after) = trial.tallies();
        let effect = told(cures.desk, &notes, 12 * octaves);
        // Part of a passage leaves a finding on the rest of it: the notes that lie well now count.
        let lie_well =
            effect.is_some() && trial.came().all(|new| new.severity == Severity::Hint || is_leap(new.rule));
        if after >= before && !lie_well {
            continue;
        }
        let fits = effect.is_some();
        let effect = effect.unwrap_or_else(|| fewer(before, after));
        let title = title(octaves, count(&notes), Some(&effect));
        let draft = Draft { title, kind: OfferKind::Move, likely: false, ..draft };
        found.push((fits, after, draft.offer()));
    }
    // Fewer findings are no comfort for notes that lie badly, where there is an octave at which they lie well.
    let any_fits = found.iter().any(|(fits, ..)| *fits);
    found.retain(|(fits, ..)| *fits || !any_fits);
    found.sort_by_key(|(_, after, _)| *after);
    found.into_iter().map(|(_, _, offer)| offer).collect()
}

/// True if a note stands in the stretch.
pub fn has_notes(desk: &Desk, by: Extent) -> bool {
    selected(desk, by).is_some()
}

/// The notes of a row that a stretch of it touches.
fn selected<'d>(desk: &'d Desk, by: Extent) -> Option<(RowHere<'d>, Vec<Sung>)> {
    if by.from.line != by.to.line {
        return None;
    }
    let row = RowHere::on(desk, by.from.line)?;
    let (from, to) = (by.from.byte, by.to.byte);
    let touches = |span: Span| {
        if from == to { span.start <= from && from <= span.end } else { span.start < to && from < span.end }
    };
    let mut notes: Vec<Sung> = of_row(desk, &row);
    notes.retain(|n| touches(n.event.span));
    (!notes.is_empty()).then_some((row, notes))
}

/// `2 findings fewer`, `milder`.
fn fewer(before: Tally, after: Tally) -> String {
    let (before, after): (usize, usize) = (before.iter().sum(), after.iter().sum());
    match before.saturating_sub(after) {
        0 => "which lies better".to_owned(),
        1 => "one finding fewer".to_owned(),
        n => format!("{n} findings fewer"),
    }
}
