//! Instructions in square brackets.

use super::about::About;
use super::fields::explained;
use super::item::{Item, ItemKind, List, escaped};
use super::who::{Reader, Row, row};
use super::{block_line, item};
use crate::assist::glossary::{Class, meaning};
use crate::assist::hover::instrument::transposition;
use crate::assist::typing::{OpenBar, Typing};
use crate::brass::{Build, Kind as Instruments, Mute};
use crate::music::Clef;
use crate::notation::Span;
use crate::notation::tree::RowKind;
use crate::score::player::PlayerInstrument;

/// A bracket that is open at the cursor.
#[derive(Debug, Clone, Copy)]
pub struct Open {
    /// Behind the bracket.
    pub start: u32,
    /// Where the closing one stands, or the bar ends.
    pub end: u32,
    pub closed: bool,
}

/// The instruction the cursor is in.
pub fn open(typing: &Typing<'_>, bar: &OpenBar) -> Option<Open> {
    let before: Vec<_> = typing.tokens_in(Span::new(bar.span.start, typing.at)).collect();
    let open = before.iter().rev().find(|t| matches!(typing.text(t.span), "[" | "]"))?;
    if typing.text(open.span) != "[" {
        return None;
    }
    let rest = typing.tokens_in(Span::new(typing.at, bar.span.end));
    let close =
        rest.map(|t| (typing.text(t.span), t.span.start)).find(|(text, _)| matches!(*text, "[" | "]"));
    let closed = close.filter(|(text, _)| *text == "]");
    let end = closed.map_or(bar.span.end, |(_, at)| at);
    Some(Open { start: open.span.end, end, closed: closed.is_some() })
}

/// What may stand inside.
pub fn offered<'a>(typing: Typing<'a>, kind: RowKind, bar: &OpenBar, open: Open) -> Option<List<'a>> {
    let mut words = typing.words(open.start, |t| t.span.start >= open.end);
    // Without a closing bracket, what follows the cursor is the music.
    if !open.closed && words.span.start == typing.at {
        words.span = Span::new(typing.at, typing.at);
    }
    let close = if open.closed { "" } else { "]" };
    let mut list = List::new(typing, words.span);
    if kind == RowKind::Chords {
        return None;
    }
    let before: Vec<&str> = words.before().iter().map(|s| typing.text(*s)).collect();
    if before.is_empty() && open.closed && words.all.len() > 1 && !words.span.is_empty() {
        // It has its name or its tempo already: only its own word is completed.
        let typed = typing.text(Span::new(words.span.start, typing.at));
        let all = ["mute", "switch", "clef", "tempo"];
        for word in all.into_iter().filter(|w| !typed.is_empty() && w.starts_with(typed)) {
            list.told(0, ItemKind::Word, word, "", About::word(Class::Instruction, word));
        }
        return Some(list);
    }
    let players = row(&typing, bar);
    match before.as_slice() {
        [] if kind == RowKind::Rhythm => {
            for word in ["tempo", "rit", "accel", "a-tempo"] {
                whole(&mut list, 0, word, Some(close));
            }
        }
        [] => words_for(&players).into_iter().for_each(|word| {
            let snippet = example(word, &players);
            instruction(&mut list, 0, word, &snippet, Some(close));
        }),
        ["mute"] => {
            for mute in mutes(&players) {
                value(&mut list, Class::Mute, mute.word(), close);
            }
        }
        ["clef"] => Clef::ALL.into_iter().for_each(|clef| value(&mut list, Class::Clef, clef.word(), close)),
        ["switch", ..] => {
            // The name of an instrument may be several words.
            let from = words.all.get(1).map_or(typing.at, |s| s.start).min(typing.at);
            let until =
                if open.closed { words.all.last().map_or(typing.at, |s| s.end) } else { words.span.end };
            list = List::new(typing, Span::new(from, until.max(typing.at)));
            for held in switches(&players) {
                let label = held.label.clone();
                let item = Item::plain(ItemKind::Instrument, label.clone(), transposition(&held.instrument));
                let text = format!("{label}{close}");
                list.put(0, item.putting(text).about(About::Instrument(label)));
            }
        }
        ["tempo", given @ ..] if kind == RowKind::Rhythm => {
            // A tempo of several words goes as a whole.
            let last = words.all.last().filter(|_| open.closed && !words.span.is_empty());
            list.word.end = last.map_or(list.word.end, |s| s.end);
            block_line::tempo(&mut list, given);
        }
        _ => {}
    }
    Some(list)
}

fn value(list: &mut List<'_>, class: Class, word: &str, close: &str) {
    if close.is_empty() {
        explained(list, 0, class, word);
        return;
    }
    let text = meaning(class, word).unwrap_or("").replace('`', "");
    let detail = text.split([':', '.']).next().unwrap_or("").to_owned();
    let item = Item::plain(ItemKind::Setting, word.to_owned(), detail).about(About::word(class, word));
    list.put(0, item.putting(format!("{word}{close}")));
}

/// An instruction that concerns everybody; with its brackets if `close` is `None`.
pub fn whole(list: &mut List<'_>, tier: u8, word: &'static str, close: Option<&str>) {
    let snippet = if word == "tempo" { "tempo ${1:q} = ${2:72}" } else { word };
    instruction(list, tier, word, snippet, close);
}

/// The instructions of a player's row, whole, with their brackets.
pub fn all(list: &mut List<'_>, tier: u8, players: &Row<'_>) {
    for word in words_for(players) {
        instruction(list, tier, word, &example(word, players), None);
    }
}

fn instruction(list: &mut List<'_>, tier: u8, word: &str, snippet: &str, close: Option<&str>) {
    let text = meaning(Class::Instruction, word).unwrap_or("").replace('`', "");
    let detail = text.split([':', '.']).next().unwrap_or("").to_owned();
    let (label, snippet) = match close {
        Some(close) => (word.to_owned(), format!("{snippet}{close}")),
        None => (format!("[{}]", item::without_places(snippet)), format!("[{snippet}]")),
    };
    let item = Item::plain(ItemKind::Word, label, detail).about(About::word(Class::Instruction, word));
    list.put(tier, item.filled(&snippet));
}

fn example(word: &str, players: &Row<'_>) -> String {
    match word {
        "mute" => format!("mute ${{1:{}}}", mutes(players).first().map_or("straight", |m| m.word())),
        "switch" => {
            let label = switches(players).first().map_or(String::new(), |h| escaped(&h.label));
            format!("switch ${{1:{label}}}")
        }
        "clef" => "clef ${1|treble,bass,tenor,alto|}".to_owned(),
        word => word.to_owned(),
    }
}

/// Instructions that mean something to everybody of the row.
fn words_for(players: &Row<'_>) -> Vec<&'static str> {
    let all = |test: &dyn Fn(&Reader<'_>) -> bool| players.readers.iter().all(test);
    let horns = all(&|r| r.held.is_none_or(has_hand));
    let mut words = Vec::new();
    if !mutes(players).is_empty() {
        words.push("mute");
    }
    words.push("open");
    if horns {
        words.extend(["stopped", "hand"]);
    }
    words.extend(["flutter", "plain"]);
    if !switches(players).is_empty() {
        words.push("switch");
    }
    if !players.readers.is_empty() && all(&|r| r.player.seats > 1) {
        words.extend(["solo", "tutti"]);
    }
    words.push("clef");
    words
}

/// True for an instrument whose player has a hand in the bell.
pub fn has_hand(held: &PlayerInstrument) -> bool {
    matches!(held.instrument.kind, Instruments::Horn | Instruments::NaturalHorn)
        || held.instrument.build == Build::Natural { hand: true }
}

/// Mutes that one player has for the instrument in hand.
pub fn mutes_of(held: &PlayerInstrument) -> Vec<Mute> {
    held.mutes.clone().unwrap_or_else(|| held.instrument.mutes.iter().collect())
}

/// Mutes that everybody of the row has.
fn mutes(players: &Row<'_>) -> Vec<Mute> {
    let known: Vec<Vec<Mute>> = players.readers.iter().filter_map(|r| r.held).map(mutes_of).collect();
    Mute::ALL.into_iter().filter(|m| known.iter().all(|has| has.contains(m))).collect()
}

/// Other instruments that everybody of the row has.
fn switches<'a>(players: &Row<'a>) -> Vec<&'a PlayerInstrument> {
    let Some(first) = players.readers.first() else { return Vec::new() };
    let has = |r: &Reader<'_>, label: &str| {
        r.player.instruments.iter().zip(0u8..).any(|(i, n)| i.label == label && n != r.played.instrument)
    };
    let own = first.player.instruments.iter();
    own.filter(|i| players.readers.iter().all(|r| has(r, &i.label))).collect()
}
