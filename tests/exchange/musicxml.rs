//! Laws of what is written as MusicXML.

use super::generated::score;
use super::{damaged, desk};
use proptest::prelude::*;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::collections::HashMap;
use waterkey::exchange::musicxml::{self, Pitches};
use waterkey::exchange::paper::bars;
use waterkey::music::Fraction;
use waterkey::rules::Desk;

/// An element as it was read.
#[derive(Debug, Default)]
pub struct Node {
    pub name: String,
    pub attributes: HashMap<String, String>,
    pub text: String,
    pub children: Vec<Node>,
}

impl Node {
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Node> {
        self.children.iter().filter(move |c| c.name == name)
    }

    pub fn one(&self, name: &str) -> Option<&Node> {
        self.children.iter().find(|c| c.name == name)
    }

    pub fn deep<'a>(&'a self, name: &str, out: &mut Vec<&'a Node>) {
        for child in &self.children {
            if child.name == name {
                out.push(child);
            }
            child.deep(name, out);
        }
    }

    fn number(&self, name: &str) -> Option<i64> {
        self.one(name)?.text.parse().ok()
    }
}

/// Reads a document; it must be well formed.
pub fn read(text: &str) -> Node {
    let mut reader = Reader::from_str(text);
    let mut open = vec![Node::default()];
    loop {
        match reader.read_event().unwrap() {
            Event::Start(start) | Event::Empty(start) if start.name().as_ref().is_empty() => {
                panic!("no name")
            }
            Event::Start(start) => open.push(node(&start)),
            Event::Empty(start) => {
                let node = node(&start);
                open.last_mut().unwrap().children.push(node);
            }
            Event::End(_) => {
                let node = open.pop().unwrap();
                open.last_mut().unwrap().children.push(node);
            }
            Event::Text(words) => {
                open.last_mut().unwrap().text.push_str(words.trim());
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(open.len(), 1);
    open.pop().unwrap().children.pop().unwrap()
}

fn node(start: &quick_xml::events::BytesStart<'_>) -> Node {
    let attributes = start
        .attributes()
        .map(|a| a.unwrap())
        .map(|a| (a.key.as_ref().to_owned(), a.value.to_string()))
        .collect();
    Node { name: start.name().as_ref().to_owned(), attributes, ..Node::default() }
}

/// What is wrong with a document of these bars.
fn judge(desk: &Desk, text: &str) -> Result<(), String> {
    let root = read(text);
    let sheet = bars(desk.score());
    for part in root.all("part") {
        let mut divisions = 0;
        let (mut ties, mut slurs, mut tuplets, mut glides, mut wedges, mut beams) = (0, 0, 0, 0, 0, 0);
        let measures: Vec<&Node> = part.all("measure").collect();
        if measures.len() != sheet.len().max(1) {
            return Err(format!("{} measures for {} bars", measures.len(), sheet.len()));
        }
        for (measure, bar) in measures.iter().zip(&sheet) {
            let mut sum = 0;
            for what in &measure.children {
                divisions = what.number("divisions").unwrap_or(divisions);
                if what.name == "note" && what.one("chord").is_none() {
                    sum += what.number("duration").unwrap_or(0);
                    if what.one("grace").is_none() && what.number("duration").is_none_or(|d| d < 1) {
                        return Err(format!("a note without a length in bar {}", bar.number));
                    }
                }
                for tie in what.all("tie") {
                    let start = tie.attributes["type"] == "start";
                    ties += if start { 1 } else { -1 };
                }
                let count = |name: &str, start: &[&str], stop: &[&str]| {
                    let mut all = Vec::new();
                    what.deep(name, &mut all);
                    all.iter()
                        .map(|n| {
                            let kind = n.attributes.get("type").map_or(n.text.as_str(), String::as_str);
                            i64::from(start.contains(&kind)) - i64::from(stop.contains(&kind))
                        })
                        .sum::<i64>()
                };
                slurs += count("slur", &["start"], &["stop"]);
                tuplets += count("tuplet", &["start"], &["stop"]);
                glides += count("slide", &["start"], &["stop"]) + count("glissando", &["start"], &["stop"]);
                wedges += count("wedge", &["crescendo", "diminuendo"], &["stop"]);
                beams += count("beam", &["begin"], &["end"]);
                if !(0..=1).contains(&slurs) || !(0..=1).contains(&wedges) || !(0..=1).contains(&glides) {
                    return Err(format!(
                        "slurs {slurs}, hairpins {wedges}, glissandos {glides} in {}",
                        bar.number
                    ));
                }
            }
            if tuplets != 0 || beams != 0 {
                return Err(format!("tuplets {tuplets}, beams {beams} over the barline of {}", bar.number));
            }
            let quarters = bar.length.times(Fraction::new(4 * divisions, 1).unwrap()).unwrap();
            if quarters != Fraction::new(sum, 1).unwrap() {
                return Err(format!("bar {} lasts {sum} and not {quarters}", bar.number));
            }
        }
        if slurs != 0 || wedges != 0 || glides != 0 || ties != 0 {
            return Err(format!(
                "at the end slurs {slurs}, hairpins {wedges}, glissandos {glides}, ties {ties}"
            ));
        }
    }
    Ok(())
}

fn judge_all(text: &str) -> Result<(), String> {
    let desk = desk(text);
    judge(&desk, &musicxml::score(&desk, Pitches::Written))?;
    judge(&desk, &musicxml::score(&desk, Pitches::Concert))?;
    (0..desk.score().head.players.len()).try_for_each(|player| judge(&desk, &musicxml::part(&desk, player)))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, max_shrink_iters: 0, ..ProptestConfig::default() })]

    #[test]
    fn every_measure_is_as_long_as_its_bar_and_every_line_ends(seed in any::<u64>()) {
        let text = score(seed);
        if let Err(why) = judge_all(&text) {
            prop_assert!(false, "{why}\n{text}");
        }
    }

    #[test]
    fn damaged_scores_are_written_too(seed in any::<u64>(), cut in (0usize..4000, 1usize..60), to in 0usize..4000) {
        let text = damaged(&score(seed), cut, to);
        if let Err(why) = judge_all(&text) {
            prop_assert!(false, "{why}\n{text}");
        }
    }
}

#[test]
fn nothing_at_all_is_written_as_an_empty_score() {
    judge_all("").unwrap();
    judge_all("player Tp1 = trumpet in Bb\n").unwrap();
    judge_all("bar 1\n").unwrap();
}
