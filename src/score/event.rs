//! What one person plays in one block: every note and rest with its time and the state in force.

use super::figure::Timed;
use super::pair::{Pair, PairRow, bar_length, last_copy_only, played_change, trimmed};
use super::phrase::{PhraseBar, PhraseKind};
use super::player::Player;
use super::row::{Cell, Content, dealt};
use super::state::{PlayedChange, PlayedState, Swell, WrittenState};
use crate::brass::written::reading_interval;
use crate::music::{Dynamic, Fraction, Interval, Key, Pitch};
use crate::notation::tree::{
    Basis, Instruction, Item, Mark, Marks, Member, MemberKind, PlaceKind, Row, What,
};
use crate::notation::{Fault, FaultName, Span};

/// What happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EventKind {
    Note,
    /// Before the next note, taking no time of its own.
    Grace,
    /// The note before goes on.
    Hold,
    Rest,
    /// Improvised; pitches unknown.
    Improvised,
}

/// Where the text of an event stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// In its place.
    Here,
    /// In a bar before, which `%` repeats: what is wrong with it is told there.
    Again,
    /// In a phrase of the head: what is wrong with it is told at the `play`, since only there is it
    /// known who plays it.
    Phrase,
}

/// One thing one person does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    pub kind: EventKind,
    /// Bar of the block, from 0.
    pub bar: u32,
    /// In the bar, in whole notes.
    pub onset: Fraction,
    /// In whole notes; zero for a grace and where a fault left the length unknown.
    pub length: Fraction,
    /// Written for this player; of a rest or hold without meaning.
    pub written: Pitch,
    /// What is heard.
    pub sounding: Pitch,
    /// Lines below the block's header.
    pub line: u32,
    /// The entry, the member of a chord, or the `play` that brings it.
    pub span: Span,
    pub marks: Marks,
    /// The sounding note that `:trill=…` names.
    pub trill_to: Option<Pitch>,
    /// In force, one-note dynamics included.
    pub dynamic: Option<Dynamic>,
    /// Since that dynamic; none for a note with a dynamic of its own.
    pub swell: Option<Swell>,
    pub played: PlayedState,
    pub origin: Origin,
    pub fermata: bool,
}

/// What a block is read with.
pub struct Reading<'a> {
    pub player: &'a Player,
    pub basis: Basis,
    /// Concert key of the block.
    pub key: Option<Key>,
    /// Lengths of the block's bars.
    pub lengths: &'a [Fraction],
}

/// More than this in one block for one person are refused: a few copies of copies fill any memory.
pub const MOST_EVENTS: usize = 1 << 18;

/// Which member of a chord this seat of the player takes.
pub fn member<'m>(
    members: &'m [Member],
    row: &PairRow,
    seat: u32,
    player: &Player,
    solo: bool,
) -> Option<&'m Member> {
    if solo && seat > 0 {
        return None;
    }
    let (i, m) = if solo && u32::from(row.people) == player.seats {
        (0, 1)
    } else {
        (usize::from(row.first) + seat as usize, usize::from(row.people))
    };
    members.get(dealt(i, m, members.len())?)
}

/// Adds the events of one seat of the player to `out` and what is wrong with them to `faults` (by line
/// below the header). Both states are those at the start of the block.
pub fn events(
    pair: &Pair,
    seat: u32,
    written: WrittenState,
    played: PlayedState,
    reading: &Reading<'_>,
    out: &mut Vec<Event>,
    faults: &mut Vec<(u32, Fault)>,
) -> Left {
    let to_sounding: Vec<Interval> = reading
        .player
        .instruments
        .iter()
        .map(|i| reading_interval(i.instrument.reads, reading.key))
        .collect();
    let mut teller = Teller {
        reading,
        seat,
        to_sounding: &to_sounding,
        dynamic: written.dynamic,
        swell: written.swell,
        accent: written.accent,
        solo: written.solo,
        held: written.held & (1 << seat.min(63)) != 0,
        told_held: false,
        played,
        out,
        faults,
    };
    let mut next = 0;
    let full = teller.out.len().saturating_add(MOST_EVENTS);
    for (row, cell) in pair.cells() {
        if teller.out.len() > full {
            teller.too_many(row, cell);
            break;
        }
        if cell.bar > next {
            teller.held = false;
        }
        next = cell.bar + 1;
        teller.cell(row, cell);
    }
    let held = teller.held && next >= pair.bars;
    Left { dynamic: teller.dynamic, swell: teller.swell, accent: teller.accent, solo: teller.solo, held }
}

/// What one seat carries out of the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Left {
    pub dynamic: Option<Dynamic>,
    pub swell: Option<Swell>,
    pub accent: Option<Dynamic>,
    pub solo: bool,
    pub held: bool,
}

struct Teller<'a> {
    reading: &'a Reading<'a>,
    seat: u32,
    /// Written to sounding, by instrument, for this block's key.
    to_sounding: &'a [Interval],
    dynamic: Option<Dynamic>,
    swell: Option<Swell>,
    /// A dynamic for the next note alone.
    accent: Option<Dynamic>,
    solo: bool,
    held: bool,
    /// True from a hold with nothing to hold to the next note: told once.
    told_held: bool,
    played: PlayedState,
    out: &'a mut Vec<Event>,
    faults: &'a mut Vec<(u32, Fault)>,
}

/// Where entries stand and how their pitches are meant.
#[derive(Clone, Copy)]
struct Source<'a> {
    row: &'a PairRow,
    tree: &'a Row,
    /// The line that the tree was read from.
    text: &'a str,
    bar: u32,
    origin: Origin,
    /// Instead of the entry's own span.
    at: Option<Span>,
    /// Set for a phrase: pitch as written there to what is heard.
    concert: Option<(Interval, Interval)>,
}

impl Teller<'_> {
    fn cell(&mut self, row: &PairRow, cell: &Cell) {
        let Some(tree) = row.tree() else { return };
        let Some(source) = tree.bars.get(cell.source as usize) else { return };
        let items = source.items.of(&tree.items);
        let here = Source {
            row,
            tree,
            text: &row.text.text,
            bar: cell.bar,
            origin: Origin::Here,
            at: None,
            concert: None,
        };
        if let Content::Entries { items: bar, places } = cell.content
            && bar == cell.source
        {
            self.entries(here, items, row.read.timed(places, row.rhythm.as_deref()));
            return;
        }
        let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
        if cell.first {
            items.iter().take(timed).for_each(|i| self.free(here, i));
        }
        let span = items.get(timed).map_or(source.span, |i| i.span);
        let marks = items.get(timed).map_or(Marks::default(), |i| i.marks);
        match cell.content {
            Content::Entries { items: bar, places } => {
                if let Some(bar) = tree.bars.get(bar as usize) {
                    let copy = Source { origin: Origin::Again, ..here };
                    let timed = row.read.timed(places, row.rhythm.as_deref());
                    self.entries(copy, bar.items.of(&tree.items), timed);
                }
            }
            Content::Silence => self.whole_bar(here, EventKind::Rest, span, marks),
            Content::Improvised => self.whole_bar(here, EventKind::Improvised, span, marks),
            Content::Held => {
                if !(self.solo && self.seat > 0) {
                    self.check_held(here, span);
                }
                self.whole_bar(here, EventKind::Hold, span, marks);
            }
            Content::Phrase { bar, shift } => self.phrase(here, bar, shift, span),
        }
        if cell.last {
            items.iter().skip(timed + 1).for_each(|i| self.free(here, i));
        }
    }

    fn phrase(&mut self, here: Source<'_>, bar: PhraseBar, shift: Interval, span: Span) {
        match bar.kind {
            PhraseKind::Silence => self.whole_bar(here, EventKind::Rest, span, Marks::default()),
            PhraseKind::Held => {
                self.check_held(Source { origin: Origin::Phrase, at: Some(span), ..here }, span);
                self.whole_bar(here, EventKind::Hold, span, Marks::default());
            }
            PhraseKind::Entries => {
                let Some(phrase) = self.reading.player.phrases.get(bar.phrase) else { return };
                let Some(tree) = phrase.tree() else { return };
                let Some(source) = tree.row.bars.get(bar.items as usize) else { return };
                let from = Source {
                    tree: &tree.row,
                    text: &phrase.line.text,
                    origin: Origin::Phrase,
                    at: Some(span),
                    concert: Some((phrase.to_concert, bar.shift.then(shift))),
                    ..here
                };
                let places = bar.places.of(&phrase.places);
                self.entries(from, source.items.of(&tree.row.items), places);
            }
        }
    }

    fn whole_bar(&mut self, here: Source<'_>, kind: EventKind, span: Span, marks: Marks) {
        let kind = if kind == EventKind::Hold && !self.held { EventKind::Rest } else { kind };
        if kind != EventKind::Hold {
            self.held = false;
        }
        let length = bar_length(self.reading.lengths, here.bar);
        self.push(here, kind, None, Fraction::ZERO, length, span, marks, marks.has(Mark::Fermata));
    }

    fn entries(&mut self, here: Source<'_>, items: &[Item], places: &[Timed]) {
        let mut places = places.iter();
        for item in items {
            match item.what {
                What::GraceNote(pitch) => {
                    let onset = self.advance(here, &mut places).map_or(Fraction::ZERO, |p| p.onset);
                    let span = item.span;
                    self.push(
                        here,
                        EventKind::Grace,
                        Some(pitch),
                        onset,
                        Fraction::ZERO,
                        span,
                        item.marks,
                        false,
                    );
                }
                What::GraceChord(slice) => {
                    let onset = self.advance(here, &mut places).map_or(Fraction::ZERO, |p| p.onset);
                    let members = slice.of(&here.tree.members);
                    if let Some(m) = member(members, here.row, self.seat, self.reading.player, self.solo)
                        && let MemberKind::Note(pitch) = m.what
                    {
                        let marks = item.marks.with(m.marks);
                        self.push(
                            here,
                            EventKind::Grace,
                            Some(pitch),
                            onset,
                            Fraction::ZERO,
                            m.span,
                            marks,
                            false,
                        );
                    }
                }
                what if what.is_entry() => {
                    let n = item.times.max(1);
                    for copy in 1..=n {
                        let place = self.advance(here, &mut places);
                        places.next();
                        let mut marks = item.marks;
                        if copy < n {
                            Mark::ALL
                                .into_iter()
                                .filter(|m| last_copy_only(*m))
                                .for_each(|m| marks.remove(m));
                        }
                        self.entry(here, item, marks, place);
                    }
                }
                _ => self.free(here, item),
            }
        }
        while self.advance(here, &mut places).is_some() {
            places.next();
        }
    }

    /// Goes to the next place that takes an entry, telling the silent and held places before it.
    fn advance<'p>(
        &mut self,
        here: Source<'_>,
        places: &mut std::slice::Iter<'p, Timed>,
    ) -> Option<&'p Timed> {
        while let Some(place) = places.as_slice().first() {
            let kind = match place.kind {
                PlaceKind::Entry => return Some(place),
                PlaceKind::Silence => EventKind::Rest,
                PlaceKind::Hold if self.held => EventKind::Hold,
                PlaceKind::Hold => EventKind::Rest,
            };
            if kind == EventKind::Rest {
                self.held = false;
            }
            let span = here.at.unwrap_or_default();
            self.push(here, kind, None, place.onset, place.length, span, Marks::default(), place.fermata);
            places.next();
        }
        None
    }

    fn entry(&mut self, here: Source<'_>, item: &Item, marks: Marks, place: Option<&Timed>) {
        let (onset, length, fermata) =
            place.map_or((Fraction::ZERO, Fraction::ZERO, false), |p| (p.onset, p.length, p.fermata));
        let (kind, pitch, span, marks) = match item.what {
            What::Note(pitch) if self.solo && self.seat > 0 => {
                (EventKind::Rest, Some(pitch), item.span, marks)
            }
            What::Note(pitch) => (EventKind::Note, Some(pitch), item.span, marks),
            What::Rest => (EventKind::Rest, None, item.span, marks),
            What::Hold if self.solo && self.seat > 0 => (EventKind::Rest, None, item.span, marks),
            What::Hold => {
                self.check_held(here, item.span);
                (EventKind::Hold, None, item.span, marks)
            }
            What::Chord(slice) => {
                let members = slice.of(&here.tree.members);
                let player = self.reading.player;
                if self.solo && members.len() > 1 && u32::from(here.row.people) == player.seats {
                    self.too_many_for_one(here, item.span);
                }
                match member(members, here.row, self.seat, player, self.solo) {
                    Some(m) => {
                        let marks = marks.with(m.marks);
                        match m.what {
                            MemberKind::Note(pitch) => (EventKind::Note, Some(pitch), m.span, marks),
                            MemberKind::Rest => (EventKind::Rest, None, m.span, marks),
                            MemberKind::Hold => {
                                self.check_held(here, m.span);
                                (EventKind::Hold, None, m.span, marks)
                            }
                        }
                    }
                    None => (EventKind::Rest, None, item.span, marks),
                }
            }
            _ => return,
        };
        let kind = if kind == EventKind::Hold && !self.held { EventKind::Rest } else { kind };
        self.held = matches!(kind, EventKind::Note | EventKind::Hold);
        let fermata = fermata || marks.has(Mark::Fermata);
        let span = here.at.unwrap_or(span);
        self.push(here, kind, pitch, onset, length, span, marks, fermata);
        if kind == EventKind::Note {
            self.accent = None;
            self.told_held = false;
        }
    }

    fn check_held(&mut self, here: Source<'_>, span: Span) {
        if self.held || here.origin == Origin::Again || std::mem::replace(&mut self.told_held, true) {
            return;
        }
        let id = &self.reading.player.id;
        let fault = match here.at {
            None => Fault::new(
                FaultName::NothingHeld,
                span,
                format!(
                    "{id} has no note before this that `=` could hold on. Write the note, or `-` for a rest."
                ),
            )
            .fixed_by("Write a rest", span, "-"),
            Some(play) => Fault::new(
                FaultName::NothingHeld,
                play,
                format!(
                    "In this phrase {id} has no note before an `=` that it could hold on. Write the note there, or `-` for a rest."
                ),
            ),
        };
        self.faults.push((here.row.line, fault));
    }

    fn too_many(&mut self, row: &PairRow, cell: &Cell) {
        let bar = row.tree().and_then(|tree| tree.bars.get(cell.source as usize));
        self.faults.push((
            row.line,
            Fault::new(
                FaultName::BadNumber,
                bar.map_or(Span::default(), |bar| trimmed(bar.span, &row.text.text)),
                format!(
                    "{} would play more than {MOST_EVENTS} notes and rests in this block; from here on they are not looked at. Begin another block.",
                    self.reading.player.id
                ),
            ),
        ));
    }

    fn too_many_for_one(&mut self, here: Source<'_>, span: Span) {
        self.faults.push((
            here.row.line,
            Fault::new(
                FaultName::TooManyEntries,
                here.at.unwrap_or(span),
                format!(
                    "Under `[solo]` one person plays, who sounds one note at a time. Take the chord apart or write `[tutti]` before it ({}).",
                    self.reading.player.id
                ),
            ),
        ));
    }

    #[allow(clippy::too_many_arguments)] // one call site for each kind of entry; a struct would repeat Event
    fn push(
        &mut self,
        here: Source<'_>,
        kind: EventKind,
        pitch: Option<Pitch>,
        onset: Fraction,
        length: Fraction,
        span: Span,
        marks: Marks,
        fermata: bool,
    ) {
        let (written, sounding) = match pitch {
            Some(pitch) => self.pitches(here, pitch),
            None => (NO_PITCH, NO_PITCH),
        };
        let trill_to = marks.trill.map(|to| self.pitches(here, to).1);
        self.out.push(Event {
            kind,
            bar: here.bar,
            onset,
            length,
            written,
            sounding,
            line: here.row.line,
            span: here.at.unwrap_or(span),
            marks,
            trill_to,
            dynamic: self.accent.or(self.dynamic),
            swell: self.swell.filter(|_| self.accent.is_none()),
            played: self.played,
            origin: here.origin,
            fermata,
        });
    }

    /// Written for the instrument in hand, and sounding.
    fn pitches(&self, here: Source<'_>, pitch: Pitch) -> (Pitch, Pitch) {
        let reads =
            self.to_sounding.get(usize::from(self.played.instrument)).copied().unwrap_or(Interval::UNISON);
        match (here.concert, self.reading.basis) {
            (Some((to_concert, shift)), _) => {
                let sounding = to_concert.then(shift).apply_respelled(pitch);
                (reads.inverse().apply_respelled(sounding), sounding)
            }
            (None, Basis::Concert) => (reads.inverse().apply_respelled(pitch), pitch),
            (None, Basis::Written) => (pitch, reads.apply_respelled(pitch)),
        }
    }

    fn free(&mut self, here: Source<'_>, item: &Item) {
        match item.what {
            What::Dynamic(d) => match d.leaves() {
                Some(left) => {
                    self.dynamic = Some(left);
                    self.swell = None;
                    self.accent = (left != d).then_some(d);
                }
                None => self.accent = Some(d),
            },
            What::Crescendo => self.swell = Some(Swell::Growing),
            What::Diminuendo => self.swell = Some(Swell::Fading),
            What::Instruction(Instruction::Solo) if self.reading.player.seats > 1 => self.solo = true,
            What::Instruction(Instruction::Tutti) => self.solo = false,
            What::Instruction(Instruction::Switch(i)) => {
                let switch = here.tree.switches.get(i as usize);
                let index = switch.and_then(|s| {
                    self.reading.player.instrument_called(s.instrument.of(here.text), s.read_in)
                });
                if let Some(index) = index {
                    self.played = PlayedChange::switch(index).after(self.played);
                }
            }
            What::Instruction(other) => {
                if let Some(change) = played_change(other) {
                    self.played = change.after(self.played);
                }
            }
            _ => {}
        }
    }
}

/// Stands where there is no pitch.
const NO_PITCH: Pitch = Pitch { step: crate::music::Step::C, alter: 0, octave: 4 };
