//! MusicXML, by parts or by measures, as music.

mod barline;
mod clefs;
mod direction;
mod harmony;
mod head;
mod note;
mod part;
mod said;
mod shared;
mod signs;
mod trills;

use super::loss::Losses;
use super::map::Map;
use super::music::{Music, Part};
use super::tree::Node;
use super::trouble::Trouble;
use shared::Shared;

/// More bars than this are no piece of music.
const MOST_BARS: usize = 20_000;

/// Reads a document that is well-formed.
pub fn read(root: &Node, map: &Map, losses: &mut Losses) -> Result<Music, Trouble> {
    let by_measure = match &*root.name {
        "score-partwise" => false,
        "score-timewise" => true,
        other => return Err(Trouble::NotAScore { root: other.chars().take(40).collect() }),
    };
    let mut music = head::head(root);
    let listed = head::listed(root);
    let all: Vec<Vec<&Node>> = listed.iter().map(|part| measures(root, part.id, by_measure)).collect();
    let count = all.iter().map(Vec::len).max().unwrap_or(0);
    if count > MOST_BARS {
        let why = format!("{count} bars are more than any piece has");
        return Err(Trouble::Number { part: "the score".into(), bar: "1".into(), why });
    }
    let concert = root.one("defaults").is_some_and(|d| d.one("concert-score").is_some());
    let mut shared: Vec<(bool, Vec<Shared>)> = Vec::new();
    let mut parts: Vec<Part> = Vec::new();
    for (number, (listed, measures)) in listed.iter().zip(&all).enumerate() {
        let chosen = head::instruments(listed, measures, map, concert, number, losses);
        let brass = chosen.is_some();
        let (part, said) = part::Reader::new(listed, chosen, concert, losses).read(measures)?;
        shared.push((brass, said));
        if brass {
            parts.push(part);
        }
    }
    if parts.is_empty() {
        return Err(Trouble::NoBrass { parts: listed.iter().map(|l| l.name.to_owned()).collect() });
    }
    let implicit = |at: usize| all.iter().filter_map(|m| m.get(at)).any(|m| m.is("implicit", "yes"));
    music.bars = shared::bars(&shared, count, &implicit, losses);
    shared::signatures(&mut parts, &shared, &music.bars);
    trills::name(&mut parts, &music.bars);
    music.first = first_number(&all, &music);
    numbers(&all, music.first, losses);
    music.parts = parts;
    Ok(music)
}

/// The measures of one part, in order.
fn measures<'a>(root: &'a Node, id: &str, by_measure: bool) -> Vec<&'a Node> {
    if !by_measure {
        let part = root.all("part").find(|p| p.is("id", id));
        return part.map(|p| p.all("measure").collect()).unwrap_or_default();
    }
    // A part that is silent in a measure may be left out of it.
    static EMPTY: std::sync::LazyLock<Node> = std::sync::LazyLock::new(Node::default);
    root.all("measure").map(|m| m.all("part").find(|p| p.is("id", id)).unwrap_or(&EMPTY)).collect()
}

fn number(measure: &Node) -> Option<i64> {
    measure.attribute("number")?.trim().parse().ok()
}

/// The number of the first bar, where it is one that a score may begin with.
fn first_number(all: &[Vec<&Node>], music: &Music) -> i64 {
    let said = all.iter().filter_map(|m| m.first()).find_map(|m| number(m));
    let pickup = music.bars.first().is_some_and(|b| b.length < b.full());
    let least = i64::from(!pickup);
    said.filter(|n| (least..=70_000).contains(n)).unwrap_or(least)
}

/// Bars are numbered on from the first; where the file counts otherwise it is told.
fn numbers(all: &[Vec<&Node>], first: i64, losses: &mut Losses) {
    let Some(measures) = all.iter().find(|m| !m.is_empty()) else { return };
    let differs =
        |(at, m): &(usize, &&Node)| m.attribute("number").is_some() && number(m) != Some(first + *at as i64);
    if let Some((at, _)) = measures.iter().enumerate().find(differs) {
        losses.add(
            "bars are numbered another way from here on: here they are counted as they stand",
            "",
            Some(at as i64),
        );
    }
}
