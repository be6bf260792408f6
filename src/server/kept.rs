//! What is kept of an open text from answer to answer. It goes when the text is closed.

use super::kept_tokens::KeptTokens;
use crate::assist::playing::Uses;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Kept things. Whoever works on one takes it out and puts it back when done, so that a panic leaves none
/// half done.
#[derive(Default)]
pub struct Kept {
    tokens: Mutex<Option<KeptTokens>>,
    uses: Mutex<Uses>,
}

impl Kept {
    /// The tokens that were sent last.
    pub fn tokens(&self) -> MutexGuard<'_, Option<KeptTokens>> {
        self.tokens.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What each player plays, block by block.
    pub fn uses(&self) -> MutexGuard<'_, Uses> {
        self.uses.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
