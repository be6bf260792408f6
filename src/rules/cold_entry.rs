//! # cold-entry
//!
//! Somebody who has been silent for long comes in high and softly.
//!
//! **Why.** While nobody blows, the tube cools, the lips stiffen and the ear loses the pitch. A high note
//! has near neighbours that the lips may hit instead, and a soft one has no strength to hide behind.
//!
//! **Numbers.** All three together: a first note after 60 s of silence (`warning`), with the silence before
//! a player's first note of the piece counted too; no more than 5 semitones below the comfortable top of
//! the level (`below`); at p or softer. From 30 s on (`information`) it is information. For professionals
//! all is one step milder: information from 60 s on. It is a step milder, too, where somebody else plays the
//! same note at that moment, or more than two others play at all (`others`): then the entry does not lie bare.
//! Repeats and road map are played out.
//!
//! **Source.** That a soft high entry after long silence is feared: trombonists about a first part that
//! waits through three movements, horn players about an octave leap after an hour of rest (players'
//! accounts). The seconds, semitones and the number of others are estimates.
//!
//! ```brass
//! player Hn1 = horn in F, level amateur
//! bar 1  meter 4/4  tempo q = 60
//! Hn1 | rest 15 | h : p C5 A4 |
//! //                    ^^ warning cold-entry: 60 s of silence
//! ```
//!
//! ```brass
//! player Hn1 = horn in F, level amateur
//! bar 1  meter 4/4  tempo q = 60
//! Hn1 | rest 14 | h : mf E4 F4 | h : p C5 A4 |
//! ```
//!
//! **Fixes.** An easy entry some bars before, low or in unison, that warms the tube; a cue; another player
//! in unison; a dynamic of mf.

use super::ensemble::{Carried as Together, Company, Left, Note, Part, SharedPassage, SharedTold};
use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::{at_level, pitch_for};
use crate::brass::Level;
use crate::brass::body::Loudness;
use crate::score::event::Event;
use crate::score::passage::SoundKind;

/// The rule.
pub const RULE: Rule = Rule {
    name: "cold-entry",
    severity: Severity::Warning,
    source: include_str!("cold_entry.rs"),
    limits: &[
        Limit { key: "warning", default: 60.0, unit: "s", source: "estimate" },
        Limit { key: "information", default: 30.0, unit: "s", source: "estimate" },
        Limit { key: "below", default: 5.0, unit: "semitones", source: "estimate" },
        Limit { key: "others", default: 2.0, unit: "players", source: "estimate" },
    ],
    check: Check::Together { alone, together },
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Since the last sound, or since the beginning.
    pub silence_seconds: f64,
}

fn alone(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.cold_entry;
    for sound in passage.sounds {
        if !sound.sounds() {
            state.silence_seconds += sound.seconds;
            continue;
        }
        if sound.kind == SoundKind::Grace {
            continue;
        }
        let silence = std::mem::take(&mut state.silence_seconds);
        if silence > 0.0
            && sound.kind == SoundKind::Note
            && let Some(event) = sound.event(passage.events)
        {
            let alone = entry(passage, event, silence, told.rule).map(Box::new);
            if alone.is_some() {
                told.leave(Left::Entry { at: Spot::of(event), silence_seconds: silence, alone });
            }
        }
    }
}

/// What is said of an entry when the others are known.
fn together(company: &Company<'_>, _: &mut Together, told: &mut SharedTold<'_>) {
    for (player, left) in company.left(RULE.name) {
        let Left::Entry { at, alone: Some(alone), .. } = left else { continue };
        let mut finding = (**alone).clone();
        if let Some(cover) = company.part(player).and_then(|part| Some(cover(company, part, part.note(*at)?)))
        {
            let covered = cover.doubled || f64::from(cover.others) > RULE.limit(company.settings, "others");
            match finding.severity {
                Severity::Warning if covered => finding.severity = Severity::Information,
                _ if covered => continue,
                _ => {}
            }
        }
        told.out.push(SharedPassage { players: vec![player], finding });
    }
}

/// What covers an entry.
struct Cover {
    /// Somebody plays the same note.
    doubled: bool,
    /// How many others play.
    others: u32,
}

fn cover(company: &Company<'_>, part: &Part<'_>, note: &Note) -> Cover {
    let mut cover = Cover { doubled: note.people > 1, others: 0 };
    for (_, other) in company.others(part.player).filter(|(_, other)| other.sounds_at(note.from)) {
        cover.others += u32::from(other.people);
        cover.doubled |= other.sounding.map(|p| p.midi()) == note.sounding.map(|p| p.midi());
    }
    cover
}

fn entry(
    passage: &Passage<'_>,
    event: &Event,
    silence_seconds: f64,
    rule: &'static str,
) -> Option<PassageFinding> {
    let level = passage.level();
    let limit = |key: &str| RULE.limit(passage.settings, key);
    let reached = |seconds: f64| silence_seconds > seconds - SAME_SECONDS;
    let (severity, limit_seconds) = match level {
        Level::Professional if reached(limit("warning")) => (Severity::Information, limit("warning")),
        Level::Professional => return None,
        _ if reached(limit("warning")) => (Severity::Warning, limit("warning")),
        _ if reached(limit("information")) => (Severity::Information, limit("information")),
        _ => return None,
    };
    let held = passage.instrument(event)?;
    let comfortable = held.limits.comfortable;
    let high = f64::from(comfortable - event.sounding.midi()) <= limit("below");
    if !high || Loudness::of(event.dynamic) > Loudness::P {
        return None;
    }
    let here = Spot::of(event);
    let note = pitch_for(held, event.sounding.midi(), passage.key);
    let dynamic = event.dynamic.map_or("", |d| d.word());
    Some(PassageFinding {
        rule,
        severity,
        grade: 1,
        at: here,
        from: here,
        to: here,
        lead: "A cold entry".to_owned(),
        tail: format!(
            ": {note} at {dynamic} after {silence_seconds:.0} s of silence. From {limit_seconds} s on, so high (the comfortable top is {}) and so soft is a risk for {} (an estimate). Write an easy entry some bars before, a cue, another player in unison, or mf.",
            pitch_for(held, comfortable, passage.key),
            at_level(level),
        ),
        badness: silence_seconds,
        measured: Some(format!("{silence_seconds:.0} s")),
        limit: Some(format!("{limit_seconds} s")),
        related: Vec::new(),
        cures: Vec::new(),
    })
}
