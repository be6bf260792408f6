//! Figures as text: the one that rules a bar, made longer or shorter.

use super::case::RowHere;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::{FigureNode, Place, PlaceKind, Row, RowKind, What};
use crate::score::figure::{expand, value_letters};
use crate::score::rhythm::single_value;

/// A figure that was found somewhere.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    pub text: String,
    /// One value for every entry.
    pub single: Option<Fraction>,
    /// Places that take an entry; of a single value as many as the bar it stands over has.
    pub entries: usize,
    /// Length of the bar it fills.
    pub length: Fraction,
}

/// The places of a figure as they stand in the text, single blanks between them.
pub fn text_of(nodes: &[FigureNode], line: &str) -> String {
    let mut out = String::new();
    for node in nodes {
        let (span, closes) = match node {
            FigureNode::Place(place) => (place.span, false),
            FigureNode::Open { span, .. } => (*span, false),
            FigureNode::Close { span, .. } => (*span, true),
        };
        if !out.is_empty() && !closes {
            out.push(' ');
        }
        out.push_str(span.of(line));
    }
    out
}

/// The places that rule a bar of the block, with the line they stand on: a row's own, or those of a rhythm
/// row, whose `%` is followed back.
pub fn ruling<'a>(rhythm: &RowHere<'a>, bar: u32) -> Option<(&'a [FigureNode], &'a str)> {
    let mut at: u32 = 0;
    let mut last: Option<&'a [FigureNode]> = None;
    for one in &rhythm.tree.bars {
        let items = rhythm.items(one);
        let again = items.iter().find_map(|i| match i.what {
            What::Again(n) => Some(u32::from(n.max(1))),
            _ => None,
        });
        if again.is_none() {
            let nodes = one.nodes.of(&rhythm.tree.nodes);
            last = (!nodes.is_empty() && !one.faulty).then_some(nodes);
        }
        at = at.saturating_add(again.unwrap_or(1));
        if bar < at {
            return last.map(|nodes| (nodes, &*rhythm.line.text));
        }
    }
    None
}

/// The figure of a bar of a music row, its own or the one above it; `source` is a bar of the row.
pub fn of_bar(row: &RowHere<'_>, source: usize) -> Option<Figure> {
    let bar = row.tree.bars.get(source)?;
    if row.row.kind != RowKind::Music || bar.faulty {
        return None;
    }
    let at = row.first_bar(source);
    let entries: usize =
        row.items(bar).iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum();
    let own = bar.nodes.of(&row.tree.nodes);
    let (nodes, line) = if bar.has_figure { (own, &*row.line.text) } else { ruling(&row.ruler()?, at)? };
    figure(nodes, line, entries, row.length(at)?)
}

/// A figure that fills the bar with so many entries; `None` if it does not.
pub fn figure(nodes: &[FigureNode], line: &str, entries: usize, length: Fraction) -> Option<Figure> {
    let text = text_of(nodes, line);
    if let Some(value) = single_value(nodes) {
        let all = value.times(Fraction::new(i64::try_from(entries).ok()?, 1)?)?;
        return (all == length).then_some(Figure { text, single: Some(value), entries, length });
    }
    let mut timed = Vec::new();
    let total = expand(nodes, &mut timed).ok()?;
    let wanted = timed.iter().filter(|p| p.kind == PlaceKind::Entry).count();
    (total == length && wanted == entries).then_some(Figure { text, single: None, entries, length })
}

/// Rests of this length, as places of a figure.
pub fn rests(length: Fraction) -> Option<String> {
    let letters = value_letters(length)?;
    Some(letters.split('+').map(|v| format!("{v}-")).collect::<Vec<_>>().join(" "))
}

/// The figure filled up with rests to a longer bar.
pub fn filled(figure: &Figure, length: Fraction) -> Option<String> {
    let rests = rests(length.minus(figure.length)?)?;
    let text = match figure.single {
        Some(_) if figure.entries != 1 => format!("{}*{}", figure.text, figure.entries),
        _ => figure.text.clone(),
    };
    Some(format!("{text} {rests}"))
}

/// The figure cut to a shorter bar, and how many entries are left of it; `None` where a tuplet would be cut.
pub fn cut(nodes: &[FigureNode], line: &str, entries: usize, length: Fraction) -> Option<(String, usize)> {
    if let Some(value) = single_value(nodes) {
        let n = length.over(value)?;
        let whole =
            usize::try_from(n.numerator().div_euclid(n.denominator())).ok().filter(|n| *n < entries)?;
        if n.is_whole() {
            return Some((text_of(nodes, line), whole));
        }
        // The last of them is shorter.
        let passed = value.times(Fraction::new(i64::try_from(whole).ok()?, 1)?)?;
        let mut all = vec![text_of(nodes, line); whole];
        all.push(value_letters(length.minus(passed)?)?);
        return Some((all.join(" "), whole + 1));
    }
    let mut out: Vec<String> = Vec::new();
    let (mut now, mut kept) = (Fraction::ZERO, 0);
    let mut rest = nodes;
    while let Some((first, after)) = rest.split_first() {
        let left = length.minus(now)?;
        if left.is_zero() {
            break;
        }
        match first {
            FigureNode::Place(place) => {
                rest = after;
                for _ in 0..place.times.max(1) {
                    let left = length.minus(now)?;
                    if left.is_zero() {
                        break;
                    }
                    let value = if place.value <= left { place.value } else { left };
                    out.push(format!("{}{}", value_letters(value)?, signs(place)));
                    now = now.plus(value)?;
                    kept += usize::from(place.kind == PlaceKind::Entry);
                }
            }
            _ => {
                let group = rest.get(..tuplet(rest)?)?;
                rest = rest.get(group.len()..)?;
                let mut timed = Vec::new();
                let total = expand(group, &mut timed).ok().filter(|total| *total <= left)?;
                out.push(text_of(group, line));
                now = now.plus(total)?;
                kept += timed.iter().filter(|p| p.kind == PlaceKind::Entry).count();
            }
        }
    }
    (now == length).then(|| (out.join(" "), kept))
}

/// How many nodes the tuplet takes that these begin with.
pub fn tuplet(nodes: &[FigureNode]) -> Option<usize> {
    let mut depth = 0;
    for (at, node) in nodes.iter().enumerate() {
        match node {
            FigureNode::Open { .. } => depth += 1,
            FigureNode::Close { .. } => depth -= 1,
            FigureNode::Place(_) => {}
        }
        if depth == 0 {
            return Some(at + 1);
        }
    }
    None
}

/// What stands behind the letters of a place.
pub fn signs(place: &Place) -> String {
    let kind = match place.kind {
        PlaceKind::Entry => "",
        PlaceKind::Silence => "-",
        PlaceKind::Hold => "=",
    };
    format!("{kind}{}", if place.fermata { ":fermata" } else { "" })
}

/// The stretch of a row's bar that its things take, blanks at the ends left out.
pub fn content(row: &Row, line: &str, source: usize) -> Option<Span> {
    let bar = row.bars.get(source)?;
    let text = bar.span.of(line);
    let start = bar.span.start + (text.len() - text.trim_start().len()) as u32;
    let end = bar.span.end - (text.len() - text.trim_end().len()) as u32;
    (start < end).then(|| Span::new(start, end))
}
