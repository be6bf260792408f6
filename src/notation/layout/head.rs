//! Lines other than rows: one blank between words, fields in columns.

use super::is_sound;
use super::squeeze::{mark, pad, remark, squeeze, width};
use crate::notation::line::Line;
use crate::notation::span::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{BlockLine, LineTree};
use std::sync::Arc;

/// Column of the fields behind the words of the head: the longest word and a blank.
const FIELD: usize = 9;
/// Column of names: `player` and a blank.
const NAME: usize = 7;
/// Shortest column for a name.
const SHORTEST_NAME: usize = 4;

/// Lays out every line that is no row.
pub fn lay_out(lines: &[&Arc<Line>], out: &mut [Option<String>]) {
    let mut at = 0;
    while at < lines.len() {
        let end = run_end(lines, at);
        let widest = (at..end).filter_map(|i| lines.get(i)).filter_map(|l| name(l)).map(|n| width(&n)).max();
        for i in at..end {
            if let (Some(line), Some(slot)) = (lines.get(i), out.get_mut(i)) {
                *slot = lay_out_one(line, widest.unwrap_or(0).max(SHORTEST_NAME));
            }
        }
        at = end;
    }
}

/// Names are in one column as long as lines of one kind follow each other; remarks do not part them.
fn run_end(lines: &[&Arc<Line>], at: usize) -> usize {
    let Some(kind) = lines.get(at).and_then(|l| named(l)) else { return at + 1 };
    let mut end = at + 1;
    let mut last = end;
    while let Some(line) = lines.get(end) {
        match named(line) {
            Some(other) if other == kind => last = end + 1,
            None if line.tree == LineTree::Blank && !line.tokens.is_empty() => {}
            _ => break,
        }
        end += 1;
    }
    last
}

/// The word of a line that gives a name, if it can be laid out.
fn named(line: &Line) -> Option<&'static str> {
    match &line.tree {
        _ if !is_sound(line) => None,
        LineTree::Player(_) => Some("player"),
        LineTree::Group(_) => Some("group"),
        LineTree::Instrument(_) => Some("instrument"),
        _ => None,
    }
}

fn id(line: &Line) -> Option<Span> {
    match &line.tree {
        LineTree::Player(p) => p.id,
        LineTree::Group(g) => g.id,
        LineTree::Instrument(i) => i.id,
        _ => None,
    }
}

fn name(line: &Line) -> Option<String> {
    named(line)?;
    Some(id(line)?.of(&line.text).to_owned())
}

fn lay_out_one(line: &Line, name_width: usize) -> Option<String> {
    if !is_sound(line) {
        return None;
    }
    let body = match &line.tree {
        LineTree::Blank | LineTree::Row(_) | LineTree::Phrase(_) | LineTree::Bad => return None,
        LineTree::Player(_) | LineTree::Group(_) | LineTree::Instrument(_) => {
            let id = id(line)?;
            let mut out = named(line)?.to_owned();
            out.push(' ');
            pad(&mut out, NAME);
            out.push_str(id.of(&line.text));
            pad(&mut out, width(named(line)?).max(NAME - 1) + 1 + name_width);
            let equals = line.tokens.iter().find(|t| t.kind == Kind::Equals)?;
            out.push(' ');
            out.push_str(&squeeze(line, Span::new(equals.span.start, end(line)), true));
            out
        }
        LineTree::Text(..) | LineTree::Level(_) | LineTree::Basis(_) | LineTree::Tuning(_) => {
            let word = line.tokens.iter().find(|t| t.kind == Kind::Word)?;
            let mut out = word.of(&line.text).to_owned();
            pad(&mut out, FIELD);
            out.push_str(&squeeze(line, Span::new(word.span.end, end(line)), true));
            out
        }
        LineTree::Block(block) => settings(line, block),
        _ => squeeze(line, Span::new(0, end(line)), false),
    };
    Some(format!("{}{}{}", mark(line), body.trim_start_matches('\u{FEFF}'), remark(line)))
}

/// Where the line's own text ends: before a remark.
fn end(line: &Line) -> u32 {
    match line.tokens.last().filter(|t| t.kind == Kind::Comment) {
        Some(comment) => comment.span.start,
        None => line.text.len() as u32,
    }
}

fn settings(line: &Line, block: &BlockLine) -> String {
    let mut out = "bar".to_owned();
    if let Some((span, _)) = block.number {
        out.push(' ');
        out.push_str(span.of(&line.text));
    }
    for setting in &block.settings {
        out.push_str("  ");
        out.push_str(&squeeze(line, setting.span, true));
    }
    out
}
