//! The edits that make one text of another, line by line, within some blocks.

use crate::assist::place::{TextEdit, differing};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::rules::Desk;
use std::ops::Range;
use std::sync::Arc;

/// Lines on either side beyond which no lines are matched: all of them are replaced.
const MOST_LINES: usize = 2000;

/// The edits, in the order of the text; both scores have as many blocks.
pub fn edits(from: &Desk, to: &Desk, blocks: &Range<usize>) -> Vec<TextEdit> {
    let lines = |desk: &Desk| -> (u32, Vec<Arc<Line>>) {
        let all = &desk.score().blocks;
        let table = desk.document().lines();
        let first = all.get(blocks.start).map_or(table.len() as u32, |b| b.line);
        let end = all.get(blocks.end).map_or(table.len() as u32, |b| b.line);
        let count = end.saturating_sub(first) as usize;
        (first, table.iter_from(first as usize).take(count).cloned().collect())
    };
    let ((first, old), (_, new)) = (lines(from), lines(to));
    let whole = |desk: &Desk, at: u32, count: usize| -> String {
        let table = desk.document().lines();
        let (start, end) = (table.start_of_line(at as usize), table.start_of_line(at as usize + count));
        desk.document().text().get(start..end).unwrap_or("").to_owned()
    };
    let to_first = to.score().blocks.get(blocks.start).map_or(0, |b| b.line);
    let mut out: Vec<TextEdit> = Vec::new();
    for change in changes(&old, &new) {
        let Change { old: gone, new: come } = change;
        if gone.len() == come.len() {
            // Line for line, each where it differs.
            for (a, b) in gone.zip(come) {
                let (Some(was), Some(is)) = (old.get(a), new.get(b)) else { continue };
                let (span, with) = differing(&was.text, &is.text);
                out.push(TextEdit { line: first + a as u32, span, with: with.to_owned() });
            }
            continue;
        }
        let at = first + gone.start as u32;
        let with = whole(to, to_first + come.start as u32, come.len());
        // Everything up to the end of the last line that goes.
        for line in gone.clone() {
            let length = old.get(line).map_or(0, |l| l.bytes()) as u32;
            let with = if line == gone.start { with.clone() } else { String::new() };
            out.push(TextEdit { line: first + line as u32, span: Span::new(0, length), with });
        }
        if gone.is_empty() {
            out.push(TextEdit { line: at, span: Span::new(0, 0), with });
        }
    }
    out
}

/// Lines that are replaced by others.
struct Change {
    old: Range<usize>,
    new: Range<usize>,
}

/// What is left when the longest common run of lines is taken out.
fn changes(old: &[Arc<Line>], new: &[Arc<Line>]) -> Vec<Change> {
    let same = |a: usize, b: usize| match (old.get(a), new.get(b)) {
        (Some(a), Some(b)) => Arc::ptr_eq(a, b) || a.text == b.text,
        _ => false,
    };
    let head = (0..old.len().min(new.len())).take_while(|i| same(*i, *i)).count();
    let short = old.len().min(new.len()) - head;
    let tail = (0..short).take_while(|i| same(old.len() - 1 - i, new.len() - 1 - i)).count();
    let (old_end, new_end) = (old.len() - tail, new.len() - tail);
    let (rows, columns) = (old_end - head, new_end - head);
    if rows == columns || rows > MOST_LINES || columns > MOST_LINES {
        let all = (0..rows).filter(|i| rows != columns || !same(head + i, head + i));
        return match rows == columns {
            true => {
                all.map(|i| Change { old: head + i..head + i + 1, new: head + i..head + i + 1 }).collect()
            }
            false => vec![Change { old: head..old_end, new: head..new_end }],
        };
    }
    // How many lines two ends have in common.
    let width = columns + 1;
    let mut common = vec![0u32; (rows + 1) * width];
    let at = |row: usize, column: usize| row * width + column;
    let get = |all: &[u32], row, column| all.get(at(row, column)).copied().unwrap_or(0);
    for row in (0..rows).rev() {
        for column in (0..columns).rev() {
            let best = if same(head + row, head + column) {
                get(&common, row + 1, column + 1) + 1
            } else {
                get(&common, row + 1, column).max(get(&common, row, column + 1))
            };
            if let Some(cell) = common.get_mut(at(row, column)) {
                *cell = best;
            }
        }
    }
    let mut out = Vec::new();
    let (mut row, mut column) = (0, 0);
    while row < rows || column < columns {
        let (from, to) = (row, column);
        while row < rows || column < columns {
            if row < rows && column < columns && same(head + row, head + column) {
                break;
            }
            let down = row < rows && get(&common, row + 1, column) >= get(&common, row, column + 1);
            if down || column >= columns { row += 1 } else { column += 1 }
        }
        if (row, column) != (from, to) {
            out.push(Change { old: head + from..head + row, new: head + to..head + column });
        }
        if row < rows && column < columns {
            row += 1;
            column += 1;
        }
    }
    out
}
