//! The line that opens a block: its number and settings.

use super::about::About;
use super::declared::sections;
use super::item::{Item, ItemKind, List, escaped};
use crate::assist::glossary::{Class, meaning};
use crate::assist::hover::time::long;
use crate::assist::typing::Typing;
use crate::music::{Fraction, Key, Mode};
use crate::notation::Span;
use crate::score::figure::value_letters;

/// Settings in the order in which they are usually written.
pub const SETTINGS: [&str; 9] =
    ["meter", "key", "tempo", "mark", "spot", "pickup", "close", "repeat", "ending"];

const METERS: [&str; 11] = ["4/4", "3/4", "2/4", "6/8", "2/2", "3/8", "9/8", "12/8", "5/4", "7/8", "3+2/8"];

/// Tempos from slow to fast, with what people call them.
const TEMPOS: [(&str, &str); 7] = [
    ("q = 52", "broad"),
    ("q = 60", "slow"),
    ("q = 72", "calm"),
    ("q = 96", "walking"),
    ("q = 120", "a march"),
    ("h = 72", "alla breve"),
    ("q. = 60", "in 6/8"),
];

/// What may stand at the cursor.
pub fn offered(typing: Typing<'_>) -> Option<List<'_>> {
    let words = typing.words(0, |_| false);
    let text = |i: usize| words.all.get(i).map_or("", |s| typing.text(*s));
    // The setting that the words before the cursor belong to, and what it has by now.
    let last = (1..words.current).rev().find(|i| SETTINGS.contains(&text(*i)) && !is_name(text(i - 1)));
    let given: Vec<&str> = last.map(|i| (i + 1..words.current).map(text).collect()).unwrap_or_default();
    let keyword = last.map_or("", text);
    // Behind the word come the rest of its setting, or the next one.
    let next = (words.current + 1..words.all.len()).take_while(|i| !SETTINGS.contains(&text(*i)));
    let rest = next.filter(|_| !words.span.is_empty()).last();
    let mut word = words.span;
    if matches!(keyword, "key" | "tempo") && !SETTINGS.contains(&typing.text(word)) {
        // A key or a tempo of several words goes as a whole.
        word.end = rest.and_then(|i| words.all.get(i)).map_or(word.end, |s| s.end);
    }
    let mut list = List::new(typing, word);
    if SETTINGS.contains(&typing.text(words.span)) && rest.is_some() && !is_name(keyword) {
        begun(&mut list);
        return Some(list);
    }
    if words.current == 1
        && let Some(number) = next_bar(&typing)
        && (words.span.is_empty() || text(1).chars().all(|c| c.is_ascii_digit()))
    {
        list.add(0, ItemKind::Setting, number.to_string(), "the next bar");
    }
    let complete = values(&mut list, keyword, &given);
    if complete && rest.is_some() {
        begun(&mut list);
    } else if complete {
        let others: Vec<&str> = words.others().map(|s| typing.text(s)).collect();
        for setting in SETTINGS.into_iter().filter(|s| !others.contains(s)) {
            whole(&mut list, setting);
        }
    }
    Some(list)
}

/// The word of a setting that has its value already.
fn begun(list: &mut List<'_>) {
    let typed = list.typing.text(Span::new(list.word.start, list.typing.at));
    for setting in SETTINGS.into_iter().filter(|s| !typed.is_empty() && s.starts_with(typed)) {
        list.told(5, ItemKind::Word, setting, "", word(setting));
    }
}

/// True for words after which comes a name, whatever it looks like.
fn is_name(word: &str) -> bool {
    matches!(word, "mark" | "spot")
}

/// Adds what may follow in a setting; true if a new setting may follow as well.
fn values(list: &mut List<'_>, keyword: &str, given: &[&str]) -> bool {
    let typing = list.typing;
    match (keyword, given) {
        ("", _) => return true,
        ("meter", []) => METERS.into_iter().for_each(|m| list.add(0, ItemKind::Setting, m, "")),
        ("key", []) => keys(list),
        ("key", [tonic]) if *tonic != "none" => {
            ["major", "minor"].into_iter().for_each(|m| list.add(0, ItemKind::Setting, m, ""))
        }
        ("tempo", given) => return tempo(list, given),
        ("mark", []) => {
            let mark = next_mark(&typing);
            list.add(0, ItemKind::Mark, mark, "the next mark");
        }
        ("spot", []) => {
            ["coda", "tail", "again"].into_iter().for_each(|s| list.add(0, ItemKind::Mark, s, ""))
        }
        ("pickup" | "close", []) => {
            for (letters, beats) in [("q", 4), ("e", 8), ("h", 2)] {
                let value = Fraction::new(1, beats).map(long).unwrap_or_default();
                list.add(0, ItemKind::Value, letters, value);
            }
            list.add(0, ItemKind::Value, "h.", Fraction::new(3, 4).map(long).unwrap_or_default());
        }
        ("repeat", []) => {
            list.add(0, ItemKind::Setting, "2", "twice");
            list.add(0, ItemKind::Setting, "3", "three times");
        }
        ("repeat", [_]) => {
            let to = Item::plain(ItemKind::Word, "to".to_owned(), "through another bar".to_owned());
            let bar = last_bar(&typing);
            let rest = typing.line.text.get(list.word.end as usize..).unwrap_or("");
            let numbered = rest.trim_start().starts_with(|c: char| c.is_ascii_digit());
            let to = if numbered { to } else { to.filled(&format!("to ${{1:{bar}}}")) };
            list.put(1, to.about(word("to")));
            return true;
        }
        ("repeat", [.., "to"]) => {
            list.add(0, ItemKind::Setting, last_bar(&typing).to_string(), "the last bar repeated");
        }
        ("ending", passes) => {
            for pass in 1..=4 {
                let pass = pass.to_string();
                if !passes.contains(&pass.as_str()) {
                    list.add(0, ItemKind::Setting, pass.clone(), format!("pass {pass}"));
                }
            }
            return !passes.is_empty();
        }
        ("meter", _) => {
            // Meters may be taken in turn.
            METERS.into_iter().for_each(|m| list.add(6, ItemKind::Setting, m, "in turn"));
            return true;
        }
        _ => return true,
    }
    false
}

/// Adds what may follow in a tempo; true if it is complete.
pub fn tempo(list: &mut List<'_>, given: &[&str]) -> bool {
    let worded = given.first().is_some_and(|w| w.starts_with('"'));
    match if worded { given.get(1..).unwrap_or(&[]) } else { given } {
        [] => {
            for (tempo, name) in TEMPOS {
                list.add(0, ItemKind::Setting, tempo, name);
            }
            if !worded {
                let item =
                    Item::plain(ItemKind::Setting, "\"…\" q = 72".to_owned(), "in words too".to_owned());
                list.put(1, item.filled("\"${1:Calm}\" ${2:q} = ${3:72}"));
            }
        }
        [_] => {
            [60, 72, 96, 120].into_iter().for_each(|n| list.add(0, ItemKind::Setting, format!("= {n}"), ""))
        }
        [_, "="] => {
            [52, 60, 66, 72, 84, 96, 108, 120, 132, 144]
                .into_iter()
                .for_each(|n| list.add(0, ItemKind::Setting, n.to_string(), "a minute"));
        }
        _ => return true,
    }
    false
}

/// Keys from those with few accidentals to those with many, flats before sharps as brass players like it.
fn keys(list: &mut List<'_>) {
    for mode in [Mode::Major, Mode::Minor] {
        for fifths in [-2, -3, -1, -4, 0, 1, -5, 2, 3, -6, 4, 5, 6] {
            let Some(key) = Key::from_fifths(fifths, mode) else { continue };
            let detail = match fifths {
                0 => "no accidentals".to_owned(),
                n if n < 0 => format!("{} flat{}", -n, if n == -1 { "" } else { "s" }),
                n => format!("{n} sharp{}", if n == 1 { "" } else { "s" }),
            };
            list.add(0, ItemKind::Setting, key.to_string(), format!("{detail}, concert"));
        }
    }
    list.add(1, ItemKind::Setting, "none", "no signature");
}

/// A setting with a sensible value to begin with.
fn whole(list: &mut List<'_>, setting: &'static str) {
    let typing = list.typing;
    let snippet = match setting {
        "meter" => "meter ${1:4/4}".to_owned(),
        "key" => "key ${1:Bb} ${2|major,minor|}".to_owned(),
        "tempo" => "tempo ${1:q} = ${2:72}".to_owned(),
        "mark" => format!("mark ${{1:{}}}", escaped(&next_mark(&typing))),
        "spot" => "spot ${1:tail}".to_owned(),
        "pickup" => "pickup ${1:q}".to_owned(),
        "close" => format!("close ${{1:{}}}", closing(&typing)),
        "repeat" => "repeat ${1:2}".to_owned(),
        _ => "ending ${1:1}".to_owned(),
    };
    let text = meaning(Class::Setting, setting).unwrap_or("").replace('`', "");
    let detail = text.split([':', '.', ',']).next().unwrap_or("").to_owned();
    let item = Item::plain(ItemKind::Word, setting.to_owned(), detail).about(word(setting));
    list.put(5, item.filled(&snippet));
}

fn word(text: &str) -> About {
    About::Word(Class::Setting, text.to_owned())
}

/// How long the last bar is where the first is an upbeat: what the upbeat leaves of a bar.
fn closing(typing: &Typing<'_>) -> String {
    let first = typing.score().blocks.first();
    let rest = first.and_then(|b| {
        let full = b.frame.meters.first()?.length()?;
        value_letters(full.minus(b.read.block.pickup?)?)
    });
    rest.unwrap_or_else(|| "h.".to_owned())
}

/// The number that the block of this line, or the block after it, begins with.
pub fn next_bar(typing: &Typing<'_>) -> Option<i64> {
    let blocks = &typing.score().blocks;
    let Some((index, placed, below)) = typing.block() else { return Some(1) };
    // On a header, the block before decides; on a line that is none yet, the block it stands in.
    let before = if below == 0 { index.checked_sub(1).and_then(|i| blocks.get(i)) } else { Some(placed) };
    match before {
        None => Some(1),
        Some(b) => Some(b.frame.first_bar + i64::from(b.frame.bars)).filter(|n| (0..=99_999).contains(n)),
    }
}

/// The last bar of the block that the line opens.
fn last_bar(typing: &Typing<'_>) -> i64 {
    let frame = typing.block().map(|(_, placed, _)| &placed.frame);
    frame.map_or(1, |f| f.first_bar + i64::from(f.bars.max(1)) - 1).clamp(0, 99_999)
}

/// The letter after the last one used.
fn next_mark(typing: &Typing<'_>) -> String {
    let sections = sections(typing);
    let used = |name: &str| sections.iter().any(|(s, _)| *s == name);
    let letters = ('A'..='Z').map(String::from);
    let doubled = ('A'..='Z').map(|c| format!("{c}{c}"));
    let last = sections.iter().filter_map(|(s, _)| s.chars().next().filter(|_| s.len() == 1)).max();
    letters
        .filter(|l| last.is_none_or(|last| l.chars().next() > Some(last)))
        .chain(doubled)
        .find(|l| !used(l))
        .unwrap_or_else(|| "A".to_owned())
}
