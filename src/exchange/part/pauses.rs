//! Fermatas and breaks of others: everybody waits, so everybody has them in the part.

use super::bar::{Bar, Content, Entry, EntryKind, Notes, Thing};
use super::figure;
use crate::music::Fraction;
use crate::notation::tree::{Mark, Marks, PlaceKind};
use crate::score::clock::{BREAK_SECONDS, FERMATA_SECONDS};
use crate::score::figure::Timed;
use crate::score::pair::last_copy_only;

/// A pause: the place in the bar after which it falls, and how long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pause {
    pub after: Fraction,
    pub seconds: f64,
}

impl Pause {
    /// True for a fermata, false for a break.
    pub fn is_fermata(&self) -> bool {
        self.seconds > BREAK_SECONDS
    }

    fn mark(self) -> Mark {
        if self.is_fermata() { Mark::Fermata } else { Mark::Break }
    }
}

/// Puts the pauses of the score into a bar that does not have them; gives back those for which the bar has
/// no room. `before` is what goes on into the bar.
pub fn put(bar: &mut Bar, wanted: &[Pause], before: &str) -> Vec<Pause> {
    let own = own(bar);
    let has = |pause: &Pause| own.iter().any(|o| o.after == pause.after && o.seconds >= pause.seconds);
    let missing: Vec<Pause> = wanted.iter().filter(|pause| !has(pause)).copied().collect();
    if missing.is_empty() {
        return missing;
    }
    let length = bar.length;
    match &mut bar.what {
        Content::Improvised => return missing,
        Content::Silence(marks) | Content::Held(marks) if missing.iter().all(|p| p.after == length) => {
            missing.iter().for_each(|p| {
                marks.add(p.mark());
            });
            return Vec::new();
        }
        _ => {}
    }
    let mut notes = as_notes(bar);
    let mut left = Vec::new();
    for pause in missing {
        if on_entry(&mut notes, pause) {
            continue;
        }
        match rebuilt(&notes, pause, before) {
            Some(made) => notes = made,
            None => left.push(pause),
        }
    }
    if !matches!(bar.what, Content::Notes(_)) {
        // They stand in the list now.
        bar.before.clear();
        bar.after.clear();
    }
    bar.what = Content::Notes(notes);
    left
}

/// What goes on out of a bar, given what goes on into it.
pub fn goes_out(bar: &Bar, before: &str) -> String {
    match &bar.what {
        Content::Silence(_) | Content::Improvised => "-".to_owned(),
        Content::Held(_) => before.to_owned(),
        Content::Notes(notes) => {
            let mut last = before.to_owned();
            let mut entries = copies(notes).into_iter();
            for place in &notes.places {
                match place.kind {
                    PlaceKind::Silence => last = "-".to_owned(),
                    PlaceKind::Entry => last = entries.next().map_or(last, |e| e.goes_on),
                    PlaceKind::Hold => {}
                }
            }
            last
        }
    }
}

/// An entry that goes on with what was before.
fn only_going_on(text: &str, marks: Marks) -> Entry {
    let goes_on = text.to_owned();
    Entry { goes_on, ..Entry::one(EntryKind::going_on(text), text.to_owned(), marks) }
}

/// The pauses that a bar makes by itself: those of the first seat count.
fn own(bar: &Bar) -> Vec<Pause> {
    let pause = |marks: Marks, fermata: bool, after: Fraction| {
        if fermata || marks.has(Mark::Fermata) {
            Some(Pause { after, seconds: FERMATA_SECONDS })
        } else {
            marks.has(Mark::Break).then_some(Pause { after, seconds: BREAK_SECONDS })
        }
    };
    match &bar.what {
        Content::Silence(marks) | Content::Held(marks) => {
            pause(*marks, false, bar.length).into_iter().collect()
        }
        Content::Improvised => Vec::new(),
        Content::Notes(notes) => {
            let mut marks = copies(notes).into_iter().map(|e| e.first_seat());
            let of_place = |place: &Timed| {
                let own = if place.kind == PlaceKind::Entry { marks.next() } else { None };
                pause(own.unwrap_or_default(), place.fermata, place.onset.plus(place.length)?)
            };
            notes.places.iter().filter_map(of_place).collect()
        }
    }
}

/// Every copy of every entry.
fn copies(notes: &Notes) -> Vec<Entry> {
    let mut all = Vec::new();
    for entry in notes.entries() {
        for copy in 1..=entry.times.max(1) {
            let mut marks = entry.marks;
            if copy < entry.times {
                Mark::ALL.into_iter().filter(|m| last_copy_only(*m)).for_each(|m| marks.remove(m));
            }
            all.push(Entry { marks, times: 1, ..entry.clone() });
        }
    }
    all
}

/// A bar's rest or hold as a list of one entry; a list stays one.
fn as_notes(bar: &Bar) -> Notes {
    let (kind, marks) = match &bar.what {
        Content::Notes(notes) => return notes.clone(),
        Content::Held(marks) => (EntryKind::Hold, *marks),
        Content::Silence(marks) => (EntryKind::Rest, *marks),
        Content::Improvised => (EntryKind::Rest, Marks::default()),
    };
    let place = Timed { onset: Fraction::ZERO, length: bar.length, kind: PlaceKind::Entry, fermata: false };
    let entry = only_going_on(kind.goes_on(), marks);
    let free = |all: &[String]| all.iter().cloned().map(Thing::Free).collect::<Vec<_>>();
    let list = [free(&bar.before), vec![Thing::Entry(entry)], free(&bar.after)].concat();
    Notes { figure: figure::write(std::slice::from_ref(&place)), places: vec![place], list }
}

/// Marks an entry that ends where the pause falls, if there is one.
fn on_entry(notes: &mut Notes, pause: Pause) -> bool {
    let mut places = notes.places.iter().filter(|p| p.kind == PlaceKind::Entry);
    for thing in &mut notes.list {
        let Thing::Entry(entry) = thing else { continue };
        let last = places.by_ref().take(usize::from(entry.times.max(1))).last();
        let end = last.and_then(|p| p.onset.plus(p.length));
        if end == Some(pause.after) && (entry.times <= 1 || last_copy_only(pause.mark())) {
            entry.marks.add(pause.mark());
            return true;
        }
    }
    false
}

/// A place with its entry and what stands before it.
#[derive(Clone)]
struct Slot {
    place: Timed,
    entry: Option<Entry>,
    before: Vec<Thing>,
    /// What goes on behind it.
    goes_on: String,
}

/// The bar with a place cut where the pause falls inside it.
fn rebuilt(notes: &Notes, pause: Pause, before: &str) -> Option<Notes> {
    let (slots, rest) = slots(notes, before)?;
    let at = slots.iter().position(|s| ends(s).is_some_and(|end| end >= pause.after))?;
    let (start, end) = (slots.get(at)?.place.onset, ends(slots.get(at)?)?);
    let made = figure::ways_to_cut(start, end, pause.after).into_iter().filter_map(|cuts| {
        let mut slots = slots.clone();
        // From behind, so that what is still to be cut stays where it is.
        for place in cuts.iter().rev() {
            cut(&mut slots, at, *place)?;
        }
        let places: Vec<Timed> = slots.iter().map(|s| s.place).collect();
        Some((figure::write(&places)?, slots))
    });
    let (_, mut slots) = made.min_by_key(|(figure, _)| figure.len())?;
    let slot = slots.iter_mut().find(|s| ends(s) == Some(pause.after))?;
    match (&mut slot.entry, pause.mark()) {
        (Some(entry), mark) => {
            entry.marks.add(mark);
        }
        (None, Mark::Fermata) => slot.place.fermata = true,
        (None, mark) => {
            let mut marks = Marks::default();
            marks.add(mark);
            slot.entry = Some(only_going_on(&slot.goes_on, marks));
            slot.place.kind = PlaceKind::Entry;
        }
    }
    let places: Vec<Timed> = slots.iter().map(|s| s.place).collect();
    let figure = Some(figure::write(&places)?);
    let mut list = Vec::new();
    for slot in slots {
        list.extend(slot.before);
        list.extend(slot.entry.map(Thing::Entry));
    }
    list.extend(rest);
    Some(Notes { figure, places, list })
}

fn ends(slot: &Slot) -> Option<Fraction> {
    slot.place.onset.plus(slot.place.length)
}

/// Each place with its entry, copies written out, and what stands behind the last.
fn slots(notes: &Notes, into: &str) -> Option<(Vec<Slot>, Vec<Thing>)> {
    let mut entries = copies(notes).into_iter();
    let mut before: Vec<Vec<Thing>> = Vec::new();
    let mut open = Vec::new();
    for thing in &notes.list {
        match thing {
            Thing::Entry(entry) => {
                before.push(std::mem::take(&mut open));
                before.extend((1..entry.times).map(|_| Vec::new()));
            }
            other => open.push(other.clone()),
        }
    }
    let mut before = before.into_iter();
    let mut goes_on = into.to_owned();
    let mut all = Vec::new();
    for place in &notes.places {
        let taken = place.kind == PlaceKind::Entry;
        let entry = if taken { Some(entries.next()?) } else { None };
        let before = if taken { before.next()? } else { Vec::new() };
        match (&entry, place.kind) {
            (Some(entry), _) => goes_on.clone_from(&entry.goes_on),
            (None, PlaceKind::Silence) => "-".clone_into(&mut goes_on),
            (None, _) => {}
        }
        all.push(Slot { place: *place, entry, before, goes_on: goes_on.clone() });
    }
    entries.next().is_none().then_some((all, open))
}

/// Parts a place in two; the second goes on with what the first has, and takes over what belongs to its end.
fn cut(slots: &mut Vec<Slot>, at: usize, end: Fraction) -> Option<()> {
    let slot = slots.get_mut(at)?;
    let length = end.minus(slot.place.onset)?;
    let second = slot.place.length.minus(length)?;
    let place = Timed { onset: end, length: second, ..slot.place };
    let goes_on = slot.goes_on.clone();
    let mut later = Slot { place, entry: None, before: Vec::new(), goes_on };
    slot.place.length = length;
    slot.place.fermata = false;
    if let Some(entry) = &mut slot.entry {
        let mut marks = Marks::default();
        let (first, whole) = (entry.first_seat(), entry.marks);
        for mark in Mark::ALL.into_iter().filter(|m| last_copy_only(*m) || *m == Mark::Fermata) {
            let pauses = matches!(mark, Mark::Break | Mark::Fermata);
            if whole.has(mark) || (pauses && first.has(mark)) {
                marks.add(mark);
            }
            entry.marks.remove(mark);
            if pauses {
                entry.members.iter_mut().for_each(|(_, own)| own.remove(mark));
            }
        }
        later.entry = Some(only_going_on(&slot.goes_on, marks));
    }
    slots.insert(at + 1, later);
    Some(())
}
