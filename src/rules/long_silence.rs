//! # long-silence
//!
//! An entry after so many bars of rest that a player should have a cue.
//!
//! **Why.** Who counts forty bars miscounts some. A few small notes of what somebody else plays before the entry
//! tell the player where the piece is.
//!
//! **Numbers.** Information after 16 whole bars of rest (`bars`). A warning for a player's first entry of the piece
//! after 32 bars (`bars-first`), or after 90 s (`seconds-first`) that are 16 bars at least. Repeats and road map are
//! played out; without a tempo only bars count. Nothing is told where nobody else plays in the 8 bars before the
//! entry (`heard`), since there is nothing to give a cue from, and where words with *cue* in them stand in the rest
//! (`"cue: trombones"`).
//!
//! **Source.** That long rests need cues: an orchestration site's page on preparing parts; orchestral librarians'
//! guidelines (from memory). The counts are estimates.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 120
//! Tb1 | w : F3 | %*17           |
//! Tp1 | w : C5 | rest 16 | w : C5 |
//! //                           ^^ information long-silence: 16 bars
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 120
//! Tb1 | w : F3 | %*17                                    |
//! Tp1 | w : C5 | rest 12 | "cue: trombone" rest 4 | w : C5 |
//! ```
//!
//! **Fixes.** A cue from 4 to 8 bars before the entry, of somebody this player can hear.

use super::ensemble::{Carried as Together, Company, Left, Part, SAME_PLACE, SharedPassage, SharedTold};
use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use crate::score::event::{Event, EventKind};
use crate::score::turn::{Says, Turn};

const fn bars(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "bars", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "long-silence",
    severity: Severity::Information,
    source: include_str!("long_silence.rs"),
    limits: &[
        bars("bars", 16.0),
        bars("bars-first", 32.0),
        Limit { key: "seconds-first", default: 90.0, unit: "s", source: "estimate" },
        bars("heard", 8.0),
    ],
    check: Check::Together { alone, together },
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Whole bars of rest up to the beginning of the visit, and seconds.
    bars: u32,
    seconds: f64,
    /// The player has played.
    begun: bool,
    cued: bool,
}

/// A rest that is over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Silence {
    pub bars: u32,
    /// `None` without a tempo.
    pub seconds: Option<f64>,
    /// Nothing was played before it.
    pub first: bool,
}

fn alone(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let mut state = carried.long_silence;
    let mut turns = passage.turns.iter().filter(|turn| turn.says == Says::Cue).peekable();
    let mut last = None;
    let timed = !passage.sounds.is_empty();
    let mut entry = |state: &mut State, event: &Event, last: Option<u32>| {
        while turns.next_if(|turn: &&Turn| turn.is_before(event.bar, event.onset)).is_some() {
            state.cued = true;
        }
        let silence = Silence {
            bars: match last {
                Some(last) => event.bar.saturating_sub(last + 1),
                None => state.bars.saturating_add(passage.gap_bars).saturating_add(event.bar),
            },
            seconds: timed.then_some(state.seconds),
            first: !state.begun,
        };
        if !state.cued && f64::from(silence.bars) >= RULE.limit(passage.settings, "bars").max(1.0) {
            told.leave(Left::Silence { at: Spot::of(event), silence });
        }
        *state = State { begun: true, ..State::default() };
    };
    if timed {
        for sound in passage.sounds {
            let events = sound.of(passage.events);
            match (sound.sounds(), events) {
                (true, [first, ..]) => {
                    entry(&mut state, first, last);
                    last = events.last().map(|event| event.bar);
                }
                _ => state.seconds += sound.seconds,
            }
        }
    } else {
        for event in passage.events.iter().filter(|event| event.kind != EventKind::Rest) {
            entry(&mut state, event, last);
            last = Some(event.bar);
        }
    }
    state.cued |= turns.next().is_some();
    state.bars = match last {
        Some(last) => passage.bars.saturating_sub(last + 1),
        None => state.bars.saturating_add(passage.gap_bars).saturating_add(passage.bars),
    };
    carried.long_silence = state;
}

fn together(company: &Company<'_>, _: &mut Together, told: &mut SharedTold<'_>) {
    for (player, left) in company.left(RULE.name) {
        if let Left::Silence { at, silence } = left {
            told.out.extend(finding(company, player, *at, *silence));
        }
    }
}

fn finding(company: &Company<'_>, player: u16, at: Spot, silence: Silence) -> Option<SharedPassage> {
    let note = company.part(player)?.note(at)?;
    let limit = |key: &str| RULE.limit(company.settings, key);
    let bar = company.lengths.get(note.bar as usize)?.to_f64();
    let from = note.from - limit("heard") * bar;
    let by_end = |a: &(&Part<'_>, f64), b: &(&Part<'_>, f64)| a.1.total_cmp(&b.1);
    let here = company.others(player).filter(|(_, other)| other.from < note.from - SAME_PLACE);
    let here = here.map(|(part, other)| (part, other.to));
    let earlier = company.before.iter().filter(|part| part.player != player);
    let earlier = earlier.flat_map(|part| part.notes.iter().map(move |n| (part, n.to - company.before_end)));
    let heard = here.chain(earlier).filter(|(_, end)| *end > from + SAME_PLACE).max_by(by_end)?.0;
    let bars = f64::from(silence.bars);
    let by_seconds = silence.seconds.is_some_and(|s| s > limit("seconds-first") - SAME_SECONDS);
    let by_bars = bars >= limit("bars-first");
    let grave = silence.first && (by_bars || by_seconds);
    let limit_told = match (grave, by_bars) {
        (true, false) => format!("{} s", limit("seconds-first")),
        (true, true) => format!("{} bars", limit("bars-first")),
        (false, _) => format!("{} bars", limit("bars")),
    };
    let seconds = silence.seconds.map_or(String::new(), |seconds| format!(" ({seconds:.0} s)"));
    let which = if silence.first { "The first entry" } else { "An entry" };
    Some(SharedPassage {
        players: vec![player],
        finding: PassageFinding {
            rule: RULE.name,
            severity: if grave { Severity::Warning } else { Severity::Information },
            grade: 1,
            at,
            from: at,
            to: at,
            lead: format!("{which} after {} bars of rest{seconds}", silence.bars),
            tail: format!(
                ": from {limit_told} on, counting goes wrong (an estimate). Write a cue 4 to 8 bars before it, for example from {}, and say so in words (\"cue: …\").",
                heard.person.id
            ),
            badness: bars,
            measured: Some(match silence.seconds {
                Some(seconds) if grave && !by_bars => format!("{seconds:.0} s"),
                _ => format!("{} bars", silence.bars),
            }),
            limit: Some(limit_told),
            related: Vec::new(),
            cures: Vec::new(),
        },
    })
}
