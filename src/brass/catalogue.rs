//! The catalogue of instruments: `catalogue.tsv`, every value with where it comes from.

use super::build::Build;
use super::instrument::{Instrument, Plan, ValvesFault};
use super::kind::{Bore, Kind};
use super::limits::{Limits, LimitsByLevel};
use super::mute::Mute;
use super::names;
use super::register::Register;
use super::tube::Tube;
use crate::music::{Clef, Interval, Pitch};
use std::fmt;

const TABLE: &str = include_str!("catalogue.tsv");

/// A line of the catalogue, its fields as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    /// Name without key: `trumpet`, `F tuba`.
    pub name: &'static str,
    /// Name of the key it is read in, if it takes one.
    pub key: Option<&'static str>,
    pub register: Option<Register>,
    /// Where the values come from.
    pub sources: &'static str,
    line: &'static str,
}

/// An instrument found, and what was taken for granted.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    pub instrument: Instrument,
    /// A natural horn's register where the score gives none: worth a hint.
    pub assumed: Option<Register>,
}

/// Why there is no such instrument.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CatalogueFault {
    /// No such name; the nearest ones.
    Unknown { name: String, nearest: Vec<String> },
    /// The name needs a key: one of these.
    NeedsKey { name: String, keys: Vec<String> },
    /// Not made, or not read, in this key but in these; none if it is read without a key.
    OtherKey { name: String, asked: String, keys: Vec<String> },
    /// It sounds, but not by the lips.
    NotBrass { name: String },
}

/// Every line of the catalogue.
pub fn entries() -> impl Iterator<Item = Entry> {
    TABLE.lines().filter(|line| !line.starts_with('#')).skip(1).filter_map(Entry::read)
}

/// The works that the sources are taken from: code, and author, title and year.
pub fn works() -> impl Iterator<Item = (&'static str, &'static str)> {
    TABLE.lines().filter_map(|line| line.strip_prefix("# [")?.split_once("] "))
}

impl Entry {
    fn read(line: &'static str) -> Option<Entry> {
        let mut fields = line.split('\t');
        let name = fields.next()?;
        let key = fields.next().filter(|key| *key != "-");
        let register = fields.next().and_then(Register::from_word);
        Some(Entry { name, key, register, sources: line.rsplit('\t').next()?, line })
    }

    /// As a score names it: `natural horn in C basso`.
    pub fn full_name(&self) -> String {
        match self.key_words() {
            Some(key) => format!("{} in {key}", self.name),
            None => self.name.to_owned(),
        }
    }

    /// `Bb`, `C basso`.
    fn key_words(&self) -> Option<String> {
        let key = self.key?;
        Some(self.register.map_or_else(|| key.to_owned(), |r| format!("{key} {}", r.word())))
    }

    /// From written to sounding pitch.
    pub fn reads(&self) -> Option<Interval> {
        let mut fields = self.line.split('\t').skip(3);
        Some(Interval::new(fields.next()?.parse().ok()?, fields.next()?.parse().ok()?))
    }

    /// The instrument; `None` only if the line is damaged, which a test rules out.
    pub fn instrument(&self) -> Option<Instrument> {
        Some(Instrument::from(self.plan()?))
    }

    fn plan(&self) -> Option<Plan> {
        let mut fields = self.line.split('\t').skip(3);
        let mut next = || fields.next();
        let reads = Interval::new(next()?.parse().ok()?, next()?.parse().ok()?);
        let tube = Tube::new(Pitch::parse(next()?)?);
        let build = Build::parse(next()?)?;
        let bore = Bore::from_word(next()?)?;
        let kind = Kind::from_word(next()?)?;
        let clef = Clef::from_word(next()?)?;
        let mutes = next()?.split(' ').filter_map(Mute::from_word).collect();
        let sounding = |written: &str| Some(Pitch::parse(written)?.midi() + reads.semitones);
        let pedal_low = sounding(next()?);
        let lowest = sounding(next()?)?;
        let [lows, comfortable, usual] = [next()?, next()?, next()?].map(|three| three.split(' '));
        let reach = sounding(next()?)?;
        let mut levels = Vec::new();
        for ((low, comfortable), usual) in lows.zip(comfortable).zip(usual) {
            let (low, comfortable, usual) = (sounding(low)?, sounding(comfortable)?, sounding(usual)?);
            levels.push(Limits { low, comfortable, usual, reach, pedal_low });
        }
        let limits = LimitsByLevel::new(lowest, levels.try_into().ok()?);
        Some(Plan { name: self.full_name(), kind, bore, clef, reads, tube, build, mutes, limits })
    }
}

/// Finds an instrument by its name, the key after `in` (only letter and accidental count) and the register word.
pub fn find(name: &str, key: Option<Pitch>, register: Option<Register>) -> Result<Found, CatalogueFault> {
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    let named: Vec<Entry> = entries().filter(|entry| entry.name == name).collect();
    if named.is_empty() {
        return Err(unknown(name));
    }
    let keys = || named.iter().filter_map(Entry::key_words).collect::<Vec<_>>();
    let Some(key) = key.map(Pitch::name) else {
        let plain = named.iter().find(|entry| entry.key.is_none()).and_then(Entry::instrument);
        let found = plain.map(|instrument| Found { instrument, assumed: None });
        return found.ok_or_else(|| CatalogueFault::NeedsKey { name, keys: keys() });
    };
    let in_key: Vec<&Entry> = named.iter().filter(|entry| entry.key == Some(key.as_str())).collect();
    let exact = in_key.iter().find(|entry| entry.register == register);
    let assumed = match (exact, register) {
        (Some(_), _) => None,
        // Without a word: C is the low crook, B flat and B are the high ones.
        (None, None) => Some(if key == "C" { Register::Basso } else { Register::Alto }),
        // The high crook of a key that has both needs no word, but may have it.
        (None, Some(Register::Alto)) if in_key.len() > 1 => None,
        (None, Some(_)) => Some(Register::Up),
    };
    let meant = exact.or_else(|| in_key.iter().find(|entry| entry.register == assumed));
    match meant.and_then(|entry| entry.instrument()) {
        Some(instrument) => Ok(Found { instrument, assumed }),
        None => {
            let asked = register.map_or_else(|| key.clone(), |r| format!("{key} {}", r.word()));
            Err(CatalogueFault::OtherKey { keys: keys(), name, asked })
        }
    }
}

fn unknown(name: String) -> CatalogueFault {
    if names::is_not_brass(&name) {
        return CatalogueFault::NotBrass { name };
    }
    let near = names::nearest(&name, entries().map(|entry| entry.name));
    let nearest = near.into_iter().map(str::to_owned).collect();
    CatalogueFault::Unknown { name, nearest }
}

fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} or {last}", rest.join(", ")),
    }
}

impl fmt::Display for CatalogueFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CatalogueFault::Unknown { name, nearest } if nearest.is_empty() => {
                write!(
                    f,
                    "no brass instrument here is called \"{name}\"; `waterkey chart` lists all names, and an `instrument` line declares one of your own"
                )
            }
            CatalogueFault::Unknown { name, nearest } => {
                write!(f, "no instrument here is called \"{name}\"; did you mean {}?", list(nearest))
            }
            CatalogueFault::NeedsKey { name, keys } if keys.len() == 1 => {
                write!(f, "say the key it is read in: {name} in {}", list(keys))
            }
            CatalogueFault::NeedsKey { name, keys } => {
                write!(f, "say which {name}: in {}", list(keys))
            }
            CatalogueFault::OtherKey { name, asked, keys } if keys.is_empty() => {
                write!(f, "the {name} is read at concert pitch; leave out \"in {asked}\"")
            }
            CatalogueFault::OtherKey { name, asked, keys } => {
                write!(f, "there is no {name} in {asked} here, only in {}", list(keys))
            }
            CatalogueFault::NotBrass { name } => {
                write!(f, "\"{name}\" is no brass instrument: what makes brass is the lips, not the metal")
            }
        }
    }
}

impl fmt::Display for ValvesFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ValvesFault::NotValved => {
                f.write_str("this instrument has no valves that could be other than they are")
            }
            ValvesFault::Count(count) => write!(f, "brass is made with 3, 4 or 5 valves, not {count}"),
        }
    }
}
