//! When: values of a figure, and whole figures for an empty bar.

use super::about::About;
use super::item::{Item, ItemKind, List};
use super::who::bar_of_block;
use crate::assist::counting;
use crate::assist::glossary::{Class, meaning};
use crate::assist::hover::time::long;
use crate::assist::typing::{OpenBar, Typing};
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::grammar::timing::value_of;
use crate::notation::pairing::separates;
use crate::notation::token::Kind;
use crate::notation::tree::{FigureNode, LineTree};
use crate::score::figure::{expand, value_letters};

/// Where values stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Before a colon.
    Figure,
    /// In a rhythm row.
    Rhythm,
}

/// Values, the likely ones first: letters and share of a whole note.
const VALUES: [(&str, i64, i64); 13] = [
    ("q", 1, 4),
    ("e", 1, 8),
    ("h", 1, 2),
    ("q.", 3, 8),
    ("h.", 3, 4),
    ("w", 1, 1),
    ("s", 1, 16),
    ("e.", 3, 16),
    ("ss", 1, 32),
    ("s.", 3, 32),
    ("w.", 3, 2),
    ("ww", 2, 1),
    ("sss", 1, 64),
];

/// Figures that fill a bar of so many whole notes.
const FIGURES: [(i64, i64, &[&str]); 6] = [
    (1, 1, &["q*4", "h h", "h q q", "q q h", "q. e h", "q. e q q", "e*8", "w"]),
    (3, 4, &["q*3", "h q", "q h", "q. e q", "h."]),
    (1, 2, &["q q", "q. e", "e*4", "h"]),
    (3, 8, &["e*3", "q e", "q."]),
    (9, 8, &["q.*3", "e*9"]),
    (3, 2, &["q.*4", "e*12", "h*3"]),
];

/// Figures of a bar in two dotted quarters.
const COMPOUND: [&str; 5] = ["q. q.", "q e q e", "e*6", "q. e*3", "h."];

/// A value may stand at the cursor.
pub fn offered<'a>(typing: Typing<'a>, bar: &OpenBar, form: Form) -> Option<List<'a>> {
    let word = fresh(&typing)?;
    let mut list = List::new(typing, word);
    if typing.tokens_in(bar.span).any(|t| t.kind == Kind::Percent) {
        // A repeated figure stands alone.
        return Some(list);
    }
    let left = left(&typing, bar, word);
    let fits = |length: Fraction| left.is_none_or(|left| length <= left);
    let blank = typing.text(bar.span).trim() == typing.text(word);
    if blank && form == Form::Rhythm {
        whole(&mut list, bar, 0, "");
    }
    for (letters, n, d) in VALUES {
        let Some(length) = Fraction::new(n, d) else { continue };
        let fills = left == Some(length);
        let detail =
            if fills { format!("{}, fills the bar", words(letters, length)) } else { words(letters, length) };
        let about = About::word(Class::Value, letters.trim_end_matches('.'));
        let tier = if fits(length) { 5 } else { 15 };
        list.told(tier, ItemKind::Value, letters, detail, about);
    }
    if typing.is_touched(word) {
        // What touches the value stays with it.
        return Some(list);
    }
    if let Some(rest) = left.filter(|l| !l.is_zero()).and_then(value_letters) {
        list.told(6, ItemKind::Value, rest.clone(), "fills the bar", About::Nothing);
        if !rest.contains('+') {
            list.told(
                10,
                ItemKind::Value,
                format!("{rest}-"),
                "silence to the end of the bar",
                About::Nothing,
            );
        }
    }
    let in_tuplet = in_tuplet(&typing, bar);
    for (figure, n, d, told) in
        [("{3:2 e*3}", 1, 4, "a triplet of eighths"), ("{3:2 q*3}", 1, 2, "a triplet of quarters")]
    {
        let tier = if Fraction::new(n, d).is_some_and(fits) { 9 } else { 16 };
        if !in_tuplet {
            list.told(tier, ItemKind::Value, figure, told, About::word(Class::Bars, "{"));
        }
    }
    Some(list)
}

fn words(letters: &str, length: Fraction) -> String {
    match meaning(Class::Value, letters) {
        Some(text) => text.trim_end_matches('.').to_owned(),
        None => long(length),
    }
}

/// A figure with its colon, at the beginning of a bar that has none.
pub fn begin(list: &mut List<'_>, bar: &OpenBar, tier: u8) {
    whole(list, bar, tier, " :");
    for (letters, n, d) in VALUES.into_iter().take(7) {
        let detail = Fraction::new(n, d).map(|l| words(letters, l)).unwrap_or_default();
        put(list, tier + 1, letters, " :", &format!("{detail}, for every note"));
    }
}

/// True for what stands in a figure and in no list: values, with whatever touches them.
pub fn is_value(word: &str) -> bool {
    let letters =
        word.find(|c: char| !c.is_ascii_alphabetic()).map_or(word, |at| word.get(..at).unwrap_or(""));
    word.starts_with(['{', '}']) || value_of(letters).is_some()
}

/// Figures that fill the bar.
fn whole(list: &mut List<'_>, bar: &OpenBar, tier: u8, colon: &str) {
    let Some(length) = bar_length(&list.typing, bar) else { return };
    let compound = is_compound(&list.typing, bar);
    let fitting = FIGURES.iter().find(|(n, d, _)| Fraction::new(*n, *d) == Some(length));
    let figures = if compound { &COMPOUND[..] } else { fitting.map_or(&[][..], |f| f.2) };
    for figure in figures {
        put(list, tier, figure, colon, "fills the bar");
    }
    if figures.is_empty()
        && let Some(letters) = value_letters(length)
    {
        put(list, tier, &letters, colon, "fills the bar");
    }
}

fn put(list: &mut List<'_>, tier: u8, figure: &str, colon: &str, detail: &str) {
    let label = format!("{figure}{colon}");
    let text = if colon.is_empty() { label.clone() } else { format!("{label} ") };
    list.put(tier, Item::plain(ItemKind::Value, label, detail.to_owned()).putting(text));
}

/// The value at the cursor, dots included; nothing where it touches something else.
fn fresh(typing: &Typing<'_>) -> Option<Span> {
    let tokens = &typing.line.tokens;
    let joins = |kind: Kind| matches!(kind, Kind::Word | Kind::Dot | Kind::Plus);
    let before = tokens.iter().rev().skip_while(|t| t.span.end > typing.at && t.span.start >= typing.at);
    let mut start = typing.at;
    for token in before {
        if token.span.end < start || !joins(token.kind) {
            break;
        }
        start = token.span.start;
    }
    let mut end = typing.at;
    for token in tokens.iter().filter(|t| t.span.end > typing.at) {
        if token.span.start > end || !joins(token.kind) {
            break;
        }
        end = token.span.end;
    }
    let word = Span::new(start, end.max(typing.at));
    let led = typing.touching(start).is_empty();
    let next = tokens.iter().find(|t| t.span.start >= word.end);
    let ends = !word.is_empty() || next.is_none_or(|t| separates(t.kind));
    (led && ends && !after_brace(typing, start)).then_some(word)
}

/// True right behind the bracket of a tuplet, where its numbers stand.
fn after_brace(typing: &Typing<'_>, at: u32) -> bool {
    typing.line.tokens.iter().any(|t| t.span.end == at && typing.text(t.span) == "{")
}

/// True between the brackets of a tuplet.
pub fn in_tuplet(typing: &Typing<'_>, bar: &OpenBar) -> bool {
    let before = typing.tokens_in(Span::new(bar.span.start, typing.at));
    let depth = before.fold(0i32, |depth, t| match typing.text(t.span) {
        "{" => depth + 1,
        "}" => (depth - 1).max(0),
        _ => depth,
    });
    depth > 0
}

/// How long a bar is.
fn bar_length(typing: &Typing<'_>, bar: &OpenBar) -> Option<Fraction> {
    let (_, placed, _) = typing.block()?;
    let number = bar_of_block(typing, bar);
    let read = placed.read.lengths.get(number as usize).copied();
    read.or_else(|| counting::meter(placed, number)?.length())
}

fn is_compound(typing: &Typing<'_>, bar: &OpenBar) -> bool {
    let meter = typing.block().and_then(|(_, placed, _)| counting::meter(placed, bar_of_block(typing, bar)));
    meter.is_some_and(|m| m.beat == 8 && *m.groups == [6])
}

/// What the figure of the bar leaves of it, the word at the cursor not counted; `None` where that is not known.
fn left(typing: &Typing<'_>, bar: &OpenBar, word: Span) -> Option<Fraction> {
    let LineTree::Row(row) = &typing.line.tree else { return None };
    let read = row.bars.get(bar.index)?;
    let is_here = |node: &FigureNode| {
        let span = match node {
            FigureNode::Place(p) => p.span,
            FigureNode::Open { span, .. } | FigureNode::Close { span, .. } => *span,
        };
        !word.is_empty() && span.start <= word.start && word.end <= span.end
    };
    let nodes: Vec<FigureNode> = read.nodes.of(&row.nodes).iter().copied().filter(|n| !is_here(n)).collect();
    let filled = if nodes.is_empty() { Fraction::ZERO } else { expand(&nodes, &mut Vec::new()).ok()? };
    let left = bar_length(typing, bar)?.minus(filled)?;
    (left >= Fraction::ZERO).then_some(left)
}
