//! # effect-contradiction
//!
//! Two marks on one note, or a mark and what follows, that contradict each other.
//!
//! **Why.** The player must choose, and every player chooses something else.
//!
//! **Numbers.** Information each: staccato or a wedge on a note that is slurred to one without (with dots on both it
//! is portato, and fine); tenuto with a wedge; a ghost note with an accent; a fall or a doit slurred to the next
//! note; `:closed`, `:open` or `:wah` with nothing to close the bell (a plunger, a hat or a harmon; a horn's hand
//! does); half-valve at ff and louder, which is thin whatever is written. Flutter under a slur over three notes or more (`notes`) that change at more
//! than 6 a second (`rate`), where the tempo is known.
//!
//! **Source.** Common practice; half-valve from chapters on trumpet effects; the rate is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | q q h : C5._ D5 Eb5-:wedge |
//! //            ^^^^ information effect-contradiction: slurred
//! //                    ^^^^^^^^^^ information effect-contradiction: tenuto
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4
//! Tp1 | q q h : C5._ D5. Eb5- |
//! ```
//!
//! **Fixes.** One of the two left out.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View, runs};
use super::wording::capital;
use crate::brass::body::{Loudness, effects};
use crate::brass::{Build, Mute};
use crate::notation::Span;
use crate::notation::tree::Mark;
use crate::score::event::{Event, EventKind};
use crate::score::passage::SoundKind;
use crate::score::state::Swell;

/// The rule.
pub const RULE: Rule = Rule {
    name: "effect-contradiction",
    severity: Severity::Information,
    source: include_str!("effect_contradiction.rs"),
    limits: &[
        Limit { key: "rate", default: 6.0, unit: "notes a second", source: "estimate" },
        Limit { key: "notes", default: 3.0, unit: "notes", source: "estimate" },
    ],
    check: Check::Both(check, passage),
};

/// What contradicts what, and the mark that may go.
type Clash = (&'static str, Mark);

const HELD_BY_HAND: [Mark; 3] = [Mark::Closed, Mark::Open, Mark::Wah];

fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.events.iter().all(|e| e.marks.is_empty()) {
        return;
    }
    for (at, event) in view.events.iter().enumerate() {
        if event.marks.is_empty() || event.kind != EventKind::Note {
            continue;
        }
        let next = view.events.get(at + 1..).unwrap_or_default().iter();
        let next = next.filter(|e| e.kind != EventKind::Grace).find(|e| e.kind != EventKind::Hold);
        // Over a barline another block may begin, and whether one does must make no difference.
        let next = next.filter(|e| e.bar == event.bar);
        let Some((what, mark)) = clash(view, event, next) else { continue };
        // The very event, as a run of one.
        let same = |e: &Event, _| std::ptr::eq(e, event).then_some(());
        for ((), run) in runs(view, same) {
            let note = capital(&view.told(event));
            let marks: Vec<(Span, Mark)> = vec![(event.span, mark)];
            found.push(LocalFinding {
                cures: vec![Cure::TakeAway { marks }],
                ..run.finding(
                    found.rule,
                    view,
                    Severity::Information,
                    format!("{note} {what} (common practice). Keep one of the two."),
                )
            });
        }
    }
}

fn clash(view: &View<'_>, event: &Event, next: Option<&Event>) -> Option<Clash> {
    let has = |mark| event.marks.has(mark);
    let short = |e: &Event| e.marks.has(Mark::Staccato) || e.marks.has(Mark::Wedge);
    let next = next.filter(|next| next.kind == EventKind::Note);
    if has(Mark::Tenuto) && has(Mark::Wedge) {
        return Some(("is marked tenuto, which is long, and with a wedge, which is very short", Mark::Wedge));
    }
    let joined = has(Mark::Slur) && next.is_some_and(|next| next.sounding != event.sounding);
    if joined && short(event) && next.is_some_and(|next| !short(next) && !next.marks.has(Mark::Tenuto)) {
        let mark = if has(Mark::Staccato) { Mark::Staccato } else { Mark::Wedge };
        return Some(("is marked short and slurred to the next note, which joins them", mark));
    }
    if joined && (has(Mark::Fall) || has(Mark::Doit)) {
        let mark = if has(Mark::Fall) { Mark::Fall } else { Mark::Doit };
        return Some((
            "leaves its pitch at the end and is slurred to the next note, which must begin there",
            mark,
        ));
    }
    if has(Mark::Ghost) && (has(Mark::Accent) || has(Mark::Marcato)) {
        let mark = if has(Mark::Accent) { Mark::Accent } else { Mark::Marcato };
        return Some(("is a ghost note, hardly heard, and has an accent", mark));
    }
    let loud = Loudness::of(event.dynamic) >= Loudness::Ff && event.swell != Some(Swell::Fading);
    if has(Mark::Halfvalve) && loud && has_valve(&view.instrument(event)?.instrument.build) {
        return Some((
            "is marked ff or louder and half-valve, which is thin however hard it is blown",
            Mark::Halfvalve,
        ));
    }
    let mark = HELD_BY_HAND.into_iter().find(|mark| has(*mark))?;
    let moved_by_hand =
        matches!(event.played.mute, Some(Mute::Plunger | Mute::Hat | Mute::Harmon | Mute::HarmonStemless));
    let by_hand = event.played.mute.is_none() && effects::has_hand(&view.instrument(event)?.instrument);
    let what = match event.played.mute {
        None => "is to be opened or closed, but nothing is before the bell that could be",
        Some(_) => "is to be opened or closed, but the mute in the bell leaves nothing to move",
    };
    (!moved_by_hand && !by_hand).then_some((what, mark))
}

/// On a slide the valve of an attachment serves.
fn has_valve(build: &Build) -> bool {
    match build {
        Build::Slide(slide) => slide.behind(true, false).is_some(),
        other => other.has_valves(),
    }
}

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Fluttered notes under a slur, each soon after the one before.
    run: Option<FlutterRun>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct FlutterRun {
    first: Spot,
    last: Spot,
    notes: u32,
    seconds: f64,
    since_seconds: f64,
    midi: i32,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(run) = &mut self.run {
            run.first.age();
            run.last.age();
        }
    }
}

fn passage(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.effect_contradiction;
    let slow = 1.0 / RULE.limit(passage.settings, "rate").max(0.1);
    for sound in passage.sounds {
        if sound.kind == SoundKind::Note {
            let event = sound.event(passage.events);
            let flutters = |e: &&Event| e.played.flutter || e.marks.has(Mark::Flutter);
            match event.filter(flutters) {
                Some(event) => {
                    let here = Spot::of(event);
                    let midi = event.sounding.midi();
                    match &mut state.run {
                        Some(run)
                            if sound.slurred
                                && run.midi != midi
                                && run.since_seconds < slow - SAME_SECONDS =>
                        {
                            run.notes += 1;
                            run.seconds += run.since_seconds;
                            (run.since_seconds, run.last, run.midi) = (0.0, here, midi);
                        }
                        _ => {
                            finish(passage, state, told);
                            state.run = Some(FlutterRun {
                                first: here,
                                last: here,
                                notes: 1,
                                seconds: 0.0,
                                since_seconds: 0.0,
                                midi,
                            });
                        }
                    }
                }
                None => finish(passage, state, told),
            }
        }
        if let Some(run) = &mut state.run {
            run.since_seconds += sound.seconds;
            if run.since_seconds > slow - SAME_SECONDS {
                finish(passage, state, told);
            }
        }
    }
    if passage.ends {
        finish(passage, state, told);
    }
}

fn finish(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(run) = state.run.take() else { return };
    if f64::from(run.notes) < RULE.limit(passage.settings, "notes") {
        return;
    }
    let rate = f64::from(run.notes - 1) / run.seconds.max(SAME_SECONDS);
    let limit = RULE.limit(passage.settings, "rate");
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Information,
        grade: 1,
        at: run.first,
        from: run.first,
        to: run.last,
        lead: format!("Flutter-tongue under a slur over {} notes at {rate:.1} a second", run.notes),
        tail: format!(
            "; above {limit} a second the roll covers the changes (an estimate). Keep the slur or the flutter, or write longer values."
        ),
        badness: rate,
        measured: Some(format!("{rate:.1} notes a second")),
        limit: Some(format!("{limit} notes a second")),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
