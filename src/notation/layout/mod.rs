//! The canonical layout of a score.
//!
//! A function of the tokens alone: two texts that differ in blanks only come out the same, and what
//! comes out once comes out again. Blanks are all it changes. A line with a reading fault stays as it
//! is, except for blanks at its end.

mod block;
mod cells;
mod columns;
mod head;
mod squeeze;

use super::line::{Ending, Line};
use super::line_table::LineTable;
use super::span::Span;
use super::tree::LineTree;
use std::sync::Arc;

/// The lines that the canonical layout changes, by number, with their new text (no terminators).
pub fn tidy(lines: &LineTable) -> Vec<(usize, String)> {
    let all: Vec<&Arc<Line>> = lines.iter().collect();
    let phrases = cells::phrase_lengths(&all);
    let mut out: Vec<Option<String>> = vec![None; all.len()];
    head::lay_out(&all, &mut out);
    for block in blocks(&all) {
        block::lay_out(&all, &block, &phrases, &mut out);
    }
    for (line, slot) in all.iter().zip(&mut out) {
        if let LineTree::Phrase(phrase) = &line.tree
            && is_sound(line)
            && let Some(barline) = line.tokens.iter().find(|t| t.kind.is_barline())
        {
            let head = Span::new(0, barline.span.start);
            *slot = Some(block::phrase(line, head, &phrase.row, &phrases));
        }
    }
    let mut before = Ending::None;
    let changed = all.iter().zip(out).enumerate().filter_map(|(at, (line, text))| {
        let mut text = text.unwrap_or_else(|| squeeze::without_trailing_blanks(line).to_owned());
        if text.is_empty() && !line.text.is_empty() && before == Ending::Cr && line.ending == Ending::Lf {
            // With nothing between them, two line ends would become one.
            text.push(' ');
        }
        before = line.ending;
        (text != *line.text).then_some((at, text))
    });
    changed.collect()
}

/// The rows of one block laid out: lines of the block, its header being 0, that change, with their new
/// text. `head` holds the phrases that the rows may play. `None` where a row cannot be read.
pub fn tidy_rows(head: &[Arc<Line>], block: &[Arc<Line>]) -> Option<Vec<(usize, String)>> {
    let all: Vec<&Arc<Line>> = block.iter().collect();
    let is_row = |line: &Line| matches!(line.tree, LineTree::Row(_));
    if all.iter().any(|line| is_row(line) && !is_sound(line)) {
        return None;
    }
    let rows: Vec<usize> = (0..all.len()).filter(|at| all.get(*at).is_some_and(|l| is_row(l))).collect();
    let head: Vec<&Arc<Line>> = head.iter().collect();
    let mut out: Vec<Option<String>> = vec![None; all.len()];
    block::lay_out(&all, &rows, &cells::phrase_lengths(&head), &mut out);
    let changed = all.iter().zip(out).enumerate().filter_map(|(at, (line, text))| Some((at, text?, line)));
    Some(changed.filter(|(_, text, line)| **text != *line.text).map(|(at, text, _)| (at, text)).collect())
}

/// The whole text in canonical layout.
pub fn tidied(lines: &LineTable) -> String {
    let mut changed = tidy(lines).into_iter().peekable();
    let mut out = String::with_capacity(lines.bytes());
    for (at, line) in lines.iter().enumerate() {
        match changed.next_if(|(changed, _)| *changed == at) {
            Some((_, text)) => out.push_str(&text),
            None => out.push_str(&line.text),
        }
        out.push_str(line.ending.text());
    }
    out
}

/// True if a line can be laid out anew without losing anything.
fn is_sound(line: &Line) -> bool {
    line.faults.is_empty()
}

/// The rows of each block, by line number.
fn blocks(lines: &[&Arc<Line>]) -> Vec<Vec<usize>> {
    let mut out = vec![Vec::new()];
    for (at, line) in lines.iter().enumerate() {
        match &line.tree {
            LineTree::Block(_) => out.push(Vec::new()),
            LineTree::Row(_) if is_sound(line) => {
                if let Some(block) = out.last_mut() {
                    block.push(at);
                }
            }
            _ => {}
        }
    }
    out.retain(|block| !block.is_empty());
    out
}
