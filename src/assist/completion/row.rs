//! Inside a row: figure, list, chord symbols, instructions, marks.

use super::about::About;
use super::figures::Form;
use super::item::{Item, ItemKind, List};
use super::{bars, chords, fields, figures, instruction, marks, names, notes, who};
use crate::assist::glossary::Class;
use crate::assist::typing::{OpenBar, Typing};
use crate::music::Dynamic;
use crate::notation::Span;
use crate::notation::pairing::separates;
use crate::notation::token::Kind;
use crate::notation::tree::RowKind;
use crate::score::rhythm::Ruling;

/// Dynamics in the order in which they are likely to be wanted.
const LIKELY: [&str; 8] = ["mf", "p", "f", "mp", "pp", "ff", "cresc", "dim"];

/// What may stand at the cursor.
pub fn offered(typing: Typing<'_>) -> Option<List<'_>> {
    let Some(bar) = typing.bar() else {
        return match typing.line_word() {
            "" => names::more(typing),
            "phrase" => fields::offered(typing, "phrase"),
            _ => None,
        };
    };
    let kind = match typing.line_word() {
        "rhythm" => RowKind::Rhythm,
        "chords" => RowKind::Chords,
        _ => RowKind::Music,
    };
    if let Some(open) = instruction::open(&typing, &bar) {
        return instruction::offered(typing, kind, &bar, open);
    }
    if let Some(list) = marks::offered(typing, kind, &bar) {
        return Some(list);
    }
    let in_figure = bar.colon.is_some_and(|c| typing.at <= c.start);
    match kind {
        RowKind::Rhythm => rhythm(typing, &bar),
        _ if in_figure || (bar.colon.is_none() && figures::in_tuplet(&typing, &bar)) => {
            figures::offered(typing, &bar, Form::Figure)
        }
        RowKind::Chords => chords::offered(typing, &bar),
        RowKind::Music => music(typing, &bar),
    }
}

fn rhythm<'a>(typing: Typing<'a>, bar: &OpenBar) -> Option<List<'a>> {
    let mut list = figures::offered(typing, bar, Form::Rhythm)?;
    if typing.is_touched(list.word) {
        return Some(list);
    }
    let blank = typing.text(bar.span).trim().is_empty();
    if blank && bar.index > 0 {
        list.told(20, ItemKind::Sign, "%", "the figure of the bar before", About::word(Class::Bars, "%"));
    }
    for word in ["tempo", "rit", "accel", "a-tempo"] {
        instruction::whole(&mut list, 25, word, None);
    }
    Some(list)
}

/// The word at the cursor, if a thing of its own begins there; empty between two.
pub fn fresh(typing: &Typing<'_>) -> Option<Span> {
    let joins = |kind: Kind| kind.is_wordlike() || matches!(kind, Kind::Sharp | Kind::Number | Kind::Percent);
    let alone = |kind: Kind| matches!(kind, Kind::Minus | Kind::Equals);
    let touches = |t: &&crate::notation::token::Token| t.span.start <= typing.at && typing.at <= t.span.end;
    let tokens = &typing.line.tokens;
    let at = |t: &&crate::notation::token::Token| touches(t) && (joins(t.kind) || alone(t.kind));
    // The one that ends at the cursor or holds it comes before the one that begins there.
    let word = tokens.iter().find(at).map_or(Span::new(typing.at, typing.at), |t| t.span);
    let led = match typing.touching(word.start) {
        [] => true,
        [only] => only.kind == Kind::Slash,
        _ => false,
    };
    let colon = tokens.iter().any(|t| t.span.end == word.start && t.kind == Kind::FigureColon);
    let next = tokens.iter().find(|t| t.span.start >= word.end);
    // Marks stay with the note they touch; nothing is put in right before another thing.
    let ends = !word.is_empty() || next.is_none_or(|t| separates(t.kind));
    (led && ends && !colon).then_some(word)
}

fn music<'a>(typing: Typing<'a>, bar: &OpenBar) -> Option<List<'a>> {
    let word = fresh(&typing)?;
    let mut list = List::new(typing, word);
    let start = bar.colon.map_or(bar.span.start, |c| c.end);
    let before: Vec<&str> = {
        let words = typing.words(start, |t| t.span.start >= bar.span.end);
        words.all.iter().filter(|s| s.end <= word.start).map(|s| typing.text(*s)).collect()
    };
    let after = typing.text(Span::new(word.end, bar.span.end));
    let whole = before.iter().copied().chain(after.split([' ', '\t'])).any(bars::fills);
    if bars::continued(&mut list, bar, &before) {
        return Some(list);
    }
    if bars::fills(typing.text(word)) && !after.trim().is_empty() {
        // Its number or its phrase stands there already.
        return None;
    }
    if whole {
        // What stands for whole bars has only what takes no time beside it.
        free(&mut list);
        instruction::all(&mut list, 28, &who::row(&typing, bar));
        return Some(list);
    }
    if bar.colon.is_none() && !before.is_empty() && before.iter().all(|w| figures::is_value(w)) {
        // A figure is being typed, its colon still to come.
        let mut list = figures::offered(typing, bar, Form::Figure)?;
        let colon = Item::plain(ItemKind::Sign, ":".to_owned(), "the notes follow".to_owned());
        if list.word.is_empty() {
            list.put(4, colon.putting(": "));
        }
        return Some(list);
    }
    let row = who::row(&typing, bar);
    notes::add(&mut list, &row, bar);
    let is_grace = typing.touching(word.start).first().is_some_and(|t| t.kind == Kind::Slash);
    if is_grace || typing.is_touched(word) {
        return Some(list);
    }
    if after_grace(typing.text(Span::new(start, word.start))) {
        // A grace leads to a note.
        return Some(list);
    }
    list.told(17, ItemKind::Sign, "-", "a rest of this place", About::word(Class::Bars, "-"));
    // A phrase has nothing before it that could go on.
    let begins_phrase = typing.line_word() == "phrase" && bar.index == 0 && before.is_empty();
    if !begins_phrase {
        list.told(17, ItemKind::Sign, "=", "the note before goes on", About::word(Class::Bars, "="));
    }
    if notes::parenthesis(&typing, bar).is_some() {
        return Some(list);
    }
    if bar.colon.is_none() && before.is_empty() {
        let tier = if is_ruled(&typing, row.bar) { 30 } else { 5 };
        figures::begin(&mut list, bar, tier);
        if after.trim().is_empty() {
            bars::begin(&mut list, bar, row.bar);
        }
    }
    free(&mut list);
    if !row.readers.is_empty() {
        instruction::all(&mut list, 28, &row);
    }
    Some(list)
}

/// True if the last thing of a list is a grace.
fn after_grace(before: &str) -> bool {
    let last = before.split([' ', '\t']).rfind(|w| !w.is_empty()).unwrap_or("");
    let chord = last.contains(')').then(|| before.rfind('(')).flatten();
    last.starts_with('/') || chord.is_some_and(|at| before.get(..at).is_some_and(|b| b.ends_with('/')))
}

/// Dynamics and words.
fn free(list: &mut List<'_>) {
    let all = Dynamic::ALL.map(Dynamic::word);
    for word in LIKELY.into_iter().chain(all) {
        let text = crate::assist::glossary::meaning(Class::Dynamic, word).unwrap_or("").replace('`', "");
        let detail = text.trim_end_matches('.').to_owned();
        list.told(22, ItemKind::Sign, word, detail, About::word(Class::Dynamic, word));
    }
    let words = Item::plain(ItemKind::Sign, "\"…\"".to_owned(), "printed words".to_owned());
    list.put(24, words.filled("\"${1:dolce}\""));
}

/// True if a rhythm row says when the notes of this bar are played.
fn is_ruled(typing: &Typing<'_>, bar: u32) -> bool {
    let Some((_, placed, below)) = typing.block() else { return false };
    let read = &placed.read;
    let row = read.block.rows.iter().find(|r| r.line == below);
    let ruler = row.and_then(|r| r.ruled_by).and_then(|i| read.rhythms.get(i as usize)?.as_ref());
    ruler.is_some_and(|r| r.ruling(bar) != Ruling::Blank)
}
