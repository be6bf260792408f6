//! Several lines at once: a block, a whole new score.

use super::block_line::next_bar;
use super::declared::people;
use super::item::{Item, ItemKind, List};
use crate::assist::typing::Typing;
use crate::notation::line::LINE_WORDS;
use crate::score::names::normal;

/// Rows of a block that is made at once.
const MOST_ROWS: usize = 16;

/// A new score, for whoever begins with nothing.
const SCORE: &str = "\
brass 1
title    \"${1:Harbour at First Light}\"
composer \"${2:The Harbour Band}\"
level    ${3|amateur,school,professional|}

player ${4:Tp1} = ${5:trumpet in Bb}
player ${6:Hn1} = ${7:horn in F}
player ${8:Tb1} = ${9:trombone}

bar 1  meter ${10:4/4}  key ${11:Bb major}  tempo \"${12:Calm}\" q = ${13:72}  mark A
rhythm | ${14:q q h} |
${4:Tp1}    | mf ${15:Bb4 C5 D5} |
${6:Hn1}    | mf ${16:F4 F4 F4} |
${8:Tb1}    | mf ${17:Bb3 A3 Bb3} |
";

/// A whole score.
pub fn score(list: &mut List<'_>) {
    let item =
        Item::plain(ItemKind::Template, "score".to_owned(), "a whole new score, to be filled in".to_owned());
    list.put(0, item.filled(SCORE));
}

/// A block with a row for everybody.
pub fn block(list: &mut List<'_>) {
    let typing = list.typing;
    let first = typing.score().blocks.is_empty();
    let mut place = 1;
    let mut next = |example: &str| {
        place += 1;
        format!("${{{}:{example}}}", place - 1)
    };
    let mut text = match next_bar(&typing) {
        Some(number) => format!("bar {number}"),
        None => "bar".to_owned(),
    };
    if first {
        text.push_str(&format!(
            "  meter {}  key {}  tempo q = {}",
            next("4/4"),
            next("Bb major"),
            next("72")
        ));
    }
    let players: Vec<_> = people(&typing).into_iter().filter(|p| !p.is_group).take(MOST_ROWS).collect();
    let widest = players.iter().map(|p| p.name.chars().count()).max().unwrap_or(0).max("rhythm".len());
    let pad = |name: &str| " ".repeat(widest.saturating_sub(name.chars().count()));
    text.push_str(&format!("\nrhythm{} | {} |", pad("rhythm"), next("q q q q")));
    for player in &players {
        text.push_str(&format!("\n{}{} | {} |", player.name, pad(&player.name), next("")));
    }
    let detail = if players.is_empty() { "the first bars" } else { "bars with a row for everybody" };
    let item = Item::plain(ItemKind::Template, "block".to_owned(), detail.to_owned());
    list.put(4, item.filled(&text));
}

/// A name that belongs to nobody yet: `Tp1`, `Tp2`; `All`, `All2`.
pub fn free_name(typing: &Typing<'_>, stem: &str) -> String {
    let names = &typing.score().head.names;
    let is_free = |name: &str| names.get(name).is_none() && !LINE_WORDS.contains(&normal(name).as_ref());
    let plain = (stem.len() > 2).then(|| stem.to_owned());
    let first = if plain.is_some() { 2 } else { 1 };
    let numbered = (first..10_000).map(|n| format!("{stem}{n}"));
    plain.into_iter().chain(numbered).find(|name| is_free(name)).unwrap_or_else(|| stem.to_owned())
}
