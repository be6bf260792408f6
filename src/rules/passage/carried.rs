//! What the passage rules carry from visit to visit: one field a rule.

use super::super::breathing::Breathing;
use super::super::handling::Handling;
use super::super::{
    breathe_together, broken_gliss, clef_flips, cold_entry, hard_to_hear, heavy_load, long_high,
    long_silence, mute_left_in, no_recovery, no_rest, quick_and_high, slide_too_far, valve_tangle, wide_leap,
    wide_slur,
};
use super::super::{effect_contradiction, flutter_limits, slow_to_speak, stopped_limits, tongue_speed};
use super::super::{hearing_load, part_order, strain_caution};
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
    pub heavy_load: heavy_load::State,
    pub long_high: long_high::State,
    pub no_recovery: no_recovery::State,
    pub breathing: Breathing,
    pub cold_entry: cold_entry::State,
    pub wide_leap: wide_leap::State,
    pub wide_slur: wide_slur::State,
    pub quick_and_high: quick_and_high::State,
    pub broken_gliss: broken_gliss::State,
    pub slide_too_far: slide_too_far::State,
    pub valve_tangle: valve_tangle::State,
    pub breathe_together: breathe_together::State,
    pub hard_to_hear: hard_to_hear::State,
    pub handling: Handling,
    pub mute_left_in: mute_left_in::State,
    pub clef_flips: clef_flips::State,
    pub long_silence: long_silence::State,
    pub tongue_speed: tongue_speed::State,
    pub slow_to_speak: slow_to_speak::State,
    pub flutter_limits: flutter_limits::State,
    pub stopped_limits: stopped_limits::State,
    pub effect_contradiction: effect_contradiction::State,
    pub part_order: part_order::State,
    pub hearing_load: hearing_load::State,
    pub strain_caution: strain_caution::State,
}

impl Carried {
    /// Goes to the next visit: every spot is one visit farther back.
    pub fn age(&mut self) {
        let Carried {
            line: _,
            plan,
            no_rest,
            heavy_load,
            long_high,
            no_recovery,
            breathing,
            cold_entry: _,
            wide_leap,
            wide_slur,
            quick_and_high,
            broken_gliss,
            slide_too_far,
            valve_tangle,
            breathe_together,
            hard_to_hear: _,
            handling,
            mute_left_in,
            clef_flips,
            long_silence: _,
            tongue_speed,
            slow_to_speak,
            flutter_limits,
            stopped_limits,
            effect_contradiction,
            part_order,
            hearing_load,
            strain_caution,
        } = self;
        plan.age();
        no_rest.age();
        heavy_load.age();
        long_high.age();
        no_recovery.age();
        breathing.age();
        wide_leap.age();
        wide_slur.age();
        quick_and_high.age();
        broken_gliss.age();
        slide_too_far.age();
        valve_tangle.age();
        breathe_together.age();
        handling.age();
        mute_left_in.age();
        clef_flips.age();
        tongue_speed.age();
        slow_to_speak.age();
        flutter_limits.age();
        stopped_limits.age();
        effect_contradiction.age();
        part_order.age();
        hearing_load.age();
        strain_caution.age();
    }

    /// What goes on to the next visit from one whose time is unknown.
    pub fn without_time(mut self) -> Carried {
        self.broken_gliss.age();
        self.clef_flips.age();
        self.mute_left_in.age();
        self.part_order.age();
        Carried {
            broken_gliss: self.broken_gliss,
            mute_left_in: self.mute_left_in,
            clef_flips: self.clef_flips,
            long_silence: self.long_silence,
            part_order: self.part_order,
            ..Carried::default()
        }
    }
}
