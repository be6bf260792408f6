//! Our own count of what happened to each text, in the order of the wire.
//!
//! The client's version numbers cannot tell an old text from a new one: some clients skip numbers, and all
//! begin again when a text is opened anew. Every opening, change and closing takes the next number here.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard};
use tower_lsp::lsp_types::Url;

/// The numbers of all open texts.
#[derive(Debug, Clone, Default)]
pub struct Generations(Arc<Mutex<Counts>>);

#[derive(Debug, Default)]
struct Counts {
    last: u64,
    of: HashMap<Url, u64>,
}

impl Generations {
    fn counts(&self) -> MutexGuard<'_, Counts> {
        self.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Something happened to a text.
    pub fn next(&self, uri: &Url) -> u64 {
        let mut counts = self.counts();
        counts.last += 1;
        let number = counts.last;
        counts.of.insert(uri.clone(), number);
        number
    }

    /// A text was closed.
    pub fn closed(&self, uri: &Url) {
        self.counts().of.remove(uri);
    }

    /// The latest number of a text; `None` if it is not open.
    pub fn of(&self, uri: &Url) -> Option<u64> {
        self.counts().of.get(uri).copied()
    }
}
