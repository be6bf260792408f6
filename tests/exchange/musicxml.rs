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
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

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

/// Two bars of a trumpet, a silence, and the trumpet again; a tuba plays on.
fn silence(bars: usize, before: &str) -> String {
    format!(
        "player Tp = trumpet in Bb\nplayer Hn = horn in F\nplayer Tu = Eb tuba\nbar 1  meter 4/4  tempo q = 120\n\
         Tp | w : C5 | rest {bars} | w : D5 |\n\
         Hn | rest {} | q q h : F4 G4 A4_ | w : = | h h : Bb4 C5 | w : - | w : D4 |\n\
         Tu | w : F2 | rest {bars} | {before} |\n",
        bars + 1 - 4,
    )
}

/// Cue notes of the measures of a part: number of the measure and, of a note, step, alteration and octave.
fn cues(document: &str) -> Vec<(String, Option<String>)> {
    let root = read(document);
    let part = root.one("part").unwrap();
    let mut all = Vec::new();
    for measure in part.all("measure") {
        for note in measure.all("note").filter(|n| n.one("cue").is_some()) {
            assert!(note.one("tie").is_none(), "a cue does not sound");
            let pitch = note.one("pitch").map(|p| p.children.iter().map(|c| c.text.clone()).collect());
            all.push((measure.attributes["number"].clone(), pitch));
        }
    }
    all
}

#[test]
fn before_an_entry_after_a_long_silence_the_bars_of_whoever_is_heard_last_are_shown() {
    let desk = desk(&silence(16, "w : F2"));
    judge(&desk, &musicxml::part(&desk, 0)).unwrap();
    // The horn as a trumpet in Bb reads it, a major second up, in bars 14 to 17 of 18; its bar of rest too.
    let notes: Vec<(String, Option<String>)> = cues(&musicxml::part(&desk, 0));
    let told = |bar: &str, pitch: &str| (bar.to_owned(), Some(pitch.to_owned()));
    assert_eq!(
        notes.into_iter().filter(|(_, pitch)| pitch.is_some()).collect::<Vec<_>>(),
        [
            told("14", "G4"),
            told("14", "A4"),
            told("14", "B4"),
            told("15", "B4"),
            told("16", "C5"),
            told("16", "D5"),
        ]
    );
    let words = |text: &str| text.contains("cue: Hn");
    assert!(words(&musicxml::part(&desk, 0)));
    assert!(!words(&musicxml::part_with(&desk, 0, false)));
    assert!(cues(&musicxml::part_with(&desk, 0, false)).is_empty());
    // The bars before the cue are still gathered: 12 of them.
    assert!(musicxml::part(&desk, 0).contains("<multiple-rest>12</multiple-rest>"));
    assert!(musicxml::part_with(&desk, 0, false).contains("<multiple-rest>16</multiple-rest>"));
    // The score for everybody has none: who reads it sees everybody.
    assert!(cues(&musicxml::score(&desk, Pitches::Written)).is_empty());
}

#[test]
fn a_silence_that_can_be_counted_has_no_cue() {
    let desk = desk(&silence(15, "w : F2"));
    assert!(cues(&musicxml::part(&desk, 0)).is_empty());
}

#[test]
fn a_cue_far_from_the_stave_is_moved_by_octaves_and_says_so() {
    let text = silence(16, "w : F2").replace("Hn | rest 13 | q q h", "Tu2 | rest 13 | q q h");
    let text =
        text.replace("player Hn = horn in F", "player Tu2 = Eb tuba").replace("F4 G4 A4_", "F1 G1 A1_");
    let text = text.replace("Bb4 C5", "Bb1 C2");
    let desk = desk(&text);
    let document = musicxml::part(&desk, 0);
    judge(&desk, &document).unwrap();
    assert!(document.contains("cue: Tu2 (sounds 3 octaves lower)"), "{document}");
    assert_eq!(cues(&document)[0].1.as_deref(), Some("G4"));
}

#[test]
fn cues_leave_every_measure_whole_and_every_note_of_the_player() {
    let mut cued = 0;
    for seed in 0..48 {
        // Somebody new comes in when the others have played.
        let music = score(seed);
        let Some(at) = music.find("\nbar ") else { continue };
        let Some(last) = bars(desk(&music).score()).last().map(|bar| bar.number) else { continue };
        let (head, blocks) = music.split_at(at);
        let text = format!(
            "{head}\nplayer Late = trumpet in Bb{blocks}\nbar {}  meter 4/4\nLate | w : C5 |\n",
            last + 1
        );
        let mut settings = Settings::default();
        settings.limits.insert(("long-silence".to_owned(), "bars".to_owned()), 4.0);
        let desk = Desk::new(&text, settings, &NoFiles);
        for player in 0..desk.score().head.players.len() {
            let (with, without) = (musicxml::part(&desk, player), musicxml::part_with(&desk, player, false));
            if let Err(why) = judge(&desk, &with) {
                panic!("{why}\n{text}");
            }
            let own = |document: &str| {
                let root = read(document);
                let mut notes = Vec::new();
                root.deep("note", &mut notes);
                let own = notes.iter().filter(|n| n.one("cue").is_none() && n.one("pitch").is_some());
                own.map(|n| format!("{:?}", n.one("pitch"))).collect::<Vec<_>>()
            };
            assert_eq!(own(&with), own(&without), "{text}");
            cued += usize::from(!cues(&with).is_empty());
        }
    }
    assert!(cued >= 10, "{cued}");
}
