//! What fills whole bars: rests, repeats, phrases, improvisation.

use super::about::About;
use super::declared::phrases;
use super::item::{Item, ItemKind, List, escaped};
use super::who::bar_of_block;
use crate::assist::glossary::Class;
use crate::assist::interval_words::direction;
use crate::assist::typing::{OpenBar, Typing};
use crate::music::Interval;
use crate::notation::Span;
use crate::notation::tree::RowKind;

/// Intervals that phrases are moved by, the usual ones first.
const INTERVALS: [&str; 14] =
    ["P8", "M2", "m2", "m3", "M3", "P4", "P5", "m6", "M6", "m7", "M7", "A4", "d5", "M9"];

/// What may fill a bar that holds nothing yet.
pub fn begin(list: &mut List<'_>, bar: &OpenBar, here: u32) {
    let typing = list.typing;
    if bar.index > 0 {
        list.told(18, ItemKind::Sign, "%", "the bar before in this row again", About::word(Class::Bars, "%"));
    }
    let left = left(&typing, here);
    let rest = Item::plain(ItemKind::Word, "rest".to_owned(), "so many bars of rest".to_owned());
    list.put(18, rest.filled(&format!("rest ${{1:{left}}}")).about(About::word(Class::Bars, "rest")));
    if let Some((name, _)) = phrases(&typing).into_iter().find(|(n, _)| !declares(&typing, n)) {
        let play = Item::plain(ItemKind::Word, "play".to_owned(), "the bars of a phrase".to_owned());
        let snippet = format!("play ${{1:{}}}", escaped(&name));
        list.put(18, play.filled(&snippet).about(About::word(Class::Bars, "play")));
    }
    let has_chords = typing
        .block()
        .is_some_and(|(_, placed, _)| placed.read.block.rows.iter().any(|r| r.kind == RowKind::Chords));
    if has_chords {
        let item =
            Item::plain(ItemKind::Word, "improvise".to_owned(), "so many bars over the chords".to_owned());
        let snippet = format!("improvise ${{1:{left}}}");
        list.put(18, item.filled(&snippet).about(About::word(Class::Bars, "improvise")));
    }
}

/// True for a word of what stands for whole bars.
pub fn fills(word: &str) -> bool {
    word.starts_with('%') || matches!(word, "rest" | "play" | "improvise")
}

/// Bars of the block from this one on; four where there are no others.
fn left(typing: &Typing<'_>, here: u32) -> u32 {
    let bars = typing.block().map_or(0, |(_, placed, _)| placed.frame.bars);
    let left = bars.saturating_sub(here);
    if left > 1 { left.min(9999) } else { 4 }
}

/// True if the line is the phrase itself, which cannot play itself.
fn declares(typing: &Typing<'_>, name: &str) -> bool {
    let phrase = typing.score().head.phrases.find(name);
    phrase.is_some_and(|p| std::ptr::eq(&*p.line, typing.line))
}

/// Adds what follows `rest`, `improvise` and `play`; true if the words before the cursor are these.
pub fn continued(list: &mut List<'_>, bar: &OpenBar, before: &[&str]) -> bool {
    let typing = list.typing;
    match before {
        [.., "rest" | "improvise"] => {
            let left = left(&typing, bar_of_block(&typing, bar));
            let mut all: Vec<u32> = vec![left, 2, 4, 8, 16];
            all.dedup();
            for n in all {
                list.add(
                    0,
                    ItemKind::Setting,
                    n.to_string(),
                    if n == left { "to the end of the block" } else { "bars" },
                );
            }
        }
        [.., "play"] => {
            for (name, bars) in phrases(&typing).into_iter().filter(|(n, _)| !declares(&typing, n)) {
                list.told(0, ItemKind::Phrase, name.clone(), bars, About::Name(name));
            }
        }
        // How often comes last.
        [.., "play", name] if name.contains('*') => {}
        [.., "play", _] => {
            for (word, told) in [("up", "moved upwards"), ("down", "moved downwards")] {
                let item = Item::plain(ItemKind::Word, word.to_owned(), told.to_owned());
                let moved = typing.text(Span::new(list.word.end, bar.span.end)).trim();
                let item = if moved.is_empty() { item.filled(&format!("{word} ${{1:P8}}")) } else { item };
                list.put(0, item);
            }
        }
        [.., "play", _, way @ ("up" | "down")] => {
            for text in INTERVALS {
                let Some(interval) = Interval::parse(text) else { continue };
                let interval = if *way == "down" { interval.inverse() } else { interval };
                list.add(0, ItemKind::Setting, text, direction(interval));
            }
        }
        [.., "play", _, "up" | "down", _] => {}
        _ => return false,
    }
    true
}
