//! One bar of a row.

use crate::exchange::import::figure::{self, Piece, pieces};
use crate::exchange::import::lines::{Cell, LineBar, What};
use crate::exchange::import::music::Signs;

/// What a bar is, before it is known whether its figure is shared.
pub struct Prepared<'a> {
    pub cells: &'a [Cell],
    pub pieces: Vec<Piece>,
    pub alone: Option<String>,
    /// Bars of rest may be gathered.
    pub quiet: bool,
    pub improvised: bool,
}

pub fn prepare(bar: &LineBar) -> Prepared<'_> {
    let cells = &bar.cells;
    let silent = cells.iter().all(|c| c.what == What::Rest);
    let marked = cells.iter().any(|c| !c.signs.marks.is_empty());
    let before: Vec<&str> = cells.iter().flat_map(|c| c.before.iter().map(String::as_str)).collect();
    let alone = if bar.improvised && silent {
        Some(with(&before, "improvise 1"))
    } else if silent && !marked {
        Some(with(&before, "-"))
    } else {
        match cells.as_slice() {
            [only] => match &only.what {
                What::Rest => Some(with(&before, &format!("-{}", marks(&only.signs)))),
                What::Hold => Some(with(&before, &format!("={}", marks(&only.signs)))),
                What::Sound(_) => None,
            },
            _ => None,
        }
    };
    Prepared {
        cells,
        pieces: pieces(cells).unwrap_or_default(),
        quiet: silent && !marked && before.is_empty() && !bar.improvised,
        improvised: bar.improvised && silent && before.is_empty(),
        alone,
    }
}

fn with(before: &[&str], last: &str) -> String {
    before.iter().copied().chain([last]).collect::<Vec<_>>().join(" ")
}

impl Prepared<'_> {
    /// The figure with an entry for every place, to be compared with others.
    pub fn shape(&self) -> Option<String> {
        (self.alone.is_none()).then(|| figure::text(&self.pieces, &|_| false, false))
    }

    /// A rest that the figure can say.
    pub fn plain_rest(&self, cell: usize) -> bool {
        self.cells
            .get(cell)
            .is_some_and(|c| c.what == What::Rest && c.before.is_empty() && c.signs.marks.is_empty())
    }

    /// The list for a figure that says these entries as rests itself.
    pub fn list(&self, rests: &dyn Fn(usize) -> bool, short: bool) -> String {
        let entries: Vec<String> =
            self.cells.iter().enumerate().filter(|(i, _)| !rests(*i)).map(|(_, c)| entry(c)).collect();
        let all = if short { joined(&entries) } else { entries };
        all.join(" ")
    }

    /// True if all that is left for the list is one rest or hold.
    pub fn looks_alone(&self, rests: &dyn Fn(usize) -> bool) -> bool {
        let mut left = self.cells.iter().enumerate().filter(|(i, _)| !rests(*i));
        let first = left.next();
        left.next().is_none() && first.is_none_or(|(_, c)| !matches!(c.what, What::Sound(_)))
    }

    /// Figure and list of its own.
    pub fn own(&self) -> String {
        let rests = |i: usize| self.plain_rest(i);
        let values: Vec<&String> = self
            .pieces
            .iter()
            .filter_map(|p| match p {
                Piece::Place { value, .. } => Some(value),
                _ => None,
            })
            .collect();
        let flat = values.len() == self.pieces.len();
        let one = values.first().filter(|first| flat && values.iter().all(|v| v == *first));
        let plain = !(0..self.cells.len()).any(rests);
        match one {
            // One value for all entries.
            Some(value) if plain => format!("{value} : {}", self.list(&|_| false, true)),
            _ => format!("{} : {}", figure::text(&self.pieces, &rests, true), self.list(&rests, true)),
        }
    }
}

/// Entries in a row that are the same, as one with its number.
fn joined(entries: &[String]) -> Vec<String> {
    let mut out = Vec::new();
    for same in entries.chunk_by(|a, b| a == b) {
        let Some(word) = same.first() else { continue };
        let fine = !word.contains(['_', ',', ' ', '"', '[', '/'])
            || word.starts_with('(') && !word.contains(['_', ',', '/', '"']);
        if fine && (3..=64).contains(&same.len()) && !word.contains(") ") {
            out.push(format!("{word}*{}", same.len()));
        } else {
            out.extend(same.iter().cloned());
        }
    }
    out
}

/// What stands before a note, its graces, and the note with its marks.
pub fn entry(cell: &Cell) -> String {
    let mut words: Vec<String> = cell.before.clone();
    words.extend(cell.graces.iter().map(|(pitch, signs)| format!("/{pitch}{}", marks(signs))));
    let what = match &cell.what {
        What::Rest => "-",
        What::Hold => "=",
        What::Sound(pitch) => pitch,
    };
    words.push(format!("{what}{}", marks(&cell.signs)));
    words.join(" ")
}

/// Signs first, then words, then what leads on.
fn marks(signs: &Signs) -> String {
    let order = |mark: &String| match mark.as_str() {
        "," | ",," => 4,
        "_" => 3,
        m if m.starts_with(':') => 1,
        m if m.starts_with('@') => 2,
        _ => 0,
    };
    let mut all = signs.marks.clone();
    all.sort_by_key(order);
    all.dedup();
    all.concat()
}
