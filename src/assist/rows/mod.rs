//! One row for several players made a row for each of them, and rows that move together made one.
//!
//! Neither changes what anybody plays: both are tried out on a copy, and offered only if every note, dynamic
//! and state of everybody in the block is the same afterwards.

mod gather;
mod music;
mod write_out;

pub(super) use write_out::entry;

use super::cure::{RowHere, Trial};
use super::place::{Extent, TextEdit};
use crate::notation::Span;
use crate::notation::layout::tidy_rows;
use crate::rules::Desk;

/// A block's rows dealt another way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dealing {
    /// What is shown: an imperative.
    pub title: String,
    /// In the order of the text, none overlapping another.
    pub edits: Vec<TextEdit>,
}

/// What can be done with the rows of a stretch: one row of several players written out, or several rows
/// gathered.
pub fn dealings(desk: &Desk, by: Extent) -> Vec<Dealing> {
    let drafts = if by.from.line == by.to.line {
        RowHere::on(desk, by.from.line).and_then(|row| write_out::draft(desk, &row))
    } else {
        gather::draft(desk, by.from.line, by.to.line)
    };
    drafts.and_then(|draft| tried(desk, draft)).into_iter().collect()
}

/// Lines of a block with others in their place.
struct Draft {
    title: String,
    block: usize,
    /// First and last line of the text that go.
    first: u32,
    last: u32,
    /// What comes.
    lines: Vec<String>,
}

/// The draft, if everybody plays what they played; its block tidy if it was tidy before.
fn tried(desk: &Desk, draft: Draft) -> Option<Dealing> {
    let lines = desk.document().lines();
    let (first, last) = (lines.get(draft.first as usize)?, lines.get(draft.last as usize)?);
    let ending = if first.ending.text().is_empty() { "\n" } else { first.ending.text() };
    let edit = |with: String| replaced(draft.first, draft.last, last.text.len() as u32, desk, with);
    let trial = Trial::of(desk, &edit(draft.lines.join(ending))?)?;
    let same = music::same(desk, trial.desk(), draft.block);
    let faults = |desk: &Desk| music::faults(desk, draft.block);
    if !same || faults(trial.desk()) > faults(desk) {
        return None;
    }
    let block = |desk: &Desk| desk.score().blocks.get(draft.block).map(|b| b.read.block.text.lines.clone());
    let head = &desk.score().head.lines;
    let was_tidy = tidy_rows(head, &block(desk)?).is_some_and(|changed| changed.is_empty());
    if !was_tidy {
        return Some(Dealing { title: draft.title, edits: edit(draft.lines.join(ending))? });
    }
    let header = desk.score().blocks.get(draft.block)?.line;
    let (from, count) = ((draft.first - header) as usize, draft.lines.len());
    let mut new = draft.lines;
    let mut edits = Vec::new();
    let gone = (draft.last - draft.first + 1) as usize;
    for (at, text) in tidy_rows(head, &block(trial.desk())?)? {
        if let Some(line) = at.checked_sub(from).and_then(|i| new.get_mut(i)) {
            *line = text;
            continue;
        }
        let line = header + if at < from { at } else { at + gone - count } as u32;
        let end = lines.get(line as usize)?.text.len() as u32;
        edits.push(TextEdit { line, span: Span::new(0, end), with: text });
    }
    edits.extend(edit(new.join(ending))?);
    edits.sort_by_key(|e| (e.line, e.span));
    Some(Dealing { title: draft.title, edits })
}

/// Lines from first to last with this in their place; the last one's end stays.
fn replaced(first: u32, last: u32, end: u32, desk: &Desk, with: String) -> Option<Vec<TextEdit>> {
    let lines = desk.document().lines();
    let mut edits = Vec::new();
    for line in first..last {
        let bytes = lines.get(line as usize)?.bytes() as u32;
        edits.push(TextEdit { line, span: Span::new(0, bytes), with: String::new() });
    }
    edits.push(TextEdit { line: last, span: Span::new(0, end), with });
    Some(edits)
}
