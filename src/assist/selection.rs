//! Growing selections: note, beat, bar, line, block, score.

use super::place::{Extent, Place, Stretch};
use super::sounding::events_in_row;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::{Bar, FigureNode, LineTree, Row, What};
use crate::rules::Desk;
use crate::score::event::Origin;

/// What to select from a place outwards: each holds the one before and is larger.
pub fn selection(desk: &Desk, place: Place) -> Vec<Extent> {
    let Some(line) = desk.document().lines().get(place.line as usize) else { return Vec::new() };
    let mut spans: Vec<Span> = Vec::new();
    let touches = |span: Span| span.start <= place.byte && place.byte <= span.end;
    spans.extend(line.tokens.iter().map(|t| t.span).find(|s| s.contains(place.byte)));
    match &line.tree {
        LineTree::Row(row) => in_row(desk, place, row, &mut spans),
        LineTree::Phrase(phrase) => {
            bar(&phrase.row, place.byte)
                .into_iter()
                .for_each(|b| in_bar(&phrase.row, b, place.byte, &mut spans));
        }
        LineTree::Player(player) => {
            spans.extend(player.options.iter().map(|o| o.span).filter(|s| touches(*s)));
        }
        LineTree::Block(block) => {
            spans.extend(block.settings.iter().map(|o| o.span).filter(|s| touches(*s)));
        }
        _ => {}
    }
    let trimmed = line.text.trim();
    let start = line.text.len() - line.text.trim_start().len();
    spans.push(Span::new(start as u32, (start + trimmed.len()) as u32));
    spans.push(Span::new(0, line.text.len() as u32));
    let mut all: Vec<Extent> =
        spans.into_iter().map(|span| Extent::from(Stretch { line: place.line, span })).collect();
    let score = desk.score();
    if let Some(placed) = score.block_at(place.line).and_then(|i| score.blocks.get(i)) {
        let last = placed.line + placed.read.block.text.lines.len().saturating_sub(1) as u32;
        all.push(Extent::of_lines(desk.document(), placed.line, last));
    } else {
        let last = score.head.lines.len().saturating_sub(1) as u32;
        all.push(Extent::of_lines(desk.document(), 0, last));
    }
    all.push(Extent::of_lines(desk.document(), 0, desk.document().lines().len().saturating_sub(1) as u32));
    growing(all, place)
}

/// Keeps what holds the place and is larger than what was kept before.
fn growing(all: Vec<Extent>, place: Place) -> Vec<Extent> {
    let here = Extent { from: place, to: place };
    let mut kept: Vec<Extent> = Vec::new();
    for extent in all.into_iter().filter(|e| e.holds(&here)) {
        if kept.last().is_none_or(|last| extent.holds(last) && extent != *last) {
            kept.push(extent);
        }
    }
    kept
}

fn bar(row: &Row, byte: u32) -> Option<&Bar> {
    row.bars.iter().find(|b| b.span.start <= byte && byte <= b.span.end)
}

fn in_bar(row: &Row, bar: &Bar, byte: u32, spans: &mut Vec<Span>) {
    let touches = |span: Span| span.start <= byte && byte <= span.end;
    for node in bar.nodes.of(&row.nodes) {
        if let FigureNode::Place(p) = node
            && touches(p.span)
        {
            spans.push(p.span);
        }
    }
    let item = bar.items.of(&row.items).iter().find(|i| touches(i.span));
    if let Some(item) = item {
        if let What::Chord(slice) | What::GraceChord(slice) = item.what {
            spans.extend(slice.of(&row.members).iter().map(|m| m.span).find(|s| touches(*s)));
        }
        spans.push(item.span);
    }
    spans.push(bar.figure);
    spans.push(bar.span);
}

fn in_row(desk: &Desk, place: Place, row: &Row, spans: &mut Vec<Span>) {
    let Some(bar) = bar(row, place.byte) else { return };
    let mut inner = Vec::new();
    in_bar(row, bar, place.byte, &mut inner);
    let outer = inner.pop();
    spans.append(&mut inner);
    if let Some(item) = bar.items.of(&row.items).iter().find(|i| i.span.contains(place.byte)) {
        spans.extend(beat(desk, place.line, bar, item.span));
    }
    spans.extend(outer);
}

/// The notes of a bar that begin in the same beat as this one.
fn beat(desk: &Desk, line: u32, bar: &Bar, item: Span) -> Option<Span> {
    let (block, events) = events_in_row(desk, line)?;
    let here = |span: Span| bar.span.start <= span.start && span.end <= bar.span.end && !span.is_empty();
    let events: Vec<_> = events.into_iter().filter(|e| e.origin == Origin::Here && here(e.span)).collect();
    let inside = |span: Span| item.start <= span.start && span.end <= item.end;
    let at = events.iter().find(|e| inside(e.span))?;
    let meter = super::counting::meter(desk.score().blocks.get(block)?, at.bar)?;
    let beat = super::counting::beat_length(meter)?;
    let number = |onset: Fraction| onset.over(beat).map(|n| n.numerator().div_euclid(n.denominator()));
    let same = events.iter().filter(|e| e.bar == at.bar && number(e.onset) == number(at.onset));
    same.map(|e| e.span).chain([item]).reduce(Span::to)
}
