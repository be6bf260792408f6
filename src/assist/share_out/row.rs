//! The row after its chords have been shared.

use super::people::Who;
use super::task::{Task, Unit};
use crate::assist::cure::fit::fit;
use crate::assist::hand_over::Declined;
use crate::assist::place::TextEdit;
use crate::assist::rows::entry;
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::Mark;
use crate::section::share::Taken;
use std::fmt::Write as _;

/// The edits of the row: of each chord what its own people keep.
pub fn edits(task: &Task<'_>, who: &[Who], shares: &[Taken]) -> Result<Vec<TextEdit>, Declined> {
    let mut edits: Vec<(Span, String)> = Vec::new();
    for (unit, taken) in task.units.iter().zip(shares) {
        let with = kept(task, unit, who, taken).ok_or(Declined::Unread)?;
        if with != task.row.text(unit.item.span) {
            edits.push((unit.item.span, with));
        }
    }
    let line = task.row.at_line();
    let fitted = fit(task.row.line, task.row.tree, edits);
    Ok(fitted.into_iter().map(|(span, with)| TextEdit { line, span, with }).collect())
}

/// What stands in the place of a chord.
fn kept(task: &Task<'_>, unit: &Unit<'_>, who: &[Who], taken: &Taken) -> Option<String> {
    // By place on the row, the first named first.
    let mut mine: Vec<(usize, Option<usize>)> =
        who.iter().zip(taken).filter_map(|(w, tone)| Some((w.on_row?, *tone))).collect();
    mine.sort_unstable();
    let members: Vec<usize> =
        mine.iter().filter_map(|(_, tone)| unit.tones.get((*tone)?).map(|(_, member)| *member)).collect();
    let behind = |open: u32| task.row.text(Span::new(open, unit.item.span.end));
    let close = task.row.line.tokens.iter().find(|t| {
        t.kind == Kind::ParenClose && unit.item.span.start < t.span.start && t.span.end <= unit.item.span.end
    })?;
    if mine.len() == 1 && members.is_empty() {
        // Whoever had the chord rests.
        let mut text = "-".to_owned();
        let marks = unit.item.marks;
        Mark::ON_REST.iter().filter(|m| marks.has(**m)).for_each(|m| text.push_str(m.sign()));
        if unit.item.times > 1 {
            write!(text, "*{}", unit.item.times).ok()?;
        }
        return Some(text);
    }
    if members.len() != mine.len() {
        return None;
    }
    let all: Option<Vec<_>> = members.iter().map(|at| unit.members.get(*at)).collect();
    let all = all?;
    if all.len() == 1 {
        return entry(task.row.line, unit.item, &all, false)?;
    }
    let inside: Vec<&str> = all.iter().rev().map(|m| task.row.text(m.span)).collect();
    Some(format!("({}){}", inside.join(" "), behind(close.span.end)))
}
