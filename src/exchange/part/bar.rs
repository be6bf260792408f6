//! One bar of a part.

use super::marks;
use crate::music::Fraction;
use crate::notation::tree::{Mark, Marks};
use crate::score::figure::Timed;

/// A bar as this player reads it.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    pub length: Fraction,
    /// Dynamics, words and instructions at its beginning, where it is a rest, a hold or a copy.
    pub before: Vec<String>,
    pub what: Content,
    /// The same at its end.
    pub after: Vec<String>,
    /// True if the score has `%` here.
    pub again: bool,
}

/// What happens in a bar.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    Silence(Marks),
    Held(Marks),
    Improvised,
    Notes(Notes),
}

/// A figure and its list.
#[derive(Debug, Clone, PartialEq)]
pub struct Notes {
    /// `None` where a fault left it out.
    pub figure: Option<String>,
    pub places: Vec<Timed>,
    pub list: Vec<Thing>,
}

/// A thing in the list.
#[derive(Debug, Clone, PartialEq)]
pub enum Thing {
    /// A dynamic, words, an instruction.
    Free(String),
    Grace(String),
    Entry(Entry),
}

/// What takes a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub kind: EntryKind,
    /// One note, rest or hold, or those of a chord from the lowest, each with marks of its own inside it.
    pub members: Vec<(String, Marks)>,
    /// Marks of the whole.
    pub marks: Marks,
    /// What follows if nothing changes: `=`, `-`, or a chord of these where seats differ.
    pub goes_on: String,
    pub times: u16,
}

/// Which entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryKind {
    Sound,
    Rest,
    Hold,
}

/// Dynamics of one note alone.
const ONE_NOTE: [&str; 6] = ["fp", "sfp", "sf", "sfz", "fz", "rfz"];

impl Bar {
    /// A bar in which nothing is played.
    pub fn silent(length: Fraction) -> Bar {
        let what = Content::Silence(Marks::default());
        Bar { length, before: Vec::new(), what, after: Vec::new(), again: false }
    }

    /// True if a dynamic for one note waits for that note behind this bar; `before` tells of the bar before.
    pub fn leaves_waiting(&self, before: bool) -> bool {
        let one_note = |text: &String| ONE_NOTE.contains(&text.as_str());
        let mut waits = before || self.before.iter().any(one_note);
        if let Content::Notes(notes) = &self.what {
            for thing in &notes.list {
                match thing {
                    Thing::Free(text) => waits |= one_note(text),
                    // Where one seat rests or holds, it waits still.
                    Thing::Entry(entry) => waits &= !entry.all_sound(),
                    Thing::Grace(_) => {}
                }
            }
        }
        waits || self.after.iter().any(one_note)
    }

    /// True if nothing is played and nothing is said of it.
    pub fn is_rest(&self) -> bool {
        matches!(self.what, Content::Silence(marks) if marks.is_empty())
    }
}

impl Notes {
    /// The bar between its barlines.
    pub fn text(&self) -> String {
        self.within(&[], &[])
    }

    /// The same with more free things at both ends of the list.
    pub fn within(&self, before: &[String], after: &[String]) -> String {
        let things = self.list.iter().map(Thing::text);
        let all = before.iter().cloned().chain(things).chain(after.iter().cloned());
        let list = all.collect::<Vec<_>>().join(" ");
        match &self.figure {
            Some(figure) => format!("{figure} : {list}"),
            None => list,
        }
    }

    /// The entries in order.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.list.iter().filter_map(|thing| match thing {
            Thing::Entry(entry) => Some(entry),
            _ => None,
        })
    }
}

impl Entry {
    /// An entry of one member.
    pub fn one(kind: EntryKind, text: String, marks: Marks) -> Entry {
        let goes_on = kind.goes_on().to_owned();
        Entry { kind, members: vec![(text, Marks::default())], marks, goes_on, times: 1 }
    }

    /// True if every seat begins a note.
    fn all_sound(&self) -> bool {
        self.members.iter().all(|(text, _)| text != "-" && text != "=")
    }

    /// All its marks as the first seat has them.
    pub fn first_seat(&self) -> Marks {
        self.marks.with(self.members.last().map_or(Marks::default(), |(_, marks)| *marks))
    }

    /// Its text without `*n`.
    pub fn once(&self) -> String {
        let member = |(text, own): &(String, Marks)| format!("{text}{}", marks::text(*own));
        let inside = self.members.iter().map(member).collect::<Vec<_>>().join(" ");
        let open = if self.members.len() > 1 { format!("({inside})") } else { inside };
        format!("{open}{}", marks::text(self.marks))
    }
}

impl Thing {
    fn text(&self) -> String {
        match self {
            Thing::Free(text) | Thing::Grace(text) => text.clone(),
            Thing::Entry(entry) => {
                let times = if entry.times > 1 { format!("*{}", entry.times) } else { String::new() };
                format!("{}{times}", entry.once())
            }
        }
    }
}

impl EntryKind {
    /// What follows if nothing changes.
    pub fn goes_on(self) -> &'static str {
        match self {
            EntryKind::Rest => "-",
            EntryKind::Sound | EntryKind::Hold => "=",
        }
    }

    /// Of an entry that only goes on.
    pub fn going_on(text: &str) -> EntryKind {
        match text {
            "-" => EntryKind::Rest,
            "=" => EntryKind::Hold,
            _ => EntryKind::Sound,
        }
    }

    /// Those of the marks that such an entry may carry.
    pub fn allowed(self, marks: Marks) -> Marks {
        let mut out = marks;
        let may = |mark: Mark| match self {
            EntryKind::Sound => true,
            EntryKind::Rest => matches!(mark, Mark::Breath | Mark::Break | Mark::Fermata),
            EntryKind::Hold => matches!(
                mark,
                Mark::Staccato
                    | Mark::Breath
                    | Mark::Break
                    | Mark::Slur
                    | Mark::Fermata
                    | Mark::Gliss
                    | Mark::Fall
                    | Mark::Doit
                    | Mark::Shake
                    | Mark::Trill
                    | Mark::Flutter
            ),
        };
        Mark::ALL.into_iter().filter(|m| !may(*m)).for_each(|m| out.remove(m));
        if !out.has(Mark::Trill) {
            out.trill = None;
        }
        if self != EntryKind::Sound {
            out.choice = None;
        }
        out
    }
}
