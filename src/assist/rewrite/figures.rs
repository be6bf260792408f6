//! Figures of one's own and figures that rows share.

use super::Refusal;
use super::bar_text::{figure, inside, items, over_bar};
use super::draft::Draft;
use super::faults::sound_in;
use super::selected::Selected;
use crate::assist::cure::case::RowHere;
use crate::assist::cure::figure::text_of;
use crate::notation::Span;
use crate::notation::tree::{Bar, FigureNode, RowKind, What};
use crate::rules::Desk;

/// Every selected bar that is ruled by a rhythm row gets the figure for itself.
pub fn own<'a>(desk: &'a Desk, selected: &Selected) -> Result<Draft<'a>, Refusal> {
    sound_in(desk, &[selected.block])?;
    let mut draft = Draft::of(desk);
    let mut any = false;
    for row in &selected.rows {
        let Some(here) = RowHere::at(desk.score(), selected.block, row.number) else { continue };
        for source in row.sources.0..=row.sources.1 {
            any |= own_bar(&here, source, &mut draft);
        }
    }
    if any { Ok(draft) } else { Err(Refusal::idle("no bar here takes its figure from a rhythm row")) }
}

/// Every bar under a rhythm row gets its own figure, and the rhythm row goes unless it says more than rhythm.
pub fn own_all<'a>(desk: &'a Desk, block: usize, ruler: usize) -> Result<Draft<'a>, Refusal> {
    sound_in(desk, &[block])?;
    let score = desk.score();
    let rhythm = RowHere::at(score, block, ruler).filter(|r| r.row.kind == RowKind::Rhythm);
    let rhythm = rhythm.ok_or_else(|| Refusal::new("there is no rhythm row here"))?;
    let mut draft = Draft::of(desk);
    let mut longest = 0;
    for number in 0..rhythm.placed.read.block.rows.len() {
        let Some(row) = RowHere::at(score, block, number) else { continue };
        if number != ruler && row.row.kind != RowKind::Chords {
            longest = longest.max(row.row.bars);
        }
        if row.row.ruled_by == Some(ruler as u32) {
            for source in 0..row.tree.bars.len() {
                own_bar(&row, source, &mut draft);
            }
        }
    }
    // Everybody waits for a fermata, whoever plays under it.
    let waits = |n: &FigureNode| matches!(n, FigureNode::Place(place) if place.fermata);
    let speaks = rhythm.tree.items.iter().any(|i| !matches!(i.what, What::Again(_)))
        || rhythm.tree.nodes.iter().any(waits);
    let remark = rhythm.line.tokens.last().is_some_and(|t| t.kind == crate::notation::token::Kind::Comment);
    if !speaks && !remark && longest >= rhythm.row.bars {
        draft.remove(rhythm.at_line());
    }
    Ok(draft)
}

fn own_bar(row: &RowHere<'_>, source: usize, draft: &mut Draft<'_>) -> bool {
    let Some(bar) = row.tree.bars.get(source) else { return false };
    if bar.has_figure || !is_list(row, source) {
        return false;
    }
    let Some(figure) = figure(row, bar, row.first_bar(source)) else { return false };
    let at = inside(row.line, bar).start;
    draft.put(row.at_line(), Span::new(at, at), format!("{figure} : "));
    true
}

/// True if the bar is a list that a figure rules, rather than one rest, one hold, or a repetition.
pub fn is_list(row: &RowHere<'_>, source: usize) -> bool {
    let read = row.placed.read.rows.get(row.number).and_then(Option::as_ref);
    read.is_some_and(|read| {
        let cell = read.cells.get(read.cells.partition_point(|c| (c.source as usize) < source));
        cell.is_some_and(|cell| {
            let entries = matches!(cell.content, crate::score::row::Content::Entries { items, .. } if items == cell.source);
            cell.source as usize == source && entries
        })
    })
}

/// Figures that at least two rows have in a bar, or that the rhythm row has there already, go into the rhythm row.
pub fn share<'a>(desk: &'a Desk, selected: &Selected) -> Result<Draft<'a>, Refusal> {
    sound_in(desk, &[selected.block])?;
    let score = desk.score();
    let mut draft = Draft::of(desk);
    let Some(placed) = score.blocks.get(selected.block) else { return Ok(draft) };
    let rows: Vec<RowHere<'_>> =
        selected.rows.iter().filter_map(|r| RowHere::at(score, selected.block, r.number)).collect();
    let mut rulers: Vec<Option<u32>> = rows.iter().map(|r| r.row.ruled_by).collect();
    rulers.sort_unstable();
    rulers.dedup();
    let mut any = false;
    for ruled_by in rulers {
        let group: Vec<&RowHere<'_>> = rows.iter().filter(|r| r.row.ruled_by == ruled_by).collect();
        let mut new: Vec<(u32, String)> = Vec::new();
        for bar in selected.bars.0..=selected.bars.1.min(placed.frame.bars.saturating_sub(1)) {
            let own: Vec<(&RowHere<'_>, &Bar, String)> =
                group.iter().filter_map(|row| own_figure(row, bar).map(|(b, f)| (*row, b, f))).collect();
            let there = group.first().and_then(|row| over_bar(row, bar));
            let shared = match &there {
                Some(there) => there.clone(),
                None => {
                    let count = |f: &str| own.iter().filter(|(.., other)| other == f).count();
                    // The first of the most frequent.
                    let best = own.iter().rev().max_by_key(|(.., f)| count(f)).map(|(.., f)| f.clone());
                    let Some(best) = best.filter(|f| count(f) > 1) else { continue };
                    new.push((bar, best.clone()));
                    best
                }
            };
            for (row, bar, _) in own.iter().filter(|(.., f)| *f == shared) {
                let first = items(row.tree, bar).first().map_or(bar.figure.end, |i| i.span.start);
                draft.put(row.at_line(), Span::new(bar.figure.start, first), "");
                any = true;
            }
        }
        if new.is_empty() {
            continue;
        }
        match ruled_by.and_then(|r| RowHere::at(score, selected.block, r as usize)) {
            Some(rhythm) => fill(&rhythm, &new, &mut draft),
            None => {
                let first = placed.read.block.rows.iter().find(|r| r.kind == RowKind::Music);
                let last = new.last().map_or(0, |(bar, _)| *bar);
                let text = |bar: u32| new.iter().find(|(b, _)| *b == bar).map_or("", |(_, f)| f.as_str());
                let bars: String = (0..=last).map(|bar| barred(text(bar))).collect();
                draft.above(placed.line + first.map_or(1, |r| r.line), format!("rhythm |{bars}"));
            }
        }
    }
    if any { Ok(draft) } else { Err(Refusal::idle("no two rows have the same figure in a bar here")) }
}

/// The figure that a row brings for a bar of the block, if it can be left to a rhythm row.
fn own_figure<'r>(row: &RowHere<'r>, bar: u32) -> Option<(&'r Bar, String)> {
    let mut at: u32 = 0;
    let mut found = None;
    for one in &row.tree.bars {
        if at == bar {
            found = Some(one);
            break;
        }
        at = at.saturating_add(row.span_of(one).max(1));
    }
    let bar = found.filter(|b| b.has_figure)?;
    let all = items(row.tree, bar);
    let mut entries = all.iter().filter(|i| i.what.is_entry());
    let first = entries.next()?;
    // Without its figure one rest would be the bar's.
    if entries.next().is_none() && matches!(first.what, What::Rest | What::Hold) && first.times <= 1 {
        return None;
    }
    Some((bar, text_of(bar.nodes.of(&row.tree.nodes), &row.line.text)))
}

/// Figures for bars of a rhythm row that are blank so far, or lie behind its end.
fn fill(rhythm: &RowHere<'_>, new: &[(u32, String)], draft: &mut Draft<'_>) {
    let mut at: u32 = 0;
    for one in &rhythm.tree.bars {
        if let Some((_, text)) = new.iter().find(|(bar, _)| *bar == at) {
            let here = inside(rhythm.line, one);
            let with = if here.is_empty() { format!(" {text} ") } else { format!(" {text}") };
            draft.put(rhythm.at_line(), Span::new(here.end, here.end), with);
        }
        at = at.saturating_add(rhythm.span_of(one).max(1));
    }
    let end = rhythm.tree.bars.last().map_or(0, |b| b.span.end) + u32::from(rhythm.tree.closed);
    let mut more = if rhythm.tree.closed { String::new() } else { "|".to_owned() };
    let last = new.last().map_or(0, |(bar, _)| *bar);
    for bar in at..=last {
        let text = new.iter().find(|(b, _)| *b == bar).map_or("", |(_, f)| f.as_str());
        more.push_str(&barred(text));
    }
    if last >= at {
        draft.put(rhythm.at_line(), Span::new(end, end), more);
    }
}

/// A bar with the barline behind it.
fn barred(text: &str) -> String {
    if text.is_empty() { " |".to_owned() } else { format!(" {text} |") }
}
