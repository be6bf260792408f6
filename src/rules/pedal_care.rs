//! # pedal-care
//!
//! A pedal note is asked of a player or in a way that pedals do not like.
//!
//! **Why.** Pedals are the first harmonic of the tube. They speak slowly, need much air, and are weak
//! when soft. Trombonists and low-brass players have them; on other instruments they are an effect.
//!
//! **Numbers.** Tenor trombone: the four pedals from the open tube down (B♭1 A1 A♭1 G1) are usable by
//! professionals, lower ones difficult. Bass trombone: all down to E1 ordinary for professionals,
//! information for amateurs. Euphonium, baritone and tubas: professionals only, down to the lowest
//! pedal of the catalogue. School players: a warning always. Everyone: a warning at *pp* or softer, and
//! faster than two notes a second where the tempo is known (`notes`).
//!
//! **Source.** The four usable tenor pedals: a dictionary entry on the trombone and a composers' guide
//! ("no active or quiet writing in the pedals"). Bass trombone: common practice. Two notes a second:
//! estimate.
//!
//! **Caution.** Pedals practised for long can tire the lips; a teacher knows how much is good.
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4
//! Tb1 | h : mf Bb1 F#1 |
//! //               ^^^ warning pedal-care: pedal
//! ```
//!
//! ```brass
//! player Tb3 = bass trombone
//! bar 1  meter 4/4
//! Tb3 | h : mf Bb1 F#1 |
//! ```
//!
//! **Fixes.** An octave up; the bass trombone or tuba; a longer value; a louder dynamic.

use super::finding::{Cure, Severity};
use super::lie::{self, Lie};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View, runs};
use super::wording::{at_level, capital};
use crate::brass::Level;
use crate::brass::kind::Kind;
use crate::music::Dynamic;
use crate::score::event::{Event, EventKind};
use crate::score::player::PlayerInstrument;

/// The rule.
pub const RULE: Rule = Rule {
    name: "pedal-care",
    severity: Severity::Warning,
    source: include_str!("pedal_care.rs"),
    limits: &[Limit { key: "notes", default: 2.0, unit: "notes a second", source: "estimate" }],
    check: Check::Pair(check),
};

#[derive(Clone, Copy, PartialEq)]
enum Care {
    /// Not a note of players at this level.
    Level,
    /// Nobody's ordinary note on this instrument.
    Effect,
    /// Too soft.
    Soft,
    /// Too fast.
    Fast,
    /// Bass trombone of an amateur.
    Amateur,
}

/// Who has as ordinary notes what is an effect on an instrument.
fn has_it(kind: Kind) -> &'static str {
    match kind {
        Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn | Kind::Bugle => "a trombone or euphonium",
        Kind::BassTrombone | Kind::Cimbasso | Kind::Tuba => "a lower instrument",
        _ => "a bass trombone or tuba",
    }
}

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.all_lie_well {
        return;
    }
    let fastest = RULE.limit(view.settings, "notes");
    let asked = |event: &Event, lie| if lie == Lie::Pedal { care(view, event, fastest) } else { None };
    for (care, run) in runs(view, asked) {
        let Some(event) = run.events.first() else { continue };
        let Some(instrument) = view.instrument(event) else { continue };
        let told = format!("{}, a pedal of the {},", capital(&view.told(event)), instrument.label);
        let octave = lie::octave_that_fits(view, &run.events);
        let up = if octave == Some(1) { " An octave up it is an ordinary note." } else { "" };
        let (severity, message, measured, limit) = match care {
            Care::Level => (
                Severity::Warning,
                format!("{told} is not a note to ask of {}.{up}", at_level(view.player.level)),
                event.written.to_string(),
                None,
            ),
            Care::Effect => (
                Severity::Warning,
                format!(
                    "{told} is an uncertain effect: pedals this low are not asked for on this instrument. Give it to {}.{up}",
                    has_it(instrument.instrument.kind)
                ),
                event.written.to_string(),
                None,
            ),
            Care::Soft => {
                let dynamic = event.dynamic.map_or("pp", Dynamic::word);
                (
                    Severity::Warning,
                    format!(
                        "{told} speaks badly at {dynamic}: pedals are written mp or louder. Raise the dynamic, or move it.{up}"
                    ),
                    dynamic.to_owned(),
                    Some("p".to_owned()),
                )
            }
            Care::Fast => {
                let speed = speed(view, event).unwrap_or(0.0);
                (
                    Severity::Warning,
                    format!(
                        "{told} comes too quickly to speak: {speed:.1} notes a second, where pedals allow about {fastest} (an estimate). Give it more time.{up}"
                    ),
                    format!("{speed:.1} notes a second"),
                    Some(format!("{fastest} notes a second")),
                )
            }
            Care::Amateur => (
                Severity::Information,
                format!("{told} is an ordinary note for a professional; not every amateur has it.{up}"),
                event.written.to_string(),
                None,
            ),
        };
        found.push(LocalFinding {
            measured: Some(measured),
            limit,
            cures: octave.filter(|o| *o > 0).map(|octaves| Cure::Octave { octaves }).into_iter().collect(),
            ..run.finding(found.rule, view, severity, message)
        });
    }
}

fn care(view: &View<'_>, event: &Event, fastest: f64) -> Option<Care> {
    let instrument = view.instrument(event)?;
    let midi = event.sounding.midi();
    let by_level = by_level(instrument, view.player.level, midi);
    if by_level.is_some_and(|c| c != Care::Amateur) {
        return by_level;
    }
    if event.dynamic.is_some_and(|d| matches!(d, Dynamic::Pppp | Dynamic::Ppp | Dynamic::Pp)) {
        return Some(Care::Soft);
    }
    if speed(view, event).is_some_and(|s| s > fastest) {
        return Some(Care::Fast);
    }
    by_level
}

/// True for a pedal that this player has as a note among others, if it is not too soft or too quick.
pub fn is_ordinary(instrument: &PlayerInstrument, level: Level, midi: i32) -> bool {
    by_level(instrument, level, midi).is_none_or(|care| care == Care::Amateur)
}

fn by_level(instrument: &PlayerInstrument, level: Level, midi: i32) -> Option<Care> {
    // A player who says how low they go is believed.
    let own = instrument.own_bottom.is_some() && midi >= instrument.limits.low;
    if own { None } else { at_this_level(instrument, level, midi) }
}

fn at_this_level(instrument: &PlayerInstrument, level: Level, midi: i32) -> Option<Care> {
    let open = instrument.instrument.tube.fundamental;
    let lowest = instrument.limits.pedal_low;
    match (instrument.instrument.kind, level) {
        (Kind::Trombone, Level::Professional) => (midi < open - 3).then_some(Care::Effect),
        (Kind::BassTrombone, Level::Professional) => (midi < open - 6).then_some(Care::Effect),
        (Kind::BassTrombone, Level::Amateur) if midi >= open - 6 => Some(Care::Amateur),
        (_, Level::Professional) if lowest.is_some_and(|low| midi >= low) => None,
        (_, Level::Professional) => Some(Care::Effect),
        _ => Some(Care::Level),
    }
}

/// Notes a second if all lasted as long as this one, what is tied to it included; `None` without a tempo or a length.
fn speed(view: &View<'_>, event: &Event) -> Option<f64> {
    // A grace has no length, and what is tied is the note behind it.
    if event.kind != EventKind::Note {
        return None;
    }
    let after = view.events.partition_point(|e| (e.bar, e.onset) <= (event.bar, event.onset));
    let held = view.events.get(after..).unwrap_or_default().iter();
    let held = held.take_while(|e| e.kind == EventKind::Hold).map(|e| e.length.to_f64());
    let seconds = view.whole_seconds? * (event.length.to_f64() + held.sum::<f64>());
    (seconds > 0.0).then(|| 1.0 / seconds)
}
