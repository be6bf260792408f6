//! The outline of a score: head, players, groups, phrases, blocks with their bars and marks, rows.

use super::place::{Extent, Stretch};
use crate::notation::Span;
use crate::notation::tree::{LineTree, RowKind};
use crate::rules::Desk;
use crate::score::score::Placed;

/// What an entry of the outline is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SymbolKind {
    Head,
    Player,
    Group,
    Instrument,
    Phrase,
    Block,
    /// A row of music.
    Row,
    Rhythm,
    Chords,
}

/// An entry of the outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Symbol {
    pub name: String,
    /// What stands beside the name; may be empty.
    pub detail: String,
    pub kind: SymbolKind,
    /// All of it.
    pub extent: Extent,
    /// The part to select when it is gone to; inside `extent`.
    pub selection: Stretch,
    pub children: Vec<Symbol>,
}

/// The outline, in the order of the text.
pub fn symbols(desk: &Desk) -> Vec<Symbol> {
    let mut all: Vec<Symbol> = head(desk).into_iter().collect();
    for placed in &desk.score().blocks {
        all.push(block(desk, placed));
    }
    all
}

fn head(desk: &Desk) -> Option<Symbol> {
    let lines = &desk.score().head.lines;
    let told = |tree: &LineTree| !matches!(tree, LineTree::Blank);
    let first = lines.iter().position(|l| told(&l.tree))? as u32;
    let last = lines.iter().rposition(|l| told(&l.tree))? as u32;
    let children = lines.iter().enumerate().filter_map(|(at, _)| head_line(desk, at as u32)).collect();
    let title = desk.score().head.title.clone();
    Some(Symbol {
        name: title.filter(|t| !t.trim().is_empty()).unwrap_or_else(|| "Head".to_owned()),
        detail: String::new(),
        kind: SymbolKind::Head,
        extent: Extent::of_lines(desk.document(), first, last),
        selection: whole(desk, first),
        children,
    })
}

fn head_line(desk: &Desk, at: u32) -> Option<Symbol> {
    let line = desk.document().lines().get(at as usize)?;
    let (kind, id) = match &line.tree {
        LineTree::Player(p) => (SymbolKind::Player, p.id?),
        LineTree::Group(g) => (SymbolKind::Group, g.id?),
        LineTree::Instrument(i) => (SymbolKind::Instrument, i.id?),
        LineTree::Phrase(p) => (SymbolKind::Phrase, p.id?),
        _ => return None,
    };
    let detail = match &line.tree {
        LineTree::Player(p) => {
            let words = p.instrument.map(|s| p.read_in.map_or(s, |r| s.to(r.span)));
            words.map_or("", |s| s.of(&line.text)).to_owned()
        }
        LineTree::Group(g) => g.members.iter().map(|s| s.of(&line.text)).collect::<Vec<_>>().join(" "),
        LineTree::Phrase(p) => bars(p.row.bars.len() as u64),
        _ => String::new(),
    };
    Some(Symbol {
        name: id.of(&line.text).to_owned(),
        detail,
        kind,
        extent: Extent::of_lines(desk.document(), at, at),
        selection: Stretch { line: at, span: id },
        children: Vec::new(),
    })
}

fn bars(n: u64) -> String {
    if n == 1 { "1 bar".to_owned() } else { format!("{n} bars") }
}

fn block(desk: &Desk, placed: &Placed) -> Symbol {
    let lines = &placed.read.block.text.lines;
    let last = lines.iter().rposition(|l| !matches!(l.tree, LineTree::Blank)).unwrap_or(0) as u32;
    let numbers = bar_numbers(placed);
    let marks = placed.read.block.sections.join(", ");
    let name = if marks.trim().is_empty() { numbers } else { format!("{marks}: {numbers}") };
    let mut selection = whole(desk, placed.line);
    if let Some((number, _)) = placed.read.block.number {
        selection.span = Span::new(selection.span.start, number.end);
    }
    Symbol {
        name,
        detail: settings(placed),
        kind: SymbolKind::Block,
        extent: Extent::of_lines(desk.document(), placed.line, placed.line + last),
        selection,
        children: (1..=last).filter_map(|at| row(desk, placed, at)).collect(),
    }
}

/// `bar 5` or `bars 1–4`.
pub(super) fn bar_numbers(placed: &Placed) -> String {
    let first = placed.frame.first_bar;
    match i64::from(placed.frame.bars) {
        0 | 1 => format!("bar {first}"),
        n => format!("bars {first}–{}", first + n - 1),
    }
}

/// Meter, key and tempo where the block names them, as written.
fn settings(placed: &Placed) -> String {
    use crate::notation::tree::SettingKind;
    let Some(header) = placed.read.block.text.header() else { return String::new() };
    let text = placed.read.block.text.lines.first().map_or("", |l| &*l.text);
    let told = header
        .settings
        .iter()
        .filter(|s| !matches!(s.what, SettingKind::Mark(_) | SettingKind::Spot(_) | SettingKind::Bad));
    told.map(|s| s.span.of(text)).collect::<Vec<_>>().join("  ")
}

fn row(desk: &Desk, placed: &Placed, at: u32) -> Option<Symbol> {
    let line = placed.read.block.text.lines.get(at as usize)?;
    let LineTree::Row(row) = &line.tree else { return None };
    let (kind, name) = match row.kind {
        RowKind::Rhythm => (SymbolKind::Rhythm, "rhythm".to_owned()),
        RowKind::Chords => (SymbolKind::Chords, "chords".to_owned()),
        RowKind::Music => {
            let names: Vec<&str> = row.names.iter().map(|s| s.of(&line.text)).collect();
            (SymbolKind::Row, names.join(" "))
        }
    };
    let mut selection = whole(desk, placed.line + at);
    if let (Some(first), Some(last)) = (row.names.first(), row.names.last()) {
        selection.span = first.to(*last);
    } else if let Some(bar) = row.bars.first() {
        let start = selection.span.start;
        let end = start + line.text.get(start as usize..bar.span.start as usize).map_or(0, word_length);
        selection.span = Span::new(start, end.max(start));
    }
    Some(Symbol {
        name: if name.is_empty() { "?".to_owned() } else { name },
        detail: String::new(),
        kind,
        extent: Extent::of_lines(desk.document(), placed.line + at, placed.line + at),
        selection,
        children: Vec::new(),
    })
}

fn word_length(text: &str) -> u32 {
    text.find([' ', '\t', '|']).unwrap_or(text.len()) as u32
}

/// A line without the blanks around it.
fn whole(desk: &Desk, line: u32) -> Stretch {
    let text = desk.document().lines().get(line as usize).map_or("", |l| &*l.text);
    let start = text.len() - text.trim_start().len();
    Stretch { line, span: Span::new(start as u32, (text.trim_end().len().max(start)) as u32) }
}
