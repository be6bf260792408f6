//! # slide-too-far
//!
//! The slide has too far to go in too short a time, jumps to and fro over most of its length, or is longer than a
//! child's arm.
//!
//! **Why.** A slide is moved by an arm, and an arm needs time. What comes late is smeared or left out.
//!
//! **Numbers.** Of all positions and attachments that hold each note the passage takes the cheapest path; a
//! position written with `@` binds. A shift takes `start-…` seconds and `per-cm-…` more for each centimetre:
//! 0.09 and 0.006 s at school, 0.06 and 0.0042 s for amateurs, 0.045 and 0.0032 s for professionals, so that
//! from first position to fourth (26 cm) a professional takes 0.13 s. Where the notes follow each other faster
//! the rule warns; a strong warning has less than `strong` (half) of the time. A jump is `jump` (44 cm: first to
//! sixth position, second to seventh) or more in less than `jump-seconds` (0.7 s): once it is an information;
//! `jumps` (3) of them within `jump-window` (4 s), or one in less than `jump-quick` (0.35 s), a warning. For
//! school players a note that lies farther out than `reach` (54 cm: seventh position) is a warning; sixth is out of
//! reach in the first year only, which nobody writes into a score.
//!
//! **Source.** The distances follow from the length of the tube. That professionals move and accelerate the slide
//! faster: Lammers, Kruger and others, 1983 to 1997; no speed is published, and the seconds are estimates. That
//! the break between first and seventh position is the worst on a straight trombone: players' forum. That
//! small children have six positions at best: an elementary teacher.
//!
//! ```brass
//! player Tb1 = straight trombone
//! bar 1  meter 4/4  tempo q = 144
//! Tb1 | e*4 h- : Bb2 B2 Bb2 B2 |
//! //             ^^^^^^^^^^^^^ warning slide-too-far: from Bb2 (@1) to B2 (@7)
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 144
//! Tb1 | e*4 h- : Bb2 B2 Bb2 B2 |
//! ```
//!
//! **Fixes.** The position that the plan takes instead of one marked with `@`; an instrument with an attachment;
//! another key, a semitone away; other notes of the chord; a baritone or euphonium.

mod passage;
mod reach;

pub use passage::State;

use super::finding::Severity;
use super::rule::{Check, Limit, Rule};
use super::settings::Settings;
use crate::brass::Level;
use crate::brass::body::Arm;
use crate::brass::body::arm::{SECONDS_PER_CM, START_SECONDS};
use crate::brass::plan::{Effort, JUMP_CM, JUMP_SECONDS};

const fn estimate(key: &'static str, default: f64, unit: &'static str) -> Limit {
    Limit { key, default, unit, source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "slide-too-far",
    severity: Severity::Warning,
    source: include_str!("slide_too_far.rs"),
    limits: &[
        estimate("start-school", START_SECONDS[0], "s"),
        estimate("start-amateur", START_SECONDS[1], "s"),
        estimate("start-professional", START_SECONDS[2], "s"),
        estimate("per-cm-school", SECONDS_PER_CM[0], "s/cm"),
        estimate("per-cm-amateur", SECONDS_PER_CM[1], "s/cm"),
        estimate("per-cm-professional", SECONDS_PER_CM[2], "s/cm"),
        estimate("strong", 0.5, "of the time it takes"),
        Limit { key: "jump", default: JUMP_CM, unit: "cm", source: "common practice" },
        estimate("jump-seconds", JUMP_SECONDS, "s"),
        estimate("jump-quick", 0.35, "s"),
        estimate("jumps", 3.0, "jumps"),
        estimate("jump-window", 4.0, "s"),
        Limit { key: "reach", default: 54.0, unit: "cm", source: "an elementary teacher" },
    ],
    check: Check::Both(reach::check, passage::check),
};

/// What a plan weighs moves by, with the limits in force.
pub fn effort(level: Level, settings: &Settings) -> Effort {
    let limit = |key: &str| RULE.limit(settings, key).clamp(0.0, 1e6);
    let at = |what: &str| limit(&format!("{what}-{}", level.word()));
    Effort {
        arm: Arm { start_seconds: at("start"), seconds_per_cm: at("per-cm").max(1e-4) },
        jump_cm: limit("jump").max(1.0),
        jump_seconds: limit("jump-seconds"),
    }
}
