//! # mute-left-in
//!
//! A mute that nobody took out or put in: what the part says and what is in the bell do not go together.
//!
//! **Why.** A mute stays in until `[open]`. Forgotten, it spoils the next tutti; and a player who reads *senza
//! sordino* with nothing in wonders what was missed.
//!
//! **Numbers.** Warnings: a passage comes round again with another mute in, or none, than when it was first played,
//! though the player has played like that before it came round; printed words (`"senza sord."`, `"con sord."`,
//! `"cup mute"`) that say another thing than the instructions in force at the next note. Information: `[open]` for a player
//! who has just played open (up to 8 bars before, `bars`), a `[mute …]` that is in already and plays. A mute that
//! is put in or out after the last note before a repeat is meant for it, and nothing is told. A piece may end with
//! the mute in.
//!
//! **Source.** That *con sordino* wants its *senza*, and that an unspecified mute is the straight one: a
//! university's trumpet notes, a concert-band page; common practice.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96  repeat 2
//! Tp1 | w : C5 | [mute cup] rest 2 | w : D5 | - |
//! //        ^^ warning mute-left-in: In pass 2
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96  repeat 2
//! Tp1 | w : C5 | [mute cup] rest 2 | w : D5 | [open] rest 2 |
//! ```
//!
//! **Fixes.** `[open]` in the rest after the last muted note, or the mute before the first; the words as an
//! instruction; the idle instruction taken out.

use super::finding::{Cure, Severity};
use super::mute_time::name;
use super::passage::{Carried, Passage, PassageFinding, Spot, Told};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View};
use crate::brass::Mute;
use crate::brass::mute_words::MuteWords;
use crate::notation::tree::{Instruction, Mark};
use crate::score::event::{Event, EventKind, Origin};
use crate::score::state::PlayedState;
use crate::score::turn::{Says, Turn};

/// The rule.
pub const RULE: Rule = Rule {
    name: "mute-left-in",
    severity: Severity::Warning,
    source: include_str!("mute_left_in.rs"),
    limits: &[Limit { key: "bars", default: 8.0, unit: "bars", source: "estimate" }],
    check: Check::Both(check, listen),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Something was played since the last instruction about mutes.
    played: bool,
    /// The same muddle has been told.
    told: bool,
}

/// Needs no time: what was in the bell when this came round first, and what is now.
fn listen(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.mute_left_in;
    let (now, first) = (passage.arriving, passage.first_arriving);
    let differs = now.mute != first.mute && now.instrument == first.instrument;
    state.told &= differs;
    let about_mutes = || passage.turns.iter().filter(|turn| is_about_mutes(turn));
    let Some(from) = about_mutes().next() else {
        if let Some(event) = passage.events.iter().find(|event| sounds(event)) {
            if differs && state.played && !state.told {
                state.told = true;
                told.push(otherwise(event, now.mute, first.mute, told.rule));
            }
            state.played = true;
        }
        return;
    };
    let early = passage.events.iter().find(|event| sounds(event) && !from.is_before(event.bar, event.onset));
    if let Some(event) = early.filter(|_| differs && state.played && !state.told) {
        told.push(otherwise(event, now.mute, first.mute, told.rule));
    }
    state.told = false;
    let last = about_mutes().last();
    state.played = passage
        .events
        .iter()
        .rev()
        .take_while(|event| last.is_some_and(|last| last.is_before(event.bar, event.onset)))
        .any(sounds);
}

fn is_about_mutes(turn: &Turn) -> bool {
    matches!(turn.says, Says::Instruction(Instruction::Mute(_) | Instruction::Open | Instruction::Switch(_)))
}

fn sounds(event: &Event) -> bool {
    matches!(event.kind, EventKind::Note | EventKind::Grace | EventKind::Improvised)
}

fn otherwise(event: &Event, now: Option<Mute>, first: Option<Mute>, rule: &'static str) -> PassageFinding {
    let spot = Spot::of(event);
    let word = |mute: Option<Mute>| mute.map_or("open".to_owned(), |mute| format!("with the {}", name(mute)));
    PassageFinding {
        rule,
        severity: Severity::Warning,
        grade: 1,
        at: spot,
        from: spot,
        to: spot,
        lead: format!("This is played {} now", word(now)),
        tail: format!(
            ", and {} when it came first: nobody has told the player to change. Write `[{}]` before it comes round again.",
            word(first),
            first.map_or("open".to_owned(), |mute| format!("mute {}", mute.word()))
        ),
        badness: 0.0,
        measured: Some(word(now)),
        limit: Some(word(first)),
        related: Vec::new(),
        cures: if event.origin == Origin::Here { vec![before(event, first)] } else { Vec::new() },
    }
}

/// What was in the bell at first, before this note.
fn before(event: &Event, mute: Option<Mute>) -> Cure {
    let text = mute.map_or("[open]".to_owned(), |mute| format!("[mute {}]", mute.word()));
    let at = crate::notation::Span::new(event.span.start, event.span.start);
    Cure::Replace { title: format!("Write {text} here"), edits: vec![(at, format!("{text} "))] }
}

fn check(view: &View<'_>, found: &mut Found<'_>) {
    for turn in view.turns.iter().filter(|turn| turn.origin == Origin::Here) {
        let told = match turn.says {
            Says::Mute(words) => words_say(view, turn, words),
            Says::Instruction(Instruction::Open) => idle_open(view, turn),
            Says::Instruction(Instruction::Mute(mute)) => idle_mute(view, turn, mute),
            _ => None,
        };
        if let Some((severity, message, cures)) = told {
            found.push(LocalFinding {
                rule: found.rule,
                severity,
                grade: 1,
                line: turn.line,
                span: turn.span,
                bar: turn.bar,
                message,
                measured: None,
                limit: None,
                related: Vec::new(),
                cures,
            });
        }
    }
}

type Said = (Severity, String, Vec<Cure>);

/// Words that say another thing than what is in force at the next note.
fn words_say(view: &View<'_>, turn: &Turn, words: MuteWords) -> Option<Said> {
    let next = view.events.iter().find(|event| sounds(event) && turn.is_before(event.bar, event.onset));
    let state: PlayedState = next.map(|event| event.played).or(view.turns.last().map(|last| last.to))?;
    let right = match (words, state.mute) {
        (MuteWords::Out, mute) => mute.is_none(),
        (MuteWords::In(None), mute) => mute.is_some() || state.stopped,
        (MuteWords::In(Some(wanted)), mute) => mute == Some(wanted),
    };
    if right {
        return None;
    }
    let wanted = match words {
        MuteWords::Out => "[open]".to_owned(),
        MuteWords::In(mute) => format!("[mute {}]", mute.unwrap_or(Mute::Straight).word()),
    };
    let is =
        state.mute.map_or("nothing is in the bell".to_owned(), |mute| format!("the {} is in", name(mute)));
    let title = format!("Write {wanted} instead of the words");
    Some((
        Severity::Warning,
        format!(
            "These words change nothing by themselves: at the next note {is}. Write the instruction `{wanted}`, which the part prints in words."
        ),
        vec![Cure::Replace { title, edits: vec![(turn.span, wanted)] }],
    ))
}

/// `[open]` for somebody who has just played open.
fn idle_open(view: &View<'_>, turn: &Turn) -> Option<Said> {
    let from = turn.from;
    if from.mute.is_some() || from.stopped || from.hand || !view.always_so {
        return None;
    }
    let bars = RULE.limit(view.settings, "bars").max(0.0) as u32;
    let before =
        || view.events.iter().filter(|event| !turn.is_before(event.bar, event.onset) && sounds(event));
    let last = before().next_back()?;
    let by_hand = [Mark::Closed, Mark::Open, Mark::Wah, Mark::Stopped];
    if turn.bar - last.bar > bars || before().any(|event| by_hand.into_iter().any(|m| event.marks.has(m))) {
        return None;
    }
    Some((
        Severity::Information,
        "There is nothing to take out: no mute is in and the bell is not closed. Take `[open]` away, or write the mute where it was meant.".to_owned(),
        vec![Cure::WithoutInstructions { instructions: vec![turn.span] }],
    ))
}

/// A mute that is in already and plays.
fn idle_mute(view: &View<'_>, turn: &Turn, mute: Mute) -> Option<Said> {
    let before = view.events.iter().filter(|event| !turn.is_before(event.bar, event.onset)).next_back()?;
    let plays = matches!(before.kind, EventKind::Note | EventKind::Hold);
    if turn.from.mute != Some(mute) || !plays || !view.always_so {
        return None;
    }
    Some((
        Severity::Information,
        format!(
            "The {} is in already. Take this away, or write `[open]` where it was to come out.",
            name(mute)
        ),
        vec![Cure::WithoutInstructions { instructions: vec![turn.span] }],
    ))
}
