//! What players are called.

use crate::exchange::import::music::Part;
use std::collections::BTreeSet;

/// Words that begin lines and name nobody.
const LINE_WORDS: [&str; 16] = [
    "brass",
    "title",
    "composer",
    "arranger",
    "rights",
    "level",
    "pitch",
    "tuning",
    "player",
    "group",
    "instrument",
    "phrase",
    "allow",
    "roadmap",
    "include",
    "bar",
];

/// Short names of the trade.
const SHORT: [(&str, &str); 24] = [
    ("piccolo trumpet", "Picc"),
    ("natural trumpet", "NTp"),
    ("bass trumpet", "BTp"),
    ("trumpet", "Tp"),
    ("soprano cornet", "Sop"),
    ("cornet", "Cor"),
    ("flugelhorn", "Flug"),
    ("natural horn", "NHn"),
    ("single horn", "Hn"),
    ("tenor horn", "Th"),
    ("baritone horn", "Bar"),
    ("alphorn", "Alp"),
    ("horn", "Hn"),
    ("mellophone", "Mel"),
    ("euphonium", "Eu"),
    ("alto trombone", "ATb"),
    ("bass trombone", "BTb"),
    ("contrabass trombone", "CTb"),
    ("straight trombone", "Tb"),
    ("trombone", "Tb"),
    ("cimbasso", "Cim"),
    ("bass in", "Bs"),
    ("Wagner tuba", "WTu"),
    ("bugle", "Bug"),
];

/// Names that are taken.
#[derive(Debug, Default)]
pub struct Ids(BTreeSet<String>);

impl Ids {
    /// A name for each player of a part.
    pub fn of(&mut self, part: &Part, players: usize) -> Vec<String> {
        let own = identifier(&part.abbreviation).filter(|own| own.chars().count() <= 12);
        if let Some(own) = own {
            return self.of_abbreviation(&own, part, players);
        }
        let instrument = part.instruments.first().map_or("", String::as_str);
        let short =
            SHORT.iter().find(|(name, _)| instrument.starts_with(name)).map_or("Tu", |(_, short)| short);
        let said: Vec<u32> = numbers(&part.name);
        (0..players)
            .map(|n| {
                let wanted = said.get(n).map(|n| format!("{short}{n}"));
                match wanted.filter(|name| !self.0.contains(name)) {
                    Some(name) => self.free(&name),
                    // Counted on from the last of the same kind.
                    None => {
                        let next = (1..).map(|n| format!("{short}{n}")).find(|name| !self.0.contains(name));
                        self.free(&next.unwrap_or_default())
                    }
                }
            })
            .collect()
    }

    fn of_abbreviation(&mut self, own: &str, part: &Part, players: usize) -> Vec<String> {
        if players == 1 {
            return vec![self.free(own)];
        }
        // `Horn 1.2` for two players names both.
        let stem = own.trim_end_matches(|c: char| c.is_ascii_digit());
        let said = numbers(&part.name);
        if said.len() == players {
            return said.iter().map(|n| self.free(&format!("{stem}{n}"))).collect();
        }
        let letters = ('a'..='z').cycle().map(|letter| format!("{own}{letter}"));
        let counted = (1..).map(|n| format!("{own}{n}"));
        let all: Vec<String> = if own.ends_with(|c: char| c.is_ascii_digit()) {
            letters.take(players).collect()
        } else {
            counted.take(players).collect()
        };
        all.iter().map(|name| self.free(name)).collect()
    }

    fn free(&mut self, base: &str) -> String {
        let mut name = base.to_owned();
        let mut n = 2;
        while self.0.contains(&name) {
            let joint = if base.ends_with(|c: char| c.is_ascii_digit()) { "_" } else { "" };
            name = format!("{base}{joint}{n}");
            n += 1;
        }
        self.0.insert(name.clone());
        name
    }
}

/// The numbers in a name: `Horn 1.2`, `Trumpet 3`.
fn numbers(name: &str) -> Vec<u32> {
    name.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok()).filter(|n| *n < 100).collect()
}

/// A text as a name; `None` where it makes none.
fn identifier(said: &str) -> Option<String> {
    let plain: String = said.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
    let begins = plain.chars().next().is_some_and(|c| c.is_ascii_alphabetic());
    let taken = LINE_WORDS.contains(&plain.as_str()) || plain == "rhythm" || plain == "chords";
    // What is left of a name in another script is none.
    let whole = said.is_ascii();
    (begins && !taken && whole).then_some(plain)
}

/// What `[switch …]` says for each instrument of a part.
pub fn switches(part: &Part) -> Vec<String> {
    let name = |full: &str| full.split(" in ").next().unwrap_or(full).to_owned();
    let all: Vec<String> = part.instruments.iter().map(|i| name(i)).collect();
    part.instruments
        .iter()
        .zip(&all)
        .map(|(full, short)| {
            if all.iter().filter(|other| *other == short).count() > 1 { full.clone() } else { short.clone() }
        })
        .collect()
}
