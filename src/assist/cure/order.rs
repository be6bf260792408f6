//! Bar numbers, and where repeats end.

use super::case::Case;
use super::draft::Draft;
use super::notes::tokens;
use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{BlockLine, LineTree, SettingKind};
use crate::score::figure::{expand, is_single_value, value_letters};
use crate::score::wording;

/// What a header can say instead.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let LineTree::Block(header) = &case.line.tree else { return Vec::new() };
    let mut all = Vec::new();
    if header.number.is_some_and(|(span, _)| span == case.finding.span) {
        all.extend(moved_along(case, header));
        all.extend(pickup(case, header));
    }
    all.extend(repeat_to(case, header));
    all
}

/// This block at the bar that is free, and all after it moved along.
fn moved_along(case: &Case<'_>, header: &BlockLine) -> Option<Draft> {
    let (index, placed, _) = case.block()?;
    let (span, number) = header.number?;
    let by = placed.frame.first_bar.checked_sub(i64::from(number)).filter(|by| *by > 0)?;
    let moved = |n: u32| (i64::from(n) + by).to_string();
    let mut edits = vec![TextEdit { line: placed.line, span, with: moved(number) }];
    let mut later = 0;
    for (at, other) in case.score().blocks.iter().enumerate() {
        let Some(line) = other.read.block.text.lines.first() else { continue };
        let LineTree::Block(block) = &line.tree else { continue };
        if at > index
            && let Some((span, n)) = block.number
        {
            edits.push(TextEdit { line: other.line, span, with: moved(n) });
            later += 1;
        }
        for setting in &block.settings {
            if let SettingKind::Repeat { to: Some(to), .. } = setting.what
                && (at >= index || to >= number)
                && let Some(place) = last_number(line, setting.span)
            {
                edits.push(TextEdit { line: other.line, span: place, with: moved(to) });
            }
        }
    }
    let title =
        format!("Begin at bar {}, and move the {later} numbers after it along by {by}", moved(number));
    let title = title.replace("the 1 numbers", "the number");
    (later > 0).then(|| Draft::new(title, edits).unlikely())
}

fn last_number(line: &Line, span: Span) -> Option<Span> {
    tokens(line, span).filter(|t| t.kind == Kind::Number).last().map(|t| t.span)
}

/// A bar 0 that is shorter than the meter says how long it is.
fn pickup(case: &Case<'_>, header: &BlockLine) -> Option<Draft> {
    let (index, placed, _) = case.block()?;
    let (span, number) = header.number?;
    let full = placed.read.lengths.first().copied()?;
    let length = (0..placed.read.block.rows.len()).find_map(|row| {
        let row = super::case::RowHere::at(case.score(), index, row)?;
        let bar = row.tree.bars.first().filter(|b| !b.nodes.is_empty())?;
        expand(bar.nodes.of(&row.tree.nodes), &mut Vec::new()).ok().filter(|total| *total < full)
    })?;
    let letters = is_single_value(length).then(|| value_letters(length))??;
    let title = format!("Make it a pickup of {}", wording::length(length));
    let at = Span::new(span.end, span.end);
    (number == 0).then(|| Draft::of_line(title, case.finding.line, vec![(at, format!("  pickup {letters}"))]))
}

/// The ends of the block in which a repeat ends, and of the block before.
fn repeat_to(case: &Case<'_>, header: &BlockLine) -> Vec<Draft> {
    let Some((index, ..)) = case.block() else { return Vec::new() };
    let setting = header.settings.iter().find(|s| s.span == case.finding.span);
    let Some(SettingKind::Repeat { to: Some(to), .. }) = setting.map(|s| &s.what) else { return Vec::new() };
    let Some(place) = last_number(case.line, case.finding.span) else { return Vec::new() };
    let to = i64::from(*to);
    let ends: Vec<i64> = case
        .score()
        .blocks
        .iter()
        .skip(index)
        .filter(|b| b.frame.bars > 0)
        .map(|b| b.frame.first_bar + i64::from(b.frame.bars) - 1)
        .collect();
    let after = ends.iter().find(|end| **end > to);
    let before = ends.iter().rfind(|end| **end < to);
    let draft = |end: &i64| {
        Draft::of_line(format!("Repeat to bar {end}"), case.finding.line, vec![(place, end.to_string())])
    };
    after.into_iter().chain(before).map(draft).collect()
}
