//! A place of a figure: how long, where, and what sounds there.

use super::telling::Telling;
use super::word::told as word;
use super::{Asked, Hover, sonority, time};
use crate::assist::glossary::{Class, meaning};
use crate::music::Fraction;
use crate::notation::tree::{Bar, FigureNode, PlaceKind, Row, RowKind, SymbolKind, What};
use crate::score::figure::{Timed, expand};
use crate::score::rhythm::single_value;
use crate::score::score::Placed;

/// Tells of the place under the cursor.
pub fn told(asked: Asked<'_>, row: &Row, index: usize, bar: &Bar) -> Option<Hover> {
    let nodes = bar.nodes.of(&row.nodes);
    let at = nodes.iter().position(|n| asked.here(span_of(n)))?;
    let node = nodes.get(at)?;
    let FigureNode::Place(place) = node else {
        let mut telling = Telling::new("Tuplet");
        if let FigureNode::Open { count, normal, .. } = node {
            telling = Telling::new(format!("{count} in the time of {normal}"));
        }
        telling.text(meaning(Class::Bars, "{").unwrap_or(""));
        return Some(telling.hover(asked.place.line, span_of(node)));
    };
    let mut title = time::long(place.value);
    title = match place.kind {
        PlaceKind::Entry => title,
        PlaceKind::Silence => format!("{title} of silence"),
        PlaceKind::Hold => format!("{title}, holding on"),
    };
    if place.times > 1 {
        title = format!("{} times {title}", place.times);
    }
    let mut telling = Telling::new(title);
    let letters: String = asked.text(place.span).chars().take_while(|c| c.is_ascii_alphabetic()).collect();
    if let Some(text) = meaning(Class::Value, &letters) {
        telling.text(text);
    }
    if place.fermata {
        telling.text(meaning(Class::Mark, ":fermata").unwrap_or(""));
    }
    if single_value(nodes).is_some() {
        telling.text("One value alone rules every entry of its bar.");
    }
    if let Some((block, placed, below)) = asked.block() {
        let mut timed: Vec<Timed> = Vec::new();
        let first = first_timed(nodes.get(..at).unwrap_or(&[]));
        let here = expand(nodes, &mut timed).ok().and_then(|_| timed.get(first).copied());
        if let (Some(timed), Some(bar)) = (here, bar_of(placed, below, row, index)) {
            moment(asked, block, bar, timed, &mut telling);
        }
    }
    Some(telling.hover(asked.place.line, place.span))
}

fn moment(asked: Asked<'_>, block: usize, bar: u32, timed: Timed, telling: &mut Telling) {
    telling.fact("Place", time::place(asked, block, bar, timed.onset).unwrap_or_default());
    let clock = asked.clock();
    let end = timed.onset.plus(timed.length);
    let lasts =
        end.and_then(|end| Some(clock.in_block(block, bar, end)? - clock.in_block(block, bar, timed.onset)?));
    telling.fact("Lasts", lasts.map(time::seconds).unwrap_or_default());
    sonority::told(asked, block, bar, timed.onset, 1, telling);
}

fn span_of(node: &FigureNode) -> crate::notation::Span {
    match node {
        FigureNode::Place(p) => p.span,
        FigureNode::Open { span, .. } | FigureNode::Close { span, .. } => *span,
    }
}

/// How many places these nodes make, repeated tuplets counted out.
fn first_timed(nodes: &[FigureNode]) -> usize {
    let (mut count, mut open) = (0usize, Vec::new());
    for node in nodes {
        match node {
            FigureNode::Place(p) => count += usize::from(p.times.max(1)),
            FigureNode::Open { .. } => open.push(count),
            FigureNode::Close { times, .. } => {
                let members = open.pop().map_or(0, |start| count - start);
                count += members * usize::from(times.max(&1) - 1);
            }
        }
    }
    count
}

/// Which bar of the block, from 0, a bar of a row is.
pub fn bar_of(placed: &Placed, below: u32, row: &Row, index: usize) -> Option<u32> {
    let before = row.bars.get(..index)?;
    match row.kind {
        RowKind::Rhythm => Some(before.iter().fold(0u32, |sum, bar| {
            let again = bar.items.of(&row.items).iter().find_map(|i| match i.what {
                What::Again(n) => Some(u32::from(n.max(1))),
                _ => None,
            });
            sum.saturating_add(again.unwrap_or(1))
        })),
        RowKind::Chords => Some(before.iter().fold(0u32, |sum, bar| {
            let many = bar.items.of(&row.symbols).iter().find_map(|s| match s.what {
                SymbolKind::Rests(n) | SymbolKind::Again(n) => Some(u32::from(n.max(1))),
                _ => None,
            });
            sum.saturating_add(many.unwrap_or(1))
        })),
        RowKind::Music => {
            let at = placed.read.block.rows.iter().position(|r| r.line == below)?;
            let read = placed.read.rows.get(at)?.as_ref()?;
            read.cells.iter().find(|c| c.source as usize == index).map(|c| c.bar)
        }
    }
}

/// A sign between the places, such as the figure's colon.
pub fn sign(asked: Asked<'_>, bar: &Bar) -> Option<Hover> {
    let token = asked.token()?;
    let after = bar.has_figure && token.span.start >= bar.figure.end && asked.text(token.span) == ":";
    after.then(|| word(asked, &[Class::Bars], ":", token.span))?
}

/// Seconds from the beginning of one bar of a block to the end of another.
pub fn seconds_of(asked: Asked<'_>, block: usize, first: u32, bars: u32) -> Option<f64> {
    let clock = asked.clock();
    let end = clock.in_block(block, first.checked_add(bars)?, Fraction::ZERO)?;
    Some(end - clock.in_block(block, first, Fraction::ZERO)?)
}
