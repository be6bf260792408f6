//! The chords of a row that are to be shared.

use crate::assist::cure::RowHere;
use crate::assist::hand_over::Declined;
use crate::music::{Fraction, Interval, Pitch};
use crate::notation::Span;
use crate::notation::tree::{Basis, Instruction, Item, Mark, Member, MemberKind, What};
use crate::rules::Desk;
use crate::score::event::{Event, EventKind};
use crate::score::state::PlayedState;
use crate::section::stretch::{begins, ends, sounds};
use crate::section::{At, Stretch};

/// More chords than this are not shared at once.
pub const MOST_CHORDS: usize = 64;

/// A chord of the row.
pub struct Unit<'a> {
    pub item: &'a Item,
    pub members: &'a [Member],
    /// What sounds, upwards, and which entry of the chord it is.
    pub tones: Vec<(Pitch, usize)>,
    /// Where it first sounds.
    pub at: At,
}

/// Chords of one row.
pub struct Task<'a> {
    pub desk: &'a Desk,
    pub row: RowHere<'a>,
    pub units: Vec<Unit<'a>>,
    /// What the first person of the row does in the block.
    pub events: Vec<Event>,
    /// From the first of the chords to the end of the last, of the first person's line.
    pub stretch: Stretch,
    /// True for chords of more notes than the row has people.
    pub over: bool,
}

/// The entries of a chord if all of them are notes.
pub fn notes<'a>(row: &RowHere<'a>, item: &Item) -> Option<&'a [Member]> {
    let What::Chord(slice) = item.what else { return None };
    let members = slice.of(&row.tree.members);
    let all = members.iter().all(|m| matches!(m.what, MemberKind::Note(_)));
    (all && members.len() > 1).then_some(members)
}

impl<'a> Task<'a> {
    /// These chords of a row.
    pub fn of(
        desk: &'a Desk,
        row: RowHere<'a>,
        wanted: &dyn Fn(&Item) -> bool,
        over: bool,
    ) -> Result<Task<'a>, Declined> {
        let people = &row.row.people;
        let first = people.first().ok_or(Declined::Unread)?;
        let player = usize::from(first.player);
        let fits = |item: &&Item| {
            notes(&row, item).is_some_and(|m| (m.len() > people.len()) == over) && wanted(item)
        };
        let alone = |i: &Item| matches!(i.what, What::Instruction(Instruction::Solo | Instruction::Tutti));
        if !row.row.sure
            || !row.tree.closed
            || !row.line.faults.is_empty()
            || row.tree.items.iter().any(alone)
        {
            return Err(Declined::Unread);
        }
        let chosen: Vec<&Item> = row.tree.items.iter().filter(fits).collect();
        if chosen.is_empty() || chosen.len() > MOST_CHORDS {
            return Err(Declined::Unread);
        }
        let events = desk.report().events_of_seat(desk.score(), row.block, player, u32::from(first.seat));
        let mut task = Task {
            desk,
            row,
            units: Vec::new(),
            events,
            stretch: Stretch {
                block: row.block,
                player,
                from: At { bar: 0, onset: Fraction::ZERO },
                to: At { bar: 0, onset: Fraction::ZERO },
            },
            over,
        };
        for item in chosen {
            let unit = task.unit(item)?;
            task.units.push(unit);
        }
        task.stretch()?;
        if task.alike() { Ok(task) } else { Err(Declined::Unlike) }
    }

    /// True if the chords mean the same for all people of the row. Where a dynamic, mute or technique is in force
    /// for some of them only, a note would sound otherwise in other hands, and the chord has no way of playing that
    /// one more player could take over.
    fn alike(&self) -> bool {
        let state = |e: &Event| PlayedState { instrument: 0, ..e.played };
        let as_first = |e: &Event| {
            let mut first =
                self.events.iter().filter(|f| begins(f) == begins(e) && self.unit_of(f).is_some());
            first.all(|f| state(f) == state(e) && (f.dynamic.is_none() || f.dynamic == e.dynamic))
        };
        self.row.row.people.iter().skip(1).all(|of| {
            let (player, seat) = (usize::from(of.player), u32::from(of.seat));
            let events = self.desk.report().events_of_seat(self.desk.score(), self.row.block, player, seat);
            events.iter().filter(|e| self.unit_of(e).is_some()).all(as_first)
        })
    }

    fn unit(&self, item: &'a Item) -> Result<Unit<'a>, Declined> {
        let members = notes(&self.row, item).ok_or(Declined::Unread)?;
        let glides = |item: &Item| {
            let inside = match item.what {
                What::Chord(slice) => slice.of(&self.row.tree.members),
                _ => &[],
            };
            item.marks.has(Mark::Gliss) || inside.iter().any(|m| m.marks.has(Mark::Gliss))
        };
        let entries: Vec<&Item> = self.row.tree.items.iter().filter(|i| i.what.is_entry()).collect();
        let place = entries.iter().position(|i| i.span == item.span).ok_or(Declined::Unread)?;
        let before = place.checked_sub(1).and_then(|at| entries.get(at));
        if glides(item) || before.is_some_and(|i| glides(i)) {
            return Err(Declined::Technique);
        }
        // Somebody's hold in a chord holds on what they have here.
        if let Some(next) = entries.get(place + 1)
            && let What::Chord(slice) = next.what
            && slice.of(&self.row.tree.members).iter().any(|m| m.what == MemberKind::Hold)
        {
            return Err(Declined::Otherwise);
        }
        let event = self.events.iter().find(|e| self.is_of(item.span, e)).ok_or(Declined::Unread)?;
        let reads = self.reads(event)?;
        let mut tones: Vec<(Pitch, usize)> = Vec::new();
        for (at, member) in members.iter().enumerate() {
            let MemberKind::Note(pitch) = member.what else { return Err(Declined::Unread) };
            tones.push((reads.apply_respelled(pitch), at));
        }
        tones.sort_by_key(|(pitch, _)| pitch.midi());
        Ok(Unit { item, members, tones, at: begins(event) })
    }

    /// From written to sounding for whoever is on the row.
    fn reads(&self, event: &Event) -> Result<Interval, Declined> {
        let score = self.desk.score();
        if score.head.basis == Basis::Concert {
            return Ok(Interval::UNISON);
        }
        let player = score.head.players.get(self.stretch.player).ok_or(Declined::Unread)?;
        let held = player.instrument(event.played.instrument).ok_or(Declined::Unread)?;
        Ok(crate::brass::reading_interval(held.instrument.reads, self.row.placed.frame.key))
    }

    /// True for a note that a person of the row takes of the entry there.
    pub fn is_of(&self, item: Span, event: &Event) -> bool {
        event.line == self.row.row.line
            && event.kind == EventKind::Note
            && item.start <= event.span.start
            && event.span.end <= item.end
    }

    /// The chord that an event of a person of the row belongs to.
    pub fn unit_of(&self, event: &Event) -> Option<usize> {
        self.units.iter().position(|unit| self.is_of(unit.item.span, event))
    }

    /// True if one of the chords begins there, in the bar it is written in or where it is repeated.
    pub fn units_at(&self, at: At) -> bool {
        self.events.iter().any(|e| begins(e) == at && self.unit_of(e).is_some())
    }

    fn stretch(&mut self) -> Result<(), Declined> {
        let first = self.events.iter().position(|e| self.unit_of(e).is_some()).ok_or(Declined::Unread)?;
        let mut last = self.events.iter().rposition(|e| self.unit_of(e).is_some()).ok_or(Declined::Unread)?;
        while self.events.get(last + 1).is_some_and(|e| e.kind == EventKind::Hold) {
            last += 1;
        }
        let held_on = || {
            let after =
                self.desk.report().events(self.desk.score(), self.stretch.block + 1, self.stretch.player);
            after.first().is_some_and(|e| e.kind == EventKind::Hold)
        };
        if last + 1 == self.events.len() && held_on() {
            return Err(Declined::HeldOn);
        }
        let (Some(a), Some(b)) = (self.events.get(first), self.events.get(last)) else {
            return Err(Declined::Unread);
        };
        (self.stretch.from, self.stretch.to) = (begins(a), ends(b));
        Ok(())
    }

    /// The last note of a person before the chords and the first behind them, sounding.
    pub fn around(&self, player: usize, seat: u32) -> (Option<i32>, Option<i32>) {
        let events = self.desk.report().events_of_seat(self.desk.score(), self.stretch.block, player, seat);
        let notes = || events.iter().filter(|e| sounds(e) && e.kind == EventKind::Note);
        let before = notes().rfind(|e| begins(e) < self.stretch.from);
        let after = notes().find(|e| begins(e) >= self.stretch.to);
        (before.map(|e| e.sounding.midi()), after.map(|e| e.sounding.midi()))
    }
}
