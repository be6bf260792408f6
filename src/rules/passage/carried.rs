//! What the passage rules carry from visit to visit: one field a rule.

use super::super::{broken_gliss, no_rest, slide_too_far};
use crate::score::passage::Carry;

/// The states of all passage rules.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Carried {
    /// Of the line itself: slurs and notes that go on.
    pub line: Carry,
    pub no_rest: no_rest::State,
    pub broken_gliss: broken_gliss::State,
    pub slide_too_far: slide_too_far::State,
}

impl Carried {
    /// Goes to the next visit: every spot is one visit farther back.
    pub fn age(&mut self) {
        let Carried { line: _, no_rest, broken_gliss, slide_too_far } = self;
        no_rest.age();
        broken_gliss.age();
        slide_too_far.age();
    }

    /// What goes on to the next visit from one whose time is unknown.
    pub fn without_time(mut self) -> Carried {
        self.broken_gliss.age();
        Carried { broken_gliss: self.broken_gliss, ..Carried::default() }
    }
}
