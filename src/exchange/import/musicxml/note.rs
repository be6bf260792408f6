//! Notes of a measure, voice by voice.

use super::harmony::pitch;
use super::part::Reader;
use super::signs::{self, Read};
use crate::exchange::import::music::{Entry, Free, Grace, Measure, Tone, Tuplet, Voice};
use crate::exchange::import::tree::Node;
use crate::exchange::import::trouble::Trouble;
use crate::music::{Fraction, Key, Pitch};

/// Tuplets inside each other that are followed.
const DEEPEST: usize = 3;

/// The voices of a measure while it is read.
#[derive(Debug, Default)]
pub struct Notes {
    pub now: Fraction,
    pub reach: Fraction,
    /// Some duration was rounded.
    pub rounded: bool,
    voices: Vec<Open>,
    /// The voice of the last note, for what stands with it.
    last: usize,
    last_grace: bool,
}

#[derive(Debug, Default)]
struct Open {
    name: String,
    entries: Vec<Entry>,
    graces: Vec<Grace>,
    tuplets: Vec<Tuplet>,
}

impl Notes {
    /// Time goes on; nothing where it cannot be counted.
    pub fn advance(&mut self, by: Fraction) -> Option<()> {
        self.now = self.now.plus(by)?;
        self.reach = self.reach.max(self.now);
        Some(())
    }

    /// The voice of a note: the one it names, or where that is still busy, one beside it.
    fn voice(&mut self, name: &str, onset: Fraction) -> usize {
        let mut name = name.to_owned();
        loop {
            let Some(at) = self.voices.iter().position(|v| v.name == name) else {
                self.voices.push(Open { name, ..Open::default() });
                return self.voices.len() - 1;
            };
            let end = self.voices.get(at).and_then(|v| v.entries.last()).and_then(|e| e.onset.plus(e.length));
            if end.is_none_or(|end| end <= onset) {
                return at;
            }
            name.push('+');
        }
    }

    /// Grace notes that lead over the barline, by voice.
    pub fn leading(&mut self) -> Vec<(String, Vec<Grace>)> {
        let all = self.voices.iter_mut().filter(|v| !v.graces.is_empty());
        all.map(|v| (v.name.clone(), std::mem::take(&mut v.graces))).collect()
    }

    /// Voices that begin with grace notes of the bar before.
    pub fn led(before: Vec<(String, Vec<Grace>)>) -> Notes {
        let voices =
            before.into_iter().map(|(name, graces)| Open { name, graces, ..Open::default() }).collect();
        Notes { voices, ..Notes::default() }
    }

    pub fn voices(self) -> Vec<Voice> {
        let mut all: Vec<Voice> =
            self.voices.into_iter().map(|v| Voice { name: v.name, entries: v.entries }).collect();
        all.retain(|v| !v.entries.is_empty());
        for voice in &mut all {
            voice.entries.sort_by_key(|e| e.onset);
        }
        all.sort_by(|a, b| a.name.cmp(&b.name));
        // A voice of rests beside another says nothing.
        if all.iter().any(sounds) {
            all.retain(sounds);
        }
        all
    }
}

fn sounds(voice: &Voice) -> bool {
    voice.entries.iter().any(|e| !e.tones.is_empty())
}

impl Reader<'_, '_> {
    pub fn note(&mut self, node: &Node, notes: &mut Notes, own: &mut Measure) -> Result<(), Trouble> {
        let grace = node.one("grace").is_some();
        let chord = node.one("chord").is_some();
        let length = if grace { Fraction::ZERO } else { self.length(node.child("duration"), "a note")? };
        let said = length;
        let length = if grace { length } else { self.exact(node, length) };
        notes.rounded |= said != length;
        if node.one("cue").is_some() {
            self.lose("a cue note");
            if !chord {
                notes.advance(length).ok_or_else(|| self.number("the bar is too long to be counted"))?;
            }
            return Ok(());
        }
        if node.one("lyric").is_some() {
            self.lose("words that are sung");
        }
        let on_paper = node.one("pitch");
        let tone = match on_paper {
            Some(written) => Some(self.tone(written)?),
            None => {
                if node.one("unpitched").is_some() {
                    self.lose("a note without pitch: a rest stands there");
                }
                None
            }
        };
        if let (Some(written), Some(sign)) = (on_paper.and_then(pitch), node.child("accidental"))
            && signs::accidental(sign).is_some_and(|said| said != i32::from(written.alter))
        {
            self.lose("an accidental that is not the note's: its pitch counts");
        }
        if let Some(written) = on_paper.and_then(pitch) {
            self.on_page(written);
        }
        let mut read = signs::read(node, self.horn);
        read.tied |= node.all("tie").any(|t| t.is("type", "stop"));
        std::mem::take(&mut read.lost).into_iter().for_each(|lost| self.lose(lost));
        if let (Some(accidental), Some(written), Some(sounding)) =
            (read.trill, on_paper.and_then(pitch), tone)
        {
            read.signs.trill = self.upper(accidental, written, sounding).map(|upper| (sounding, upper));
        }
        let at = notes.last;
        if chord && let Some(open) = notes.voices.get_mut(at) {
            if let Some(sounding) = tone {
                with(open, notes.last_grace, sounding, read);
            }
            return Ok(());
        }
        let staff = node.child("staff").unwrap_or("1");
        let name = format!("{staff}.{}", node.child("voice").unwrap_or("1"));
        let onset = notes.now;
        let at = notes.voice(&name, onset);
        notes.last = at;
        notes.last_grace = grace;
        own.free.extend(read.levels.drain(..).map(|level| (onset, level)));
        self.instrument(node, onset, own);
        let mut counter = self.tuplets;
        if let Some(open) = notes.voices.get_mut(at) {
            if grace {
                let Some(sounding) = tone else { return Ok(()) };
                open.graces.push(Grace { pitches: vec![sounding], signs: read.signs });
            } else {
                let mut entry = Entry { onset, length, ratio: ratio(node), ..Entry::default() };
                brackets(open, &read, &mut entry, &mut counter);
                if let Some(sounding) = tone {
                    entry.tones.push(Tone { pitch: sounding, tied: read.tied });
                    entry.graces = std::mem::take(&mut open.graces);
                }
                entry.signs = read.signs;
                if !length.is_zero() {
                    open.entries.push(entry);
                }
            }
        }
        self.tuplets = counter;
        notes.advance(length).ok_or_else(|| self.number("the bar is too long to be counted"))
    }

    /// A duration that was rounded to whole divisions is what its value says.
    fn exact(&mut self, node: &Node, length: Fraction) -> Fraction {
        let Some(value) = written(node) else { return length };
        let off = length.minus(value).map_or(Fraction::ONE, |d| d.max(Fraction::ZERO.minus(d).unwrap_or(d)));
        let unit = Fraction::new(1, 4).and_then(|q| q.over(self.divisions)).unwrap_or_default();
        if off.is_zero() || off > unit || unit > value {
            return length;
        }
        self.lose("a duration that is rounded in the file: the note value counts");
        value
    }

    /// The sounding pitch.
    fn tone(&mut self, node: &Node) -> Result<Pitch, Trouble> {
        let written = pitch(node).ok_or_else(|| self.number("a note has a pitch that cannot be read"))?;
        if node.child("alter").is_some_and(|a| a.parse::<f64>().is_ok_and(|a| a.fract() != 0.0)) {
            self.lose("a quarter tone: the nearest note stands there");
        }
        Ok(self.reads.apply_respelled(written))
    }

    /// The sounding upper note of a trill: the next letter, as its own accidental or the part's key has it.
    fn upper(&self, accidental: Option<i32>, written: Pitch, sounding: Pitch) -> Option<Pitch> {
        let step = written.staff() + 1;
        let letter = crate::music::Step::from_index(step);
        let alter = accidental.unwrap_or_else(|| self.key.map_or(0, |k: Key| k.alter_of(letter)));
        let upper = Pitch::new(letter, alter, step.div_euclid(7))?;
        let up = upper.midi() - written.midi();
        let as_read = || self.reads.apply_respelled(upper);
        let spelled = || Pitch::at(sounding.staff() + 1, sounding.midi() + up).unwrap_or_else(as_read);
        (1..=4).contains(&up).then(spelled)
    }

    fn instrument(&mut self, node: &Node, onset: Fraction, own: &mut Measure) {
        let Some(id) = node.one("instrument").and_then(|i| i.attribute("id")) else { return };
        if let Some(hand) = self.instruments.iter().position(|i| i == id)
            && hand != self.hand
        {
            self.hand = hand;
            own.free.push((onset, Free::Switch(hand)));
        }
    }
}

/// Another note of the chord before.
fn with(open: &mut Open, grace: bool, sounding: Pitch, read: Read) {
    let signs = if grace {
        let Some(last) = open.graces.last_mut() else { return };
        if !last.pitches.iter().any(|p| p.midi() == sounding.midi()) {
            last.pitches.push(sounding);
            last.pitches.sort_by_key(|p| std::cmp::Reverse(p.midi()));
        }
        &mut last.signs
    } else {
        let Some(last) = open.entries.last_mut() else { return };
        if !last.tones.iter().any(|t| t.pitch.midi() == sounding.midi()) {
            last.tones.push(Tone { pitch: sounding, tied: read.tied });
            last.tones.sort_by_key(|t| std::cmp::Reverse(t.pitch.midi()));
        }
        &mut last.signs
    };
    for mark in read.signs.marks {
        if !signs.marks.contains(&mark) {
            signs.marks.push(mark);
        }
    }
    // Slurs of several notes of a chord are one.
    signs.slur_starts = signs.slur_starts.max(read.signs.slur_starts);
    signs.slur_stops = signs.slur_stops.max(read.signs.slur_stops);
    signs.glides |= read.signs.glides;
    signs.trill = signs.trill.or(read.signs.trill);
}

/// What type, dots and tuplet make of a note.
fn written(node: &Node) -> Option<Fraction> {
    let (n, d) = match node.child("type")? {
        "breve" => (2, 1),
        "whole" => (1, 1),
        "half" => (1, 2),
        "quarter" => (1, 4),
        "eighth" => (1, 8),
        "16th" => (1, 16),
        "32nd" => (1, 32),
        "64th" => (1, 64),
        _ => return None,
    };
    let dots = u32::try_from(node.all("dot").count().min(4)).ok()?;
    let dotted = Fraction::new((2i64 << dots) - 1, 1i64 << dots)?;
    let (count, normal) = ratio(node);
    let tuplet = Fraction::new(i64::from(normal), i64::from(count))?;
    Fraction::new(n, d)?.times(dotted)?.times(tuplet)
}

fn ratio(node: &Node) -> (u32, u32) {
    let modification = node.one("time-modification");
    let of = |name: &str| modification?.child(name)?.parse::<u32>().ok().filter(|n| (1..=10_000).contains(n));
    (of("actual-notes").unwrap_or(1), of("normal-notes").unwrap_or(1))
}

/// The brackets that a note opens, stands in and closes.
fn brackets(open: &mut Open, read: &Read, entry: &mut Entry, counter: &mut u32) {
    let mut starts = read.tuplets.clone();
    starts.sort_by_key(|(number, _)| *number);
    let alone = starts.len() == 1 && open.tuplets.is_empty();
    for (_, said) in starts {
        let Some((count, normal)) = said.or(alone.then_some(entry.ratio)) else { continue };
        if open.tuplets.len() < DEEPEST && (2..=64).contains(&count) && (1..=64).contains(&normal) {
            *counter += 1;
            open.tuplets.push(Tuplet { id: *counter, count, normal });
        }
    }
    entry.inside.clone_from(&open.tuplets);
    for _ in 0..read.tuplet_stops {
        open.tuplets.pop();
    }
}
