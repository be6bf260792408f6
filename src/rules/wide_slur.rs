//! # wide-slur
//!
//! A slur leaps over harmonics, or changes them too fast.
//!
//! **Why.** In a slur the air goes on. On the way from one harmonic to another the lips pass those between,
//! and each of them wants to sound.
//!
//! **Numbers.** The harmonics passed over, in the best of all fingerings of the two notes: two are
//! information, three a warning; for school players two are a warning (`passed` is the number that is a
//! warning: 3, `passed-school`: 2). Downwards, more than an octave is a warning (`down`). Four changes of
//! harmonic in a slur, each less than a sixth of a second after the one before (`rate`), that no fingering
//! avoids are a warning. Slides are left out: what is slurred there is tongued softly. Glissandos are another thing.
//!
//! **Source.** What lies between two notes is the physics of the tube. That one harmonic is passed easily and
//! three hardly is from memory of Farkas, The Art of Brass Playing, 1962; the rate is an estimate.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 80
//! Tp1 | h : C4_ C6 |
//! //            ^^ warning wide-slur
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 80
//! Tp1 | h : C4_ C5 |
//! ```
//!
//! **Fixes.** The second note tongued softly; a note between; a fingering that stays on the same harmonic.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::{at_level, distance, pitch_for};
use crate::brass::how::How;
use crate::brass::instrument::Instrument;
use crate::brass::plan::bound;
use crate::brass::{Level, Way};
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};

/// Leap in semitones below which two harmonics cannot lie between.
const LEAST: i32 = 4;
/// Harmonics passed over that are worth knowing, one less than what is a warning.
const WORTH_KNOWING: u16 = 2;
/// Changes of harmonic in a row that are too many.
const CHANGES: u32 = 4;

/// The rule.
pub const RULE: Rule = Rule {
    name: "wide-slur",
    severity: Severity::Warning,
    source: include_str!("wide_slur.rs"),
    limits: &[
        Limit { key: "passed", default: 3.0, unit: "harmonics", source: "estimate" },
        Limit { key: "passed-school", default: 2.0, unit: "harmonics", source: "estimate" },
        Limit { key: "down", default: 12.0, unit: "semitones", source: "estimate" },
        Limit { key: "rate", default: 6.0, unit: "changes a second", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    note: Option<Last>,
    flips: Option<Flips>,
}

/// The note before.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Last {
    midi: i32,
    choice: Option<How>,
    since_seconds: f64,
    spot: Spot,
}

/// Quick changes of harmonic, one after the other.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Flips {
    first: Spot,
    last: Spot,
    changes: u32,
    seconds: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.note.iter_mut().for_each(|n| n.spot.age());
        if let Some(flips) = &mut self.flips {
            flips.first.age();
            flips.last.age();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.wide_slur;
    for sound in passage.sounds {
        let note = matches!(sound.kind, SoundKind::Note | SoundKind::Grace);
        if note && let Some(event) = sound.event(passage.events) {
            hear(passage, sound, event, state, told);
        } else if matches!(sound.kind, SoundKind::Silence | SoundKind::Improvised) {
            finish(passage, state, told);
            state.note = None;
        }
        if let Some(last) = &mut state.note {
            last.since_seconds += sound.seconds;
        }
    }
    if passage.ends {
        finish(passage, state, told);
        state.note = None;
    }
}

fn hear(passage: &Passage<'_>, sound: &Sound, event: &Event, state: &mut State, told: &mut Told<'_>) {
    let midi = event.sounding.midi();
    let choice = event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits));
    let here = Spot::of(event);
    let before = state.note.replace(Last { midi, choice, since_seconds: 0.0, spot: here });
    let slurred = sound.slurred && !sound.glides;
    let (Some(before), Some(held)) = (before.filter(|_| slurred), passage.instrument(event)) else {
        finish(passage, state, told);
        return;
    };
    let instrument = &held.instrument;
    if instrument.build.slide().is_some() || before.midi == midi {
        finish(passage, state, told);
        return;
    }
    if (midi - before.midi).abs() >= LEAST {
        told.out.extend(leap(passage, event, &before, choice, told.rule));
    }
    let quick = before.since_seconds < 1.0 / RULE.limit(passage.settings, "rate").max(0.1) - SAME_SECONDS;
    if !quick
        || sound.kind == SoundKind::Grace
        || passed(instrument, &before, midi, choice).is_none_or(|p| p.stays)
    {
        finish(passage, state, told);
        return;
    }
    let flips = state.flips.get_or_insert(Flips { first: before.spot, last: here, changes: 0, seconds: 0.0 });
    flips.last = here;
    flips.changes += 1;
    flips.seconds += before.since_seconds;
}

/// What lies between two notes.
struct Passed {
    /// Harmonics passed over at least.
    least: u16,
    /// Both notes can lie on one harmonic.
    stays: bool,
}

fn passed(instrument: &Instrument, before: &Last, midi: i32, choice: Option<How>) -> Option<Passed> {
    let (mine, theirs) = (chosen(instrument, choice, midi), chosen(instrument, before.choice, before.midi));
    let to = mine.as_ref().map_or(instrument.ways(midi), std::slice::from_ref);
    let from = theirs.as_ref().map_or(instrument.ways(before.midi), std::slice::from_ref);
    let good = |way: &&Way| !way.is_poor() && !way.is_weak();
    let apart =
        to.iter().filter(good).flat_map(|a| from.iter().filter(good).map(|b| a.partial.abs_diff(b.partial)));
    let least = apart.min()?;
    Some(Passed { least: least.saturating_sub(1), stays: least == 0 })
}

fn chosen(instrument: &Instrument, choice: Option<How>, midi: i32) -> Option<Way> {
    choice.and_then(|how| bound(instrument, how, midi))
}

fn leap(
    passage: &Passage<'_>,
    event: &Event,
    before: &Last,
    choice: Option<How>,
    rule: &'static str,
) -> Option<PassageFinding> {
    let held = passage.instrument(event)?;
    let midi = event.sounding.midi();
    let passed = passed(&held.instrument, before, midi, choice)?.least;
    let level = passage.level();
    let key = if level == Level::School { "passed-school" } else { "passed" };
    let limit = RULE.limit(passage.settings, key);
    let down = f64::from(before.midi - midi);
    let down_limit = RULE.limit(passage.settings, "down");
    let (severity, limit, from) = match f64::from(passed) {
        n if n >= limit => (Severity::Warning, format!("{limit} harmonics"), format!("{limit} are")),
        _ if down > down_limit => (
            Severity::Warning,
            format!("{down_limit} semitones"),
            "downwards more than an octave is".to_owned(),
        ),
        _ if passed >= WORTH_KNOWING => {
            (Severity::Information, format!("{limit} harmonics"), format!("{limit} are"))
        }
        _ => return None,
    };
    let here = Spot::of(event);
    let name = |midi| pitch_for(held, midi, passage.key);
    let between = match passed {
        0 => "no harmonic".to_owned(),
        1 => "one harmonic".to_owned(),
        n => format!("{n} harmonics"),
    };
    Some(PassageFinding {
        rule,
        severity,
        grade: 1,
        at: here,
        from: here,
        to: here,
        lead: format!(
            "A slur of {} from {} to {}",
            distance(midi.abs_diff(before.midi) as i32),
            name(before.midi),
            name(midi)
        ),
        tail: format!(
            " passes over {between} in the best fingering; {from} too much for {} to do cleanly (an estimate). Tongue the second note softly, or write a note between.",
            at_level(level)
        ),
        badness: f64::from(passed),
        measured: Some(between),
        limit: Some(limit),
        related: vec![(before.spot, "the slur begins here".to_owned())],
        cures: Vec::<Cure>::new(),
    })
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(flips) = state.flips.take() else { return };
    if flips.changes < CHANGES {
        return;
    }
    let rate = f64::from(flips.changes) / flips.seconds.max(SAME_SECONDS);
    let limit = RULE.limit(passage.settings, "rate");
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: 1,
        at: flips.first,
        from: flips.first,
        to: flips.last,
        lead: format!("{} changes of harmonic in a slur at {rate:.1} a second", flips.changes),
        tail: format!(
            ", and no fingering avoids them; from {limit} a second on lips do not follow (an estimate). Tongue some of the notes, or write slower ones."
        ),
        badness: rate,
        measured: Some(format!("{rate:.1} changes a second")),
        limit: Some(format!("{limit} changes a second")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
