//! All rules, in the order of the index.

use super::rule::Rule;
use super::{
    awkward_spelling, bad_trill, broken_gliss, hard_key, no_rest, no_valve, off_series, pedal_care,
    slide_too_far, too_high, too_low, tube_gap, wrong_fingering,
};
use crate::notation::FaultName;

/// The rules that look at what is played.
pub const RULES: [&Rule; 13] = [
    &too_low::RULE,
    &too_high::RULE,
    &off_series::RULE,
    &tube_gap::RULE,
    &wrong_fingering::RULE,
    &pedal_care::RULE,
    &awkward_spelling::RULE,
    &hard_key::RULE,
    &no_rest::RULE,
    &broken_gliss::RULE,
    &slide_too_far::RULE,
    &no_valve::RULE,
    &bad_trill::RULE,
];

/// The rule of a name.
pub fn rule(name: &str) -> Option<&'static Rule> {
    RULES.into_iter().find(|r| r.name == name)
}

/// True for the name of a reading fault, which cannot be allowed or configured.
pub fn is_reading_fault(name: &str) -> bool {
    FaultName::ALL.into_iter().any(|f| f.word() == name)
}

/// Every name that a finding can have.
pub fn names() -> impl Iterator<Item = &'static str> {
    RULES.into_iter().map(|r| r.name).chain(FaultName::ALL.into_iter().map(FaultName::word))
}
