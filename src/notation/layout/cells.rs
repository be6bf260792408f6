//! Rows as cells: what stands between two barlines, with blanks taken out.

use super::squeeze::{squeeze, width};
use crate::notation::line::Line;
use crate::notation::tree::{Bar, FigureNode, Item, LineTree, PlaceKind, Row, RowKind, SymbolKind, What};
use std::collections::HashMap;
use std::sync::Arc;
use unicode_normalization::UnicodeNormalization;

/// Most places of a bar that are set in columns; beyond, the bar is set as it comes.
const MOST_PLACES: u64 = 512;
/// How deep phrases are followed into phrases to count their bars.
const PHRASE_DEPTH: usize = 16;

/// Bars of the phrases by name.
pub type Lengths = HashMap<String, u64>;

/// A cell of a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// First bar, from 0 at the block's first.
    pub bar: u64,
    /// How many bars it stands for.
    pub bars: u64,
    pub what: Content,
}

/// What is in a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// A piece of text, set at the left.
    Text(String),
    /// Entries to be set under the places of the rhythm row, if one rules here.
    List(Vec<Piece>),
    /// A figure of the rhythm row.
    Places(Vec<Piece>),
    /// `%` in the rhythm row.
    Same(String),
}

/// A piece of text that begins at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    pub text: String,
    /// Width of the entry alone, without what stands before it.
    pub bare: usize,
    /// How many places it takes; 0 for all there are.
    pub places: u64,
}

/// Cells of a row.
pub fn cells(line: &Line, row: &Row, phrases: &Lengths) -> Vec<Cell> {
    let mut at = 0u64;
    let mut out = Vec::with_capacity(row.bars.len());
    for bar in &row.bars {
        let (bars, what) = match row.kind {
            RowKind::Music => music(line, row, bar, phrases),
            RowKind::Rhythm => (1, rhythm(line, row, bar)),
            RowKind::Chords => chords(line, row, bar),
        };
        out.push(Cell { bar: at, bars, what });
        at = at.saturating_add(bars);
    }
    out
}

fn figure(line: &Line, row: &Row, bar: &Bar) -> String {
    let mut out = String::new();
    for node in bar.nodes.of(&row.nodes) {
        if !(out.is_empty() || matches!(node, FigureNode::Close { .. })) {
            out.push(' ');
        }
        out.push_str(&node_text(line, node));
    }
    out
}

fn node_text(line: &Line, node: &FigureNode) -> String {
    let span = match node {
        FigureNode::Place(place) => place.span,
        FigureNode::Open { span, .. } | FigureNode::Close { span, .. } => *span,
    };
    squeeze(line, span, false)
}

fn item_text(line: &Line, item: &Item) -> String {
    let apart = matches!(item.what, What::Instruction(_));
    squeeze(line, item.span, apart)
}

fn music(line: &Line, row: &Row, bar: &Bar, phrases: &Lengths) -> (u64, Content) {
    let items = bar.items.of(&row.items);
    let joined = || items.iter().map(|item| item_text(line, item)).collect::<Vec<_>>().join(" ");
    if bar.has_figure {
        return (1, Content::Text(format!("{} : {}", figure(line, row, bar), joined())));
    }
    if let Some(bars) = items.iter().find(|item| item.what.is_bars()) {
        return (bars_of(line, row, bars, phrases), Content::Text(joined()));
    }
    let mut timed = items.iter().filter(|item| item.what.is_entry());
    let alone = match (timed.next(), timed.next()) {
        (None, _) => true,
        (Some(one), None) => one.times == 1 && matches!(one.what, What::Rest | What::Hold),
        _ => false,
    };
    if alone {
        return (1, Content::Text(joined()));
    }
    (1, Content::List(pieces(line, items)))
}

/// How many bars a thing stands for that stands for whole bars.
fn bars_of(line: &Line, row: &Row, item: &Item, phrases: &Lengths) -> u64 {
    match item.what {
        What::Rests(n) | What::Again(n) | What::Improvise(n) => u64::from(n),
        What::Play(at) => row.plays.get(at as usize).map_or(1, |play| {
            let length = phrases.get(&key(play.phrase.of(&line.text))).copied().unwrap_or(1);
            length.saturating_mul(u64::from(play.times)).max(1)
        }),
        _ => 1,
    }
}

/// Each entry with what stands before it; what stands behind the last belongs to the last.
fn pieces(line: &Line, items: &[Item]) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    let mut before = String::new();
    for item in items {
        let text = item_text(line, item);
        if item.what.is_entry() {
            let bare = width(&text);
            before.push_str(&text);
            out.push(Piece { text: std::mem::take(&mut before), bare, places: u64::from(item.times) });
        } else {
            before.push_str(&text);
            before.push(' ');
        }
    }
    if let Some(last) = out.last_mut().filter(|_| !before.is_empty()) {
        last.text.push(' ');
        last.text.push_str(before.trim_end());
    }
    out
}

fn chords(line: &Line, row: &Row, bar: &Bar) -> (u64, Content) {
    let symbols = bar.items.of(&row.symbols);
    let bars = symbols.iter().find_map(|s| match s.what {
        SymbolKind::Rests(n) | SymbolKind::Again(n) => Some(u64::from(n)),
        _ => None,
    });
    let text = symbols.iter().map(|s| squeeze(line, s.span, false)).collect::<Vec<_>>().join(" ");
    let text = if bar.has_figure { format!("{} : {text}", figure(line, row, bar)) } else { text };
    (if bar.has_figure { 1 } else { bars.unwrap_or(1) }, Content::Text(text))
}

fn rhythm(line: &Line, row: &Row, bar: &Bar) -> Content {
    let items = bar.items.of(&row.items);
    let nodes = bar.nodes.of(&row.nodes);
    if nodes.is_empty() {
        let text = items.iter().map(|item| item_text(line, item)).collect::<Vec<_>>().join(" ");
        let same = items.iter().any(|item| matches!(item.what, What::Again(_)));
        return if same { Content::Same(text) } else { Content::Text(text) };
    }
    let mut out: Vec<Piece> = Vec::new();
    // What has been read and belongs before the next place that takes an entry.
    let mut before = String::new();
    let mut at = 0;
    let mut free = items.iter().peekable();
    while at < nodes.len() {
        while let Some(item) = free.next_if(|item| usize::from(item.after) <= at) {
            push_word(&mut before, &item_text(line, item));
        }
        let whole = repeated_group(nodes, at);
        let group = nodes.get(at..whole.unwrap_or(at) + 1).unwrap_or(&[]);
        let mut text = String::new();
        for (i, node) in group.iter().enumerate() {
            // Words between the values of a repeated tuplet stay where they are.
            while let Some(item) = free.next_if(|item| i > 0 && usize::from(item.after) <= at + i) {
                push_word(&mut text, &item_text(line, item));
            }
            if !matches!(node, FigureNode::Close { .. }) && !text.is_empty() {
                text.push(' ');
            }
            text.push_str(&node_text(line, node));
        }
        at += group.len().max(1);
        let places = count(group);
        if places > 0 {
            push_word(&mut before, &text);
            out.push(Piece { bare: width(&text), text: std::mem::take(&mut before), places });
        } else if matches!(group, [FigureNode::Close { .. }]) && before.is_empty() && !out.is_empty() {
            if let Some(last) = out.last_mut() {
                last.text.push_str(&text);
            }
        } else if matches!(group, [FigureNode::Place(_)]) && before.is_empty() && !out.is_empty() {
            if let Some(last) = out.last_mut() {
                push_word(&mut last.text, &text);
            }
        } else if matches!(group, [FigureNode::Close { .. }]) {
            before.push_str(&text);
        } else {
            push_word(&mut before, &text);
        }
    }
    for item in free {
        push_word(&mut before, &item_text(line, item));
    }
    if !before.is_empty() {
        match out.last_mut() {
            Some(last) => push_word(&mut last.text, &before),
            None => return Content::Text(before),
        }
    }
    let total = out.iter().fold(0u64, |sum, piece| sum.saturating_add(piece.places));
    if total > MOST_PLACES {
        let text = out.into_iter().map(|piece| piece.text).collect::<Vec<_>>().join(" ");
        return Content::Text(text);
    }
    if let ([FigureNode::Place(place)], [piece]) = (nodes, out.as_mut_slice())
        && place.kind == PlaceKind::Entry
        && place.times == 1
        && !place.fermata
    {
        piece.places = 0;
    }
    Content::Places(out)
}

fn push_word(text: &mut String, word: &str) {
    if !text.is_empty() {
        text.push(' ');
    }
    text.push_str(word);
}

/// The end of a tuplet that begins here and is repeated as a whole, or holds one that is.
fn repeated_group(nodes: &[FigureNode], at: usize) -> Option<usize> {
    let mut depth = 0usize;
    let mut repeated = false;
    for (i, node) in nodes.iter().enumerate().skip(at) {
        match node {
            FigureNode::Open { .. } => depth += 1,
            FigureNode::Close { times, .. } => {
                depth = depth.saturating_sub(1);
                repeated |= *times > 1;
            }
            FigureNode::Place(_) => {}
        }
        if depth == 0 {
            return Some(i).filter(|_| repeated);
        }
    }
    None
}

/// How many places that take an entry.
fn count(nodes: &[FigureNode]) -> u64 {
    let mut stack: Vec<u64> = vec![0];
    for node in nodes {
        match node {
            FigureNode::Open { .. } => stack.push(0),
            FigureNode::Close { times, .. } => {
                let inner = if stack.len() > 1 { stack.pop().unwrap_or(0) } else { 0 };
                if let Some(sum) = stack.last_mut() {
                    *sum = sum.saturating_add(inner.saturating_mul(u64::from(*times)));
                }
            }
            FigureNode::Place(place) if place.kind == PlaceKind::Entry => {
                if let Some(sum) = stack.last_mut() {
                    *sum = sum.saturating_add(u64::from(place.times));
                }
            }
            FigureNode::Place(_) => {}
        }
    }
    stack.into_iter().fold(0, u64::saturating_add)
}

fn key(name: &str) -> String {
    name.nfc().collect()
}

/// How many bars each phrase of the text has.
pub fn phrase_lengths(lines: &[&Arc<Line>]) -> Lengths {
    let mut found = HashMap::new();
    for line in lines {
        if let LineTree::Phrase(phrase) = &line.tree
            && let Some(id) = phrase.id
        {
            found.entry(key(id.of(&line.text))).or_insert((&***line, &phrase.row));
        }
    }
    let mut out = Lengths::new();
    // Phrases within phrases are longer only from round to round; a circle ends with the rounds.
    for _ in 0..PHRASE_DEPTH {
        let before = out.clone();
        for (name, (line, row)) in &found {
            let bars = row.bars.iter().map(|bar| {
                let bars = bar.items.of(&row.items).iter().find(|item| item.what.is_bars());
                bars.map_or(1, |item| bars_of(line, row, item, &before))
            });
            out.insert(name.clone(), bars.fold(0, u64::saturating_add));
        }
        if out == before {
            break;
        }
    }
    out
}
