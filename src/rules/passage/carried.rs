//! What the passage rules carry from visit to visit: one field a rule.

use super::super::breathing::Breathing;
use super::super::{cold_entry, no_rest, quick_and_high, wide_leap, wide_slur};
use super::Planning;
use crate::score::passage::Carry;

/// The states of all passage rules.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Carried {
    /// Of the line itself: slurs and notes that go on.
    pub line: Carry,
    /// Of the plan of slide and fingers.
    pub plan: Planning,
    pub no_rest: no_rest::State,
    pub breathing: Breathing,
    pub cold_entry: cold_entry::State,
    pub wide_leap: wide_leap::State,
    pub wide_slur: wide_slur::State,
    pub quick_and_high: quick_and_high::State,
}

impl Carried {
    /// Goes to the next visit: every spot is one visit farther back.
    pub fn age(&mut self) {
        let Carried {
            line: _,
            plan,
            no_rest,
            breathing,
            cold_entry: _,
            wide_leap,
            wide_slur,
            quick_and_high,
        } = self;
        plan.age();
        no_rest.age();
        breathing.age();
        wide_leap.age();
        wide_slur.age();
        quick_and_high.age();
    }
}
