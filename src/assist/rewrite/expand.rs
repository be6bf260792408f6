//! `%` and `*n` written out.

use super::Refusal;
use super::bar_text::{around, bar, figure, inside, items, over_bar, squeezed};
use super::draft::Draft;
use super::faults::sound_in;
use crate::assist::cure::case::RowHere;
use crate::assist::cure::figure::text_of;
use crate::assist::cure::notes::tokens;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{FigureNode, Item, RowKind, SymbolKind, What};
use crate::rules::Desk;
use crate::score::row::{Cell, Content};

/// More bars than this are not written out at once.
const MOST_BARS: usize = 512;
/// More copies than this in one list are not.
const MOST_COPIES: usize = 4096;

/// What a stretch of a line has that can be written out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Short {
    /// `%`, counted in bars.
    pub bars: usize,
    /// Entries or places with `*n`.
    pub copies: usize,
}

/// What of a line can be written out where a stretch touches it.
pub fn short(desk: &Desk, line: u32, within: Span) -> Short {
    let Some(row) = RowHere::on(desk, line) else { return Short::default() };
    let touched = |span: Span| span.start <= within.end && within.start <= span.end;
    let mut found = Short::default();
    for item in row.tree.items.iter().filter(|i| touched(i.span)) {
        match item.what {
            What::Again(n) => found.bars += usize::from(n.max(1)),
            what if what.is_entry() && item.times > 1 => found.copies += 1,
            _ => {}
        }
    }
    for symbol in row.tree.symbols.iter().filter(|s| touched(s.span)) {
        if let SymbolKind::Again(n) = symbol.what {
            found.bars += usize::from(n.max(1));
        }
    }
    for node in &row.tree.nodes {
        let (span, times) = match node {
            FigureNode::Place(place) => (place.span, place.times),
            FigureNode::Close { times, span } => (*span, *times),
            FigureNode::Open { .. } => continue,
        };
        found.copies += usize::from(times > 1 && touched(span));
    }
    found
}

/// Writes out what stretches of some lines touch.
pub fn draft<'a>(desk: &'a Desk, lines: &[(u32, Span)]) -> Result<Draft<'a>, Refusal> {
    let mut draft = Draft::of(desk);
    let mut blocks: Vec<usize> = lines.iter().filter_map(|(line, _)| desk.score().block_at(*line)).collect();
    blocks.dedup();
    sound_in(desk, &blocks)?;
    let mut any = false;
    for (line, within) in lines {
        let Some(row) = RowHere::on(desk, *line) else { continue };
        let edits = of_row(&row, *within)?;
        any |= !edits.is_empty();
        draft.put_all(*line, edits);
    }
    if any { Ok(draft) } else { Err(Refusal::idle("there is no % and no *n here")) }
}

fn of_row(row: &RowHere<'_>, within: Span) -> Result<Vec<(Span, String)>, Refusal> {
    let touched = |span: Span| span.start <= within.end && within.start <= span.end;
    let mut edits = Vec::new();
    for (source, one) in row.tree.bars.iter().enumerate() {
        if !touched(one.span) {
            continue;
        }
        let all = items(row.tree, one);
        if row.row.kind == RowKind::Chords {
            if let Some(symbol) = one.items.of(&row.tree.symbols).iter().find(|s| touched(s.span))
                && let SymbolKind::Again(n) = symbol.what
                && let Some(text) = before_chords(row, source)
            {
                edits.push((symbol.span, copies(&text, n)?));
            }
        } else if let Some(again) = all.iter().find(|i| matches!(i.what, What::Again(_)) && touched(i.span)) {
            let What::Again(n) = again.what else { continue };
            if row.row.kind == RowKind::Rhythm {
                let text = over(row, source).ok_or_else(nothing)?;
                edits.push((again.span, copies(&text, n)?));
            } else {
                edits.push((
                    inside(row.line, one),
                    repeated(row, source, &|i| touched(again.span) && touched(i.span))?,
                ));
            }
            continue;
        }
        for item in all.iter().filter(|i| i.what.is_entry() && i.times > 1 && touched(i.span)) {
            edits.push((item.span, entry(row.line, item)));
        }
        edits.extend(places(row.line, one.nodes.of(&row.tree.nodes), &touched));
    }
    Ok(edits)
}

fn nothing() -> Refusal {
    Refusal::new("there is nothing before this % that could be written out")
}

fn copies(text: &str, n: u16) -> Result<String, Refusal> {
    let n = usize::from(n.max(1));
    if n > MOST_BARS {
        return Err(Refusal::new(format!(
            "{n} bars are too many to write out at once; {MOST_BARS} are the most"
        )));
    }
    Ok(vec![text; n].join(" | "))
}

/// The bars of a `%` of a music row, as text.
pub fn repeated(
    row: &RowHere<'_>,
    source: usize,
    expands: &dyn Fn(&Item) -> bool,
) -> Result<String, Refusal> {
    let one = row.tree.bars.get(source).ok_or_else(nothing)?;
    let read = row.placed.read.rows.get(row.number).and_then(Option::as_ref).ok_or_else(nothing)?;
    let cells: Vec<&Cell> = read.cells.iter().filter(|c| c.source as usize == source).collect();
    if cells.is_empty() {
        return Err(nothing());
    }
    if cells.len() > MOST_BARS {
        return Err(Refusal::new(format!("{} bars are too many to write out at once", cells.len())));
    }
    let (before, after) = around(row.line, items(row.tree, one));
    let mut out: Vec<String> = Vec::new();
    for cell in cells {
        let first = if cell.first { before.as_str() } else { "" };
        let last = if cell.last { after.as_str() } else { "" };
        out.push(copy(row, cell, first, last, expands)?);
    }
    Ok(out.join(" | "))
}

/// One bar that repeats another, as text that can stand at any place of the block's rows.
pub fn copy(
    row: &RowHere<'_>,
    cell: &Cell,
    before: &str,
    after: &str,
    expands: &dyn Fn(&Item) -> bool,
) -> Result<String, Refusal> {
    match cell.content {
        Content::Silence => Ok(bar(None, before, "-", after)),
        Content::Held => Ok(bar(None, before, "=", after)),
        Content::Improvised | Content::Phrase { .. } => Err(nothing()),
        Content::Entries { items: at, .. } => {
            let source = row.tree.bars.get(at as usize).ok_or_else(nothing)?;
            let own = figure(row, source, row.first_bar(at as usize)).ok_or_else(nothing)?;
            let here = over_bar(row, cell.bar);
            let figure = (source.has_figure || here.as_ref() != Some(&own)).then_some(own.as_str());
            let all = items(row.tree, source);
            let words: Vec<String> = all
                .iter()
                .map(|i| if expands(i) { entry(row.line, i) } else { squeezed(row.line, i.span) })
                .collect();
            Ok(bar(figure, before, &words.join(" "), after))
        }
    }
}

/// The figure over a bar of a rhythm row that repeats the one before.
pub fn over(row: &RowHere<'_>, source: usize) -> Option<String> {
    let before = row.tree.bars.get(..source)?;
    let from = before.iter().rev().find(|b| !b.nodes.is_empty())?;
    Some(text_of(from.nodes.of(&row.tree.nodes), &row.line.text))
}

pub fn before_chords(row: &RowHere<'_>, source: usize) -> Option<String> {
    let before = row.tree.bars.get(..source)?.iter().rev();
    let again = |b: &&crate::notation::tree::Bar| {
        let symbols = b.items.of(&row.tree.symbols);
        symbols.is_empty() || symbols.iter().any(|s| matches!(s.what, SymbolKind::Again(_)))
    };
    let from = before.into_iter().find(|b| !again(b))?;
    Some(squeezed(row.line, inside(row.line, from)))
}

/// An entry with its copies one after the other: a slur and a breath are the last one's.
pub fn entry(line: &Line, item: &Item) -> String {
    let times = tokens(line, item.span).filter(|t| t.kind == Kind::Times).last();
    let n = usize::from(item.times.max(1));
    let Some(times) = times.filter(|_| n > 1 && n <= MOST_COPIES) else { return squeezed(line, item.span) };
    let bare = Span::new(item.span.start, times.span.start);
    let last = squeezed(line, bare);
    let mut other = String::new();
    let mut blank = false;
    for token in tokens(line, bare) {
        match token.kind {
            Kind::Blank => blank = !other.is_empty(),
            Kind::Low | Kind::Comma | Kind::Commas => {}
            _ => {
                if std::mem::take(&mut blank) {
                    other.push(' ');
                }
                other.push_str(token.of(&line.text));
            }
        }
    }
    let mut all = vec![other; n - 1];
    all.push(last);
    all.join(" ")
}

/// The places and tuplets of a figure with `*n`, written out; what lies inside another is done with it.
fn places(line: &Line, nodes: &[FigureNode], touched: &dyn Fn(Span) -> bool) -> Vec<(Span, String)> {
    let mut edits: Vec<(Span, String)> = Vec::new();
    let mut open: Vec<Span> = Vec::new();
    for node in nodes {
        let (span, times, from) = match node {
            FigureNode::Open { span, .. } => {
                open.push(*span);
                continue;
            }
            FigureNode::Close { times, span } => (*span, *times, open.pop().unwrap_or(*span)),
            FigureNode::Place(place) => (place.span, place.times, place.span),
        };
        if times < 2 || !touched(span) {
            continue;
        }
        let Some(sign) = tokens(line, span).filter(|t| t.kind == Kind::Times).last() else { continue };
        let whole = Span::new(from.start, sign.span.start);
        // A repeated tuplet takes what was written out inside of it along.
        let text = with(line, whole, &edits);
        edits.retain(|(span, _)| span.end <= whole.start || span.start >= whole.end);
        edits.push((Span::new(whole.start, span.end), vec![text; usize::from(times)].join(" ")));
    }
    edits
}

fn with(line: &Line, whole: Span, edits: &[(Span, String)]) -> String {
    let mut out = String::new();
    let mut at = whole.start;
    for (span, text) in edits.iter().filter(|(s, _)| whole.start <= s.start && s.end <= whole.end) {
        out.push_str(Span::new(at, span.start).of(&line.text));
        out.push_str(text);
        at = span.end;
    }
    out.push_str(Span::new(at, whole.end).of(&line.text));
    out
}
