//! What players are called.

use crate::exchange::import::music::Part;
use std::collections::BTreeSet;

/// Words that begin lines and name nobody.
const LINE_WORDS: [&str; 16] = [
    "brass", "title", "composer", "arranger", "rights", "level", "pitch", "tuning", "player", "group",
    "instrument", "phrase", "allow", "roadmap", "include", "bar",
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
        let base = base(part);
        if players == 1 {
            return vec![self.free(&base)];
        }
        // `Horn 1.2` for two players names both.
        let numbers: Vec<String> =
            part.name.split(|c: char| !c.is_ascii_digit()).filter(|n| !n.is_empty()).map(str::to_owned).collect();
        let stem = base.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
        let stem = if stem.is_empty() { "P".to_owned() } else { stem };
        if numbers.len() == players {
            return numbers.iter().map(|n| self.free(&format!("{stem}{n}"))).collect();
        }
        let numbered = base.ends_with(|c: char| c.is_ascii_digit());
        let letter = |n: usize| char::from(b'a' + (n % 26) as u8);
        (0..players)
            .map(|n| self.free(&if numbered { format!("{base}{}", letter(n)) } else { format!("{base}{}", n + 1) }))
            .collect()
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

/// The part's own short name where it makes one; else the trade's for its instrument, with its number.
fn base(part: &Part) -> String {
    let own = identifier(&part.abbreviation);
    if let Some(own) = own.filter(|o| o.chars().count() <= 12) {
        return own;
    }
    let instrument = part.instruments.first().map_or("", String::as_str);
    let short = SHORT.iter().find(|(name, _)| instrument.starts_with(name)).map_or("Tu", |(_, short)| short);
    let number: String = part.name.chars().filter(char::is_ascii_digit).take(2).collect();
    format!("{short}{number}")
}

/// A text as a name; `None` where it makes none.
fn identifier(said: &str) -> Option<String> {
    let plain: String = said.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
    let begins = plain.chars().next().is_some_and(|c| c.is_ascii_alphabetic());
    let taken = LINE_WORDS.contains(&plain.as_str()) || plain == "rhythm" || plain == "chords";
    // What is left of a name in another script is none.
    let whole = said.chars().all(|c| c.is_ascii());
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
