//! A block's rows as the bars that one player reads: dealt, and in the pitch of the instrument in hand.

use super::bar::{Bar, Content, Entry, EntryKind, Notes, Thing};
use super::deal::{Share, marks_of, share};
use super::{figure, marks, ruled};
use crate::brass::written::reading_interval;
use crate::music::{Interval, Key, Pitch};
use crate::notation::tree::{
    Basis, Instruction, Item, LineTree, Mark, Marks, Member, MemberKind, PlaceKind, Row, What,
};
use crate::rules::Desk;
use crate::score::block::Block;
use crate::score::figure::Timed;
use crate::score::pair::{PairRow, last_copy_only};
use crate::score::phrase::{PhraseBar, PhraseKind};
use crate::score::player::Player;
use crate::score::row::{Cell, Content as Says};
use crate::score::trill::above;
use std::collections::HashMap;

/// What goes on into a block from the one before: `=`, `-`, or a chord of these where seats differ.
pub fn goes_into(desk: &Desk, block: usize, index: usize) -> String {
    let checked = desk.report().tracks.get(index).and_then(|t| t.blocks.get(block)?.as_ref());
    let player = desk.score().head.players.get(index);
    let (Some(checked), Some(player)) = (checked, player) else { return "-".to_owned() };
    let given = checked.given().written;
    let seats = if given.solo { 1 } else { player.seats.clamp(1, 64) };
    let rests: Vec<bool> = (0..seats).rev().map(|seat| given.held & (1 << seat) == 0).collect();
    going_on(&rests)
}

/// The bars of a block; those in which no row names the player are silent.
pub fn bars(desk: &Desk, block: usize, index: usize) -> Vec<Bar> {
    let score = desk.score();
    let Some(placed) = score.blocks.get(block) else { return Vec::new() };
    let mut bars: Vec<Bar> = placed.read.lengths.iter().map(|l| Bar::silent(*l)).collect();
    let checked = desk.report().tracks.get(index).and_then(|t| t.blocks.get(block)?.as_ref());
    let (Some(checked), Some(player)) = (checked, score.head.players.get(index)) else { return bars };
    let reads =
        |i: &crate::score::player::PlayerInstrument| reading_interval(i.instrument.reads, placed.frame.key);
    let mut reader = Reader {
        player,
        block: &placed.read.block,
        basis: score.head.basis,
        to_sounding: player.instruments.iter().map(reads).collect(),
        instrument: usize::from(checked.given().played.instrument),
        solo: checked.given().written.solo,
        bars: bars.len(),
        key: placed.frame.key,
        sources: HashMap::new(),
    };
    for (row, cell) in checked.pair.cells() {
        if let Some(slot) = bars.get_mut(cell.bar as usize)
            && let Some(bar) = reader.cell(row, cell, slot.length)
        {
            *slot = bar;
        }
    }
    bars
}

struct Reader<'a> {
    player: &'a Player,
    block: &'a Block,
    basis: Basis,
    /// Written to sounding, by instrument.
    to_sounding: Vec<Interval>,
    instrument: usize,
    solo: bool,
    /// Bars of the block.
    bars: usize,
    /// Concert key of the block.
    key: Option<Key>,
    /// By rhythm row: which of its bars stands over each bar of the block.
    sources: HashMap<u32, Vec<(usize, bool)>>,
}

/// Where a list stands and how its pitches are meant.
#[derive(Clone, Copy)]
struct Source<'a> {
    row: &'a PairRow,
    tree: &'a Row,
    text: &'a str,
    /// Set for a phrase: from the pitch as written there to what is heard.
    to_concert: Option<Interval>,
}

impl Reader<'_> {
    fn cell(&mut self, row: &PairRow, cell: &Cell, length: crate::music::Fraction) -> Option<Bar> {
        let tree = row.tree()?;
        let here = Source { row, tree, text: &row.text.text, to_concert: None };
        let source = tree.bars.get(cell.source as usize)?;
        let items = source.items.of(&tree.items);
        let mut bar = Bar::silent(length);
        if let Says::Entries { items: at, places } = cell.content
            && at == cell.source
        {
            let timed = row.read.timed(places, row.rhythm.as_deref());
            let figure = self.figure(row, at);
            bar.what = Content::Notes(self.notes(here, items, timed, figure));
            simplify(&mut bar);
            return Some(bar);
        }
        let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
        let own = items.get(timed).map_or(Marks::default(), |i| i.marks);
        if cell.first {
            bar.before = items.iter().take(timed).filter_map(|i| self.free(here, i)).collect();
        }
        bar.what = match cell.content {
            Says::Entries { items: at, places } => {
                bar.again = true;
                let timed = row.read.timed(places, row.rhythm.as_deref());
                let copied = tree.bars.get(at as usize)?.items.of(&tree.items);
                let figure = self.figure(row, at);
                Content::Notes(self.notes(here, copied, timed, figure))
            }
            Says::Silence => Content::Silence(EntryKind::Rest.allowed(own)),
            Says::Held => Content::Held(EntryKind::Hold.allowed(own)),
            Says::Improvised => Content::Improvised,
            Says::Phrase { bar: phrase, shift } => self.phrase(here, phrase, shift)?,
        };
        if cell.last {
            bar.after = items.iter().skip(timed + 1).filter_map(|i| self.free(here, i)).collect();
        }
        simplify(&mut bar);
        Some(bar)
    }

    fn phrase(&mut self, here: Source<'_>, bar: PhraseBar, shift: Interval) -> Option<Content> {
        let phrases = std::sync::Arc::clone(&self.player.phrases);
        Some(match bar.kind {
            PhraseKind::Silence => Content::Silence(Marks::default()),
            PhraseKind::Held => Content::Held(Marks::default()),
            PhraseKind::Entries => {
                let phrase = phrases.get(bar.phrase)?;
                let tree = &phrase.tree()?.row;
                let source = tree.bars.get(bar.items as usize)?;
                let to_concert = Some(phrase.to_concert.then(bar.shift.then(shift)));
                let there = Source { tree, text: &phrase.line.text, to_concert, ..here };
                let figure =
                    source.has_figure.then(|| figure::of_nodes(source.nodes.of(&tree.nodes), there.text));
                let places = bar.places.of(&phrase.places);
                Content::Notes(self.notes(there, source.items.of(&tree.items), places, figure))
            }
        })
    }

    /// The figure of a bar of a row: its own, or the rhythm row's.
    fn figure(&mut self, row: &PairRow, at: u32) -> Option<String> {
        let tree = row.tree()?;
        let bar = tree.bars.get(at as usize)?;
        if bar.has_figure {
            return Some(figure::of_nodes(bar.nodes.of(&tree.nodes), &row.text.text));
        }
        // Cells stand in the order of the bars that say them.
        let cells = &row.read.cells;
        let cell = cells.get(cells.partition_point(|c| c.source < at)).filter(|c| c.source == at)?;
        let rows = &self.block.rows;
        let ruled = rows.binary_search_by_key(&row.line, |r| r.line).ok().and_then(|i| rows.get(i))?;
        let ruler = ruled.ruled_by?;
        let line = self.block.text.lines.get(rows.get(ruler as usize)?.line as usize)?;
        let LineTree::Row(rhythm) = &line.tree else { return None };
        let bars = self.bars;
        let sources = self.sources.entry(ruler).or_insert_with(|| ruled::sources(rhythm, bars));
        let source = rhythm.bars.get(sources.get(cell.bar as usize)?.0)?;
        let nodes = source.nodes.of(&rhythm.nodes);
        (!nodes.is_empty()).then(|| figure::of_nodes(nodes, &line.text))
    }

    fn notes(&mut self, here: Source<'_>, items: &[Item], places: &[Timed], figure: Option<String>) -> Notes {
        let mut list: Vec<Thing> = Vec::new();
        // Graces behind this are for the next entry.
        let mut after = 0;
        for item in items {
            match item.what {
                What::GraceNote(pitch) => {
                    let note = self.note(here, pitch, item.marks);
                    list.push(Thing::Grace(format!("/{note}")));
                }
                What::GraceChord(slice) => {
                    let chord = self.chord(here, slice.of(&here.tree.members), item.marks);
                    if let Some(text) = chord.filter(|c| c.kind == EntryKind::Sound) {
                        list.push(Thing::Grace(format!("/{}", text.once())));
                    }
                }
                what if what.is_entry() => {
                    let entries = self.entries(here, item);
                    if entries.first().is_none_or(|e| e.kind != EntryKind::Sound) {
                        drop_graces(&mut list, after);
                    }
                    list.extend(entries.into_iter().map(Thing::Entry));
                    after = list.len();
                }
                _ => list.extend(self.free(here, item).map(Thing::Free)),
            }
        }
        drop_graces(&mut list, after);
        Notes { figure, places: places.to_vec(), list }
    }

    /// One entry, or each copy where their marks differ.
    fn entries(&self, here: Source<'_>, item: &Item) -> Vec<Entry> {
        let simple = |kind: EntryKind, text: String| {
            let note = if let What::Note(pitch) = item.what { Some(pitch) } else { None };
            let marks = kind.allowed(self.trilled(here, note, item.marks));
            Entry { times: item.times.max(1), ..Entry::one(kind, text, marks) }
        };
        match item.what {
            What::Rest => vec![simple(EntryKind::Rest, "-".to_owned())],
            What::Hold => vec![simple(EntryKind::Hold, "=".to_owned())],
            What::Note(pitch) => vec![simple(EntryKind::Sound, self.pitch(here, pitch))],
            What::Chord(slice) => {
                let members = slice.of(&here.tree.members);
                let share = share(members, here.row, self.player, self.solo);
                let n = item.times.max(1);
                let Share::One(member) = share else {
                    return self
                        .chord(here, members, item.marks)
                        .map(|e| Entry { times: n, ..e })
                        .into_iter()
                        .collect();
                };
                let inner = marks_of(member);
                let alike = n == 1 || !Mark::ALL.into_iter().any(|m| inner.has(m) && last_copy_only(m));
                if alike {
                    return vec![Entry { times: n, ..self.one(here, member, item.marks) }];
                }
                let copy = |i: u16| {
                    let mut marks = item.marks;
                    if i < n {
                        Mark::ALL.into_iter().filter(|m| last_copy_only(*m)).for_each(|m| marks.remove(m));
                    }
                    self.one(here, member, marks)
                };
                (1..=n).map(copy).collect()
            }
            _ => Vec::new(),
        }
    }

    /// A member as an entry of its own.
    fn one(&self, here: Source<'_>, member: Option<&Member>, outer: Marks) -> Entry {
        let marks = self.trilled(here, member.and_then(note_of), outer.with(marks_of(member)));
        let (kind, text) = match member.map(|m| m.what) {
            Some(MemberKind::Note(pitch)) => (EntryKind::Sound, self.pitch(here, pitch)),
            Some(MemberKind::Hold) => (EntryKind::Hold, "=".to_owned()),
            Some(MemberKind::Rest) | None => (EntryKind::Rest, "-".to_owned()),
        };
        Entry::one(kind, text, kind.allowed(marks))
    }

    /// This player's share of a chord, with the marks of the whole.
    fn chord(&self, here: Source<'_>, members: &[Member], outer: Marks) -> Option<Entry> {
        let entries = match share(members, here.row, self.player, self.solo) {
            Share::One(member) => return Some(self.one(here, member, outer)),
            Share::Chord(entries) => entries,
        };
        // A trill of all that must be named for one is named for each.
        let trill_of = |m: &Member| note_of(m).and_then(|note| self.trilled(here, Some(note), outer).trill);
        let apart = outer.has(Mark::Trill)
            && outer.trill.is_none()
            && entries.iter().flatten().any(|m| trill_of(m).is_some());
        let inner = |member: Option<&Member>| {
            let mut marks = marks_of(member);
            if apart && member.and_then(note_of).is_some() {
                marks.add(Mark::Trill);
            }
            marks
        };
        let mut outer = outer;
        if apart {
            outer.remove(Mark::Trill);
        }
        let member = |member: &Option<&Member>| {
            let text = match member.map(|m| m.what) {
                Some(MemberKind::Note(pitch)) => self.pitch(here, pitch),
                Some(MemberKind::Hold) => "=".to_owned(),
                Some(MemberKind::Rest) | None => "-".to_owned(),
            };
            (text, self.trilled(here, member.and_then(note_of), inner(*member)))
        };
        let rests: Vec<bool> = entries.iter().map(|m| m.is_none_or(|m| m.what == MemberKind::Rest)).collect();
        Some(Entry {
            kind: EntryKind::Sound,
            members: entries.iter().map(member).collect(),
            goes_on: going_on(&rests),
            marks: self.trilled(here, None, outer),
            times: 1,
        })
    }

    fn note(&self, here: Source<'_>, pitch: Pitch, own: Marks) -> String {
        format!("{}{}", self.pitch(here, pitch), marks::text(self.trilled(here, Some(pitch), own)))
    }

    /// The marks with the note of a trill as this player reads it. Where another one would be meant on this
    /// note in the part, it is named.
    fn trilled(&self, here: Source<'_>, note: Option<Pitch>, mut marks: Marks) -> Marks {
        marks.trill = marks.trill.map(|p| within(self.written(here, p)));
        if let Some(note) = note.filter(|_| marks.has(Mark::Trill) && marks.trill.is_none()) {
            let reads = self.reads();
            let written = within(self.written(here, note));
            let sounding = self.sounding(here, note);
            let meant = above(sounding, if self.basis == Basis::Written { note } else { sounding }, self.key);
            let read = above(reads.apply_respelled(written), written, self.key);
            if meant.midi() != read.midi() {
                marks.trill = Some(within(reads.inverse().apply_respelled(meant)));
            }
        }
        marks
    }

    /// From written to sounding, for the instrument in hand.
    fn reads(&self) -> Interval {
        self.to_sounding.get(self.instrument).copied().unwrap_or(Interval::UNISON)
    }

    /// What a pitch of the score sounds.
    fn sounding(&self, here: Source<'_>, pitch: Pitch) -> Pitch {
        match (here.to_concert, self.basis) {
            (Some(to_concert), _) => to_concert.apply_respelled(pitch),
            (None, Basis::Concert) => pitch,
            (None, Basis::Written) => self.reads().apply_respelled(pitch),
        }
    }

    fn pitch(&self, here: Source<'_>, pitch: Pitch) -> String {
        within(self.written(here, pitch)).to_string()
    }

    /// A pitch of the score as it is read on the instrument in hand.
    fn written(&self, here: Source<'_>, pitch: Pitch) -> Pitch {
        let reads = self.reads();
        match (here.to_concert, self.basis) {
            (Some(to_concert), _) => reads.inverse().apply_respelled(to_concert.apply_respelled(pitch)),
            (None, Basis::Concert) => reads.inverse().apply_respelled(pitch),
            (None, Basis::Written) => pitch,
        }
    }

    /// The text of a free thing; instructions take effect.
    fn free(&mut self, here: Source<'_>, item: &Item) -> Option<String> {
        match item.what {
            What::Instruction(Instruction::Switch(i)) => {
                let switch = here.tree.switches.get(i as usize)?;
                let called = self.player.instrument_called(switch.instrument.of(here.text), switch.read_in);
                self.instrument = called.map_or(self.instrument, usize::from);
            }
            What::Instruction(Instruction::Solo) if self.player.seats > 1 => self.solo = true,
            What::Instruction(Instruction::Tutti) => self.solo = false,
            _ => {}
        }
        item.what.is_free().then(|| item.span.of(here.text).to_owned())
    }
}

/// What goes on for seats of which some rest, from the lowest entry to the highest.
pub fn going_on(rests: &[bool]) -> String {
    match (rests.contains(&true), rests.contains(&false)) {
        (false, _) => "=".to_owned(),
        (true, false) => "-".to_owned(),
        (true, true) => {
            let inside: Vec<&str> = rests.iter().map(|rests| if *rests { "-" } else { "=" }).collect();
            format!("({})", inside.join(" "))
        }
    }
}

/// A note has one octave digit: what lies beyond is shown in the last octave there is.
fn within(pitch: Pitch) -> Pitch {
    Pitch { octave: pitch.octave.clamp(0, 9), ..pitch }
}

/// A grace leads to a note; where this player has none, the grace is not theirs.
fn drop_graces(list: &mut Vec<Thing>, from: usize) {
    let mut at = 0;
    list.retain(|thing| {
        at += 1;
        at <= from || !matches!(thing, Thing::Grace(_))
    });
}

/// A bar that is one rest or one hold is written without a figure.
fn simplify(bar: &mut Bar) {
    let Content::Notes(notes) = &bar.what else { return };
    if notes.figure.is_none() || notes.list.iter().any(|t| matches!(t, Thing::Grace(_))) {
        return;
    }
    let silent = |e: &Entry| e.kind == EntryKind::Rest && e.marks.is_empty();
    let held = notes.places.first().is_some_and(|p| p.kind == PlaceKind::Hold);
    let marked = notes.places.iter().any(|p| p.fermata);
    let what = match (notes.entries().collect::<Vec<_>>().as_slice(), notes.places.as_slice()) {
        ([one], [place]) if one.times == 1 && place.length == bar.length => {
            let mut marks = one.marks;
            if place.fermata {
                marks.add(Mark::Fermata);
            }
            match one.kind {
                EntryKind::Rest => Content::Silence(marks),
                EntryKind::Hold => Content::Held(marks),
                EntryKind::Sound => return,
            }
        }
        (all, [_, ..]) if !held && !marked && all.iter().all(|e| silent(e)) => {
            Content::Silence(Marks::default())
        }
        _ => return,
    };
    let entry = |t: &Thing| matches!(t, Thing::Entry(_));
    let first = notes.list.iter().position(entry).unwrap_or(0);
    let last = notes.list.iter().rposition(entry).unwrap_or(0);
    let inside = notes.list.get(first..=last).unwrap_or(&[]);
    if !inside.iter().all(entry) {
        return;
    }
    let free = |things: &[Thing]| -> Vec<String> {
        let text = |t: &Thing| match t {
            Thing::Free(text) => Some(text.clone()),
            _ => None,
        };
        things.iter().filter_map(text).collect()
    };
    bar.before.extend(free(notes.list.get(..first).unwrap_or(&[])));
    let mut after = free(notes.list.get(last + 1..).unwrap_or(&[]));
    after.append(&mut bar.after);
    bar.after = after;
    bar.what = what;
    bar.again = false;
}

/// The note of a member, if it is one.
fn note_of(member: &Member) -> Option<Pitch> {
    if let MemberKind::Note(pitch) = member.what { Some(pitch) } else { None }
}
