//! # muffled-loud
//!
//! A mute that is made to be quiet is to be loud.
//!
//! **Why.** A practice or whisper mute and a bucket take so much away that ff through them sounds like less than
//! mf, and the player blows against a closed door. A muted tuba is much the same.
//!
//! **Numbers.** ff or louder with a practice mute, a whisper mute or a bucket, or with any mute in a tuba:
//! information. Under `dim` nobody knows how loud it is. That a horn stopped by hand carries like mf at most
//! depends on what else sounds, and is not looked at.
//!
//! **Source.** Common practice. That muted tubas have little to give: a tuba guide (The Composer's Guide to the
//! Tuba). The dynamic is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | - | h : [mute bucket] ff C5 f D5 |
//! //                             ^^ information muffled-loud: bucket
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | - | h : [mute straight] ff C5 f D5 |
//! ```
//!
//! **Fixes.** A dynamic of mf; a straight mute, which cuts through; open.

use super::finding::{Cure, Severity};
use super::rule::{Check, Found, LocalFinding, Rule, View, runs};
use super::wording::capital;
use crate::brass::body::{Loudness, Voice};
use crate::brass::{Kind, Mute};
use crate::music::Dynamic;
use crate::score::event::Event;
use crate::score::state::Swell;

/// The rule.
pub const RULE: Rule = Rule {
    name: "muffled-loud",
    severity: Severity::Information,
    source: include_str!("muffled_loud.rs"),
    limits: &[],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if !view.events.iter().any(|e| e.played.mute.is_some()) {
        return;
    }
    let muffled = |event: &Event, _| {
        let mute = event.played.mute?;
        let loud = Loudness::of(event.dynamic) >= Loudness::Ff && event.swell != Some(Swell::Fading);
        let dynamic = event.dynamic.filter(|_| loud)?;
        let held = view.instrument(event)?;
        let tuba = Voice::of(&held.instrument) == Voice::Tuba && held.instrument.kind != Kind::Own;
        let quiet = matches!(mute, Mute::Practice | Mute::Whisper | Mute::Bucket);
        (quiet || tuba).then_some((mute, dynamic, event.played.instrument))
    };
    for ((mute, dynamic, instrument), run) in runs(view, muffled) {
        let (Some(first), Some(held)) = (run.events.first(), view.player.instrument(instrument)) else {
            continue;
        };
        let many = match run.events.len() {
            1 => format!("{} is", capital(&view.told(first))),
            n => format!("{n} notes are"),
        };
        found.push(LocalFinding {
            measured: Some(dynamic.word().to_owned()),
            limit: Some("f".to_owned()),
            cures: vec![Cure::Dynamic { with: Dynamic::Mf }],
            ..run.finding(
                found.rule,
                view,
                Severity::Information,
                format!(
                    "{many} marked {} with the {} mute in the {}: it will sound like mf at most (common practice). Write mf, another mute, or open.",
                    dynamic.word(),
                    mute.word(),
                    held.label,
                ),
            )
        });
    }
}
