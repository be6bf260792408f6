//! All rules, in the order of the index.

use super::rule::Rule;
use super::{
    awkward_spelling, bad_trill, breathe_together, broken_gliss, cold_entry, hard_key, hard_to_hear,
    heavy_load, long_high, low_and_close, no_breath, no_recovery, no_rest, no_valve, off_series, pedal_care,
    quick_and_high, sharp_combination, short_breath, slide_too_far, too_high, too_low, tube_gap,
    uneven_chord, valve_tangle, wide_leap, wide_slur, wrong_fingering,
};
use super::{
    bare_chord, crossed_parts, gap_in_chord, hearing_load, horn_pairs, part_order, strain_caution,
    transposition_doubt,
};
use super::{
    bend_limits, effect_contradiction, flutter_limits, high_and_soft, low_and_loud, muffled_loud,
    slow_to_speak, stopped_limits, tongue_speed,
};
use super::{
    clef_flips, left_hand_busy, long_silence, mark_gap, mute_left_in, mute_low, mute_pitch, mute_time,
    mute_unavailable, switch_time,
};
use crate::notation::FaultName;

/// The rules that look at what is played.
pub const RULES: [&Rule; 55] = [
    &too_low::RULE,
    &too_high::RULE,
    &off_series::RULE,
    &tube_gap::RULE,
    &wrong_fingering::RULE,
    &pedal_care::RULE,
    &awkward_spelling::RULE,
    &hard_key::RULE,
    &no_rest::RULE,
    &heavy_load::RULE,
    &long_high::RULE,
    &no_recovery::RULE,
    &no_breath::RULE,
    &short_breath::RULE,
    &cold_entry::RULE,
    &wide_leap::RULE,
    &wide_slur::RULE,
    &quick_and_high::RULE,
    &broken_gliss::RULE,
    &slide_too_far::RULE,
    &valve_tangle::RULE,
    &bad_trill::RULE,
    &sharp_combination::RULE,
    &no_valve::RULE,
    &breathe_together::RULE,
    &hard_to_hear::RULE,
    &mute_time::RULE,
    &mute_left_in::RULE,
    &mute_unavailable::RULE,
    &mute_low::RULE,
    &mute_pitch::RULE,
    &left_hand_busy::RULE,
    &switch_time::RULE,
    &clef_flips::RULE,
    &long_silence::RULE,
    &mark_gap::RULE,
    &low_and_close::RULE,
    &uneven_chord::RULE,
    &crossed_parts::RULE,
    &gap_in_chord::RULE,
    &bare_chord::RULE,
    &horn_pairs::RULE,
    &part_order::RULE,
    &transposition_doubt::RULE,
    &hearing_load::RULE,
    &strain_caution::RULE,
    &tongue_speed::RULE,
    &slow_to_speak::RULE,
    &low_and_loud::RULE,
    &high_and_soft::RULE,
    &muffled_loud::RULE,
    &flutter_limits::RULE,
    &stopped_limits::RULE,
    &bend_limits::RULE,
    &effect_contradiction::RULE,
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
