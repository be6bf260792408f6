//! What the passage rules carry from visit to visit: one field a rule.

use super::super::no_rest;
use crate::score::passage::Carry;

/// The states of all passage rules.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Carried {
    /// Of the line itself: slurs and notes that go on.
    pub line: Carry,
    pub no_rest: no_rest::State,
}

impl Carried {
    /// Goes to the next visit: every spot is one visit farther back.
    pub fn age(&mut self) {
        let Carried { line: _, no_rest } = self;
        no_rest.age();
    }
}
