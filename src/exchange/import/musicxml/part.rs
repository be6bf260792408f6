//! One part, measure by measure.

use super::barline::barline;
use super::clefs;
use super::direction::Spoken;
use super::head::{Chosen, Listed};
use super::note::Notes;
use super::shared::{KeySaid, Shared};
use crate::brass::Kind;
use crate::exchange::import::instrument::{built, usual_clef};
use crate::exchange::import::loss::Losses;
use crate::exchange::import::music::{Free, Grace, Measure, Part};
use crate::exchange::import::tree::Node;
use crate::exchange::import::trouble::Trouble;
use crate::exchange::musicxml::asks_for_another;
use crate::music::{Clef, Fraction, Interval, Key, Mode, Pitch};

/// A bar that is longer than so many whole notes is none.
const LONGEST: i64 = 64;

/// What is in force as a part is read.
pub struct Reader<'a, 'l> {
    pub name: &'a str,
    /// By ID in the file.
    pub instruments: Vec<String>,
    pub horn: bool,
    pub brass: bool,
    pub losses: &'l mut Losses,
    /// Parts of a quarter.
    pub divisions: Fraction,
    /// From written to sounding.
    pub reads: Interval,
    /// Written key.
    pub key: Option<Key>,
    pub slashes: bool,
    /// Number of the bar from 0, and as the file calls it.
    pub bar: usize,
    pub called: String,
    pub tuplets: u32,
    /// The instrument in hand.
    pub hand: usize,
    /// Everybody's page is at concert pitch: its clefs are the score's, and no player's.
    concert: bool,
    /// What each instrument is, and its clef.
    built: Vec<Option<(Kind, Clef)>>,
    /// Some notes lie far outside the clef.
    far: bool,
    /// Grace notes of the bar before that lead into this one, by voice.
    leading: Vec<(String, Vec<Grace>)>,
    part: Part,
}

impl<'a, 'l> Reader<'a, 'l> {
    pub fn new(
        listed: &Listed<'a>,
        chosen: Option<Chosen>,
        concert: bool,
        losses: &'l mut Losses,
    ) -> Reader<'a, 'l> {
        let brass = chosen.is_some();
        let chosen = chosen.unwrap_or(Chosen { all: Vec::new(), seats: 1 });
        let (ids, names): (Vec<String>, Vec<String>) = chosen.all.into_iter().unzip();
        Reader {
            name: listed.name,
            horn: names.first().is_some_and(|n| n.contains("horn in")),
            brass,
            losses,
            instruments: ids,
            divisions: Fraction::ONE,
            reads: Interval::UNISON,
            key: None,
            slashes: false,
            bar: 0,
            called: String::new(),
            tuplets: 0,
            hand: 0,
            concert,
            built: names.iter().map(|name| built(name)).collect(),
            far: false,
            leading: Vec::new(),
            part: Part {
                name: listed.name.to_owned(),
                abbreviation: listed.abbreviation.to_owned(),
                instruments: names,
                seats: chosen.seats,
                ..Part::default()
            },
        }
    }

    /// The part, and what its measures say for everybody.
    pub fn read(mut self, measures: &[&Node]) -> Result<(Part, Vec<Shared>), Trouble> {
        let mut all = Vec::with_capacity(measures.len());
        for (at, measure) in measures.iter().enumerate() {
            self.bar = at;
            self.called = measure.attribute("number").map_or_else(|| (at + 1).to_string(), str::to_owned);
            let (own, shared) = self.measure(measure)?;
            self.part.measures.push(own);
            all.push(shared);
        }
        if !self.leading.is_empty() {
            self.lose("grace notes behind the last note");
        }
        let clefs = |m: &Measure| m.free.iter().any(|(_, free)| matches!(free, Free::Clef(_)));
        self.part.clef_stays = self.far && !self.part.measures.iter().any(clefs);
        if self.part.instruments.len() > 1 {
            clefs::by_instrument(&mut self.part);
        }
        Ok((self.part, all))
    }

    /// A note as it stands on the page.
    pub fn on_page(&mut self, written: Pitch) {
        let held = self.built.get(self.hand).copied().flatten();
        self.far |= held.is_some_and(|(kind, own)| asks_for_another(kind, own, written));
    }

    /// People of the part.
    pub fn seats(&self) -> u32 {
        self.part.seats
    }

    /// Something of this bar that is not carried over.
    pub fn lose(&mut self, kind: impl Into<String>) {
        if self.brass {
            self.losses.add(kind, self.name, Some(self.bar as i64));
        }
    }

    pub fn number(&self, why: impl Into<String>) -> Trouble {
        Trouble::Number { part: self.name.to_owned(), bar: self.called.clone(), why: why.into() }
    }

    /// A number of divisions in whole notes.
    pub fn length(&self, said: Option<&str>, what: &str) -> Result<Fraction, Trouble> {
        let said = said.ok_or_else(|| self.number(format!("{what} has no duration")))?;
        let parts =
            decimal(said).ok_or_else(|| self.number(format!("\"{said}\" is no duration of {what}")))?;
        if parts < Fraction::ZERO {
            return Err(self.number(format!("the duration of {what} is below zero ({said})")));
        }
        let quarter = Fraction::new(1, 4).and_then(|q| q.over(self.divisions));
        let length = quarter.and_then(|unit| parts.times(unit));
        let bound = Fraction::new(LONGEST, 1).unwrap_or(Fraction::ONE);
        length
            .filter(|l| *l <= bound)
            .ok_or_else(|| self.number(format!("the duration of {what} is beyond all bounds ({said})")))
    }

    fn measure(&mut self, node: &Node) -> Result<(Measure, Shared), Trouble> {
        let mut shared = Shared::default();
        let mut own = Measure { slashes: self.slashes, ..Measure::default() };
        let mut notes = Notes::led(std::mem::take(&mut self.leading));
        for child in &node.children {
            match &*child.name {
                "attributes" => self.attributes(child, notes.now, &mut own, &mut shared)?,
                "note" => self.note(child, &mut notes, &mut own)?,
                "backup" => {
                    let back = self.length(child.child("duration"), "a step back")?;
                    let now = notes.now.minus(back).unwrap_or_default();
                    // Rounded durations do not add up: nearly at the beginning is there.
                    let near = Fraction::new(1, 2).and_then(|n| n.over(self.divisions)).unwrap_or_default();
                    notes.now =
                        if now <= near && notes.rounded { Fraction::ZERO } else { now.max(Fraction::ZERO) };
                }
                "forward" => {
                    let on = self.length(child.child("duration"), "a step forward")?;
                    notes.advance(on).ok_or_else(|| self.number("the bar is too long to be counted"))?;
                }
                "direction" => {
                    let now = notes.now;
                    self.direction(child, now, &mut own, &mut shared)?;
                }
                "sound" => {
                    let now = notes.now;
                    self.sound(child, now, &mut Spoken::default(), &mut own, &mut shared);
                }
                "harmony" => {
                    let late = match child.child("offset") {
                        Some(said) => self.length(Some(said), "a chord symbol's offset")?,
                        None => Fraction::ZERO,
                    };
                    let onset = notes.now.plus(late).unwrap_or(notes.now);
                    match super::harmony::symbol(child, self.reads) {
                        Some(symbol) => shared.chords.push((onset, symbol)),
                        None => self.lose("a chord symbol"),
                    }
                }
                "barline" => barline(child, &mut shared),
                "figured-bass" => self.lose("figured bass"),
                _ => {}
            }
        }
        shared.reach = notes.reach;
        self.leading = notes.leading();
        if !self.leading.is_empty() {
            self.lose("grace notes before a barline: written before the next note of the voice");
        }
        own.voices = notes.voices();
        Ok((own, shared))
    }

    fn attributes(
        &mut self,
        node: &Node,
        now: Fraction,
        own: &mut Measure,
        shared: &mut Shared,
    ) -> Result<(), Trouble> {
        if let Some(said) = node.child("divisions") {
            self.divisions = decimal(said)
                .filter(|d| *d > Fraction::ZERO)
                .ok_or_else(|| self.number(format!("a quarter cannot be divided into {said} parts")))?;
        }
        if let Some(transpose) = node.one("transpose") {
            match interval(transpose) {
                Some(reads) => self.reads = reads,
                None => return Err(self.number("the transposition names no interval")),
            }
            if transpose.one("double").is_some() {
                self.lose("doubling in octaves");
            }
        }
        if let Some(key) = node.one("key") {
            self.key(key, shared);
        }
        if let Some(time) = node.one("time") {
            self.time(time, shared)?;
        }
        if let Some(clef) = node.one("clef") {
            self.clef(clef, now, own);
        }
        for slash in node.all("measure-style").filter_map(|m| m.one("slash")) {
            self.slashes = slash.is("type", "start");
            if now.is_zero() {
                own.slashes = self.slashes;
            }
        }
        Ok(())
    }

    fn key(&mut self, key: &Node, shared: &mut Shared) {
        let Some(fifths) = key.child("fifths").and_then(|f| f.parse::<i32>().ok()) else {
            self.lose("a key signature of its own kind");
            return;
        };
        let mode = match key.child("mode") {
            Some("none") => {
                self.key = None;
                shared.key = Some(KeySaid::None);
                return;
            }
            Some("minor") => Mode::Minor,
            Some("major") | None => Mode::Major,
            Some(other) => {
                let other: String = other.chars().take(20).collect();
                self.lose(format!("the mode \"{other}\": the signature stands as a major key"));
                Mode::Major
            }
        };
        self.key = Key::from_fifths(fifths, mode);
        let concert = self.key.and_then(|k| k.moved(self.reads)).map(Key::readable);
        shared.key = Some(match concert {
            Some(key) if fifths == 0 && self.reads != Interval::UNISON => KeySaid::Bare(key),
            Some(key) => KeySaid::Key(key),
            None => KeySaid::None,
        });
    }

    fn time(&mut self, time: &Node, shared: &mut Shared) -> Result<(), Trouble> {
        if time.one("senza-misura").is_some() {
            self.lose("a passage without meter: its bars have the length they have");
            return Ok(());
        }
        let mut groups: Vec<(u32, u32)> = Vec::new();
        for (beats, beat) in time.all("beats").zip(time.all("beat-type")) {
            let beat = beat.said().and_then(|b| b.parse::<u32>().ok());
            let beat = beat.filter(|b| b.is_power_of_two() && *b <= 64);
            let many: Option<Vec<u32>> =
                beats.said().unwrap_or_default().split('+').map(|n| n.trim().parse().ok()).collect();
            let (Some(beat), Some(many)) = (beat, many) else {
                return Err(self.number("the meter names no beats"));
            };
            groups.extend(many.into_iter().map(|n| (n, beat)));
        }
        let finest = groups.iter().map(|(_, beat)| *beat).max().unwrap_or(4);
        let groups: Vec<u32> = groups.iter().map(|(n, beat)| n.saturating_mul(finest / beat)).collect();
        let sum: u32 = groups.iter().fold(0, |sum, n| sum.saturating_add(*n));
        if groups.is_empty() || groups.contains(&0) || sum > 64 {
            return Err(self.number("the meter's beats are none that can be counted"));
        }
        shared.time = Some((groups, finest));
        Ok(())
    }

    fn clef(&mut self, clef: &Node, now: Fraction, own: &mut Measure) {
        let word = match (clef.child("sign"), clef.child("line")) {
            (Some("G"), _) => "treble",
            (Some("F"), _) => "bass",
            (Some("C"), Some("4")) => "tenor",
            (Some("C"), Some("3")) => "alto",
            (Some("percussion" | "TAB" | "none"), _) => return,
            _ => return self.lose("a clef"),
        };
        if self.concert {
            let usual = self.part.instruments.first().and_then(|i| usual_clef(i));
            // Whoever transposes reads other notes, and is not asked which clef they want for these.
            if self.reads == Interval::UNISON && usual.is_some_and(|usual| usual != word) {
                self.lose("a clef of a score at concert pitch");
            }
        } else if self.part.clef.is_none() && self.bar == 0 && now.is_zero() {
            self.part.clef = Some(word);
        } else {
            own.free.push((now, Free::Clef(word)));
        }
    }
}

/// From written to sounding.
pub fn interval(node: &Node) -> Option<Interval> {
    let number = |name: &str| -> Option<i32> {
        match node.child(name) {
            Some(said) => said.parse::<f64>().ok().map(|n| n as i32),
            None => Some(0),
        }
    };
    let octaves = number("octave-change")?;
    let chromatic = number("chromatic")?;
    let steps = match node.child("diatonic") {
        Some(_) => number("diatonic")?,
        // The usual name of so many semitones.
        None => {
            [0, 1, 1, 2, 2, 3, 4, 4, 5, 5, 6, 6].get(usize::try_from(chromatic.abs() % 12).ok()?)?
                * chromatic.signum()
                + 7 * (chromatic / 12)
        }
    };
    let fine = |n: i32| (-60..=60).contains(&n);
    (fine(chromatic) && fine(steps) && (-5..=5).contains(&octaves))
        .then(|| Interval::new(steps + 7 * octaves, chromatic + 12 * octaves))
}

/// A decimal number, exactly.
pub fn decimal(said: &str) -> Option<Fraction> {
    let said = said.trim();
    let (sign, digits) = match said.strip_prefix('-') {
        Some(digits) => (-1, digits),
        None => (1, said.strip_prefix('+').unwrap_or(said)),
    };
    let (whole, rest) = digits.split_once('.').unwrap_or((digits, ""));
    let all = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    if !all(whole) || !all(rest) || digits.is_empty() || whole.len() > 12 {
        return None;
    }
    let rest = rest.get(..rest.len().min(6))?;
    let scale = 10i64.checked_pow(u32::try_from(rest.len()).ok()?)?;
    let part = |text: &str| if text.is_empty() { Some(0) } else { text.parse::<i64>().ok() };
    Fraction::new(sign * (part(whole)?.checked_mul(scale)? + part(rest)?), scale)
}
