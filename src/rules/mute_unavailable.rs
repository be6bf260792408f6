//! # mute-unavailable
//!
//! A mute that this player does not bring, or that is not made for the instrument.
//!
//! **Why.** A part that asks for what is not in the room is played with whatever is, or open.
//!
//! **Numbers.** None. If the player's line has `mutes …`, a mute that is not on it is a warning; who brings a harmon
//! can take its stem out. Without such a list every mute counts that is made for the instrument: all kinds for
//! trumpets, cornets and trombones; straight, cup and practice for flugelhorns, baritones and euphoniums; straight,
//! cup, practice and stopping for horns; straight and practice for tubas. Where only a straight one is usual
//! (cimbasso, contrabass trombone, Wagner tuba, natural instruments) another one is information.
//!
//! **Source.** Which mutes there are: a trombonist's blog (seven mutes), a tuba guide, brass-band mute guides;
//! common practice.
//!
//! ```brass
//! player Tp1 = trumpet in Bb, mutes straight cup
//! player Tu  = F tuba
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | [mute harmon] rest 2 | w : C5 |
//! //    ^^^^^^^^^^^^^ warning mute-unavailable: straight and cup
//! Tu  | [mute cup] rest 4 | w : F2 |
//! //    ^^^^^^^^^^ warning mute-unavailable: F tuba
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb, mutes harmon
//! player Tp2 = trumpet in Bb
//! player Hn  = horn in F
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | [mute harmon-stemless] rest 2 | w : C5 |
//! Tp2 | [mute bucket] rest 2          | w : G4 |
//! Hn  | [mute stopping] rest 2        | w : C4 |
//! ```
//!
//! **Fixes.** A mute the player has; the passage open; the mute added to the player's line.

use super::finding::{Cure, Severity};
use super::mute_time::name;
use super::rule::{Check, Found, LocalFinding, Rule, View};
use super::wording::listed;
use crate::brass::{Kind, Mute};
use crate::notation::tree::Instruction;
use crate::score::event::Origin;
use crate::score::player::PlayerInstrument;
use crate::score::turn::{Says, Turn};

/// The rule.
pub const RULE: Rule = Rule {
    name: "mute-unavailable",
    severity: Severity::Warning,
    source: include_str!("mute_unavailable.rs"),
    limits: &[],
    check: Check::Pair(check),
};

/// Mutes that are offered instead, at most.
const MOST_OFFERED: usize = 3;

fn check(view: &View<'_>, found: &mut Found<'_>) {
    for turn in view.turns.iter().filter(|turn| turn.origin != Origin::Again) {
        if let Says::Instruction(Instruction::Mute(mute)) = turn.says
            && let Some(held) = view.player.instrument(turn.to.instrument)
            && !has(held, mute)
        {
            found.push(finding(view, turn, mute, held, found.rule));
        }
    }
}

/// True if the player has this mute for the instrument.
fn has(held: &PlayerInstrument, mute: Mute) -> bool {
    let all = available(held);
    all.contains(&mute) || mute == Mute::HarmonStemless && all.contains(&Mute::Harmon)
}

fn available(held: &PlayerInstrument) -> Vec<Mute> {
    held.mutes.clone().unwrap_or_else(|| held.instrument.mutes.iter().collect())
}

fn finding(
    view: &View<'_>,
    turn: &Turn,
    mute: Mute,
    held: &PlayerInstrument,
    rule: &'static str,
) -> LocalFinding {
    let all = available(held);
    let words: Vec<&str> = all.iter().map(|m| m.word()).collect();
    let has = if words.is_empty() { "none".to_owned() } else { listed(&words) };
    let message = if held.mutes.is_some() {
        format!(
            "{} brings no {} for the {}; the player's line says: {has}. Write one of these, leave the passage open, or add `{}` to the player's mutes.",
            view.player.id,
            name(mute),
            held.label,
            mute.word()
        )
    } else {
        format!(
            "There is no {} for the {} in the usual case; made for it: {has} (common practice). Write one of these, or leave the passage open; who owns one says so with `mutes` on the player's line.",
            name(mute),
            held.label
        )
    };
    let severity = if held.mutes.is_none() && seldom_muted(held.instrument.kind, &all) {
        Severity::Information
    } else {
        Severity::Warning
    };
    let mut others: Vec<Mute> = all.into_iter().filter(|other| *other != Mute::Practice).collect();
    others.sort_by_key(|other| likeness(mute, *other));
    let instead = others.into_iter().take(MOST_OFFERED).map(|other| Cure::Replace {
        title: format!("Write [mute {}]", other.word()),
        edits: vec![(turn.span, format!("[mute {}]", other.word()))],
    });
    let here = turn.origin == Origin::Here;
    LocalFinding {
        rule,
        severity,
        grade: 1,
        line: turn.line,
        span: turn.span,
        bar: turn.bar,
        message,
        measured: None,
        limit: None,
        related: Vec::new(),
        cures: if here {
            instead.chain([Cure::WithoutInstructions { instructions: vec![turn.span] }]).collect()
        } else {
            Vec::new()
        },
    }
}

/// Instruments for which only a straight mute is usual, and hardly that.
fn seldom_muted(kind: Kind, all: &[Mute]) -> bool {
    let alone = matches!(all, [] | [Mute::Straight]);
    alone && !matches!(kind, Kind::Tuba)
}

/// How far one mute's sound is from another's, nearest first (estimate).
fn likeness(wanted: Mute, other: Mute) -> u8 {
    let soft =
        |mute: Mute| matches!(mute, Mute::Cup | Mute::Bucket | Mute::Whisper | Mute::Hat | Mute::Practice);
    match (wanted, other) {
        (Mute::Harmon, Mute::HarmonStemless) | (Mute::HarmonStemless, Mute::Harmon) => 0,
        (Mute::Plunger, Mute::Hat) | (Mute::Hat, Mute::Plunger) => 0,
        _ if soft(wanted) == soft(other) => 1,
        _ => 2,
    }
}
