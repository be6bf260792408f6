//! # slow-to-speak
//!
//! Low notes are too short to speak.
//!
//! **Why.** Before a tube answers, the lips swing some times. A low note swings slowly: F1 44 times a second. A
//! short one is over before it has begun, and what is heard is a thud or the note an octave higher. Practice
//! does not help, since no tongue makes a tube swing sooner.
//!
//! **Numbers.** Swings from an attack to the next attack or the end of the sound, at the pitch of the attack;
//! what is slurred to it counts, since the tube swings already. Fewer than 10 (`cycles`) are a warning, fewer than
//! 6 (`strong`) a strong one. As semiquavers that is E2 from crotchets of 124 on, B♭1 from 87 on. Horns moreover:
//! four attacks or more below written G3 at more than 6 a second (`horn-rate`); on tubas and bass trombones the
//! same speed is 10 swings of B1. Pedals have a rule of their own. The tempo is the one in force.
//!
//! **Source.** A tubist's calculation that F1 as a quaver at 120 has about 11 swings (player's account); clean
//! articulation does not make low notes speak faster: Hynds, The Composer's Guide to the Tuba. Frequencies follow
//! from A4 = 440 Hz. The limits are estimates.
//!
//! ```brass
//! player Tu = CC tuba
//! bar 1  meter 4/4  tempo q = 96
//! Tu | e s s q h : F2 F1 F1 F2 - |
//! //                  ^^^^^ warning slow-to-speak: 6.8 swings
//! ```
//!
//! ```brass
//! player Tu = CC tuba
//! bar 1  meter 4/4  tempo q = 96
//! Tu | e e q h : F2 F1 F2 - |
//! ```
//!
//! **Fixes.** Double the values; an octave up; slurs in pairs; the attack given to a higher instrument in unison.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::pitch_for;
use crate::brass::Kind;
use crate::brass::body::speech::{
    LEAST_CYCLES, LOW_HORN_ATTACKS_PER_SECOND, LOW_HORN_BELOW, STRONG_CYCLES, cycles,
};
use crate::score::event::Event;
use crate::score::passage::SoundKind;

/// Attacks of a horn from which low and quick is a passage (estimate).
const HORN_ATTACKS: u32 = 4;
/// Without such a note for so long, a passage is over (estimate).
const PAUSE_SECONDS: f64 = 1.0;
/// No note swings so slowly that after so long it has not spoken; keeps the limits from asking for more.
const LONG_SECONDS: f64 = 2.0;

/// The rule.
pub const RULE: Rule = Rule {
    name: "slow-to-speak",
    severity: Severity::Warning,
    source: include_str!("slow_to_speak.rs"),
    limits: &[
        Limit { key: "cycles", default: LEAST_CYCLES, unit: "swings", source: "estimate" },
        Limit { key: "strong", default: STRONG_CYCLES, unit: "swings", source: "estimate" },
        Limit {
            key: "horn-rate",
            default: LOW_HORN_ATTACKS_PER_SECOND,
            unit: "attacks a second",
            source: "estimate",
        },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// The note attacked last, while it sounds.
    open: Option<Open>,
    /// Low attacks of a horn in a row, each soon after the one before.
    quick: Option<Quick>,
    run: Option<Run>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Open {
    spot: Spot,
    midi: i32,
    instrument: u8,
    seconds: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Quick {
    first: Spot,
    last: Spot,
    attacks: u32,
    seconds: f64,
    since_seconds: f64,
}

/// Notes that do not speak.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Run {
    first: Spot,
    last: Spot,
    notes: u32,
    worst: Open,
    since_seconds: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(open) = &mut self.open {
            open.spot.age();
        }
        if let Some(quick) = &mut self.quick {
            quick.first.age();
            quick.last.age();
        }
        if let Some(run) = &mut self.run {
            run.first.age();
            run.last.age();
            run.worst.spot.age();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.slow_to_speak;
    let least = RULE.limit(passage.settings, "cycles");
    let horn_seconds = 1.0 / RULE.limit(passage.settings, "horn-rate").max(0.1);
    for sound in passage.sounds {
        let goes_on = match sound.kind {
            SoundKind::Grace => continue,
            SoundKind::Held => true,
            SoundKind::Note => sound.slurred || sound.glides,
            SoundKind::Silence | SoundKind::Improvised => false,
        };
        if !goes_on {
            close(passage, state, least, told);
            let event = sound.event(passage.events).filter(|_| sound.kind == SoundKind::Note);
            if let Some(event) = event.filter(|_| sound.seconds > 0.0) {
                let (midi, instrument) = (event.sounding.midi(), event.played.instrument);
                state.open = Some(Open { spot: Spot::of(event), midi, instrument, seconds: 0.0 });
                attack(passage, state, event, horn_seconds, told);
            }
        }
        if let Some(open) = &mut state.open {
            open.seconds += sound.seconds;
            // It has spoken long ago.
            if open.seconds > LONG_SECONDS {
                state.open = None;
            }
        }
        if let Some(quick) = &mut state.quick {
            quick.since_seconds += sound.seconds;
            if quick.since_seconds > horn_seconds - SAME_SECONDS {
                tell_quick(passage, state, told);
            }
        }
        if let Some(run) = &mut state.run {
            run.since_seconds += sound.seconds;
            // The note that sounds may be one more.
            if run.since_seconds > PAUSE_SECONDS && state.open.is_none_or(|open| open.seconds > PAUSE_SECONDS)
            {
                tell(passage, state, least, told);
            }
        }
    }
    if passage.ends {
        close(passage, state, least, told);
        tell_quick(passage, state, told);
        tell(passage, state, least, told);
        *state = State::default();
    }
}

/// The note is over: has it spoken?
fn close(passage: &Passage<'_>, state: &mut State, least: f64, told: &mut Told<'_>) {
    let Some(open) = state.open.take() else { return };
    let swings = cycles(open.midi, open.seconds);
    // Up there every note speaks; only low ones are looked at closely.
    if swings >= least - SAME_SECONDS {
        return;
    }
    let Some(held) = passage.player.instrument(open.instrument) else { return };
    if !matches!(lie::lie(held, open.midi), Lie::Fine | Lie::High { .. } | Lie::Highest { .. }) {
        return;
    }
    if state.run.is_some_and(|run| run.worst.instrument != open.instrument) {
        tell(passage, state, least, told);
    }
    let run = state.run.get_or_insert(Run {
        first: open.spot,
        last: open.spot,
        notes: 0,
        worst: open,
        since_seconds: 0.0,
    });
    run.notes += 1;
    run.last = open.spot;
    run.since_seconds = 0.0;
    if swings < cycles(run.worst.midi, run.worst.seconds) {
        run.worst = open;
    }
}

/// Counts the quick low attacks of a horn.
fn attack(passage: &Passage<'_>, state: &mut State, event: &Event, most: f64, told: &mut Told<'_>) {
    let horn = passage.instrument(event).is_some_and(|held| held.instrument.kind == Kind::Horn);
    let here = Spot::of(event);
    if !horn || event.sounding.midi() >= LOW_HORN_BELOW {
        return tell_quick(passage, state, told);
    }
    match &mut state.quick {
        Some(quick) if quick.since_seconds < most - SAME_SECONDS => {
            quick.attacks += 1;
            quick.seconds += quick.since_seconds;
            quick.since_seconds = 0.0;
            quick.last = here;
        }
        _ => {
            tell_quick(passage, state, told);
            state.quick =
                Some(Quick { first: here, last: here, attacks: 1, seconds: 0.0, since_seconds: 0.0 });
        }
    }
}

fn tell_quick(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(quick) = state.quick.take().filter(|quick| quick.attacks >= HORN_ATTACKS) else { return };
    let rate = f64::from(quick.attacks - 1) / quick.seconds.max(SAME_SECONDS);
    let limit = RULE.limit(passage.settings, "horn-rate");
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: 1,
        at: quick.first,
        from: quick.first,
        to: quick.last,
        lead: format!("{} low notes at {rate:.1} attacks a second", quick.attacks),
        tail: format!(
            "; below written G3 a horn follows {limit} a second (an estimate). Write longer values, slur in pairs, or write it an octave higher."
        ),
        badness: rate,
        measured: Some(format!("{rate:.1} attacks a second")),
        limit: Some(format!("{limit} attacks a second")),
        related: Vec::new(),
        cures: vec![Cure::Octave { octaves: 1 }, Cure::Slurs],
    });
}

fn tell(passage: &Passage<'_>, state: &mut State, least: f64, told: &mut Told<'_>) {
    let Some(run) = state.run.take() else { return };
    let Open { midi, seconds, instrument, .. } = run.worst;
    let swings = cycles(midi, seconds);
    let strong = RULE.limit(passage.settings, "strong");
    let note = passage
        .player
        .instrument(instrument)
        .map_or_else(String::new, |held| pitch_for(held, midi, passage.key));
    let many =
        if run.notes > 1 { format!("{} low notes are", run.notes) } else { "A low note is".to_owned() };
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: if swings < strong - SAME_SECONDS { 2 } else { 1 },
        at: run.first,
        from: run.first,
        to: run.last,
        lead: format!("{many} too short to speak"),
        tail: format!(
            ": {note} lasts {seconds:.2} s, which is {swings:.1} swings of the lips; a tube answers after about {least} (an estimate after a tubist's reckoning). Double the values, write it an octave higher, or slur in pairs."
        ),
        badness: 1000.0 - swings,
        measured: Some(format!("{swings:.1} swings")),
        limit: Some(format!("{least} swings")),
        related: Vec::new(),
        cures: vec![Cure::Octave { octaves: 1 }, Cure::Slurs],
    });
}
