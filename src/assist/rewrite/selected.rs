//! What somebody has selected, as bars and entries of a block's rows.

use super::Refusal;
use crate::assist::cure::case::RowHere;
use crate::assist::place::Extent;
use crate::notation::Span;
use crate::notation::tree::{RowKind, What};
use crate::rules::Desk;

/// Bars and entries of one block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Selected {
    pub block: usize,
    pub rows: Vec<SelectedRow>,
    /// Bars of the block, from 0: the first and the last that is touched.
    pub bars: (u32, u32),
}

/// What is selected of a music row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SelectedRow {
    /// Lines below the block's header.
    pub line: u32,
    /// Index of the row in the block.
    pub number: usize,
    /// Bars of the row: the first and the last that is touched.
    pub sources: (usize, usize),
    /// Its items, ascending.
    pub items: Vec<u32>,
}

impl Selected {
    /// The music under a stretch of a text; `None` where it touches none or goes beyond a block. In one row, the
    /// entries that are touched; over several, all of each row from the first bar to the last.
    pub fn of(desk: &Desk, by: Extent) -> Option<Selected> {
        if by.from.line == by.to.line { one_row(desk, by) } else { rows(desk, by) }
    }

    /// All bars of a block from one to another.
    pub fn bars(desk: &Desk, block: usize, bars: (u32, u32), player: Option<&str>) -> Option<Selected> {
        let placed = desk.score().blocks.get(block)?;
        let lines = placed.read.block.text.lines.len() as u32;
        let mut found = between(desk, block, (0, lines), bars)?;
        if let Some(player) = player {
            let index = desk.score().head.players.iter().position(|p| p.id == player)? as u16;
            let plays = |row: &SelectedRow| {
                let row = placed.read.block.rows.get(row.number);
                row.is_some_and(|r| r.people.iter().any(|p| p.player == index))
            };
            found.rows.retain(plays);
        }
        (!found.rows.is_empty()).then_some(found)
    }

    /// Refused where a copy and what it copies would part.
    pub fn copies(&self, desk: &Desk) -> Result<(), Refusal> {
        for row in &self.rows {
            let Some(here) = RowHere::at(desk.score(), self.block, row.number) else { continue };
            let Some(read) = here.placed.read.rows.get(row.number).and_then(Option::as_ref) else { continue };
            for cell in &read.cells {
                let crate::score::row::Content::Entries { items, .. } = cell.content else { continue };
                if items == cell.source {
                    continue;
                }
                let all = |source: u32| {
                    let bar = here.tree.bars.get(source as usize);
                    let entry = |i: &u32| {
                        here.tree
                            .items
                            .get(*i as usize)
                            .is_some_and(|i| i.what.is_entry() || i.what.is_bars())
                    };
                    let mut inside = bar.map_or(0..0, |b| b.items.start..b.items.end).filter(entry);
                    let whole = inside.clone().all(|i| row.items.binary_search(&i).is_ok());
                    let any = inside.any(|i| row.items.binary_search(&i).is_ok());
                    (whole, any)
                };
                let (source, copy) = (all(items), all(cell.source));
                if source.1 != copy.1 || (source.1 && !source.0) {
                    return Err(Refusal::new(format!(
                        "bar {} repeats a bar before it, and one of the two would stay as it is; write the % out first",
                        here.number_of(cell.bar)
                    )));
                }
            }
        }
        Ok(())
    }
}

fn one_row(desk: &Desk, by: Extent) -> Option<Selected> {
    let row = RowHere::on(desk, by.from.line).filter(|r| r.row.kind == RowKind::Music)?;
    let (from, to) = (by.from.byte, by.to.byte);
    let touches = |span: Span| {
        if from == to { span.start <= from && from <= span.end } else { span.start < to && from < span.end }
    };
    let timed = |what: What| {
        what.is_entry() || what.is_bars() || matches!(what, What::GraceNote(_) | What::GraceChord(_))
    };
    let items: Vec<u32> = (0u32..)
        .zip(&row.tree.items)
        .filter(|(_, item)| touches(item.span) && timed(item.what))
        .map(|(at, _)| at)
        .collect();
    let holds = |at: &u32| row.tree.bars.iter().position(|b| (b.items.start..b.items.end).contains(at));
    let (first, last) = (holds(items.first()?)?, holds(items.last()?)?);
    let bars = (row.first_bar(first), row.first_bar(last + 1).saturating_sub(1));
    let selected = SelectedRow { line: row.row.line, number: row.number, sources: (first, last), items };
    Some(Selected { block: row.block, rows: vec![selected], bars })
}

fn rows(desk: &Desk, by: Extent) -> Option<Selected> {
    let score = desk.score();
    let block = score.block_at(by.to.line)?;
    let placed = score.blocks.get(block)?;
    let from = by.from.line.checked_sub(placed.line)?;
    let to = by.to.line - placed.line;
    let end = |line: u32, byte: u32, last: bool| -> Option<u32> {
        let row = RowHere::on(desk, placed.line + line)?;
        let (source, bar) = row.bar_at(byte)?;
        let first = row.first_bar(source);
        Some(if last { first + row.span_of(bar).max(1) - 1 } else { first })
    };
    let all = placed.frame.bars.checked_sub(1)?;
    let a = end(from, by.from.byte, false).unwrap_or(0);
    let b = end(to, by.to.byte, true).unwrap_or(all);
    between(desk, block, (from, to + 1), (a.min(b), a.max(b).min(all)))
}

/// The music rows on some lines of a block, from one bar to another.
fn between(desk: &Desk, block: usize, lines: (u32, u32), bars: (u32, u32)) -> Option<Selected> {
    let score = desk.score();
    let placed = score.blocks.get(block)?;
    let mut rows = Vec::new();
    for (number, row) in placed.read.block.rows.iter().enumerate() {
        if row.kind != RowKind::Music || !(lines.0..lines.1).contains(&row.line) {
            continue;
        }
        let Some(here) = RowHere::at(score, block, number) else { continue };
        let mut at: u32 = 0;
        let mut inside: Option<(usize, usize)> = None;
        for (source, bar) in here.tree.bars.iter().enumerate() {
            let next = at.saturating_add(here.span_of(bar).max(1));
            if at <= bars.1 && bars.0 < next {
                inside = Some((inside.map_or(source, |(first, _)| first), source));
            }
            at = next;
        }
        let Some((first, last)) = inside else { continue };
        let range = here.tree.bars.get(first)?.items.start..here.tree.bars.get(last)?.items.end;
        rows.push(SelectedRow { line: row.line, number, sources: (first, last), items: range.collect() });
    }
    (!rows.is_empty()).then_some(Selected { block, rows, bars })
}
