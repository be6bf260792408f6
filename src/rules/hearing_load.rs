//! # hearing-load
//!
//! Very loud playing goes on for minutes without a softer passage.
//!
//! **Why.** Brass is the loudest section of most ensembles, for those who play it and for those in front of the
//! bells. Ears tire like lips, and do not always come back.
//!
//! **Numbers.** Information where somebody has played at ff or louder for five minutes (`loud`), without a minute
//! (`quiet`) of rest or of anything softer in between. Rests shorter than that, and softer bars, do not count as loud
//! and do not start the count again. Repeats and road map are played out.
//!
//! **Source.** At three metres a trumpet was measured at 88 to 108 dB, a trombone at 90 to 106, a horn at 92 to 104;
//! 105 dB for five minutes is as much as 85 dB for a day of eight hours, and each 3 dB halve the time: Sound
//! Advice, note 12. That ff is 105 dB, and the minute, are estimates: rooms, places and players differ.
//!
//! **Caution.** General, and no medical advice. The player, the rules of the workplace and those who measure there
//! decide; who hears a ringing after playing should ask a doctor.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! allow no-rest heavy-load
//! bar 1  meter 4/4  tempo q = 60  repeat 20
//! Tp1 | h h : ff C5 D5, | h h : E5 C5, | h h : D5 B4, | w : C5, |
//! //                                              ^^^ information hearing-load: 5 minutes
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | h h : ff C5 D5, | h h : E5 C5, | h h : D5 B4, | w : C5, |
//! ```
//!
//! **Fixes.** A softer dynamic where it is not the climax; rests; at rehearsal softer, with more distance, screens,
//! risers or ear protection.

use super::ensemble::{Carried as Together, Company, Left, SharedPassage, SharedTold};
use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::listed;
use crate::brass::body::Loudness;

/// The rule.
pub const RULE: Rule = Rule {
    name: "hearing-load",
    severity: Severity::Information,
    source: include_str!("hearing_load.rs"),
    limits: &[
        Limit { key: "loud", default: 300.0, unit: "s", source: "Sound Advice, note 12: 105 dB" },
        Limit { key: "quiet", default: 60.0, unit: "s", source: "estimate" },
    ],
    check: Check::Together { alone, together },
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    loud_seconds: f64,
    /// Since the last loud sound.
    quiet_seconds: f64,
    first: Option<Spot>,
    /// It has been told, and nothing is counted until it is quiet.
    told: bool,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.first.iter_mut().for_each(Spot::age);
    }
}

fn alone(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.hearing_load;
    let limit = |key: &str| RULE.limit(passage.settings, key);
    for sound in passage.sounds {
        let loud = sound.event(passage.events).filter(|_| sound.sounds());
        let Some(event) = loud.filter(|e| Loudness::of(e.dynamic) >= Loudness::Ff) else {
            if state.told || state.first.is_some() {
                state.quiet_seconds += sound.seconds;
            }
            if state.quiet_seconds > limit("quiet") - SAME_SECONDS {
                *state = State::default();
            }
            continue;
        };
        state.quiet_seconds = 0.0;
        if state.told {
            continue;
        }
        let here = Spot::of(event);
        let first = *state.first.get_or_insert(here);
        state.loud_seconds += sound.seconds;
        if state.loud_seconds > limit("loud") - SAME_SECONDS {
            *state = State { told: true, ..State::default() };
            told.leave(Left::Unless(Box::new(found(passage, first, here))));
        }
    }
    if passage.ends {
        *state = State::default();
    }
}

fn found(passage: &Passage<'_>, from: Spot, at: Spot) -> PassageFinding {
    let seconds = RULE.limit(passage.settings, "loud");
    let minutes = minutes(seconds);
    PassageFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        at,
        from,
        to: at,
        lead: minutes.clone(),
        tail: String::new(),
        badness: seconds,
        measured: Some(minutes.clone()),
        limit: Some(minutes),
        related: Vec::new(),
        cures: Vec::new(),
    }
}

fn minutes(seconds: f64) -> String {
    if seconds >= 120.0 { format!("{:.0} minutes", seconds / 60.0) } else { format!("{seconds:.0} s") }
}

/// One finding for all who reach the limit in one visit; who does so twice in it is told twice.
fn together(company: &Company<'_>, _: &mut Together, told: &mut SharedTold<'_>) {
    let first = told.out.len();
    for (player, left) in company.left(RULE.name) {
        let Left::Unless(alone) = left else { continue };
        let mut here = told.out.iter_mut().skip(first);
        match here.find(|all| !all.players.contains(&player)) {
            Some(all) => all.players.push(player),
            None => told.out.push(SharedPassage { players: vec![player], finding: (**alone).clone() }),
        }
    }
    for all in told.out.iter_mut().skip(first) {
        word(company, all);
    }
}

fn word(company: &Company<'_>, all: &mut SharedPassage) {
    let players = &company.score.head.players;
    let names = all.players.iter().filter_map(|p| Some(players.get(usize::from(*p))?.id.as_str()));
    let names: Vec<&str> = names.collect();
    let quiet = minutes(RULE.limit(company.settings, "quiet"));
    all.finding.lead = format!("{} at ff or louder for {}", all.finding.lead, listed(&names));
    all.finding.tail = format!(
        ", and never {quiet} of anything softer in between. At 105 dB, which trumpets and trombones reach, that is as much as ears should have in a day (Sound Advice; an estimate for your room). Write less of it at ff; rehearse it softer, with distance, screens or ear protection. A general caution, no medical advice: the player, a doctor and the rules of the workplace decide."
    );
}
