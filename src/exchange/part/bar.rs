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
    /// Without the marks of the whole and without `*n`.
    pub text: String,
    pub marks: Marks,
    /// Marks inside a chord, of the first seat's note.
    pub top: Marks,
    pub times: u16,
}

/// Which entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryKind {
    Sound,
    Rest,
    Hold,
}

impl Bar {
    /// A bar in which nothing is played.
    pub fn silent(length: Fraction) -> Bar {
        let what = Content::Silence(Marks::default());
        Bar { length, before: Vec::new(), what, after: Vec::new(), again: false }
    }

    /// True if nothing is played and nothing is said of it.
    pub fn is_rest(&self) -> bool {
        matches!(self.what, Content::Silence(marks) if marks.is_empty())
    }
}

impl Notes {
    /// The bar between its barlines.
    pub fn text(&self) -> String {
        let list = self.list.iter().map(Thing::text).collect::<Vec<_>>().join(" ");
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

impl Thing {
    fn text(&self) -> String {
        match self {
            Thing::Free(text) | Thing::Grace(text) => text.clone(),
            Thing::Entry(entry) => {
                let times = if entry.times > 1 { format!("*{}", entry.times) } else { String::new() };
                format!("{}{}{times}", entry.text, marks::text(entry.marks))
            }
        }
    }
}

impl EntryKind {
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
