//! What stands before the music: title, people, the list of parts with their instruments.

use super::sounds::voice;
use super::xml::Element;
use super::{Pitches, element, text};
use crate::exchange::paper::player_name;
use crate::rules::Desk;
use crate::score::player::Player;

/// ID of a part of the file, from 0.
pub fn part_id(part: usize) -> String {
    format!("P{}", part + 1)
}

/// ID of a part's instrument.
pub fn instrument_id(part: usize, instrument: u8) -> String {
    format!("P{}-I{}", part + 1, u32::from(instrument) + 1)
}

/// The document without its parts, for these players by index into the score's.
pub fn root(desk: &Desk, players: &[usize], pitches: Pitches, alone: bool) -> Element {
    let head = &desk.score().head;
    let mut root = element("score-partwise").with("version", "4.0");
    if let Some(title) = &head.title {
        root.push(element("work").and(text("work-title", title)));
    }
    let mut identification = element("identification");
    for (kind, name) in [("composer", &head.composer), ("arranger", &head.arranger)] {
        if let Some(name) = name {
            identification.push(text("creator", name).with("type", kind));
        }
    }
    if let Some(rights) = &head.rights {
        identification.push(text("rights", rights));
    }
    let software = format!("waterkey {}", env!("CARGO_PKG_VERSION"));
    let supports =
        ["accidental", "beam"].map(|what| element("supports").with("element", what).with("type", "yes"));
    root.push(identification.and(element("encoding").and(text("software", software)).and_all(supports)));
    if pitches == Pitches::Concert && !alone {
        root.push(element("defaults").and(element("concert-score")));
    }
    let mut list = element("part-list");
    let groups = groups(desk, players);
    for (part, player) in players.iter().enumerate() {
        for (number, (name, first, _)) in groups.iter().enumerate() {
            if *first == part {
                list.push(
                    element("part-group")
                        .with("type", "start")
                        .with("number", number + 1)
                        .and(text("group-name", name))
                        .and(text("group-symbol", "bracket"))
                        .and(text("group-barline", "yes")),
                );
            }
        }
        if let Some(player) = head.players.get(*player) {
            list.push(score_part(player, part));
        }
        for (number, (_, _, last)) in groups.iter().enumerate() {
            if *last == part {
                list.push(element("part-group").with("type", "stop").with("number", number + 1));
            }
        }
    }
    root.and(list)
}

/// Groups whose players stand side by side, each with its first and last part, in the order of the head. One
/// that would cross another is left out.
fn groups(desk: &Desk, players: &[usize]) -> Vec<(String, usize, usize)> {
    use crate::notation::tree::LineTree;
    let head = &desk.score().head;
    let mut all: Vec<(String, usize, usize)> = Vec::new();
    for line in &head.lines {
        let LineTree::Group(tree) = &line.tree else { continue };
        let Some(name) = tree.id.map(|id| id.of(&line.text)) else { continue };
        let members = head.names.players(name).unwrap_or_default();
        let mut places: Vec<usize> =
            members.iter().filter_map(|m| players.iter().position(|p| *p == usize::from(*m))).collect();
        places.sort_unstable();
        places.dedup();
        let (Some(first), Some(last)) = (places.first().copied(), places.last().copied()) else { continue };
        let together = last - first + 1 == places.len() && first < last;
        let free = all.iter().all(|(_, from, to)| last < *from || first > *to);
        if together && free {
            all.push((name.to_owned(), first, last));
        }
    }
    all
}

fn score_part(player: &Player, part: usize) -> Element {
    let mut out = element("score-part")
        .with("id", part_id(part))
        .and(text("part-name", player_name(player)))
        .and(text("part-abbreviation", &player.id));
    let instruments = || (0u8..).zip(&player.instruments);
    for (index, held) in instruments() {
        let ensemble = match player.seats {
            0 | 1 => element("solo"),
            seats => text("ensemble", seats),
        };
        out.push(
            element("score-instrument")
                .with("id", instrument_id(part, index))
                .and(text("instrument-name", &held.label))
                .and(text("instrument-sound", voice(&held.instrument).sound))
                .and(ensemble),
        );
    }
    let channel = crate::exchange::midi::channel(part);
    for (index, held) in instruments() {
        out.push(
            element("midi-device").with("id", instrument_id(part, index)).with("port", channel.port + 1),
        );
        out.push(
            element("midi-instrument")
                .with("id", instrument_id(part, index))
                .and(text("midi-channel", channel.channel + 1))
                .and(text("midi-program", voice(&held.instrument).program)),
        );
    }
    out
}
