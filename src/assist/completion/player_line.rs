//! A player's instrument and options, and the parts of an own instrument.

use super::about::About;
use super::fields::{explained, levels};
use super::instruments;
use super::item::{Item, ItemKind, List};
use crate::assist::glossary::{Class, meaning};
use crate::assist::hover::reads::read;
use crate::assist::parts::Parts;
use crate::assist::typing::Typing;
use crate::brass::{Build, Mute};
use crate::music::Clef;
use crate::notation::Span;
use crate::score::player::PlayerInstrument;

/// Options of a player in the order in which they are usually given.
pub const OPTIONS: [&str; 10] =
    ["level", "mutes", "doubles", "top", "bottom", "valves", "clef", "seats", "name", "signature"];

/// Those that belong to the person; the others belong to the instrument before them.
const PERSONAL: [&str; 4] = ["level", "seats", "name", "signature"];

/// Parts of an own instrument.
pub const PARTS: [&str; 8] =
    ["valved", "slide", "natural", "fundamental", "in", "valves", "range", "comfortable"];

/// A `player` line.
pub fn player(typing: Typing<'_>) -> Option<List<'_>> {
    let parts = Parts::of(&typing)?;
    if parts.current == 0 {
        let mut list = List::new(typing, parts.span);
        instruments::add(&mut list, 0);
        return Some(list);
    }
    if parts.words.current == 0 {
        let mut list = List::new(typing, parts.words.span);
        options(&mut list, &parts);
        return Some(list);
    }
    let keyword = parts.words.all.first().map_or("", |s| typing.text(*s));
    if keyword == "doubles" {
        let from = parts.words.all.get(1).map_or(typing.at, |s| s.start).min(typing.at);
        let mut list = List::new(typing, Span::new(from, parts.span.end));
        instruments::add(&mut list, 0);
        return Some(list);
    }
    let mut list = List::new(typing, parts.words.span);
    value(&mut list, keyword, &parts);
    Some(list)
}

/// The instrument that an option belongs to.
fn instrument<'a>(typing: &Typing<'a>, parts: &Parts<'_>) -> Option<&'a PlayerInstrument> {
    let players = &typing.score().head.players;
    let player = players.iter().find(|p| std::ptr::eq(&*p.line, typing.line))?;
    let doubled = parts.keywords().filter(|(i, word)| *i < parts.current && *word == "doubles").count();
    player.instruments.get(doubled)
}

/// Options that are not given yet: to the person, or to the instrument before the cursor.
fn options(list: &mut List<'_>, parts: &Parts<'_>) {
    let typing = list.typing;
    let doubles: Vec<usize> = parts.keywords().filter(|(_, w)| *w == "doubles").map(|(i, _)| i).collect();
    let from = doubles.iter().copied().filter(|i| *i < parts.current).max().unwrap_or(0);
    let to = doubles.iter().copied().filter(|i| *i > parts.current).min().unwrap_or(usize::MAX);
    let is_given = |option: &str| {
        parts.keywords().any(|(i, word)| {
            word == option && (PERSONAL.contains(&option) || (from < i && i < to && option != "doubles"))
        })
    };
    let held = instrument(&typing, parts);
    // Where the option has its value already, only its own word is completed.
    let valued = !list.word.is_empty() && parts.words.all.len() > 1;
    let typed = typing.text(Span::new(list.word.start, typing.at));
    for option in OPTIONS.into_iter().filter(|o| !is_given(o)) {
        let Some(snippet) = example(option, held) else { continue };
        let snippet = if valued { option.to_owned() } else { snippet };
        if valued && (typed.is_empty() || !option.starts_with(typed)) {
            continue;
        }
        let text = meaning(Class::Option, option).unwrap_or("").replace('`', "");
        let detail = text.split([':', '.', ',', ';']).next().unwrap_or("").to_owned();
        let item = Item::plain(ItemKind::Word, option.to_owned(), detail);
        // Where another option follows at once, the comma between them is put in too.
        let comma = if list.word.is_empty() && !parts.words.all.is_empty() { "," } else { "" };
        let item = item.filled(&format!("{snippet}{comma}"));
        list.put(0, item.about(About::word(Class::Option, option)));
    }
}

/// An option with a value to begin with; `None` where the instrument has no such thing.
fn example(option: &str, held: Option<&PlayerInstrument>) -> Option<String> {
    Some(match option {
        "level" => "level ${1|school,amateur,professional|}".to_owned(),
        "top" => format!(
            "top ${{1:{}}}",
            held.map_or("C6".to_owned(), |h| read(h, h.limits.usual, None).to_string())
        ),
        "bottom" => {
            format!(
                "bottom ${{1:{}}}",
                held.map_or("C4".to_owned(), |h| read(h, h.limits.low, None).to_string())
            )
        }
        "mutes" => {
            let made: Vec<&str> = held.map_or_else(
                || vec![Mute::Straight.word()],
                |h| h.instrument.mutes.iter().take(2).map(Mute::word).collect(),
            );
            let made = if made.is_empty() { "none".to_owned() } else { made.join(" ") };
            format!("mutes ${{1:{made}}}")
        }
        "valves" => format!("valves ${{1:{}}}", *valves(held).first()?),
        "doubles" => "doubles ${1:flugelhorn in Bb}".to_owned(),
        "clef" => format!("clef ${{1:{}}}", held.map_or("treble", |h| h.instrument.clef.word())),
        "seats" => "seats ${1:3}".to_owned(),
        "name" => "name \"$1\"".to_owned(),
        _ => "signature none".to_owned(),
    })
}

/// Numbers of valves that an instrument may have instead of its own.
fn valves(held: Option<&PlayerInstrument>) -> Vec<&'static str> {
    match held.map(|h| h.instrument.build) {
        Some(Build::Valved(_)) | None => vec!["4", "4 plain", "3", "5"],
        Some(_) => Vec::new(),
    }
}

/// What may follow an option's first word.
fn value(list: &mut List<'_>, keyword: &str, parts: &Parts<'_>) {
    let typing = list.typing;
    let held = instrument(&typing, parts);
    let second = parts.words.current == 1;
    match keyword {
        "level" if second => levels(list, 0),
        "clef" if second => Clef::ALL.into_iter().for_each(|c| explained(list, 0, Class::Clef, c.word())),
        "top" | "bottom" if second => {
            if let Some(held) = held {
                limits(list, keyword == "top", held);
            }
        }
        "mutes" => {
            let given: Vec<&str> = parts.words.others().map(|s| typing.text(s)).collect();
            for mute in Mute::ALL {
                let made = held.is_none_or(|h| h.instrument.mutes.has(mute));
                if made && !given.contains(&mute.word()) {
                    explained(list, 0, Class::Mute, mute.word());
                }
            }
            if given.len() == 1 {
                list.add(1, ItemKind::Setting, "none", "brings no mute");
            }
        }
        "valves" if second => {
            let more = parts.words.all.len() > 2;
            let numbers = valves(held).into_iter().filter(|v| !more || !v.contains(' '));
            numbers.for_each(|v| list.add(0, ItemKind::Setting, v, ""));
        }
        "valves" if parts.words.current == 2 => explained(list, 0, Class::Option, "plain"),
        "seats" if second => {
            for n in 2..=6 {
                list.add(0, ItemKind::Setting, n.to_string(), format!("{n} people read the part"));
            }
        }
        "name" if second && list.word.is_empty() => {
            list.put(0, Item::plain(ItemKind::Setting, "\"…\"".to_owned(), String::new()).filled("\"$1\""));
        }
        "signature" if second => list.add(0, ItemKind::Setting, "none", "no key signature in the part"),
        _ => {}
    }
}

/// Written notes that people name as their own limits.
fn limits(list: &mut List<'_>, top: bool, held: &PlayerInstrument) {
    use crate::brass::{Level, Nature};
    let of = |level| held.instrument.limits(level);
    let reach = of(Level::Professional).reach;
    let (from, to) = match top {
        true => (of(Level::School).comfortable, reach),
        false => (of(Level::Professional).low, of(Level::School).low + 12),
    };
    let usual = if top { held.limits.usual } else { held.limits.low };
    let playable = |midi: &i32| matches!(held.instrument.note(*midi).nature, Nature::Ordinary | Nature::Weak);
    let mut all: Vec<i32> = (from..=to.max(from)).filter(playable).take(40).collect();
    all.sort_by_key(|midi| ((midi - usual).abs(), *midi));
    for midi in all {
        let words = match (midi == usual, top) {
            (true, true) => "the usual top of the level, as read",
            (true, false) => "the usual low end of the level, as read",
            _ => "as read",
        };
        list.add(0, ItemKind::Note, read(held, midi, None).to_string(), words);
    }
}

/// An `instrument` line.
pub fn own(typing: Typing<'_>) -> Option<List<'_>> {
    let parts = Parts::of(&typing)?;
    let mut list = List::new(typing, parts.words.span);
    let given: Vec<&str> = parts.keywords().map(|(_, w)| w).collect();
    let keyword = parts.words.all.first().map_or("", |s| typing.text(*s));
    match (keyword, parts.words.current) {
        (_, 0) => {
            let built = ["valved", "slide", "natural"].iter().any(|b| given.contains(b));
            for part in PARTS.into_iter().filter(|p| !given.contains(p)) {
                let example = match part {
                    "valved" | "slide" | "natural" if built || parts.current > 0 => continue,
                    "slide" | "natural" if given.contains(&"valves") => continue,
                    "valved" | "slide" | "natural" => part.to_owned(),
                    // How it is built comes first.
                    _ if parts.current == 0 => continue,
                    "fundamental" => "fundamental ${1:Bb1}".to_owned(),
                    "in" => "in ${1:Bb}".to_owned(),
                    "valves" if !given.contains(&"valved") => continue,
                    "valves" => "valves ${1:2 1 3}".to_owned(),
                    "range" => "range ${1:E2..Bb4}".to_owned(),
                    _ => "comfortable ${1:Bb2..F4}".to_owned(),
                };
                // Where a part has its value already, only its own word is completed.
                let valued = parts.words.all.len() > 1 && !list.word.is_empty();
                let typed = typing.text(Span::new(list.word.start, typing.at));
                if valued && (typed.is_empty() || !part.starts_with(typed)) {
                    continue;
                }
                let example = if valued { part.to_owned() } else { example };
                let class = if matches!(part, "in" | "valves") { Class::Option } else { Class::Build };
                let text = meaning(class, part).unwrap_or("").replace('`', "");
                let detail = text.split([':', '.', ';']).next().unwrap_or("").to_owned();
                let item = Item::plain(ItemKind::Word, part.to_owned(), detail);
                let comma = if list.word.is_empty() && !parts.words.all.is_empty() { "," } else { "" };
                list.put(0, item.filled(&format!("{example}{comma}")).about(About::word(class, part)));
            }
        }
        ("in", 1) => instruments::keys(&mut list, 0),
        ("in", 2) => instruments::registers(&mut list, 0),
        ("fundamental", 1) => {
            for (note, tube) in [
                ("Bb1", "the tube of a trombone"),
                ("F1", "the tube of a horn in F"),
                ("Eb2", "the tube of a tenor horn"),
                ("Bb2", "the tube of a trumpet in Bb"),
                ("C3", "the tube of a trumpet in C"),
                ("Bb0", "the tube of a BBb tuba"),
            ] {
                list.add(0, ItemKind::Note, note, tube);
            }
        }
        _ => {}
    }
    Some(list)
}
