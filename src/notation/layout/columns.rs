//! Widths of the columns of a block: places under a rhythm row, bars across all rows.

use super::cells::{Cell, Content, Piece};
use super::squeeze::width;
use std::collections::{BTreeMap, BTreeSet};

/// A cell wider than this runs on rather than stretch the block.
pub const WIDEST: usize = 28;
/// Columns of a ruled bar are all at least as wide as the widest entry of the block, up to this.
const EQUAL_UP_TO: usize = 9;
/// A ruled bar grows in steps of this, so that a small edit seldom moves the barlines of the whole block;
/// the room goes to the first place, where dynamics come and go.
const STEP: usize = 4;

/// Where the places of a ruled bar begin, from the bar's first character, and how wide it is.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Places {
    pub starts: Vec<usize>,
    pub width: usize,
}

/// A bar that a rhythm row rules: pieces of each row in it.
#[derive(Debug, Default)]
pub struct Ruled<'c> {
    /// The figure, or `None` where it is `%`.
    pub figure: Option<&'c [Piece]>,
    pub places: usize,
    pub lists: Vec<&'c [Piece]>,
}

/// Widest entry among the pieces.
pub fn widest_entry<'c>(pieces: impl Iterator<Item = &'c Piece>) -> usize {
    pieces.map(|piece| piece.bare).filter(|bare| *bare <= EQUAL_UP_TO).max().unwrap_or(0)
}

/// Lays out the places of one ruled bar. `equal` is the width that all columns have at least.
pub fn places(ruled: &Ruled<'_>, equal: usize) -> Places {
    let count = ruled.places.max(1);
    let mut widths = vec![if count > 1 { equal } else { 0 }; count];
    let all = || ruled.figure.into_iter().chain(ruled.lists.iter().copied());
    // Pieces of one place first; a piece of several then widens its last place where it must.
    for single in [true, false] {
        for pieces in all() {
            let mut at = 0usize;
            for piece in pieces {
                let taken =
                    if piece.places == 0 { count } else { usize::try_from(piece.places).unwrap_or(count) };
                let end = at.saturating_add(taken).min(count);
                let wide = width(&piece.text);
                let room: usize =
                    widths.get(at..end).unwrap_or(&[]).iter().sum::<usize>() + end.saturating_sub(at + 1);
                if (taken == 1) == single
                    && wide <= WIDEST
                    && wide > room
                    && let Some(last) =
                        end.checked_sub(1).filter(|last| *last >= at).and_then(|last| widths.get_mut(last))
                {
                    *last += wide - room;
                }
                at = end;
            }
        }
    }
    let natural = widths.iter().sum::<usize>() + count - 1;
    if count > 1
        && let Some(first) = widths.first_mut()
    {
        *first += natural.next_multiple_of(STEP) - natural;
    }
    let mut at = 0;
    let starts = widths
        .iter()
        .map(|width| {
            let start = at;
            at += width + 1;
            start
        })
        .collect();
    Places { starts, width: at - 1 }
}

/// Text of a ruled cell: each piece at its place or, where the one before ran on, a blank behind it.
pub fn set(pieces: &[Piece], places: &Places) -> String {
    let mut out = String::new();
    let mut at = 0usize;
    for piece in pieces {
        if !out.is_empty() {
            out.push(' ');
        }
        if let Some(start) = places.starts.get(at) {
            super::squeeze::pad(&mut out, *start);
        }
        out.push_str(&piece.text);
        let taken = if piece.places == 0 {
            places.starts.len()
        } else {
            usize::try_from(piece.places).unwrap_or(usize::MAX)
        };
        at = at.saturating_add(taken);
    }
    out
}

/// Columns of the block's bars. Only barlines that some row has part columns, so that a long rest alone
/// takes no more room than its words.
#[derive(Debug, Default)]
pub struct Bars {
    /// First bar of each column, and of the one behind the last.
    edges: Vec<u64>,
    widths: Vec<usize>,
}

impl Bars {
    /// Columns with no width yet.
    pub fn new<'c>(cells: impl Iterator<Item = &'c Cell>) -> Bars {
        let mut edges = BTreeSet::new();
        for cell in cells {
            edges.insert(cell.bar);
            edges.insert(cell.bar.saturating_add(cell.bars));
        }
        let edges: Vec<u64> = edges.into_iter().collect();
        let widths = vec![0; edges.len().saturating_sub(1)];
        Bars { edges, widths }
    }

    fn column(&self, bar: u64) -> usize {
        self.edges.partition_point(|edge| *edge < bar)
    }

    /// Makes room for cells with their widths, narrow ones first.
    pub fn fit(&mut self, cells: &[(&Cell, usize)]) {
        let mut by_span: BTreeMap<usize, Vec<(usize, usize, usize)>> = BTreeMap::new();
        for (cell, wide) in cells {
            let (from, to) = (self.column(cell.bar), self.column(cell.bar.saturating_add(cell.bars)));
            by_span.entry(to - from).or_default().push((from, to, *wide));
        }
        for (from, to, wide) in by_span.into_values().flatten() {
            let room = self.room(from, to);
            if wide > room
                && let Some(last) = to.checked_sub(1).and_then(|last| self.widths.get_mut(last))
            {
                *last += wide - room;
            }
        }
    }

    fn room(&self, from: usize, to: usize) -> usize {
        let inner: usize = self.widths.get(from..to).unwrap_or(&[]).iter().sum();
        // Between two columns stand a blank, a barline and a blank.
        inner + to.saturating_sub(from + 1) * 3
    }

    /// First character of a bar's content, counted from the first of the block's first bar.
    pub fn start(&self, bar: u64) -> usize {
        let column = self.column(bar);
        self.room(0, column) + if column > 0 { 3 } else { 0 }
    }

    /// The character behind the content of a cell.
    pub fn end(&self, cell: &Cell) -> usize {
        self.room(0, self.column(cell.bar.saturating_add(cell.bars)))
    }
}

/// Width of a cell that no rhythm row rules.
pub fn plain(content: &Content) -> String {
    match content {
        Content::Text(text) | Content::Same(text) => text.clone(),
        Content::List(pieces) | Content::Places(pieces) => {
            pieces.iter().map(|piece| piece.text.as_str()).collect::<Vec<_>>().join(" ")
        }
    }
}
