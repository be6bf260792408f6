//! The first word of a line: what kind of line it is to be.

use super::about::About;
use super::block_line::next_bar;
use super::declared::{people, sections};
use super::item::{Item, ItemKind, List, escaped};
use super::{names, templates};
use crate::assist::glossary::{Class, meaning};
use crate::assist::typing::Typing;
use crate::notation::Span;
use crate::notation::line::LINE_WORDS;
use crate::notation::tree::{LineTree, TextField};

/// Words of the head, in the order in which they stand there.
fn head_words() -> impl Iterator<Item = &'static str> {
    LINE_WORDS.into_iter().take_while(|word| *word != "bar")
}

/// What a line may begin with.
pub fn offered<'a>(typing: Typing<'a>, word: Span) -> Option<List<'a>> {
    let mut list = List::new(typing, word);
    // Where the line goes on, only the word itself is another.
    let rest = typing.line.text.get(word.end as usize..).unwrap_or("");
    let alone = rest.trim().is_empty() || rest.trim_start().starts_with("// ");
    if typing.line.tokens.iter().any(|t| t.kind.is_barline()) {
        begun(&mut list, &["rhythm", "chords", "phrase"]);
        if typing.line_word().is_empty() {
            names::first(&mut list, false);
        }
        return Some(list);
    }
    match (typing.block().is_some(), alone) {
        (true, true) => {
            names::first(&mut list, true);
            for word in ["rhythm", "chords", "bar", "allow"] {
                whole(&mut list, 3, word);
            }
            templates::block(&mut list);
        }
        (false, true) => {
            let given = given(&typing);
            for word in head_words().filter(|w| !given.contains(w)) {
                whole(&mut list, 1, word);
            }
            whole(&mut list, 2, "bar");
            templates::block(&mut list);
            let blank = typing
                .score()
                .head
                .lines
                .iter()
                .all(|l| matches!(l.tree, LineTree::Blank) || std::ptr::eq(&**l, typing.line));
            if blank {
                templates::score(&mut list);
            }
        }
        (true, false) => {
            begun(&mut list, &["bar", "allow"]);
            if typing.line_word().is_empty() {
                names::first(&mut list, false);
            }
        }
        (false, false) => {
            begun(&mut list, &head_words().collect::<Vec<_>>());
            begun(&mut list, &["bar"]);
        }
    }
    Some(list)
}

/// Line words where the line goes on already: only those that were begun.
fn begun(list: &mut List<'_>, all: &[&'static str]) {
    let typed = list.typing.text(Span::new(list.word.start, list.typing.at));
    for word in all.iter().filter(|w| !typed.is_empty() && w.starts_with(typed)) {
        list.told(0, ItemKind::Word, *word, detail(word), About::word(Class::Line, word));
    }
}

/// The first sentence of what the word means.
fn detail(word: &str) -> String {
    let text = meaning(Class::Line, word).unwrap_or("").replace('`', "");
    text.split([':', '.']).next().unwrap_or("").to_owned()
}

/// Lines that stand once and stand already, this one aside.
fn given(typing: &Typing<'_>) -> Vec<&'static str> {
    let mut given = Vec::new();
    let others = typing.score().head.lines.iter().enumerate().filter(|(i, _)| *i as u32 != typing.number);
    let mut before = false;
    for (i, line) in others {
        before |= (i as u32) < typing.number && !matches!(line.tree, LineTree::Blank);
        given.push(match &line.tree {
            LineTree::Version(_) => "brass",
            LineTree::Text(TextField::Title, _) => "title",
            LineTree::Text(TextField::Composer, _) => "composer",
            LineTree::Text(TextField::Arranger, _) => "arranger",
            LineTree::Text(TextField::Rights, _) => "rights",
            LineTree::Level(_) => "level",
            LineTree::Basis(_) => "pitch",
            LineTree::Tuning(_) => "tuning",
            LineTree::Roadmap(_) => "roadmap",
            _ => continue,
        });
    }
    // The version is the first line or none.
    given.extend(before.then_some("brass"));
    given
}

/// A whole line to fill in.
fn whole(list: &mut List<'_>, tier: u8, word: &'static str) {
    let typing = list.typing;
    let item = Item::plain(ItemKind::Word, word.to_owned(), detail(word));
    let item = item.about(About::word(Class::Line, word));
    let snippet = match word {
        "brass" => "brass 1".to_owned(),
        "title" | "composer" | "arranger" | "rights" | "include" => format!("{word} \"$1\""),
        "level" => "level ${1|school,amateur,professional|}".to_owned(),
        "pitch" => "pitch ${1|concert,written|}".to_owned(),
        "tuning" => "tuning A4 = ${1:442}".to_owned(),
        "player" => {
            format!("player ${{1:{}}} = ${{2:trumpet in Bb}}", templates::free_name(&typing, "Tp"))
        }
        "group" => {
            let all = people(&typing);
            let mut two =
                all.iter().filter(|p| !p.is_group).map(|p| escaped(&p.name)).take(2).collect::<Vec<_>>();
            // Without players there is no group.
            if two.is_empty() {
                return;
            }
            let names = std::mem::take(&mut two).join(" ");
            format!("group ${{1:{}}} = ${{2:{names}}}", templates::free_name(&typing, "All"))
        }
        "instrument" => format!(
            "instrument ${{1:{}}} = ${{2|valved,slide,natural|}}, fundamental ${{3:Bb1}}, range ${{4:E2..Bb4}}",
            templates::free_name(&typing, "Own")
        ),
        "phrase" => format!(
            "phrase ${{1:{}}} | ${{2:q}} : ${{3:C5 D5 E5 C5}} |",
            templates::free_name(&typing, "oars")
        ),
        "allow" => "allow ${1:too-high}".to_owned(),
        "roadmap" => match sections(&typing).first() {
            Some((name, _)) => format!("roadmap ${{1:{}}}", escaped(&quoted(name))),
            None => return,
        },
        "bar" => match next_bar(&typing) {
            Some(number) => format!("bar {number}$0"),
            None => "bar$0".to_owned(),
        },
        "rhythm" => format!("rhythm{} | ${{1:q q q q}} |", names::padding(&typing, "rhythm")),
        "chords" => format!("chords{} | ${{1:Bb}} |", names::padding(&typing, "chords")),
        _ => return,
    };
    list.put(tier, item.filled(&snippet));
}

/// A section's name as a road map has it.
pub fn quoted(name: &str) -> String {
    let plain = name.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '-'));
    if plain && !name.is_empty() { name.to_owned() } else { format!("\"{name}\"") }
}
