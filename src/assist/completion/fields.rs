//! The shorter lines of the head, behind their first word.

use super::about::About;
use super::declared::{people, players_in, sections};
use super::item::{Item, ItemKind, List};
use super::line_start::quoted;
use super::{instruments, names};
use crate::assist::glossary::{Class, meaning};
use crate::assist::typing::{Typing, Words};
use crate::brass::Level;
use crate::notation::token::Kind;
use crate::rules::registry::RULES;

/// What may stand at the cursor of a line that begins with this word.
pub fn offered<'a>(typing: Typing<'a>, word: &str) -> Option<List<'a>> {
    let words = typing.words(0, |t| t.kind.is_barline());
    let mut span = words.span;
    let whole = (word == "tuning" && words.current < 3) || (word == "phrase" && words.current == 2);
    if whole && !span.is_empty() {
        // The whole of it is put in at once.
        span.end = words.all.last().map_or(span.end, |s| s.end);
    }
    let mut list = List::new(typing, span);
    let second = words.current == 1;
    match word {
        "brass" if second => list.add(0, ItemKind::Setting, "1", "the notation"),
        "title" | "composer" | "arranger" | "rights" if second && words.span.is_empty() => {
            list.put(0, Item::plain(ItemKind::Setting, "\"…\"".to_owned(), String::new()).filled("\"$1\""));
        }
        "level" if second => levels(&mut list, 0),
        "pitch" if second => {
            for basis in ["concert", "written"] {
                explained(&mut list, 0, Class::Basis, basis);
            }
        }
        "tuning" => tuning(&mut list, &words),
        "group" => return members(typing),
        "allow" => allow(&mut list, &words),
        "roadmap" => roadmap(&mut list),
        "phrase" if words.current == 2 => list.add(0, ItemKind::Word, "in Bb", "written for B♭ instruments"),
        "phrase" if words.current == 3 => instruments::keys(&mut list, 0),
        _ => {}
    }
    Some(list)
}

/// A word with the first sentence of its meaning.
pub fn explained(list: &mut List<'_>, tier: u8, class: Class, word: &str) {
    let text = meaning(class, word).unwrap_or("").replace('`', "");
    let detail = text.split([':', '.']).next().unwrap_or("").to_owned();
    list.told(tier, ItemKind::Setting, word, detail, About::Word(class, word.to_owned()));
}

/// The levels, the lowest first.
pub fn levels(list: &mut List<'_>, tier: u8) {
    for level in Level::ALL {
        explained(list, tier, Class::Level, level.word());
    }
}

fn tuning(list: &mut List<'_>, words: &Words) {
    match words.current {
        1 => list.add(0, ItemKind::Setting, "A4 = 442", "hertz"),
        2 => list.add(0, ItemKind::Setting, "= 442", "hertz"),
        3 => {
            for (hertz, who) in
                [("440", "the standard"), ("442", "many orchestras"), ("443", ""), ("415", "old pitch")]
            {
                list.add(0, ItemKind::Setting, hertz, who);
            }
        }
        _ => {}
    }
}

fn members(typing: Typing<'_>) -> Option<List<'_>> {
    let equals = typing.line.tokens.iter().find(|t| t.kind == Kind::Equals)?;
    if equals.span.end > typing.at {
        return None;
    }
    let words = typing.words(equals.span.end, |_| false);
    let mut list = List::new(typing, words.span);
    let here = players_in(&typing, words.others());
    let head = &typing.score().head;
    // Only groups that stand above this line, or in another file, can be members.
    let is_above = |line: &crate::notation::Line| {
        let at = head.lines.iter().position(|l| std::ptr::eq(&**l, line));
        at.is_none_or(|at| (at as u32) < typing.number)
    };
    for person in people(&typing) {
        let taken = person.players.iter().any(|i| here.contains(i));
        if !taken && (!person.is_group || is_above(person.line)) {
            list.put(u8::from(person.is_group), names::item(&person));
        }
    }
    Some(list)
}

fn allow(list: &mut List<'_>, words: &Words) {
    let typing = list.typing;
    let text = |s: &crate::notation::Span| typing.text(*s);
    let before: Vec<&str> = words.before().iter().map(text).collect();
    if before.contains(&"for") {
        let here = players_in(&typing, words.others());
        for person in people(&typing) {
            if !person.players.iter().any(|i| here.contains(i)) {
                list.put(u8::from(person.is_group), names::item(&person));
            }
        }
        return;
    }
    let given: Vec<&str> = words.others().map(|s| typing.text(s)).collect();
    for rule in RULES.into_iter().filter(|r| !given.contains(&r.name)) {
        list.told(0, ItemKind::Rule, rule.name, rule.severity.word(), About::Rule(rule.name.to_owned()));
    }
    if before.len() > 1 && !given.contains(&"for") {
        let everybody = people(&typing);
        if let Some(first) = everybody.first() {
            let item = Item::plain(ItemKind::Word, "for".to_owned(), "only for some players".to_owned());
            list.put(1, item.filled(&format!("for ${{1:{}}}", first.name)));
        }
    }
}

fn roadmap(list: &mut List<'_>) {
    for (name, bar) in sections(&list.typing) {
        let label = quoted(name);
        list.add(0, ItemKind::Mark, label, format!("from bar {bar}"));
    }
    list.add(1, ItemKind::Mark, "start", "what stands before the first mark");
}
