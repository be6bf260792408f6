//! The names that a score declares, in the order of the text, included ones before those that follow.

use crate::assist::typing::Typing;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::LineTree;
use crate::score::head::{Head, Named};
use crate::score::names::normal;

/// A player or group that rows can name.
#[derive(Debug, Clone)]
pub struct Person<'a> {
    pub name: String,
    /// Indices of players; a player's own alone.
    pub players: Vec<u16>,
    pub is_group: bool,
    /// What an editor shows beside the name.
    pub detail: String,
    pub line: &'a Line,
}

/// All lines that declare something: the included ones, then the score's own.
fn lines(head: &Head) -> impl Iterator<Item = &Line> {
    let brought = head.included.iter().flat_map(|i| i.lines.iter());
    brought.chain(head.lines.iter()).map(|line| &**line)
}

/// Players, then groups.
pub fn people<'a>(typing: &Typing<'a>) -> Vec<Person<'a>> {
    let head = &typing.score().head;
    let mut players = Vec::new();
    let mut groups = Vec::new();
    for line in lines(head) {
        let (id, is_group) = match &line.tree {
            LineTree::Player(tree) => (tree.id, false),
            LineTree::Group(tree) => (tree.id, true),
            _ => continue,
        };
        let Some(name) = id.map(|s| normal(s.of(&line.text)).into_owned()) else { continue };
        let found = match (head.names.get(&name), is_group) {
            (Some(Named::Player(index)), false) => vec![*index],
            (Some(Named::Group(members)), true) => members.clone(),
            _ => continue,
        };
        let detail = if is_group { members(head, &found) } else { held(head, &found) };
        let all = if is_group { &mut groups } else { &mut players };
        all.push(Person { name, players: found, is_group, detail, line });
    }
    players.append(&mut groups);
    players
}

fn members(head: &Head, players: &[u16]) -> String {
    let ids = players.iter().filter_map(|p| head.players.get(usize::from(*p))).map(|p| p.id.as_str());
    let mut words = ids.take(8).collect::<Vec<_>>().join(" ");
    if players.len() > 8 {
        words.push_str(" …");
    }
    words
}

/// `trumpet in Bb, flugelhorn in Bb`.
fn held(head: &Head, players: &[u16]) -> String {
    let player = players.first().and_then(|p| head.players.get(usize::from(*p)));
    let labels = player.map(|p| p.instruments.iter().map(|i| i.label.as_str()).collect::<Vec<_>>());
    labels.unwrap_or_default().join(", ")
}

/// Instruments of the score's own, each with how it is built.
pub fn own_instruments(typing: &Typing<'_>) -> Vec<(String, String)> {
    let head = &typing.score().head;
    let told = |line: &Line| {
        let LineTree::Instrument(tree) = &line.tree else { return None };
        let name = normal(tree.id?.of(&line.text)).into_owned();
        let after = line.text.split_once('=').map_or("", |(_, after)| after.trim());
        matches!(head.names.get(&name), Some(Named::Instrument)).then(|| (name, after.to_owned()))
    };
    lines(head).filter_map(told).collect()
}

/// Phrases, each with how many bars it has.
pub fn phrases(typing: &Typing<'_>) -> Vec<(String, String)> {
    let bars = |n: usize| if n == 1 { "one bar".to_owned() } else { format!("{n} bars") };
    typing.score().head.phrases.iter().map(|p| (p.name.clone(), bars(p.bars.len()))).collect()
}

/// Marks and spots in the order of the bars, each with the bar it stands before.
pub fn sections<'a>(typing: &Typing<'a>) -> Vec<(&'a str, i64)> {
    let blocks = &typing.score().blocks;
    let named = |b: &'a crate::score::score::Placed| {
        b.read.block.sections.iter().map(move |s| (s.as_str(), b.frame.first_bar))
    };
    blocks.iter().flat_map(named).collect()
}

/// The players behind the names in these stretches of the line.
pub fn players_in(typing: &Typing<'_>, spans: impl Iterator<Item = Span>) -> Vec<u16> {
    let names = &typing.score().head.names;
    spans.filter_map(|span| names.players(typing.text(span))).flatten().collect()
}
