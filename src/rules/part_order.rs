//! # part-order
//!
//! A high horn player is given a long low passage, or a low one a high note.
//!
//! **Why.** First and third horn train the top of the range, second and fourth the bottom: other mouthpieces, other
//! lips. What is everyday work for one is a risk for the other.
//!
//! **Numbers.** Information where a horn of odd number plays nothing but notes below written F3 in more than four
//! bars on end (`low-bars`, with or without rests between), and where a horn of even number has a note above
//! written A5 that no horn of odd number of the section sounds with it. Above what the level plays, `too-high`
//! speaks instead. That second trumpets and trombones play as high as the first is not judged: players who take
//! turns live longer, and lines that cross are told by `crossed-parts`.
//!
//! **Source.** High and low horns: Adler, The Study of Orchestration, and Piston, Orchestration, both from memory;
//! players' threads. The numbers are estimates.
//!
//! ```brass
//! pitch written
//! player Hn1 = horn in F
//! player Hn2 = horn in F
//! bar 1  meter 4/4  tempo q = 80
//! Hn1 | w : mf G5 |                    |
//! Hn2 | w : mf E5 | q*4 : G5 A5 Bb5 G5 |
//! //                            ^^^ information part-order: second and fourth
//! ```
//!
//! ```brass
//! pitch written
//! player Hn1 = horn in F
//! player Hn2 = horn in F
//! bar 1  meter 4/4  tempo q = 80
//! Hn1 | w : mf E5 | q*4 : G5 A5 Bb5 G5 |
//! Hn2 | w : mf C5 |                    |
//! ```
//!
//! **Fixes.** The lines of two horns exchanged; the note in the first or third too.

use super::ensemble::{Carried as Together, Chair, Company, Left, SAME_PLACE, SharedPassage, SharedTold};
use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::pitch_for;
use crate::brass::Kind;
use crate::score::event::{Event, EventKind};

/// Written F3 of a horn in F, sounding: a high horn seldom goes lower (estimate).
const LOW: i32 = 46;
/// Written A5, sounding: a low horn seldom goes higher (estimate).
const HIGH: i32 = 74;

/// The rule.
pub const RULE: Rule = Rule {
    name: "part-order",
    severity: Severity::Information,
    source: include_str!("part_order.rs"),
    limits: &[
        Limit { key: "low-bars", default: 4.0, unit: "bars", source: "estimate" },
        Limit { key: "shift", default: 0.0, unit: "semitones", source: "estimate" },
    ],
    check: Check::Together { alone, together },
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Bars in which nothing but low notes was played, since the last other note.
    bars: u32,
    /// The last of them, in this visit.
    bar: Option<u32>,
    first: Option<Spot>,
    /// It has been told.
    told: bool,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.bar = None;
        self.first.iter_mut().for_each(Spot::age);
    }

    /// A low note.
    fn low(&mut self, event: &Event) {
        if self.told || self.bar == Some(event.bar) {
            return;
        }
        self.bars += 1;
        self.bar = Some(event.bar);
        self.first.get_or_insert(Spot::of(event));
    }
}

fn alone(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let Some(chair) = Chair::of(passage.player) else { return };
    let horn = |e: &Event| passage.instrument(e).filter(|held| held.instrument.kind == Kind::Horn);
    if !passage.player.instruments.iter().any(|held| held.instrument.kind == Kind::Horn) {
        return;
    }
    let shift = RULE.limit(passage.settings, "shift") as i32;
    let state = &mut carried.part_order;
    for event in passage.events.iter().filter(|e| e.kind == EventKind::Note) {
        let Some(held) = horn(event) else {
            *state = State::default();
            continue;
        };
        let midi = event.sounding.midi();
        if chair.is_low_horn() {
            if midi > HIGH + shift && midi <= held.limits.usual {
                let here = Spot::of(event);
                let note = pitch_for(held, midi, passage.key);
                let mark = pitch_for(held, HIGH + shift, passage.key);
                told.leave(Left::Unless(Box::new(PassageFinding {
                    tail: format!(
                        ": {note}, above {mark} (an estimate). First and third are the high players, second and fourth the low ones. Exchange the lines, or let the first or third play it too."
                    ),
                    measured: Some(note),
                    limit: Some(mark),
                    badness: f64::from(midi),
                    ..finding(here, here, format!("A high note for horn {}", chair.number))
                })));
            }
            continue;
        }
        if midi >= LOW + shift {
            *state = State::default();
            continue;
        }
        state.low(event);
        let most = RULE.limit(passage.settings, "low-bars");
        if f64::from(state.bars) > most + SAME_PLACE && !state.told {
            let here = Spot::of(event);
            let bars = state.bars;
            let from = state.first.unwrap_or(here);
            *state = State { told: true, ..State::default() };
            let mark = pitch_for(held, LOW + shift, passage.key);
            told.push(PassageFinding {
                tail: format!(
                    ": nothing but notes below {mark} in more than {most} bars on end (an estimate). First and third are the high players, second and fourth the low ones. Exchange the lines."
                ),
                measured: Some(format!("{bars} bars")),
                limit: Some(format!("{most} bars")),
                badness: f64::from(bars),
                ..finding(here, from, format!("A low passage for horn {}", chair.number))
            });
        }
    }
    if passage.over {
        *state = State::default();
    }
}

fn finding(at: Spot, from: Spot, lead: String) -> PassageFinding {
    PassageFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        at,
        from,
        to: at,
        lead,
        tail: String::new(),
        badness: 0.0,
        measured: None,
        limit: None,
        related: Vec::new(),
        cures: Vec::new(),
    }
}

/// Of each low horn the highest note that no high horn has too.
fn together(company: &Company<'_>, _: &mut Together, told: &mut SharedTold<'_>) {
    let mut highest: Option<SharedPassage> = None;
    for (player, left) in company.left(RULE.name) {
        let Left::Unless(alone) = left else { continue };
        if helped(company, player, alone.at).unwrap_or(false) {
            continue;
        }
        if let Some(before) = &highest
            && before.players.first() == Some(&player)
        {
            if before.finding.badness >= alone.badness {
                continue;
            }
        } else {
            told.out.extend(highest.take());
        }
        highest = Some(SharedPassage { players: vec![player], finding: (**alone).clone() });
    }
    told.out.extend(highest);
}

/// True if a high horn of the section sounds the same note then.
fn helped(company: &Company<'_>, player: u16, at: Spot) -> Option<bool> {
    let part = company.part(player)?;
    let chair = Chair::of(part.person)?;
    let note = part.note(at)?;
    let midi = note.sounding?.midi();
    let same = company.others(player).any(|(other, n)| {
        let high = Chair::of(other.person).is_some_and(|c| c.section == chair.section && !c.is_low_horn());
        high && n.sounds_at(note.from) && n.sounding.is_some_and(|p| p.midi() == midi)
    });
    Some(same)
}
