//! # tongue-speed
//!
//! Somebody is to tongue faster than a tongue goes, or for longer than it lasts.
//!
//! **Why.** A single tongue goes to and fro some eight times a second; double and triple tonguing go faster,
//! but not low down, not very softly, not over wide leaps, and not before they are taught. Too fast, the notes
//! run into each other and the lips no longer meet the tongue.
//!
//! **Numbers.** Attacks of the tongue are counted, not slurred notes. Eight in a row are a speed that must last.
//! Single tonguing, notes a second, for school, amateur and professional players: trumpet 5, 7, 9; horn 4.5, 6.3,
//! 8; trombone and euphonium 4.5, 6.7, 8.5; tuba 4, 6, 8 (`trumpet-school` to `tuba-professional`). Double and
//! triple: amateurs 9.5, professionals 12, school players none (`multiple-amateur`, `multiple-professional`).
//! What is faster is a warning. Four notes may go faster in the proportion of 10 to 9 on trumpet (horn 9 to 8,
//! trombone and euphonium 10 to 8.5, tuba 10 to 8). Notes that need multiple tonguing are a warning, too, where
//! half of eight lie in the lowest third of the range or at pp and softer, or where two leaps of more than 5
//! semitones (`leap`) come at more than 9 a second (`leap-rate`). More than 8 s (`seconds`) at 0.85 of the limit
//! (`near`) tires the tongue: a warning. Information: what an amateur must tongue double; for professionals,
//! speeds between single and double (8.2 to 9.2, if the single tongue does not reach them). After 2 s without an
//! attack counting begins anew. The tempo is the one in force, repeats are played out.
//!
//! **Source.** Tuba single 9 to 10 at most, double 12 and more, sloppier at the extremes, and long fast tonguing
//! tires: contemporarytuba.com. Trombonists: 8 a second "my limit", 6.7 another's, 8.8 between single and double;
//! a trumpet learner timed at 8.4 (players' accounts). The split by level and everything else are estimates.
//!
//! ```brass
//! player Tb1 = trombone, level amateur
//! bar 1  meter 4/4  tempo q = 150
//! Tb1 | s*8 h : Bb3 C4 D4 C4 Bb3 C4 D4 C4 Bb3 |
//! //            ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ warning tongue-speed: 10.0 a second
//! ```
//!
//! ```brass
//! player Tb1 = trombone, level amateur
//! bar 1  meter 4/4  tempo q = 150
//! Tb1 | s*8 h : Bb3_ C4 D4_ C4 Bb3_ C4 D4_ C4 Bb3 |
//! ```
//!
//! **Fixes.** Slur two, tongue two; slur in pairs; every other note left out; a slower tempo; against a tired
//! tongue a gap of a beat in each bar, or two players by turns.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::at_level;
use crate::brass::Level;
use crate::brass::body::tongue::{
    BETWEEN_NOTES_PER_SECOND, BURST_NOTES, LASTING_NOTES, LEAP_NOTES_PER_SECOND, LEAP_SEMITONES,
    MULTIPLE_NOTES_PER_SECOND, SINGLE_NOTES_PER_SECOND, TIRING_SECONDS, TIRING_SHARE,
};
use crate::brass::body::{Loudness, Tongue, Voice};
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};
use crate::score::player::PlayerInstrument;
use crate::score::state::Swell;

/// Without an attack for so long, counting begins anew.
const PAUSE_SECONDS: f64 = 2.0;
/// Attacks that are looked at together.
const WINDOW: usize = LASTING_NOTES as usize;
/// Leaps among them from which multiple tonguing is spoiled, and low or soft notes (estimates).
const LEAPS: usize = 2;
const HALF: usize = WINDOW / 2;

const fn rate(key: &'static str, voice: Voice, level: Level) -> Limit {
    let default = level.pick(voice.pick(SINGLE_NOTES_PER_SECOND));
    Limit {
        key,
        default,
        unit: "notes a second",
        source: "players' accounts; the split by level an estimate",
    }
}

const fn multiple(key: &'static str, level: Level) -> Limit {
    let default = level.pick(MULTIPLE_NOTES_PER_SECOND);
    Limit {
        key,
        default,
        unit: "notes a second",
        source: "contemporarytuba.com; the split by level an estimate",
    }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "tongue-speed",
    severity: Severity::Warning,
    source: include_str!("tongue_speed.rs"),
    limits: &[
        rate("trumpet-school", Voice::Trumpet, Level::School),
        rate("trumpet-amateur", Voice::Trumpet, Level::Amateur),
        rate("trumpet-professional", Voice::Trumpet, Level::Professional),
        rate("horn-school", Voice::Horn, Level::School),
        rate("horn-amateur", Voice::Horn, Level::Amateur),
        rate("horn-professional", Voice::Horn, Level::Professional),
        rate("trombone-school", Voice::Trombone, Level::School),
        rate("trombone-amateur", Voice::Trombone, Level::Amateur),
        rate("trombone-professional", Voice::Trombone, Level::Professional),
        rate("tuba-school", Voice::Tuba, Level::School),
        rate("tuba-amateur", Voice::Tuba, Level::Amateur),
        rate("tuba-professional", Voice::Tuba, Level::Professional),
        multiple("multiple-amateur", Level::Amateur),
        multiple("multiple-professional", Level::Professional),
        Limit { key: "leap", default: LEAP_SEMITONES as f64, unit: "semitones", source: "estimate" },
        Limit {
            key: "leap-rate",
            default: LEAP_NOTES_PER_SECOND,
            unit: "notes a second",
            source: "estimate",
        },
        Limit { key: "seconds", default: TIRING_SECONDS, unit: "s", source: "estimate" },
        Limit { key: "near", default: TIRING_SHARE, unit: "of the limit", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// The last attacks, the newest last.
    attacks: Vec<Attack>,
    /// Since the newest.
    since_seconds: f64,
    instrument: u8,
    near: Option<Near>,
    streak: Option<Streak>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Attack {
    spot: Spot,
    /// After the one before.
    after_seconds: f64,
    midi: i32,
    low: bool,
    soft: bool,
}

/// Tonguing near the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Near {
    first: Spot,
    seconds: f64,
    notes: u32,
}

/// A passage that is too much.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Streak {
    first: Spot,
    last: Spot,
    notes: u32,
    /// Attacks since the last one that was too much.
    pending: u32,
    worst: Fault,
}

/// What is too much.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Fault {
    kind: Kind,
    notes_per_second: f64,
    limit: f64,
    seconds: f64,
    /// Too fast even for a few notes.
    few: bool,
}

/// In the order of weight, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    Between,
    Double,
    Tiring,
    Low,
    Soft,
    Leaps,
    TooFast,
}

impl Kind {
    fn severity(self) -> Severity {
        if self <= Kind::Double { Severity::Information } else { Severity::Warning }
    }
}

impl Fault {
    fn is_worse(&self, other: &Fault) -> bool {
        (self.kind, self.notes_per_second) > (other.kind, other.notes_per_second)
    }
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.attacks.iter_mut().for_each(|attack| attack.spot.age());
        if let Some(near) = &mut self.near {
            near.first.age();
        }
        if let Some(streak) = &mut self.streak {
            streak.first.age();
            streak.last.age();
        }
    }

    fn begin_anew(&mut self) {
        self.attacks.clear();
        (self.since_seconds, self.instrument, self.near, self.streak) = (0.0, 0, None, None);
    }
}

/// A tongue on one instrument, with the limits in force.
struct Limits {
    instrument: u8,
    tongue: Tongue,
    /// Sounding; below it is the lowest third.
    low_mark: i32,
    leap: i32,
    leap_rate: f64,
    seconds: f64,
    near: f64,
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.tongue_speed;
    let mut limits: Option<Limits> = None;
    for sound in passage.sounds {
        if let Some(event) = attacked(passage, sound) {
            let index = event.played.instrument;
            if limits.as_ref().is_none_or(|limits| limits.instrument != index) {
                limits = passage.instrument(event).map(|held| Limits::of(passage, held, index));
            }
            if let Some(limits) = &limits {
                if state.instrument != index {
                    finish(passage, state, told);
                    state.begin_anew();
                    state.instrument = index;
                }
                state.attack(passage.level(), event, limits);
            }
        }
        if state.attacks.is_empty() {
            continue;
        }
        state.since_seconds += sound.seconds;
        if state.since_seconds >= PAUSE_SECONDS {
            finish(passage, state, told);
            state.begin_anew();
        }
    }
    if passage.ends {
        finish(passage, state, told);
        state.begin_anew();
    }
}

/// The event of a note that the tongue begins.
fn attacked<'e>(passage: &Passage<'e>, sound: &Sound) -> Option<&'e Event> {
    let tongued = sound.kind == SoundKind::Note && !sound.slurred && !sound.glides && sound.seconds > 0.0;
    tongued.then(|| sound.event(passage.events)).flatten()
}

impl Limits {
    fn of(passage: &Passage<'_>, held: &PlayerInstrument, instrument: u8) -> Limits {
        let (voice, level) = (Voice::of(&held.instrument), passage.level());
        let limit = |key: &str| RULE.limit(passage.settings, key);
        let mut tongue = Tongue::at(voice, level);
        if !passage.settings.limits.is_empty() {
            let single = limit(&format!("{}-{}", family(voice), level.word())).max(0.1);
            tongue.burst_notes_per_second *= single / tongue.single_notes_per_second;
            tongue.single_notes_per_second = single;
            if level != Level::School {
                tongue.multiple_notes_per_second = limit(&format!("multiple-{}", level.word()));
            }
        }
        let of = &held.limits;
        Limits {
            instrument,
            tongue,
            low_mark: of.low + (of.usual - of.low) / 3,
            leap: limit("leap") as i32,
            leap_rate: limit("leap-rate"),
            seconds: limit("seconds"),
            near: limit("near").clamp(0.0, 1.0),
        }
    }
}

fn family(voice: Voice) -> &'static str {
    voice.pick(["trumpet", "horn", "trombone", "trombone", "trombone", "tuba"])
}

impl State {
    fn attack(&mut self, level: Level, event: &Event, limits: &Limits) {
        if self.attacks.len() == WINDOW {
            self.attacks.remove(0);
        }
        let midi = event.sounding.midi();
        let soft = Loudness::of(event.dynamic) == Loudness::Pp && event.swell != Some(Swell::Growing);
        self.attacks.push(Attack {
            spot: Spot::of(event),
            after_seconds: self.since_seconds,
            midi,
            low: midi < limits.low_mark,
            soft,
        });
        self.since_seconds = 0.0;
        let of_few = self.of_few(limits);
        let of_many = if self.attacks.len() == WINDOW { self.of_many(level, limits) } else { None };
        let fault = match (of_few, of_many) {
            (Some(few), Some((_, many))) if few.is_worse(&many) => Some((BURST_NOTES as usize, few)),
            (Some(few), None) => Some((BURST_NOTES as usize, few)),
            (_, many) => many,
        };
        let Some((notes, fault)) = fault else {
            let here = Spot::of(event);
            if let Some(streak) = self.streak.as_mut().filter(|streak| streak.last != here) {
                streak.pending += 1;
            }
            return;
        };
        let Some(first) = self.attacks.get(self.attacks.len() - notes.min(self.attacks.len())) else {
            return;
        };
        let streak = self.streak.get_or_insert(Streak {
            first: first.spot,
            last: first.spot,
            notes: notes as u32 - 1,
            pending: 0,
            worst: fault,
        });
        streak.notes += std::mem::take(&mut streak.pending) + 1;
        streak.last = Spot::of(event);
        if fault.is_worse(&streak.worst) {
            streak.worst = fault;
        }
    }

    /// The last attacks, so many, and the seconds from the first of them to the last.
    fn last(&self, notes: usize) -> Option<(&[Attack], f64)> {
        let last = self.attacks.get(self.attacks.len().checked_sub(notes)?..)?;
        Some((last, last.iter().skip(1).map(|attack| attack.after_seconds).sum()))
    }

    fn of_few(&self, limits: &Limits) -> Option<Fault> {
        let (last, seconds) = self.last(BURST_NOTES as usize)?;
        let limit = limits.tongue.few_notes_per_second();
        let steps = (last.len() - 1) as f64;
        let notes_per_second = steps / seconds.max(SAME_SECONDS);
        (seconds < steps / limit - SAME_SECONDS).then_some(Fault {
            kind: Kind::TooFast,
            notes_per_second,
            limit,
            seconds,
            few: true,
        })
    }

    /// What is too much of a full window, and how many notes show it.
    fn of_many(&mut self, level: Level, limits: &Limits) -> Option<(usize, Fault)> {
        let (last, seconds) = self.last(WINDOW)?;
        let steps = (WINDOW - 1) as f64;
        let faster = |than: f64| seconds < steps / than.max(0.1) - SAME_SECONDS;
        let tongue = &limits.tongue;
        let (single, lasting) = (tongue.single_notes_per_second, tongue.lasting_notes_per_second());
        let notes_per_second = steps / seconds.max(SAME_SECONDS);
        let of = |kind, limit| Some((WINDOW, Fault { kind, notes_per_second, limit, seconds, few: false }));
        let leaps = last.windows(2).filter(|w| matches!(w, [a, b] if (a.midi - b.midi).abs() > limits.leap));
        let fault = if faster(lasting) {
            of(Kind::TooFast, lasting)
        } else if faster(single) {
            let (low, high) = BETWEEN_NOTES_PER_SECOND;
            if faster(limits.leap_rate) && leaps.count() >= LEAPS {
                of(Kind::Leaps, limits.leap_rate)
            } else if last.iter().filter(|a| a.soft).count() >= HALF {
                of(Kind::Soft, single)
            } else if last.iter().filter(|a| a.low).count() >= HALF {
                of(Kind::Low, single)
            } else if level != Level::Professional {
                of(Kind::Double, single)
            } else if faster(low) && !faster(high) {
                of(Kind::Between, high)
            } else {
                None
            }
        } else {
            None
        };
        let newest = last.last().map_or(0.0, |attack| attack.after_seconds);
        let first = last.first()?.spot;
        if !faster(limits.near * lasting) {
            self.near = None;
            return fault;
        }
        let near = match &mut self.near {
            Some(near) => {
                near.seconds += newest;
                near.notes += 1;
                *near
            }
            none => *none.insert(Near { first, seconds, notes: WINDOW as u32 }),
        };
        let tires = near.seconds > limits.seconds + SAME_SECONDS;
        if !tires || fault.as_ref().is_some_and(|(_, fault)| fault.kind > Kind::Tiring) {
            return fault;
        }
        // The whole of it is told, from where it began.
        let rate = f64::from(near.notes - 1) / near.seconds;
        let tiring = Fault {
            kind: Kind::Tiring,
            notes_per_second: rate,
            limit: lasting,
            seconds: near.seconds,
            few: false,
        };
        self.tires(near, tiring);
        None
    }

    /// Tells a streak from where the tongue came near its limit.
    fn tires(&mut self, near: Near, fault: Fault) {
        let Some(last) = self.attacks.last().map(|attack| attack.spot) else { return };
        match &mut self.streak {
            Some(streak) if streak.worst.kind > Kind::Tiring => {}
            streak => {
                *streak =
                    Some(Streak { first: near.first, last, notes: near.notes, pending: 0, worst: fault });
            }
        }
    }
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(streak) = state.streak.take() else { return };
    let Fault { kind, notes_per_second, limit, seconds, few } = streak.worst;
    let for_few = if few { "for a few notes " } else { "" };
    let who = at_level(passage.level());
    let lead = match kind {
        Kind::Tiring => format!("{seconds:.0} s of tonguing at {notes_per_second:.1} a second"),
        _ => format!("{} tongued notes, up to {notes_per_second:.1} a second", streak.notes),
    };
    let limit = (limit * 10.0).round() / 10.0;
    let slur = "Slur two and tongue two, slur in pairs, or leave out every other note.";
    let (why, way) = match kind {
        Kind::TooFast if passage.level() == Level::School => {
            (format!("{for_few}{who} tongues {limit} a second on this instrument"), slur)
        }
        Kind::TooFast => (format!("{for_few}{who} reaches {limit} a second, with double tonguing too"), slur),
        Kind::Leaps => (
            format!(
                "over leaps of more than {LEAP_SEMITONES} semitones multiple tonguing ends at {limit} a second"
            ),
            "Slur over the leaps, or write smaller steps.",
        ),
        Kind::Soft => (
            format!("above {limit} a second {who} tongues double, which does not speak so softly"),
            "Slur in pairs, or write p or louder.",
        ),
        Kind::Low => (
            format!(
                "above {limit} a second {who} tongues double, which is unclear in the lowest third of the range"
            ),
            "Slur in pairs, or write it an octave higher.",
        ),
        Kind::Tiring => (
            format!("so near the limit of {limit} the tongue tires after {} s", passage_seconds(passage)),
            "Leave a gap of a beat in each bar, slur in pairs, or let two players take turns.",
        ),
        Kind::Double => (
            format!("above {limit} a second {who} must tongue double, and not everybody has learnt it"),
            slur,
        ),
        Kind::Between => (
            format!("this is too fast for a single tongue and, up to {limit}, slow for a double one"),
            "A slightly slower or faster tempo lies better; or slur two and tongue two.",
        ),
    };
    let estimate = if kind == Kind::TooFast {
        "players' accounts; the split by level is an estimate"
    } else {
        "an estimate"
    };
    told.push(PassageFinding {
        rule: told.rule,
        severity: kind.severity(),
        grade: 1,
        at: streak.first,
        from: streak.first,
        to: streak.last,
        lead,
        tail: format!("; {why} ({estimate}). {way}"),
        badness: kind as u8 as f64 * 100.0 + notes_per_second,
        measured: Some(match kind {
            Kind::Tiring => format!("{seconds:.0} s"),
            _ => format!("{notes_per_second:.1} notes a second"),
        }),
        limit: Some(match kind {
            Kind::Tiring => format!("{} s", passage_seconds(passage)),
            _ => format!("{limit} notes a second"),
        }),
        related: Vec::new(),
        cures: if kind == Kind::Between { Vec::new() } else { vec![Cure::Slurs] },
    });
}

fn passage_seconds(passage: &Passage<'_>) -> f64 {
    RULE.limit(passage.settings, "seconds")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_of_the_tongue_can_be_set() {
        for voice in Voice::ALL {
            for level in Level::ALL {
                let key = format!("{}-{}", family(voice), level.word());
                let limit = RULE.limits.iter().find(|l| l.key == key).unwrap();
                assert_eq!(limit.default, level.pick(voice.pick(SINGLE_NOTES_PER_SECOND)), "{key}");
            }
        }
    }
}
