//! Bars as text: the figure that rules them and what stands in them.

use crate::assist::cure::case::RowHere;
use crate::assist::cure::figure::{ruling, text_of};
use crate::assist::cure::notes::tokens;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{Bar, Item, Row};

/// From the first thing of a list to the last, as it stands.
pub fn list(line: &Line, items: &[Item]) -> String {
    match (items.first(), items.last()) {
        (Some(first), Some(last)) => squeezed(line, first.span.to(last.span)),
        _ => String::new(),
    }
}

/// The text of a stretch with single blanks.
pub fn squeezed(line: &Line, span: Span) -> String {
    let mut out = String::new();
    let mut blank = false;
    for token in tokens(line, span) {
        if token.kind == Kind::Blank {
            blank = !out.is_empty();
            continue;
        }
        if std::mem::take(&mut blank) {
            out.push(' ');
        }
        out.push_str(token.of(&line.text));
    }
    out
}

/// The figure of a bar of a row as text: its own, or the one of the rhythm row over a bar of the block.
pub fn figure(row: &RowHere<'_>, bar: &Bar, over: u32) -> Option<String> {
    if bar.has_figure {
        return Some(text_of(bar.nodes.of(&row.tree.nodes), &row.line.text));
    }
    over_bar(row, over)
}

/// The figure of the rhythm row over a bar of the block.
pub fn over_bar(row: &RowHere<'_>, over: u32) -> Option<String> {
    let (nodes, text) = ruling(&row.ruler()?, over)?;
    Some(text_of(nodes, text))
}

/// What stands between two barlines without the blanks at its ends; empty for a blank bar.
pub fn inside(line: &Line, bar: &Bar) -> Span {
    let text = bar.span.of(&line.text);
    let start = bar.span.start + (text.len() - text.trim_start().len()) as u32;
    let end = bar.span.end - (text.len() - text.trim_end().len()) as u32;
    if start < end { Span::new(start, end) } else { Span::new(bar.span.start, bar.span.start) }
}

/// A bar with its figure and its list; the free things of a repetition stand around the list.
pub fn bar(figure: Option<&str>, before: &str, list: &str, after: &str) -> String {
    let words: Vec<&str> = [before, list, after].into_iter().filter(|w| !w.is_empty()).collect();
    let words = words.join(" ");
    match figure {
        Some(figure) => format!("{figure} : {words}"),
        None => words,
    }
}

/// The items of a bar before and behind its timed thing, as text.
pub fn around(line: &Line, items: &[Item]) -> (String, String) {
    let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
    let before = list(line, items.get(..timed).unwrap_or(&[]));
    let after = list(line, items.get(timed + 1..).unwrap_or(&[]));
    (before, after)
}

/// The items of a bar.
pub fn items<'r>(row: &'r Row, bar: &Bar) -> &'r [Item] {
    bar.items.of(&row.items)
}
