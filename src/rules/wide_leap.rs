//! # wide-leap
//!
//! Somebody leaps far up, to where the harmonics lie close together.
//!
//! **Why.** A leap is aimed with the lips before anything sounds. Low down the next harmonic is far away and
//! cannot be hit by mistake; from the sixth on they are a minor third or less apart, from the eighth a tone.
//!
//! **Numbers.** What counts is a tongued leap upwards with less than half a second of silence before it
//! (`gap`). *High* is what lies above 3 semitones below the comfortable top of the level (`below`); harmonics
//! are those of the usual fingering. A high landing is a warning from 12 semitones on (`wider`), for school
//! players and amateurs from 9 (`wide`), and for everybody from 9 on harmonic 9 or higher. Information is
//! another landing from 9 on harmonic 9 or higher, and from 12 on harmonic 6 or higher; three of the latter
//! in 8 s (`window`) are a warning. Leaps in a slur are the affair of `wide-slur`.
//!
//! **Source.** Players on an exposed octave to sounding C6 for trumpet, on ten minutes of wide leaps in a
//! second trumpet part, on sevenths up out of the stave for horn (players' accounts); the distance between
//! harmonics is the physics of the tube. The limits are estimates.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level amateur
//! bar 1  meter 4/4  tempo q = 80
//! Tp1 | h : G4 G5 |
//! //           ^^ warning wide-leap: an octave
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level amateur
//! bar 1  meter 4/4  tempo q = 80
//! Tp1 | q : G4 C5 E5 G5 |
//! ```
//!
//! **Fixes.** A chord note as a stepping stone; a rest before the top; the two notes given to two players.

use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::{at_level, distance, pitch_for};
use crate::brass::Level;
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};

/// Harmonic from which neighbours lie close, and from which they are a tone or less apart.
const CLOSE: u16 = 6;
const CLOSER: u16 = 9;

/// Leaps in the window that are too many.
const REPEATED: usize = 3;

/// The rule.
pub const RULE: Rule = Rule {
    name: "wide-leap",
    severity: Severity::Warning,
    source: include_str!("wide_leap.rs"),
    limits: &[
        Limit { key: "wide", default: 9.0, unit: "semitones", source: "estimate" },
        Limit { key: "wider", default: 12.0, unit: "semitones", source: "estimate" },
        Limit { key: "below", default: 3.0, unit: "semitones", source: "estimate" },
        Limit { key: "gap", default: 0.5, unit: "s", source: "estimate" },
        Limit { key: "window", default: 8.0, unit: "s", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Sounding pitch and instrument of the last note, and the silence since.
    last: Option<(i32, u8)>,
    silence_seconds: f64,
    leaps: Option<Leaps>,
}

/// Leaps, each within the window after the one before.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Leaps {
    first: Spot,
    last: Spot,
    count: u32,
    /// The worst of them.
    at: Spot,
    worst: Leap,
    /// Seconds since the last three that are wider, the newest first.
    ago: [f64; REPEATED],
    since_seconds: f64,
    /// Most of the wider ones in one window.
    wider: usize,
}

/// One leap.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Leap {
    severity: Severity,
    semitones: i32,
    to: i32,
    partial: u16,
    instrument: u8,
    /// Semitones from which this severity holds here.
    limit: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(leaps) = &mut self.leaps {
            leaps.first.age();
            leaps.last.age();
            leaps.at.age();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.wide_leap;
    for sound in passage.sounds {
        match sound.kind {
            SoundKind::Silence => state.silence_seconds += sound.seconds,
            SoundKind::Improvised => state.last = None,
            SoundKind::Held => {}
            SoundKind::Note | SoundKind::Grace => note(passage, sound, state),
        }
        let Some(leaps) = &mut state.leaps else { continue };
        leaps.since_seconds += sound.seconds;
        leaps.ago.iter_mut().for_each(|ago| *ago += sound.seconds);
        if leaps.since_seconds > RULE.limit(passage.settings, "window") + SAME_SECONDS {
            finish(passage, state, told);
        }
    }
    if passage.ends {
        finish(passage, state, told);
    }
}

fn note(passage: &Passage<'_>, sound: &Sound, state: &mut State) {
    let Some(event) = sound.event(passage.events) else { return };
    let (to, instrument) = (event.sounding.midi(), event.played.instrument);
    let before = state.last.replace((to, instrument));
    let from = before.filter(|before| before.1 == instrument).map(|before| before.0);
    let silence = std::mem::take(&mut state.silence_seconds);
    let wide = RULE.limit(passage.settings, "wide");
    let Some(semitones) = from.map(|from| to - from).filter(|s| f64::from(*s) >= wide) else { return };
    if sound.slurred || sound.glides || silence > RULE.limit(passage.settings, "gap") - SAME_SECONDS {
        return;
    }
    let Some(leap) = leap(passage, event, to, semitones) else { return };
    let here = Spot::of(event);
    let leaps = state.leaps.get_or_insert(Leaps {
        first: here,
        last: here,
        count: 0,
        at: here,
        worst: leap,
        ago: [f64::INFINITY; REPEATED],
        since_seconds: 0.0,
        wider: 0,
    });
    leaps.last = here;
    leaps.count += 1;
    leaps.since_seconds = 0.0;
    if (leap.severity, leap.semitones) > (leaps.worst.severity, leaps.worst.semitones) {
        leaps.worst = leap;
        leaps.at = here;
    }
    if f64::from(semitones) >= RULE.limit(passage.settings, "wider") {
        leaps.ago.rotate_right(1);
        if let Some(newest) = leaps.ago.first_mut() {
            *newest = 0.0;
        }
        let window = RULE.limit(passage.settings, "window") + SAME_SECONDS;
        leaps.wider = leaps.wider.max(leaps.ago.iter().filter(|ago| **ago <= window).count());
    }
}

/// What a leap is, if it is anything.
fn leap(passage: &Passage<'_>, event: &Event, to: i32, semitones: i32) -> Option<Leap> {
    let held = passage.instrument(event)?;
    let partial = held.instrument.note(to).usual?.partial;
    let limit = |key: &str| RULE.limit(passage.settings, key);
    let (wide, wider) = (limit("wide"), limit("wider"));
    let high = f64::from(held.limits.comfortable - to) < limit("below");
    let from = |severity, limit| {
        let instrument = event.played.instrument;
        Some(Leap { severity, semitones, to, partial, instrument, limit })
    };
    let at_least = |limit: f64| f64::from(semitones) >= limit;
    let apprentice = passage.level() != Level::Professional;
    match partial {
        CLOSER.. if high => from(Severity::Warning, wide),
        _ if high && apprentice => from(Severity::Warning, wide),
        _ if high && at_least(wider) => from(Severity::Warning, wider),
        CLOSER.. => from(Severity::Information, wide),
        CLOSE.. if at_least(wider) => from(Severity::Information, wider),
        _ => None,
    }
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(leaps) = state.leaps.take() else { return };
    let Leap { semitones, to, partial, instrument, .. } = leaps.worst;
    let Some(held) = passage.player.instrument(instrument) else { return };
    let often = leaps.wider >= REPEATED && leaps.worst.severity < Severity::Warning;
    let severity = if often { Severity::Warning } else { leaps.worst.severity };
    let window = RULE.limit(passage.settings, "window");
    let limit = if often { RULE.limit(passage.settings, "wider") } else { leaps.worst.limit };
    let note = pitch_for(held, to, passage.key);
    let (lead, most) = match leaps.count {
        1 => (format!("A leap of {} up to {note}", distance(semitones)), String::new()),
        n => (format!("{n} wide leaps up"), format!(", the worst {} to {note}", distance(semitones))),
    };
    let why = if often {
        format!("{} of an octave or more in {window} s tire anybody (an estimate)", leaps.wider)
    } else {
        format!(
            "it lands {}; from {} on that is a risk for {} (an estimate)",
            if partial >= CLOSE {
                format!("on harmonic {partial}, whose neighbours are near")
            } else {
                format!("near the comfortable top, {}", pitch_for(held, held.limits.comfortable, passage.key))
            },
            distance(limit.ceil() as i32),
            at_level(passage.level())
        )
    };
    told.push(PassageFinding {
        rule: told.rule,
        severity,
        grade: 1,
        at: leaps.at,
        from: leaps.first,
        to: leaps.at,
        lead,
        tail: format!(
            "{most}: {why}. Write a chord note between, a rest before the top, or give the two notes to two players."
        ),
        badness: f64::from(semitones),
        measured: Some(format!("{semitones} semitones")),
        limit: Some(format!("{limit} semitones")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
