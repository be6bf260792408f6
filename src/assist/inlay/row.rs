//! The hints of a row: its notes, for everybody who plays them.

use super::{HintKind, Wanted, fingering, pitch, sharing, travel};
use crate::assist::sounding::{Seat, events};
use crate::notation::Span;
use crate::notation::tree::{Item, LineTree, Row, RowKind, What};
use crate::rules::Desk;
use crate::rules::line_plan::{PlannedNote, of_block};
use crate::score::block::BlockRow;
use crate::score::event::{Event, EventKind, Origin};
use crate::score::player::Player;
use std::collections::HashMap;

/// A hint of a line, and how to say why.
pub struct Told<'a> {
    pub byte: u32,
    pub kind: HintKind,
    pub label: String,
    pub reason: &'a dyn Fn() -> String,
}

/// Calls back with a hint; false to end.
pub type Tell<'a> = &'a mut dyn FnMut(&Told<'_>) -> bool;

/// What one person does at an entry.
#[derive(Clone, Copy)]
pub struct Part<'a> {
    pub player: &'a Player,
    /// From 0.
    pub seat: u32,
    pub event: Event,
    /// What the plan of the line makes of a note, if there is one and somebody wants to know.
    pub planned: Option<PlannedNote>,
}

/// Who does what at the entries of a row.
pub struct Voices<'a> {
    at: HashMap<Span, Vec<Part<'a>>>,
}

impl Voices<'_> {
    /// Everybody at the entry or member of this stretch, in the order of the row's people.
    pub fn at(&self, span: Span) -> &[Part<'_>] {
        self.at.get(&span).map_or(&[], Vec::as_slice)
    }

    /// Those who sound something there.
    pub fn sounding(&self, span: Span) -> impl Iterator<Item = &Part<'_>> {
        let sounds = |p: &&Part<'_>| matches!(p.event.kind, EventKind::Note | EventKind::Grace);
        self.at(span).iter().filter(sounds)
    }
}

/// The hints of a music row.
pub fn hints(desk: &Desk, block: usize, row: &BlockRow, wanted: Wanted, tell: Tell<'_>) -> bool {
    let placed = desk.score().blocks.get(block);
    let line = placed.and_then(|p| p.read.block.text.lines.get(row.line as usize));
    let Some(LineTree::Row(tree)) = line.map(|l| &l.tree) else { return true };
    if row.kind != RowKind::Music || row.people.is_empty() {
        return true;
    }
    let voices = voices(desk, block, row, tree, wanted.plans());
    let mut shared = sharing::Before::default();
    let basis = desk.score().head.basis;
    for item in tree.items.iter() {
        for span in entries(item, tree) {
            if wanted.pitch && !pitch::hint(&voices, span, basis, tell) {
                return false;
            }
            if wanted.fingering && !fingering::hint(&voices, span, tell) {
                return false;
            }
            if wanted.travel && !travel::hint(&voices, span, tell) {
                return false;
            }
        }
        if let What::Chord(members) = item.what
            && wanted.sharing
            && !sharing::hint(&voices, item.span, members.of(&tree.members), row, &mut shared, tell)
        {
            return false;
        }
    }
    true
}

/// The stretches of an item at which somebody sounds a note.
fn entries<'a>(item: &'a Item, row: &'a Row) -> impl Iterator<Item = Span> + 'a {
    let (single, members) = match item.what {
        What::Note(_) | What::GraceNote(_) => (Some(item.span), &[][..]),
        What::Chord(slice) | What::GraceChord(slice) => (None, slice.of(&row.members)),
        _ => (None, &[][..]),
    };
    single.into_iter().chain(members.iter().map(|m| m.span))
}

/// Of people who surely do the same only one is looked at.
fn voices<'a>(desk: &'a Desk, block: usize, row: &BlockRow, tree: &Row, plans: bool) -> Voices<'a> {
    let chords = tree.items.iter().any(|i| matches!(i.what, What::Chord(_) | What::GraceChord(_)));
    let mut voices = Voices { at: HashMap::new() };
    for person in row.people.iter().filter(|p| chords || p.seat == 0) {
        let (index, seat) = (usize::from(person.player), u32::from(person.seat));
        let Some(player) = desk.score().head.players.get(index) else { continue };
        // A part that several read is not planned: they may do it in different ways.
        let plan = if plans && player.seats <= 1 { of_block(desk, index, block) } else { Vec::new() };
        for event in events(desk, Seat { block, player: index, seat }) {
            if event.line != row.line || event.origin != Origin::Here {
                continue;
            }
            let here = voices.at.entry(event.span).or_default();
            // Copies of an entry stand in one place.
            let again = here.last().is_some_and(|p| std::ptr::eq(p.player, &**player) && p.seat == seat);
            if !again {
                let planned = plan.iter().find(|p| p.is(desk, &event)).copied();
                here.push(Part { player, seat, event, planned });
            }
        }
    }
    voices
}

/// Labels of several people, each once: `D5/G5`.
pub fn joined(labels: impl Iterator<Item = String>) -> String {
    let mut all: Vec<String> = Vec::new();
    for label in labels {
        if !all.contains(&label) {
            all.push(label);
        }
    }
    all.join("/")
}

/// Sentences of several people, the seats of one player once.
pub fn each<'p>(
    parts: impl Iterator<Item = &'p Part<'p>>,
    say: impl Fn(&Part<'_>) -> Option<String>,
) -> String {
    let mut all: Vec<String> = Vec::new();
    for part in parts {
        if let Some(said) = say(part).filter(|said| !all.contains(said)) {
            all.push(said);
        }
    }
    all.join("\n")
}
