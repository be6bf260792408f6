//! # strain-caution
//!
//! Long sounds very high and loud, or minutes of deep and quick breathing: the head may swim.
//!
//! **Why.** Who blows hard against small lips for long presses on the chest and the blood comes back slowly; who
//! fills and empties the lungs every few seconds breathes more than the body asks for. Both can make light-headed.
//!
//! **Numbers.** Information where a trumpet, cornet or flugelhorn sounds above written C6 of a B♭ trumpet (sounding
//! B♭5) at ff or louder for more than 8 s on end (`press`), without a rest or a breath mark; and where an instrument
//! plays so loud that a full breath lasts for less than 3 s (`breath`) for more than a minute (`blow`), without 4 s
//! (`pause`) of rest or of anything softer. That is a tuba at ff, or at f where the player is young. Of parts that
//! several read the second is not judged.
//!
//! **Source.** Pressures in the mouth of 25 kPa on the trumpet, above that of the blood: Fletcher and Tarnopolsky, J.
//! Acoust. Soc. Am. 105, 874-881, 1999 (abstract); of 2.5 to 158 mmHg in wind playing: Bouhuys 1964 (abstract). All
//! seconds are estimates, and how long a breath lasts is that of `no-breath`.
//!
//! **Caution.** General, and no medical advice: whoever feels dizzy stops and sits down; player, teacher and
//! doctor decide.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, top E6
//! allow long-high
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : ff D6 | w : = | h h- : = |
//! //           ^^ information strain-caution: 8 s
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, top E6
//! allow long-high
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : ff D6, | h. q- : D6 | h h- : D6 |
//! ```
//!
//! **Fixes.** A breath or a rest; an octave down; two players in turn; a softer dynamic.

use super::finding::Severity;
use super::no_breath;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use crate::brass::body::air::{Fifth, flow_litres_per_second};
use crate::brass::body::{Loudness, Voice};
use crate::score::event::Event;
use crate::score::passage::Sound;

/// Sounding B flat 5, written C6 of a trumpet in B flat.
const HIGH: i32 = 82;

const fn seconds(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "s", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "strain-caution",
    severity: Severity::Information,
    source: include_str!("strain_caution.rs"),
    limits: &[seconds("press", 8.0), seconds("breath", 3.0), seconds("blow", 60.0), seconds("pause", 4.0)],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    press: Count,
    blow: Count,
}

/// Seconds of one kind of strain.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Count {
    seconds: f64,
    /// Since the last of it.
    pause_seconds: f64,
    first: Option<Spot>,
    /// It has been told, and nothing is counted until it is over.
    told: bool,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.press.first.iter_mut().for_each(Spot::age);
        self.blow.first.iter_mut().for_each(Spot::age);
    }
}

impl Count {
    /// Hears more of it; where it began, if that is more than the limit now.
    fn more(&mut self, here: Spot, seconds: f64, limit_seconds: f64) -> Option<Spot> {
        self.pause_seconds = 0.0;
        if self.told {
            return None;
        }
        let first = *self.first.get_or_insert(here);
        self.seconds += seconds;
        if self.seconds <= limit_seconds + SAME_SECONDS {
            return None;
        }
        *self = Count { told: true, ..Count::default() };
        Some(first)
    }

    /// Hears something else.
    fn pause(&mut self, seconds: f64, limit_seconds: f64) {
        if *self == Count::default() {
            return;
        }
        self.pause_seconds += seconds;
        if self.pause_seconds > limit_seconds - SAME_SECONDS {
            *self = Count::default();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let State { press, blow } = &mut carried.strain_caution;
    let limit = |key: &str| RULE.limit(passage.settings, key);
    for sound in passage.sounds {
        if sound.seconds <= 0.0 {
            continue;
        }
        let event = sound.event(passage.events).filter(|_| sound.sounds());
        match event.filter(|event| presses(passage, event, sound)) {
            Some(event) => {
                let here = Spot::of(event);
                if let Some(first) = press.more(here, sound.seconds, limit("press")) {
                    told.push(pressed(passage, first, here));
                }
                if sound.breath {
                    *press = Count::default();
                }
            }
            None => *press = Count::default(),
        }
        match event.filter(|event| blows(passage, event, sound)) {
            Some(event) => {
                let here = Spot::of(event);
                if let Some(first) = blow.more(here, sound.seconds, limit("blow")) {
                    told.push(blown(passage, first, here));
                }
            }
            None => blow.pause(sound.seconds, limit("pause")),
        }
    }
    if passage.ends {
        carried.strain_caution = State::default();
    }
}

/// True for a very high and loud note of a trumpet.
fn presses(passage: &Passage<'_>, event: &Event, sound: &Sound) -> bool {
    Loudness::of(event.dynamic) >= Loudness::Ff
        && sound.sounding.is_some_and(|p| p.midi() > HIGH)
        && passage.instrument(event).is_some_and(|held| Voice::of(&held.instrument) == Voice::Trumpet)
}

/// True if a full breath is gone in so few seconds.
fn blows(passage: &Passage<'_>, event: &Event, sound: &Sound) -> bool {
    let loudness = Loudness::of(event.dynamic);
    if loudness < Loudness::F || passage.player.seats > 1 {
        return false;
    }
    let Some(held) = passage.instrument(event) else { return false };
    let fifth = sound.sounding.map_or(Fifth::Middle, |p| Fifth::of(&held.limits, p.midi()));
    let flow = flow_litres_per_second(Voice::of(&held.instrument), loudness, fifth);
    no_breath::air(passage).usable_litres < flow * RULE.limit(passage.settings, "breath")
}

const CAUTION: &str = "A general caution, no medical advice: the player, their teacher and a doctor decide.";

fn pressed(passage: &Passage<'_>, from: Spot, at: Spot) -> PassageFinding {
    let seconds = RULE.limit(passage.settings, "press");
    finding(
        (from, at),
        format!("More than {seconds} s of one breath at ff, above sounding B♭5"),
        format!(
            " (an estimate): the pressure may make light-headed. Let the player breathe, write it an octave lower, or let two take turns. {CAUTION}"
        ),
        seconds,
    )
}

fn blown(passage: &Passage<'_>, from: Spot, at: Spot) -> PassageFinding {
    let limit = |key: &str| RULE.limit(passage.settings, key);
    let (seconds, breath, pause) = (limit("blow"), limit("breath"), limit("pause"));
    finding(
        (from, at),
        format!("More than {seconds} s of playing so loud that a breath lasts for less than {breath} s"),
        format!(
            ", without {pause} s of rest or of anything softer (estimates): breathing so deep and so often may make light-headed. Write a rest, a softer dynamic, or let two players take turns. {CAUTION}"
        ),
        seconds,
    )
}

fn finding((from, at): (Spot, Spot), lead: String, tail: String, seconds: f64) -> PassageFinding {
    PassageFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        at,
        from,
        to: at,
        lead,
        tail,
        badness: seconds,
        measured: Some(format!("{seconds} s")),
        limit: Some(format!("{seconds} s")),
        related: Vec::new(),
        cures: Vec::new(),
    }
}
