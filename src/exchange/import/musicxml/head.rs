//! Title, people, the list of parts and their instruments.

use super::part::interval;
use crate::exchange::import::instrument::{Recognised, Told, recognised};
use crate::exchange::import::loss::Losses;
use crate::exchange::import::map::Map;
use crate::exchange::import::music::Music;
use crate::exchange::import::tree::Node;

/// A part of the list.
pub struct Listed<'a> {
    pub id: &'a str,
    pub name: &'a str,
    pub abbreviation: &'a str,
    node: Option<&'a Node>,
}

/// The instruments of a part, by their ID in the file.
pub struct Chosen {
    pub all: Vec<(String, String)>,
    pub seats: u32,
}

pub fn head(root: &Node) -> Music {
    let mut music = Music::default();
    let work = root.one("work").and_then(|w| w.child("work-title"));
    music.title = work.or(root.child("movement-title")).map(str::to_owned);
    if let Some(identification) = root.one("identification") {
        for creator in identification.all("creator") {
            let slot = match creator.attribute("type") {
                Some("composer") | None => &mut music.composer,
                Some("arranger") => &mut music.arranger,
                _ => continue,
            };
            if slot.is_none() {
                *slot = creator.said().map(str::to_owned);
            }
        }
        music.rights = identification.child("rights").map(str::to_owned);
    }
    music
}

/// The parts in order; a part that the list does not have stands at the end.
pub fn listed(root: &Node) -> Vec<Listed<'_>> {
    let mut all = Vec::new();
    if let Some(list) = root.one("part-list") {
        for part in list.all("score-part") {
            let id = part.attribute("id").unwrap_or_default();
            let name = part.child("part-name").unwrap_or(id);
            let abbreviation = part.child("part-abbreviation").unwrap_or_default();
            all.push(Listed { id, name, abbreviation, node: Some(part) });
        }
    }
    for part in root.all("part") {
        let id = part.attribute("id").unwrap_or_default();
        if !all.iter().any(|l| l.id == id) {
            all.push(Listed { id, name: id, abbreviation: "", node: None });
        }
    }
    all
}

/// The instruments of a part for brass; `None` leaves it out.
pub fn instruments(
    listed: &Listed<'_>,
    measures: &[&Node],
    map: &Map,
    concert: bool,
    number: usize,
    losses: &mut Losses,
) -> Option<Chosen> {
    let reads = reading(measures, concert);
    let said: Vec<&Node> = listed.node.map(|n| n.all("score-instrument").collect()).unwrap_or_default();
    let seats = said
        .iter()
        .find_map(|i| i.child("ensemble")?.parse::<u32>().ok())
        .filter(|n| (2..=99).contains(n))
        .unwrap_or(1);
    let one = |name: &str| Chosen { all: vec![(String::new(), name.to_owned())], seats };
    match map.of(&[listed.name, listed.abbreviation, listed.id], number) {
        Some(Some(name)) => return Some(one(name)),
        Some(None) => {
            losses.add("left out, as asked", listed.name, None);
            return None;
        }
        None => {}
    }
    let program = |id: &str| {
        let all = listed.node?.all("midi-instrument").find(|m| m.is("id", id));
        all?.child("midi-program")?.parse().ok()
    };
    let mut all: Vec<(String, Recognised)> = Vec::new();
    for (at, instrument) in said.iter().enumerate() {
        let id = instrument.attribute("id").unwrap_or_default();
        let mut names: Vec<&str> = instrument.child("instrument-name").into_iter().collect();
        if at == 0 {
            names.extend([listed.name, listed.abbreviation]);
        }
        let told = Told {
            names,
            sound: instrument.child("instrument-sound"),
            program: program(id),
            reads: reads.filter(|_| at == 0),
        };
        match recognised(&told) {
            Some(found) => all.push((id.to_owned(), found)),
            None if at > 0 => losses.add("an instrument that is not known here", listed.name, None),
            None => {}
        }
    }
    if said.is_empty() {
        let names = vec![listed.name, listed.abbreviation];
        all.extend(recognised(&Told { names, reads, ..Told::default() }).map(|found| (String::new(), found)));
    }
    if all.is_empty() {
        return match map.others() {
            Some(Some(name)) => Some(one(name)),
            _ => {
                losses.add("left out: not known to be for brass (`--map` says for what)", listed.name, None);
                None
            }
        };
    }
    for (_, found) in &all {
        if let Some(compromise) = &found.compromise {
            losses.add(compromise.clone(), listed.name, None);
        }
    }
    Some(Chosen { all: all.into_iter().map(|(id, found)| (id, found.name)).collect(), seats })
}

/// How the part is read: the first transposition that is stated; none stated is concert pitch, except in a score
/// that is at concert pitch for everybody.
fn reading(measures: &[&Node], concert: bool) -> Option<crate::music::Interval> {
    let attributes = || measures.iter().flat_map(|m| m.all("attributes"));
    let for_part = attributes().find_map(|a| a.one("for-part")?.one("part-transpose"));
    let stated = attributes().find_map(|a| a.one("transpose"));
    match for_part.or(stated) {
        Some(node) => interval(node),
        None if concert => None,
        None => Some(crate::music::Interval::UNISON),
    }
}
