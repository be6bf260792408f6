//! Whole lines put in and taken out, with the line ends the text has.

use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::line::{Ending, Line};
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use std::sync::Arc;

/// A new line below a line.
pub fn below(desk: &Desk, line: u32, text: &str) -> TextEdit {
    let end = desk.document().lines().get(line as usize).map_or(0, |l| l.text.len() as u32);
    TextEdit { line, span: Span::new(end, end), with: format!("{}{text}", ending(desk, line)) }
}

/// A new line above a line.
pub fn above(desk: &Desk, line: u32, text: &str) -> TextEdit {
    let mark = desk.document().lines().get(line as usize).is_some_and(|l| l.text.starts_with('\u{feff}'));
    let at = if mark { '\u{feff}'.len_utf8() as u32 } else { 0 };
    TextEdit { line, span: Span::new(at, at), with: format!("{text}{}", ending(desk, line)) }
}

/// A line taken out.
pub fn without(desk: &Desk, line: u32) -> TextEdit {
    let bytes = desk.document().lines().get(line as usize).map_or(0, |l| l.bytes() as u32);
    TextEdit { line, span: Span::new(0, bytes), with: String::new() }
}

/// How lines end here.
fn ending(desk: &Desk, line: u32) -> &'static str {
    let lines = desk.document().lines();
    let near = [line, line.saturating_sub(1), 0];
    let found = near.into_iter().filter_map(|l| lines.get(l as usize)).map(|l| l.ending);
    found.into_iter().find(|e| *e != Ending::None).unwrap_or(Ending::Lf).text()
}

/// The last line of the head that is like this.
pub fn last_of_head(desk: &Desk, like: impl Fn(&LineTree) -> bool) -> Option<u32> {
    desk.score().head.lines.iter().rposition(|l| like(&l.tree)).map(|at| at as u32)
}

/// A line below all that the head declares, and below the last like this where there is one.
pub fn in_head(desk: &Desk, like: impl Fn(&LineTree) -> bool, text: &str) -> TextEdit {
    let declares = |tree: &LineTree| !matches!(tree, LineTree::Blank | LineTree::Row(_) | LineTree::Bad);
    match last_of_head(desk, like).or_else(|| last_of_head(desk, declares)) {
        Some(line) => below(desk, line, text),
        None => above(desk, 0, text),
    }
}

/// Where the line's own text ends: before a remark and the blanks in front of it.
pub fn own_end(line: &Line) -> u32 {
    use crate::notation::token::Kind;
    let last = line.tokens.iter().rev().find(|t| !matches!(t.kind, Kind::Comment | Kind::Blank));
    last.map_or(0, |t| t.span.end)
}

/// The line of the score's own head that is this one.
pub fn of_head(desk: &Desk, line: &Arc<Line>) -> Option<u32> {
    desk.score().head.lines.iter().position(|l| Arc::ptr_eq(l, line)).map(|at| at as u32)
}

/// A stretch with the blanks in front of it: what is taken out of a list.
pub fn with_blanks(line: &Line, span: Span) -> Span {
    let before = line.text.get(..span.start as usize).unwrap_or("");
    Span::new(before.trim_end_matches([' ', '\t']).len() as u32, span.end)
}
