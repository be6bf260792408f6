//! Rows of one block: names in a column, barlines in columns, entries under their places.

use super::cells::{Cell, Content, Lengths, Piece, cells};
use super::columns::{Bars, Places, Ruled, places, plain, set, widest_entry};
use super::squeeze::{mark, pad, remark, squeeze, width};
use crate::notation::line::Line;
use crate::notation::span::Span;
use crate::notation::tree::{LineTree, Row, RowKind};
use std::collections::HashMap;
use std::sync::Arc;

/// Shortest column for names: the words `rhythm` and `chords`.
const NAMES: usize = 6;

/// A row of the block.
struct Lane<'l> {
    line: &'l Line,
    at: usize,
    name: String,
    kind: RowKind,
    cells: Vec<Cell>,
    /// Which rhythm row rules it, by its place among the lanes.
    ruler: Option<usize>,
}

/// Lays out the rows of a block.
pub fn lay_out(lines: &[&Arc<Line>], rows: &[usize], phrases: &Lengths, out: &mut [Option<String>]) {
    let lanes = lanes(lines, rows, phrases);
    let rulings = rulings(&lanes);
    let names = lanes.iter().map(|lane| width(&lane.name)).max().unwrap_or(0).max(NAMES);
    let texts: Vec<Vec<(String, bool)>> =
        lanes.iter().map(|lane| lane.cells.iter().map(|cell| text(lane, cell, &rulings)).collect()).collect();
    let mut bars = Bars::new(lanes.iter().flat_map(|lane| &lane.cells));
    let mut sizes: Vec<(&Cell, usize)> = Vec::new();
    for (lane, texts) in lanes.iter().zip(&texts) {
        for (cell, (text, ruled)) in lane.cells.iter().zip(texts) {
            // A ruled bar is as wide as its places; what runs on does not stretch it.
            let wide = match lane.ruler.and_then(|ruler| rulings.get(&(ruler, cell.bar))).filter(|_| *ruled) {
                Some(places) => places.width,
                None => width(text),
            };
            sizes.push((cell, wide));
        }
    }
    bars.fit(&sizes);
    for (lane, texts) in lanes.iter().zip(&texts) {
        let mut row = lane.name.clone();
        pad(&mut row, names);
        row.push_str(" |");
        let zero = names + 3;
        for (cell, (text, _)) in lane.cells.iter().zip(texts) {
            row.push(' ');
            pad(&mut row, zero + bars.start(cell.bar));
            row.push_str(text);
            pad(&mut row, zero + bars.end(cell));
            row.push_str(" |");
        }
        row.push_str(&remark(lane.line));
        if let Some(slot) = out.get_mut(lane.at) {
            *slot = Some(format!("{}{row}", mark(lane.line)));
        }
    }
}

fn lanes<'l>(lines: &[&'l Arc<Line>], rows: &[usize], phrases: &Lengths) -> Vec<Lane<'l>> {
    let mut ruler = None;
    let mut out: Vec<Lane<'l>> = Vec::with_capacity(rows.len());
    for at in rows {
        let Some(line) = lines.get(*at) else { continue };
        let LineTree::Row(row) = &line.tree else { continue };
        if row.kind == RowKind::Rhythm {
            ruler = Some(out.len());
        }
        out.push(Lane {
            line,
            at: *at,
            name: name(line, row),
            kind: row.kind,
            cells: cells(line, row, phrases),
            ruler: ruler.filter(|_| row.kind != RowKind::Chords),
        });
    }
    out
}

fn name(line: &Line, row: &Row) -> String {
    match row.kind {
        RowKind::Rhythm => "rhythm".to_owned(),
        RowKind::Chords => "chords".to_owned(),
        RowKind::Music => row.names.iter().map(|n| n.of(&line.text)).collect::<Vec<_>>().join(" "),
    }
}

/// The bars each rhythm row rules, with their places.
fn rulings(lanes: &[Lane<'_>]) -> HashMap<(usize, u64), Places> {
    let mut ruled: HashMap<(usize, u64), Ruled<'_>> = HashMap::new();
    for (at, lane) in lanes.iter().enumerate().filter(|(_, lane)| lane.kind == RowKind::Rhythm) {
        // What `%` repeats: places, 0 for as many as there are entries.
        let mut before: Option<usize> = None;
        for cell in &lane.cells {
            let (figure, count) = match &cell.what {
                Content::Places(pieces) => {
                    let open = pieces.iter().any(|piece| piece.places == 0);
                    let sum = pieces.iter().map(|piece| usize::try_from(piece.places).unwrap_or(0)).sum();
                    (Some(pieces.as_slice()), Some(if open { 0 } else { sum }))
                }
                Content::Same(_) => (None, before),
                _ => (None, None),
            };
            before = count;
            if let Some(places) = count {
                ruled.insert((at, cell.bar), Ruled { figure, places, lists: Vec::new() });
            }
        }
    }
    for lane in lanes {
        let Some(ruler) = lane.ruler else { continue };
        for cell in &lane.cells {
            if let Content::List(pieces) = &cell.what
                && let Some(ruled) = ruled.get_mut(&(ruler, cell.bar))
            {
                ruled.lists.push(pieces);
            }
        }
    }
    let equal = widest_entry(ruled.values().flat_map(|r| r.lists.iter().copied().flatten()));
    let lay = |ruled: &mut Ruled<'_>| {
        if ruled.places == 0 {
            let count = |pieces: &&[Piece]| {
                pieces.iter().map(|p| usize::try_from(p.places).unwrap_or(0)).sum::<usize>()
            };
            ruled.places = ruled.lists.iter().map(count).max().unwrap_or(1).min(512);
        }
        places(ruled, equal)
    };
    ruled.iter_mut().map(|(key, ruled)| (*key, lay(ruled))).collect()
}

/// Text of a cell, and true if its places are ruled.
fn text(lane: &Lane<'_>, cell: &Cell, rulings: &HashMap<(usize, u64), Places>) -> (String, bool) {
    let places = lane.ruler.and_then(|ruler| rulings.get(&(ruler, cell.bar)));
    match (&cell.what, places) {
        (Content::List(pieces) | Content::Places(pieces), Some(places)) => (set(pieces, places), true),
        (what, _) => (plain(what), false),
    }
}

/// A phrase: bars one after the other.
pub fn phrase(line: &Line, head: Span, row: &Row, phrases: &Lengths) -> String {
    let mut out = squeeze(line, head, true);
    out.push_str(" |");
    for cell in cells(line, row, phrases) {
        let text = plain(&cell.what);
        out.push(' ');
        out.push_str(&text);
        out.push_str(" |");
    }
    format!("{}{}{}", mark(line), out.trim_start_matches('\u{FEFF}'), remark(line))
}
