//! # mute-left-in
//!
//! A mute that nobody took out or put in: what the part says and what is in the bell do not go together.
//!
//! **Why.** A mute stays in until `[open]`. Forgotten, it spoils the next tutti; and a player who reads *senza
//! sordino* with nothing in wonders what was missed.
//!
//! **Numbers.** Warnings: a passage comes round again with another mute in, or none, than when it was first played,
//! though the player has played like that before it came round; printed words (`"senza sord."`, `"con sord."`,
//! `"cup mute"`) that say another thing than the instructions in force at the next note. Information: `[open]` for a
//! player who has played before it and who never, in the whole piece, has anything in the bell. A mute that is put in
//! or out after the last note before a repeat is meant for it, and nothing is told. A piece may end with the mute in.
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
use super::rule::{Check, Rule};
use crate::brass::Mute;
use crate::brass::mute_words::MuteWords;
use crate::notation::Span;
use crate::notation::tree::{Instruction, Mark};
use crate::score::event::{Event, EventKind, Origin};
use crate::score::state::PlayedState;
use crate::score::turn::{Says, Turn};

/// The rule.
pub const RULE: Rule = Rule {
    name: "mute-left-in",
    severity: Severity::Warning,
    source: include_str!("mute_left_in.rs"),
    limits: &[],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Something was played since the last instruction about mutes.
    played: bool,
    /// The same muddle has been told.
    told: bool,
    /// Words that wait for the next note.
    words: Option<(Spot, MuteWords)>,
    /// The player has played.
    begun: bool,
    /// Something was in or before the bell.
    ever: bool,
    /// The first `[open]` for which there was no reason so far.
    open: Option<Spot>,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some((spot, _)) = &mut self.words {
            spot.age();
        }
        self.open.iter_mut().for_each(Spot::age);
    }
}

/// Needs no time: what is in the bell when something comes round first, and what is later.
fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.mute_left_in;
    let (now, first) = (passage.arriving, passage.first_arriving);
    // As long as nothing was said in the block, it is as the block was reached.
    let mut differs = now.mute != first.mute && now.instrument == first.instrument;
    state.told &= differs;
    let mut turns =
        passage.turns.iter().filter(|turn| turn.origin != Origin::Again || changes(turn)).peekable();
    for event in passage.events.iter().filter(|event| sounds(event)) {
        while let Some(turn) = turns.next_if(|turn| turn.is_before(event.bar, event.onset)) {
            differs &= !is_about_mutes(turn);
            state.say(turn);
        }
        if let Some((spot, words)) = state.words.take() {
            told.out.extend(contradicted(spot, words, event.played, told.rule));
        }
        if differs && state.played && !state.told {
            state.told = true;
            told.push(otherwise(event, now.mute, first.mute, told.rule));
        }
        state.played = true;
        state.begun = true;
        state.ever |= is_closed(event.played) || by_hand(event);
    }
    turns.for_each(|turn| state.say(turn));
    if passage.over
        && let Some(spot) = state.open.take().filter(|_| !state.ever)
    {
        told.push(idle(spot, told.rule));
    }
}

impl State {
    fn say(&mut self, turn: &Turn) {
        let spot = Spot { back: 0, line: turn.line, span: turn.span, bar: turn.bar };
        if let Says::Mute(words) = turn.says {
            self.words = (turn.origin == Origin::Here).then_some((spot, words));
        }
        if !is_about_mutes(turn) {
            return;
        }
        self.told = false;
        self.played = false;
        self.ever |= is_closed(turn.to);
        let open = turn.says == Says::Instruction(Instruction::Open);
        if open && self.begun && !self.ever && turn.origin == Origin::Here {
            self.open.get_or_insert(spot);
        }
    }
}

/// True where something is in or before the bell.
fn is_closed(state: PlayedState) -> bool {
    state.mute.is_some() || state.stopped || state.hand
}

fn by_hand(event: &Event) -> bool {
    [Mark::Closed, Mark::Open, Mark::Wah, Mark::Stopped].into_iter().any(|mark| event.marks.has(mark))
}

fn changes(turn: &Turn) -> bool {
    matches!(turn.says, Says::Instruction(_))
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
    let at = Span::new(event.span.start, event.span.start);
    Cure::Replace { title: format!("Write {text} here"), edits: vec![(at, format!("{text} "))] }
}

/// Words that say another thing than what is in force at the next note.
fn contradicted(
    spot: Spot,
    words: MuteWords,
    state: PlayedState,
    rule: &'static str,
) -> Option<PassageFinding> {
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
    Some(PassageFinding {
        rule,
        severity: Severity::Warning,
        grade: 1,
        at: spot,
        from: spot,
        to: spot,
        lead: "Words about a mute".to_owned(),
        tail: format!(
            " change nothing by themselves: at the next note {is}. Write the instruction `{wanted}`, which the part prints in words."
        ),
        badness: 0.0,
        measured: None,
        limit: None,
        related: Vec::new(),
        cures: vec![Cure::Replace { title, edits: vec![(spot.span, wanted)] }],
    })
}

/// `[open]` for somebody who never has anything in the bell.
fn idle(spot: Spot, rule: &'static str) -> PassageFinding {
    PassageFinding {
        rule,
        severity: Severity::Information,
        grade: 1,
        at: spot,
        from: spot,
        to: spot,
        lead: "There is nothing to take out".to_owned(),
        tail: ": in the whole piece no mute goes in and no hand closes the bell. Take `[open]` away, or write the mute where it was meant.".to_owned(),
        badness: 0.0,
        measured: None,
        limit: None,
        related: Vec::new(),
        cures: vec![Cure::WithoutInstructions { instructions: vec![spot.span] }],
    }
}
