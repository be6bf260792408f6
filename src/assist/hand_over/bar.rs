//! One bar of one player's row, to be worked on.

use super::Declined;
use super::entry::{Entry, EntryKind, Free, list};
use super::units::{Unit, text, units};
use crate::assist::cure::case::RowHere;
use crate::assist::cure::figure::ruling;
use crate::music::Fraction;
use crate::notation::tree::{FigureNode, PlaceKind, What};
use crate::score::row::{Cell, Content as Says};

/// A bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    pub length: Fraction,
    pub what: Content,
    pub frees: Vec<Free>,
    /// True if it stood as `%`.
    pub again: bool,
}

/// What happens in it.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// Nothing is said: no row writes it, or it is blank.
    Blank,
    Silent,
    /// `=` through the bar, with its marks.
    Held(String),
    List {
        units: Vec<Unit>,
        entries: Vec<Entry>,
    },
    /// One of the bars of a `play` or `improvise`: the text, which of its bars, of how many.
    Whole {
        text: String,
        at: u32,
        of: u32,
        plays: bool,
    },
}

impl Bar {
    pub fn blank(length: Fraction) -> Bar {
        Bar { length, what: Content::Blank, frees: Vec::new(), again: false }
    }

    /// Reads the bar of a cell.
    pub fn of(row: &RowHere<'_>, cell: &Cell) -> Result<Bar, Declined> {
        let length = row.length(cell.bar).ok_or(Declined::Unread)?;
        let source = row.tree.bars.get(cell.source as usize).ok_or(Declined::Unread)?;
        if source.faulty {
            return Err(Declined::Unread);
        }
        let items = row.items(source);
        let mut bar = Bar { length, what: Content::Silent, frees: Vec::new(), again: false };
        if let Says::Entries { items: at, .. } = cell.content
            && at == cell.source
        {
            bar.list(row, at)?;
            return Ok(bar);
        }
        let timed = items.iter().position(|i| i.what.is_entry() || i.what.is_bars()).unwrap_or(items.len());
        let alone = items.get(timed);
        bar.what = match cell.content {
            Says::Entries { items: at, .. } => {
                bar.again = true;
                bar.list(row, at)?;
                bar.what
            }
            Says::Silence => match alone {
                Some(i) if !i.marks.is_empty() => return Err(Declined::Marked),
                _ => {
                    bar.again = alone.is_some_and(|i| matches!(i.what, What::Again(_)));
                    Content::Silent
                }
            },
            Says::Held => {
                let again = alone.is_some_and(|i| matches!(i.what, What::Again(_)));
                let said = alone.filter(|_| !again).map_or("=", |i| row.text(i.span));
                bar.again = again;
                Content::Held(said.to_owned())
            }
            Says::Improvised | Says::Phrase { .. } => {
                let item = alone.ok_or(Declined::Unread)?;
                if matches!(item.what, What::Again(_)) {
                    return Err(Declined::PartOfPhrase);
                }
                let first = row.first_bar(cell.source as usize);
                Content::Whole {
                    text: row.text(item.span).to_owned(),
                    at: cell.bar.saturating_sub(first),
                    of: row.span_of(source),
                    plays: matches!(item.what, What::Play(_)),
                }
            }
        };
        let mut before = Vec::new();
        if cell.first {
            before.extend(items.iter().take(timed).filter_map(|i| Free::of(i, row.line, Fraction::ZERO)));
        }
        bar.frees.splice(0..0, before);
        if cell.last {
            bar.frees.extend(items.iter().skip(timed + 1).filter_map(|i| Free::of(i, row.line, length)));
        }
        Ok(bar)
    }

    /// The list of a bar of the row, with the figure that rules it there.
    fn list(&mut self, row: &RowHere<'_>, at: u32) -> Result<(), Declined> {
        let bar = row.tree.bars.get(at as usize).ok_or(Declined::Unread)?;
        let items = row.items(bar);
        let count: usize =
            items.iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum();
        let (nodes, line): (&[FigureNode], &str) = if bar.has_figure {
            (bar.nodes.of(&row.tree.nodes), &row.line.text)
        } else {
            let ruler = row.ruler().ok_or(Declined::Unread)?;
            ruling(&ruler, row.first_bar(at as usize)).ok_or(Declined::Unread)?
        };
        let units = units(nodes, line, count).ok_or(Declined::Unread)?;
        if units.last().map(Unit::end) != Some(self.length) {
            return Err(Declined::Unread);
        }
        let takes = units.iter().flat_map(|u| &u.places).filter(|p| p.kind == PlaceKind::Entry);
        let places: Vec<Fraction> = takes.map(|p| p.onset).collect();
        let (entries, frees) = list(items, row.line, &places, self.length)?;
        self.frees = frees;
        self.what = Content::List { units, entries };
        Ok(())
    }

    /// True if nothing sounds in it.
    pub fn is_silent(&self) -> bool {
        match &self.what {
            Content::Blank | Content::Silent => true,
            Content::List { entries, units } => {
                entries.iter().all(|e| e.kind == EntryKind::Rest)
                    && units.iter().flat_map(|u| &u.places).all(|p| p.kind != PlaceKind::Hold)
            }
            Content::Held(_) | Content::Whole { .. } => false,
        }
    }

    /// A bar of rests only, none with a mark, is one rest.
    pub fn simplified(mut self) -> Bar {
        let bare = match &self.what {
            Content::List { units, entries } => {
                self.is_silent()
                    && entries.iter().all(|e| e.text.is_bare() && e.graces.is_empty())
                    && units.iter().flat_map(|u| &u.places).all(|p| !p.fermata)
            }
            _ => false,
        };
        if bare {
            self.what = Content::Silent;
        }
        self
    }

    /// What stands between the barlines; `ruled` is what the rhythm row has there.
    pub fn text(&self, ruled: Option<&[Unit]>) -> String {
        let mut words: Vec<String> = Vec::new();
        let (before, after): (Vec<&Free>, Vec<&Free>) =
            self.frees.iter().partition(|f| f.onset < self.length);
        let mut before = before.into_iter().peekable();
        match &self.what {
            Content::Blank if self.frees.is_empty() => return String::new(),
            Content::Blank | Content::Silent => {
                words.extend(before.map(|f| f.text.clone()));
                words.push("-".to_owned());
            }
            Content::Held(said) => {
                words.extend(before.map(|f| f.text.clone()));
                words.push(said.clone());
            }
            Content::Whole { text, .. } => {
                words.extend(before.map(|f| f.text.clone()));
                words.push(text.clone());
            }
            Content::List { units, entries } => {
                for entry in entries {
                    while let Some(free) = before.next_if(|f| f.onset <= entry.onset) {
                        words.push(free.text.clone());
                    }
                    words.extend(entry.graces.iter().map(super::entry::Text::as_it_is));
                    words.push(entry.text.as_it_is());
                }
                words.extend(before.map(|f| f.text.clone()));
                if !ruled.is_some_and(|ruled| same_figure(ruled, units)) {
                    words.insert(0, format!("{} :", text(units)));
                }
            }
        }
        words.extend(after.into_iter().map(|f| f.text.clone()));
        words.join(" ")
    }
}

/// True if both have the same places.
fn same_figure(a: &[Unit], b: &[Unit]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.text == b.text && a.onset == b.onset)
}
