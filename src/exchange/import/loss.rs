//! What could not be carried over.

use std::collections::BTreeMap;
use std::fmt;

/// Something of the file that the score does not have, or has another way.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Loss {
    /// What, in a musician's words: `cue notes`, `pedal`.
    pub kind: String,
    /// The part's name; empty for the score.
    pub part: String,
    /// Number of the first bar, as the score counts; `None` for all of it.
    pub bar: Option<i64>,
    pub count: usize,
}

impl fmt::Display for Loss {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.part.is_empty(), self.bar) {
            (false, Some(bar)) => write!(f, "{}, bar {bar}: {}", self.part, self.kind)?,
            (false, None) => write!(f, "{}: {}", self.part, self.kind)?,
            (true, Some(bar)) => write!(f, "bar {bar}: {}", self.kind)?,
            (true, None) => write!(f, "{}", self.kind)?,
        }
        if self.count > 1 { write!(f, " ({} times)", self.count) } else { Ok(()) }
    }
}

/// Losses as they are found; the same in one part are counted.
#[derive(Debug, Default)]
pub struct Losses {
    all: BTreeMap<(String, String), (Option<i64>, usize)>,
}

/// Kinds of loss that are listed; a file that has more of them is not read better by listing all.
const MOST: usize = 2000;

impl Losses {
    pub fn add(&mut self, kind: impl Into<String>, part: &str, bar: Option<i64>) {
        let key = (part.to_owned(), kind.into());
        if self.all.len() >= MOST && !self.all.contains_key(&key) {
            return;
        }
        let slot = self.all.entry(key).or_insert((bar, 0));
        slot.1 += 1;
    }

    /// By part, then by kind; bars were counted from 0 and the first has this number.
    pub fn list(self, first: i64) -> Vec<Loss> {
        let all = self.all.into_iter();
        all.map(|((part, kind), (bar, count))| Loss { kind, part, bar: bar.map(|b| first + b), count })
            .collect()
    }
}
