//! A measure.

use super::accidentals::Accidentals;
use super::attributes::{self, Signature};
use super::beams::{beams, levels};
use super::harmony::harmony;
use super::marks::{lines, notations, standing};
use super::note::{Note, brackets};
use super::part::signature;
use super::pieces::Piece;
use super::rests::improvised;
use super::tones::{Chord, ChordKind, Grace, Reading};
use super::xml::Element;
use super::{element, head, text};
use crate::brass::Kind;
use crate::exchange::paper::SheetBar;
use crate::exchange::paper::values::Value;
use crate::music::{Clef, Fraction, Interval, Key};
use crate::notation::tree::{Mark, Marks, Meter};

/// What is the same for all measures of a part.
pub struct Paper<'a> {
    pub reading: &'a Reading<'a>,
    /// Number of the part in the file, from 0.
    pub part: usize,
    /// The player has several instruments: each note says which.
    pub many: bool,
}

/// What is in force from measure to measure.
pub struct State {
    divisions: Option<u64>,
    key: Option<Signature>,
    meter: Option<Meter>,
    clef: Option<Clef>,
    interval: Interval,
    instrument: Option<u8>,
    /// Glissandos so far.
    glides: usize,
    slashes: bool,
}

impl State {
    pub fn new() -> State {
        State {
            divisions: None,
            key: None,
            meter: None,
            clef: None,
            interval: Interval::UNISON,
            instrument: None,
            glides: 0,
            slashes: false,
        }
    }
}

/// A measure to be written.
pub struct Measure<'a> {
    pub bar: &'a SheetBar,
    pub chords: &'a [Chord],
    pub pieces: &'a [Piece],
    /// What stands over and under it, with its place.
    pub said: Vec<(Fraction, Element)>,
    /// True if its chord symbols are shown.
    pub symbols: bool,
    /// At its beginning, and inside it.
    pub clef: Clef,
    pub inner: &'a [(Fraction, Clef)],
    /// Bars' rest that begin here, if they are gathered.
    pub rests: u32,
    /// Parts of a quarter.
    pub divisions: u64,
    pub last: bool,
}

impl Measure<'_> {
    pub fn element(mut self, paper: &Paper<'_>, state: &mut State) -> Element {
        let mut out = element("measure").with("number", self.bar.number);
        if self.bar.meter.length() != Some(self.bar.length) {
            out = out.with("implicit", "yes");
        }
        self.left(&mut out);
        let hand = self.chords.first().map_or(state.instrument.unwrap_or(0), |c| c.played.instrument);
        if let Some(attributes) = self.beginning(paper, state, hand) {
            out.push(attributes);
        }
        let mut said = std::mem::take(&mut self.said);
        if self.symbols {
            // It is read as the notes are that stand under it.
            let held = |onset: Fraction| {
                let before = self
                    .chords
                    .iter()
                    .take_while(|c| c.onset <= onset)
                    .filter(|c| c.kind != ChordKind::Rest)
                    .last();
                before.map_or(hand, |chord| chord.played.instrument)
            };
            let own = self.bar.chords.iter().map(|(onset, symbol)| {
                let read = paper.reading.interval(held(*onset), self.bar.key).inverse();
                (*onset, harmony(symbol.as_ref().map(|symbol| symbol.moved(read)).as_ref()))
            });
            said.extend(own);
        }
        said.sort_by_key(|(onset, _)| *onset);
        let mut said = said.into_iter().peekable();
        let mut inner = self.inner.iter().peekable();
        let mut accidentals = Accidentals::new(shown(state.key));
        let beams = beams(self.pieces, self.bar);
        for (piece, beams) in self.pieces.iter().zip(beams) {
            let chord = piece.chord.and_then(|at| self.chords.get(at));
            if let Some(chord) = chord.filter(|chord| piece.first && chord.kind != ChordKind::Rest)
                && state.instrument != Some(chord.played.instrument)
                && let Some(attributes) = self.switched(paper, state, chord.played.instrument)
            {
                accidentals.set_key(shown(state.key));
                out.push(attributes);
            }
            while let Some((_, clef)) = inner.next_if(|(onset, _)| *onset <= piece.onset) {
                if state.clef.replace(*clef) != Some(*clef) {
                    out.push(element("attributes").and(attributes::clef(*clef)));
                }
            }
            let end = piece.onset.plus(piece.length).unwrap_or(piece.onset);
            while let Some((onset, what)) = said.next_if(|(onset, _)| *onset < end) {
                out.push(self.offset(what, onset, piece.onset));
            }
            if let Some(chord) = chord.filter(|c| piece.first && c.kind == ChordKind::Sound) {
                self.graces(chord, paper, &mut accidentals, state, &mut out);
            }
            self.piece(piece, chord, beams, paper, &mut accidentals, state, &mut out);
        }
        said.for_each(|(_, what)| out.push(what));
        self.right(&mut out);
        out
    }

    /// What changes with this measure.
    fn beginning(&self, paper: &Paper<'_>, state: &mut State, hand: u8) -> Option<Element> {
        let mut out = element("attributes");
        if state.divisions.replace(self.divisions) != Some(self.divisions) {
            out.push(text("divisions", self.divisions));
        }
        let interval = paper.reading.interval(hand, self.bar.key);
        let key = signature(paper.reading, self.bar.key, interval);
        if state.key.replace(key) != Some(key) {
            out.push(attributes::key(key));
        }
        if state.meter.as_ref() != Some(&self.bar.meter) {
            state.meter = Some(self.bar.meter.clone());
            out.push(attributes::time(&self.bar.meter));
        }
        let first = state.clef.is_none();
        if state.clef.replace(self.clef) != Some(self.clef) {
            out.push(attributes::clef(self.clef));
        }
        if std::mem::replace(&mut state.interval, interval) != interval {
            out.push(attributes::transpose("transpose", interval));
        }
        if first && paper.reading.concert {
            out.push(for_part(paper, hand, self.bar.key));
        }
        state.instrument = Some(hand);
        if self.rests > 1 {
            out.push(element("measure-style").and(text("multiple-rest", self.rests)));
        }
        let slashes = improvised(self.chords);
        if std::mem::replace(&mut state.slashes, slashes) != slashes {
            let kind = if slashes { "start" } else { "stop" };
            out.push(
                element("measure-style").and(element("slash").with("type", kind).with("use-stems", "no")),
            );
        }
        (!out.is_bare()).then_some(out)
    }

    /// What another instrument in hand changes.
    fn switched(&self, paper: &Paper<'_>, state: &mut State, hand: u8) -> Option<Element> {
        state.instrument = Some(hand);
        let mut out = element("attributes");
        let interval = paper.reading.interval(hand, self.bar.key);
        let key = signature(paper.reading, self.bar.key, interval);
        if state.key.replace(key) != Some(key) {
            out.push(attributes::key(key));
        }
        let held = paper.reading.player.instrument(hand).filter(|_| !paper.reading.concert);
        let clef = held.map(|held| held.clef.unwrap_or(held.instrument.clef));
        if let Some(clef) = clef.filter(|clef| state.clef.replace(*clef) != Some(*clef)) {
            out.push(attributes::clef(clef));
        }
        if std::mem::replace(&mut state.interval, interval) != interval {
            out.push(attributes::transpose("transpose", interval));
        }
        (!out.is_bare()).then_some(out)
    }

    fn parts(&self, length: Fraction) -> i128 {
        let parts = i128::from(length.numerator()) * 4 * i128::from(self.divisions);
        parts / i128::from(length.denominator()).max(1)
    }

    /// A direction or symbol that stands later than where it is written.
    fn offset(&self, mut what: Element, onset: Fraction, here: Fraction) -> Element {
        if let Some(late) = onset.minus(here).filter(|late| *late > Fraction::ZERO) {
            what.put_before("sound", text("offset", self.parts(late)).with("sound", "yes"));
        }
        what
    }

    #[allow(clippy::too_many_arguments)] // what a note depends on, each of it once
    fn piece(
        &self,
        piece: &Piece,
        chord: Option<&Chord>,
        beams: Vec<&'static str>,
        paper: &Paper<'_>,
        accidentals: &mut Accidentals,
        state: &mut State,
        out: &mut Element,
    ) {
        let key = shown(state.key);
        let duration = Some(u64::try_from(self.parts(piece.length)).unwrap_or(0));
        let marks = standing(chord.map_or(Marks::default(), |c| c.marks), piece.first, piece.last);
        let mut extra = brackets(&piece.inside, piece.opens, "start");
        extra.extend(brackets(&piece.inside, piece.closes, "stop"));
        if let Some(chord) = chord {
            let slides = slides(paper, chord.played.instrument);
            extra.extend(lines(chord.lines, piece.first, piece.last, slides, state.glides));
            state.glides += usize::from(chord.lines.glide_starts && piece.last);
        }
        extra.extend(notations(marks, chord, key));
        let plain = Note {
            duration,
            value: piece.value,
            inside: piece.inside.clone(),
            cue: chord.is_some_and(|c| c.cue),
            whole_bar: piece.rest
                && piece.value.is_none()
                && piece.length == self.bar.length
                && self.bar.meter.length() == Some(self.bar.length),
            ..Note::default()
        };
        let tones = chord.filter(|c| c.kind == ChordKind::Sound).map_or(&[][..], |c| &c.tones);
        if tones.is_empty() {
            out.push(Note { notations: extra, ..plain }.element());
            return;
        }
        let mut beams = Some(beams);
        let mut extra = Some(extra);
        for (at, tone) in tones.iter().enumerate() {
            let (tied, ties) = (tone.tied || !piece.first, tone.ties || !piece.last);
            let note = Note {
                pitch: Some(tone.pitch),
                duration,
                chord: at > 0,
                tied,
                ties,
                instrument: self.instrument(paper, chord),
                value: piece.value,
                accidental: accidentals.sign(tone.pitch, tied),
                inside: piece.inside.clone(),
                ghost: marks.has(Mark::Ghost),
                cue: chord.is_some_and(|c| c.cue),
                beams: beams.take().unwrap_or_default(),
                notations: extra.take().unwrap_or_default(),
                whole_bar: false,
            };
            out.push(note.element());
        }
    }

    fn instrument(&self, paper: &Paper<'_>, chord: Option<&Chord>) -> Option<String> {
        let hand = chord.map(|c| c.played.instrument)?;
        paper.many.then(|| head::instrument_id(paper.part, hand))
    }

    fn graces(
        &self,
        chord: &Chord,
        paper: &Paper<'_>,
        accidentals: &mut Accidentals,
        state: &mut State,
        out: &mut Element,
    ) {
        let many = chord.graces.len();
        // One is an eighth, several share two beams.
        let value = Value { power: if many > 1 { -4 } else { -3 }, dots: 0 };
        let mut all = levels(&vec![value.flags(); many]).into_iter();
        for grace in &chord.graces {
            let mut beams = all.next();
            let mut extra = Some(self.grace_marks(grace, paper, state));
            for (at, pitch) in grace.pitches.iter().enumerate() {
                let note = Note {
                    pitch: Some(*pitch),
                    chord: at > 0,
                    instrument: self.instrument(paper, Some(chord)),
                    value: Some(value),
                    accidental: accidentals.sign(*pitch, false),
                    beams: beams.take().unwrap_or_default(),
                    notations: extra.take().unwrap_or_default(),
                    ..Note::default()
                };
                out.push(note.element());
            }
        }
    }

    fn grace_marks(&self, grace: &Grace, paper: &Paper<'_>, state: &mut State) -> Vec<Element> {
        let slides = slides(paper, grace.played.instrument);
        let mut all = lines(grace.lines, true, true, slides, state.glides);
        state.glides += usize::from(grace.lines.glide_starts);
        all.extend(notations(grace.marks, None, shown(state.key)));
        all
    }

    fn left(&self, out: &mut Element) {
        let mut barline = element("barline").with("location", "left");
        if self.bar.opens {
            barline.push(text("bar-style", "heavy-light"));
        }
        if let Some(passes) = &self.bar.ending_opens {
            barline.push(ending(passes, "start").text(passes_text(passes, ". ") + "."));
        }
        if self.bar.opens {
            barline.push(element("repeat").with("direction", "forward"));
        }
        if !barline.is_bare() {
            out.push(barline);
        }
    }

    fn right(&self, out: &mut Element) {
        let mut barline = element("barline").with("location", "right");
        match (self.bar.closes, self.last) {
            (Some(_), _) | (None, true) => barline.push(text("bar-style", "light-heavy")),
            (None, false) => {}
        }
        if let Some(passes) = &self.bar.ending_closes {
            let kind = if self.bar.closes.is_some() { "stop" } else { "discontinue" };
            barline.push(ending(passes, kind));
        }
        if let Some(times) = self.bar.closes {
            let repeat = element("repeat").with("direction", "backward");
            barline.push(if times > 2 { repeat.with("times", times) } else { repeat });
        }
        if !barline.is_bare() {
            out.push(barline);
        }
    }
}

fn ending(passes: &[u32], kind: &str) -> Element {
    element("ending").with("number", passes_text(passes, ",")).with("type", kind)
}

fn passes_text(passes: &[u32], between: &str) -> String {
    passes.iter().map(u32::to_string).collect::<Vec<_>>().join(between)
}

fn shown(signature: Option<Signature>) -> Option<Key> {
    match signature {
        Some(Signature::Key(key)) => Some(key),
        _ => None,
    }
}

/// How the part would be read, in a score at concert pitch.
fn for_part(paper: &Paper<'_>, hand: u8, key: Option<Key>) -> Element {
    let held = paper.reading.player.instrument(hand);
    let interval = held
        .map_or(Interval::UNISON, |held| crate::brass::written::reading_interval(held.instrument.reads, key));
    element("for-part").and(attributes::transpose("part-transpose", interval))
}

/// True on an instrument with a slide.
fn slides(paper: &Paper<'_>, hand: u8) -> bool {
    let held = paper.reading.player.instrument(hand);
    held.is_some_and(|held| matches!(held.instrument.kind, Kind::Trombone | Kind::BassTrombone))
}
