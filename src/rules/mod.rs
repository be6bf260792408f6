//! The rules: what a player at the declared level would object to, and why.
//!
//! One file a rule; its page is that file's module documentation.

pub mod awkward_spelling;
pub mod bad_trill;
pub mod bare_chord;
pub mod bend_limits;
pub mod breathe_together;
mod breathing;
pub mod broken_gliss;
pub mod clef_flips;
pub mod cold_entry;
mod collect;
pub mod crossed_parts;
pub mod desk;
pub mod effect_contradiction;
pub mod ensemble;
pub mod finding;
pub mod flutter_limits;
pub mod gap_in_chord;
mod handling;
pub mod hard_key;
pub mod hard_to_hear;
pub mod hearing_load;
pub mod heavy_load;
pub mod high_and_soft;
pub mod horn_pairs;
pub mod left_hand_busy;
pub mod lie;
pub mod line_plan;
pub mod long_high;
pub mod long_silence;
pub mod low_and_close;
pub mod low_and_loud;
pub mod mark_gap;
pub mod muffled_loud;
pub mod mute_left_in;
pub mod mute_low;
pub mod mute_pitch;
pub mod mute_time;
pub mod mute_unavailable;
pub mod no_breath;
pub mod no_recovery;
pub mod no_rest;
pub mod no_valve;
pub mod off_series;
pub mod page;
pub mod part_order;
pub mod passage;
pub mod pedal_care;
pub mod quick_and_high;
pub mod reading;
pub mod registry;
pub mod report;
pub mod rule;
pub mod settings;
pub mod sharp_combination;
pub mod short_breath;
pub mod slide_too_far;
pub mod slow_to_speak;
pub mod stamina;
pub mod stopped_limits;
pub mod strain_caution;
pub mod switch_time;
pub mod tongue_speed;
pub mod too_high;
pub mod too_low;
pub mod transposition_doubt;
pub mod tube_gap;
pub mod uneven_chord;
pub mod valve_tangle;
pub mod wide_leap;
pub mod wide_slur;
mod window;
pub mod wording;
pub mod wrong_fingering;

pub use desk::Desk;
pub use finding::{Cure, Finding, Related, Severity};
pub use report::Report;
pub use settings::Settings;

use crate::score::Loader;

/// Reads and checks one text from beginning to end.
pub fn check(text: &str, settings: &Settings, loader: &dyn Loader) -> Vec<Finding> {
    Desk::new(text, settings.clone(), loader).findings()
}
