//! A block parted in two at a bar.

use super::Refusal;
use super::bar_text::{around, bar, items, squeezed};
use super::draft::Draft;
use super::expand::{before_chords, copy, over};
use super::faults::sound_in;
use crate::assist::cure::case::RowHere;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::{Bar, LineTree, RowKind, SettingKind, SymbolKind, What};
use crate::rules::Desk;
use crate::score::row::Cell;

/// A row in two.
struct Halves {
    line: u32,
    /// The bars of the first half that stand there; where the row is cut, and what is put in there.
    left: Option<(Span, String)>,
    left_blank: bool,
    left_bars: u32,
    /// The row of the second half, with its bars.
    right: Option<String>,
    right_blank: bool,
    right_bars: u32,
    remark: bool,
}

/// Begins a new block at a bar of a block, from 0.
pub fn draft<'a>(desk: &'a Desk, block: usize, at: u32) -> Result<Draft<'a>, Refusal> {
    let score = desk.score();
    let placed = score.blocks.get(block).ok_or_else(|| Refusal::new("there is no such block"))?;
    if at == 0 || at >= placed.frame.bars {
        return Err(Refusal::new(format!(
            "a block begins or ends there already; it can be parted at its bars {} to {}",
            placed.frame.first_bar + 1,
            placed.frame.first_bar + i64::from(placed.frame.bars) - 1
        )));
    }
    if placed.read.block.ending.is_some() {
        return Err(Refusal::new("an ending is one block and cannot be parted"));
    }
    sound_in(desk, &[block])?;
    let mut halves = Vec::new();
    for number in 0..placed.read.block.rows.len() {
        if let Some(row) = RowHere::at(score, block, number) {
            halves.push(parted(&row, at)?);
        }
    }
    let bars = placed.frame.bars;
    let mut draft = Draft::of(desk);
    let header = headers(desk, block, at, &mut draft)?;
    let whole_left = halves.iter().any(|h| !h.left_blank && h.left_bars >= at);
    let mut kept_left = whole_left;
    for half in &halves {
        let line = placed.line + half.line;
        if half.left_blank && !half.remark && (kept_left || half.left_bars < at) {
            draft.remove(line);
            continue;
        }
        kept_left |= half.left_bars >= at;
        if let Some((span, with)) = &half.left {
            draft.put(line, *span, with.clone());
        }
    }
    let mut kept_right = halves.iter().any(|h| !h.right_blank && h.right_bars >= bars - at);
    let mut lines = vec![String::new(), header];
    for half in &halves {
        let Some(text) = &half.right else { continue };
        if half.right_blank && (kept_right || half.right_bars < bars - at) {
            continue;
        }
        kept_right |= half.right_bars >= bars - at;
        lines.push(text.clone());
    }
    for line in &placed.read.block.allows {
        lines.extend(placed.read.block.text.lines.get(*line as usize).map(|l| l.text.to_string()));
    }
    let last = placed.read.block.rows.last().map_or(0, |r| r.line);
    lines.into_iter().for_each(|text| draft.below(placed.line + last, text));
    Ok(draft)
}

/// The header of the new block; what belongs to the end of the old one goes over to it.
fn headers(desk: &Desk, block: usize, at: u32, draft: &mut Draft<'_>) -> Result<String, Refusal> {
    let Some(placed) = desk.score().blocks.get(block) else { return Ok("bar".to_owned()) };
    let number = placed.frame.first_bar + i64::from(at);
    let mut header = format!("bar {number}");
    let Some(line) = placed.read.block.text.lines.first() else { return Ok(header) };
    let LineTree::Block(tree) = &line.tree else { return Ok(header) };
    for setting in &tree.settings {
        match setting.what {
            SettingKind::Close(_) => {
                header.push_str("  ");
                header.push_str(&squeezed(line, setting.span));
                let before = line.text.get(..setting.span.start as usize).unwrap_or("");
                let start = before.trim_end_matches([' ', '\t']).len() as u32;
                draft.put(placed.line, Span::new(start, setting.span.end), "");
            }
            SettingKind::Repeat { to: None, .. } => {
                let last = placed.frame.first_bar + i64::from(placed.frame.bars) - 1;
                draft.put(placed.line, Span::new(setting.span.end, setting.span.end), format!(" to {last}"));
            }
            _ => {}
        }
    }
    Ok(header)
}

fn parted(row: &RowHere<'_>, at: u32) -> Result<Halves, Refusal> {
    let (line, tree) = (row.line, row.tree);
    let start = tree.bars.first().map_or(line.text.len() as u32, |b| b.span.start);
    let end = tree.bars.last().map_or(start, |b| b.span.end);
    let remark = line.tokens.last().is_some_and(|t| t.kind == crate::notation::token::Kind::Comment);
    let head = Span::new(0, start).of(&line.text);
    let mut halves = Halves {
        line: row.row.line,
        left: None,
        left_blank: true,
        left_bars: 0,
        right: None,
        right_blank: true,
        right_bars: 0,
        remark,
    };
    let mut right: Vec<String> = Vec::new();
    let mut now: u32 = 0;
    for (source, one) in tree.bars.iter().enumerate() {
        let next = now.saturating_add(row.span_of(one).max(1));
        let blank = one.span.of(&line.text).trim().is_empty();
        if next <= at {
            halves.left_bars = next;
            halves.left_blank &= blank;
        } else {
            if right.is_empty() {
                let cut = cut(row, source, one, now, at)?;
                let mut left = String::new();
                if let Some(text) = cut.0 {
                    left = format!(" {text} |");
                    (halves.left_bars, halves.left_blank) = (at, false);
                }
                // From behind the last barline that stays to the last of all.
                let gone = Span::new(one.span.start, end + u32::from(row.tree.closed));
                halves.left = Some((gone, left));
                halves.right_blank &= cut.1.trim().is_empty();
                right.push(cut.1);
            } else {
                right.push(one.span.of(&line.text).to_owned());
                halves.right_blank &= blank;
            }
            halves.right_bars = next - at;
        }
        now = next;
    }
    if !right.is_empty() {
        halves.right = Some(format!("{head}{}|", right.join("|")));
    }
    Ok(halves)
}

/// A bar of a row that the cut goes through or stands before, in two: nothing for the first where it stands
/// wholly behind the cut.
fn cut(
    row: &RowHere<'_>,
    source: usize,
    one: &Bar,
    now: u32,
    at: u32,
) -> Result<(Option<String>, String), Refusal> {
    let left = at.saturating_sub(now);
    let total = row.span_of(one).max(1);
    let whole = one.span.of(&row.line.text).to_owned();
    if row.row.kind == RowKind::Chords {
        return Ok(chords(row, source, one, left, total, whole));
    }
    let all = items(row.tree, one);
    let Some(item) = all.iter().find(|i| i.what.is_bars()) else { return Ok((None, whole)) };
    let (before, after) = around(row.line, all);
    let first = if left == 0 { before.as_str() } else { "" };
    let some = |text: String| (left > 0).then(|| bar(None, &before, &text, ""));
    match item.what {
        What::Rests(_) if left > 0 => Ok((
            some(format!("rest {left}")),
            padded(&bar(None, "", &format!("rest {}", total - left), &after)),
        )),
        What::Improvise(_) if left > 0 => {
            let rest = format!("improvise {}", total - left);
            Ok((some(format!("improvise {left}")), padded(&bar(None, "", &rest, &after))))
        }
        What::Play(_) if left > 0 => Err(Refusal::new(format!(
            "a phrase is played across the beginning of bar {}; write the phrase out first",
            row.number_of(at)
        ))),
        What::Again(_) => {
            let more = total - left - 1;
            let last = if more == 0 { after.as_str() } else { "" };
            let text = if row.row.kind == RowKind::Rhythm {
                let figure = over(row, source)
                    .ok_or_else(|| Refusal::new("there is nothing before a % that could be written out"))?;
                bar(None, first, &figure, last)
            } else {
                let cell = cell(row, source, at)
                    .ok_or_else(|| Refusal::new("there is nothing before a % that could be written out"))?;
                // The rhythm over the bar stays the same one: a rhythm row's % is written out too.
                copy(row, cell, first, last, &|_| false)?
            };
            let mut right = padded(&text);
            if more > 0 {
                right.push('|');
                right.push_str(&padded(&bar(None, "", &again(more), &after)));
            }
            Ok((some(again(left)), right))
        }
        _ => Ok((None, whole)),
    }
}

fn padded(text: &str) -> String {
    format!(" {text} ")
}

fn again(n: u32) -> String {
    if n == 1 { "%".to_owned() } else { format!("%*{n}") }
}

fn cell<'r>(row: &RowHere<'r>, source: usize, at: u32) -> Option<&'r Cell> {
    let read = row.placed.read.rows.get(row.number)?.as_ref()?;
    read.cells.iter().find(|c| c.source as usize == source && c.bar == at)
}

fn chords(
    row: &RowHere<'_>,
    source: usize,
    one: &Bar,
    left: u32,
    total: u32,
    whole: String,
) -> (Option<String>, String) {
    let symbols = one.items.of(&row.tree.symbols);
    match symbols {
        // The last chord goes on, and in a new block nothing would say so.
        [] => {
            let last = last_chord(row.line, row, source);
            (None, last.map_or(whole, |text| padded(&text)))
        }
        [only] => match only.what {
            SymbolKind::Rests(_) if left > 0 => {
                (Some(format!("rest {left}")), padded(&format!("rest {}", total - left)))
            }
            SymbolKind::Again(_) => {
                let mut right = before_chords(row, source).map_or(whole, |text| padded(&text));
                let more = total - left - 1;
                if more > 0 {
                    right.push('|');
                    right.push_str(&padded(&again(more)));
                }
                ((left > 0).then(|| again(left)), right)
            }
            _ => (None, whole),
        },
        _ => (None, whole),
    }
}

fn last_chord(line: &Line, row: &RowHere<'_>, source: usize) -> Option<String> {
    let before = row.tree.bars.get(..source)?;
    let last = before.iter().rev().flat_map(|b| b.items.of(&row.tree.symbols).iter().rev());
    let named = last.into_iter().find(|s| !matches!(s.what, SymbolKind::Again(_)))?;
    (named.what == SymbolKind::Chord).then(|| named.span.of(&line.text).to_owned())
}
