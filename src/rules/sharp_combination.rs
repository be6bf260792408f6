//! # sharp-combination
//!
//! A held note whose fingering or position is out of tune, and that nothing corrects.
//!
//! **Why.** Valves add lengths that are right one by one; together they are too short, so that 1-3 is 30 cents
//! sharp and 1-2-3 is 54. In passing nobody minds; held, the lips have to pull the note down, and it loses its sound.
//!
//! **Numbers.** A note that lasts longer than `held` (1 s) on its usual fingering, or on the one that is written
//! with `@`, and lies more than `off` cents (35) from equal temperament: 1-2-3, not 1-3. Not told: where a
//! compensating or longer combination serves, on horns (the hand in the bell corrects), and on trumpets, cornets
//! and flugelhorns, whose left hand draws the third valve's slide; what that hand is kept from by a plunger,
//! `left-hand-busy` tells. On a trombone `off-uncorrected` (25) is the limit, and only a note is told that would
//! have to be shorter than first position, such as A♭4 marked `@1` on the seventh harmonic.
//!
//! **Source.** The cents follow from the tube; that players draw the slide for low D and C♯: trumpet blogs. What
//! is held and how much is much are estimates.
//!
//! ```brass
//! player Bar = baritone horn in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Bar | w : B2 |
//! //        ^^ information sharp-combination: cents sharp
//! ```
//!
//! ```brass
//! player Eu1 = euphonium
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Eu1 | w : B2 |
//! Tp1 | w : C4 |
//! ```
//!
//! **Fixes.** Another fingering, where one is in tune; a fourth valve or a compensating instrument; a shorter note.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::pitch_for;
use crate::brass::plan::bound;
use crate::brass::usual::IN_TUNE;
use crate::brass::{How, Kind, Nature, Way};
use crate::notation::tree::Mark;
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};
use crate::score::player::PlayerInstrument;

/// The rule.
pub const RULE: Rule = Rule {
    name: "sharp-combination",
    severity: Severity::Information,
    source: include_str!("sharp_combination.rs"),
    limits: &[
        Limit { key: "held", default: 1.0, unit: "s", source: "estimate" },
        Limit { key: "off", default: IN_TUNE as f64, unit: "cents", source: "estimate" },
        Limit { key: "off-uncorrected", default: 25.0, unit: "cents", source: "estimate" },
    ],
    check: Check::Passage(check),
};

fn check(passage: &Passage<'_>, _: &mut Carried, told: &mut Told<'_>) {
    let held_seconds = RULE.limit(passage.settings, "held");
    let limits = ["off", "off-uncorrected"].map(|key| RULE.limit(passage.settings, key));
    let mut all: Vec<(How, PassageFinding)> = Vec::new();
    for sound in passage.sounds {
        if sound.kind != SoundKind::Note || sound.seconds <= held_seconds + SAME_SECONDS {
            continue;
        }
        let Some(event) = sound.event(passage.events) else { continue };
        let Some(held) = passage.instrument(event) else { continue };
        let Some(way) = way(held, event) else { continue };
        let [off, off_uncorrected] = limits;
        let slides = held.instrument.build.slide().is_some();
        let off = if slides { off_uncorrected } else { off };
        if f64::from(way.cents.abs()) <= off || corrects(held, &way) {
            continue;
        }
        // Other notes of the visit that are held so stand beside the first.
        if let Some((_, first)) = all.iter_mut().find(|(how, _)| *how == way.how) {
            first.related.push((Spot::of(event), pitch_for(held, event.sounding.midi(), passage.key)));
            continue;
        }
        all.push((way.how, finding(passage, sound, event, held, &way, off, told.rule)));
    }
    all.into_iter().for_each(|(_, finding)| told.push(finding));
}

/// How the note is held; `None` where that is not known or is told by another rule.
fn way(held: &PlayerInstrument, event: &Event) -> Option<Way> {
    if event.played.stopped || event.marks.has(Mark::Stopped) {
        return None;
    }
    let tube = &*held.instrument;
    let midi = event.sounding.midi();
    match event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits)) {
        Some(how) => bound(tube, how, midi),
        // The one weak note of a compensating instrument is told by `tube-gap`.
        None => tube.note(midi).usual.filter(|way| !way.is_pedal() && tube.note(midi).nature != Nature::Weak),
    }
}

/// True where hand or slide put it right; that the left hand holds a plunger, `left-hand-busy` tells.
fn corrects(held: &PlayerInstrument, way: &Way) -> bool {
    let tube = &*held.instrument;
    match tube.kind {
        Kind::Horn | Kind::NaturalHorn => true,
        Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn => {
            // The third valve's slide draws out and does not push in.
            way.cents > 0.0 && way.how.digits & 0b100 != 0
        }
        _ => !tube.build.has_valves() && tube.build.slide().is_none(),
    }
}

fn finding(
    passage: &Passage<'_>,
    sound: &Sound,
    event: &Event,
    held: &PlayerInstrument,
    way: &Way,
    off: f64,
    rule: &'static str,
) -> PassageFinding {
    let tube = &*held.instrument;
    let midi = event.sounding.midi();
    let side = if way.cents > 0.0 { "sharp" } else { "flat" };
    let name = pitch_for(held, midi, passage.key);
    let better = tube
        .ways(midi)
        .iter()
        .filter(|other| !other.is_poor() && f64::from(other.cents.abs()) <= off && other.how != way.how)
        .min_by(|a, b| a.cents.abs().total_cmp(&b.cents.abs()));
    let way_out = match better {
        Some(other) => format!("@{} is {:.0} cents off.", other.how, other.cents.abs()),
        None => "A fourth valve, a compensating instrument or a shorter note helps.".to_owned(),
    };
    let spot = Spot::of(event);
    PassageFinding {
        rule,
        severity: Severity::Information,
        grade: 1,
        at: spot,
        from: spot,
        to: spot,
        lead: format!(
            "{name} held {:.1} s with @{} is {:.0} cents {side}",
            sound.seconds,
            way.how,
            way.cents.abs()
        ),
        tail: format!(
            " on the {}, and no hand corrects it; {off:.0} cents pass for a held note (an estimate). {way_out}",
            held.label
        ),
        badness: sound.seconds,
        measured: Some(format!("{:+.0} cents", way.cents)),
        limit: Some(format!("{off:.0} cents")),
        related: Vec::new(),
        cures: better
            .map(|other| Cure::Choices { entries: vec![(event.span, format!("@{}", other.how))] })
            .into_iter()
            .collect(),
    }
}
