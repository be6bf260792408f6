//! # left-hand-busy
//!
//! A note for which the left hand draws the third valve's slide, while that hand holds a plunger or a hat, or
//! closes the bell.
//!
//! **Why.** The combinations 1-3 and 1-2-3 are sharp, and a trumpeter's left hand draws a slide to correct them.
//! There is only one left hand: with something in it the note stays sharp.
//!
//! **Numbers.** On trumpets, cornets and flugelhorns with three valves, a note longer than 0.5 s (`held`) whose usual
//! fingering, or the one written with `@`, is 1-3 or 1-2-3 (written D4 and C♯4, low G3 and F♯3), under `[mute plunger]`,
//! `[mute hat]` or `[hand]`. Information.
//!
//! **Source.** The Modern Trumpet, "Only one left hand" and "Microtones", 2020; 30 and 54 cents follow from the
//! lengths of tube. How long is long is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | [mute plunger] - | h : C4:wah E4 |
//! //                           ^^^^^^ information left-hand-busy: 30 cents
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | [mute cup] - | h : C4 E4 |
//! ```
//!
//! **Fixes.** The plunger on a stand; a cup mute; an octave higher; a shorter note.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::pitch_for;
use crate::brass::body::hands::is_held_by_hand;
use crate::brass::body::left_hand::draws_slide;
use crate::brass::plan::bound;
use crate::brass::{How, Kind, Way};
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};
use crate::score::player::PlayerInstrument;

/// The rule.
pub const RULE: Rule = Rule {
    name: "left-hand-busy",
    severity: Severity::Information,
    source: include_str!("left_hand_busy.rs"),
    limits: &[Limit { key: "held", default: 0.5, unit: "s", source: "estimate" }],
    check: Check::Passage(check),
};

fn check(passage: &Passage<'_>, _: &mut Carried, told: &mut Told<'_>) {
    let held_seconds = RULE.limit(passage.settings, "held");
    let mut all: Vec<(How, PassageFinding)> = Vec::new();
    for sound in passage.sounds {
        if sound.kind != SoundKind::Note || sound.seconds <= held_seconds + SAME_SECONDS {
            continue;
        }
        let Some(event) = sound.event(passage.events).filter(|event| is_busy(event)) else { continue };
        let Some(held) = passage.instrument(event).filter(|held| draws(held)) else { continue };
        let Some(way) = way(held, event) else { continue };
        let Some(cents) = draws_slide(&held.instrument, &way) else { continue };
        let name = pitch_for(held, event.sounding.midi(), passage.key);
        match all.iter_mut().find(|(how, _)| *how == way.how) {
            // Other notes of the visit that are fingered so stand beside the first.
            Some((_, first)) => first.related.push((Spot::of(event), name)),
            None => all.push((way.how, finding(sound, event, &way, cents, (&name, held_seconds), told.rule))),
        }
    }
    all.into_iter().for_each(|(_, finding)| told.push(finding));
}

/// True while the left hand holds something at the bell.
pub fn is_busy(event: &Event) -> bool {
    match event.played.mute {
        Some(mute) => is_held_by_hand(mute),
        None => event.played.hand,
    }
}

/// True for instruments on which the left hand draws the third valve's slide.
fn draws(held: &PlayerInstrument) -> bool {
    matches!(held.instrument.kind, Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn)
}

fn way(held: &PlayerInstrument, event: &Event) -> Option<Way> {
    let midi = event.sounding.midi();
    match event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits)) {
        Some(how) => bound(&held.instrument, how, midi),
        None => held.instrument.note(midi).usual.filter(|way| !way.is_pedal()),
    }
}

fn finding(
    sound: &Sound,
    event: &Event,
    way: &Way,
    cents: f64,
    (name, held_seconds): (&str, f64),
    rule: &'static str,
) -> PassageFinding {
    let spot = Spot::of(event);
    let what = event.played.mute.map_or("the closing of the bell", |mute| mute.word());
    PassageFinding {
        rule,
        severity: Severity::Information,
        grade: 1,
        at: spot,
        from: spot,
        to: spot,
        lead: format!("The left hand is at the bell while {name} sounds for {:.1} s", sound.seconds),
        tail: format!(
            ": @{} stays {cents:.0} cents sharp, since nobody draws the third valve's slide ({what} needs the hand; up to {held_seconds} s it hardly shows, an estimate). A plunger on a stand, a cup mute, an octave higher or a shorter note helps.",
            way.how
        ),
        badness: sound.seconds,
        measured: Some(format!("{cents:+.0} cents")),
        limit: Some(format!("{held_seconds} s")),
        related: Vec::new(),
        cures: Vec::<Cure>::new(),
    }
}
