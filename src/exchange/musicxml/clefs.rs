//! Which clef each bar of a part is in: the one its player reads, and where the notes ask for another, that.

use super::tones::Chord;
use crate::brass::Kind;
use crate::exchange::paper::{Free, Line};
use crate::music::{Clef, Interval, Pitch};
use crate::notation::tree::Instruction;
use crate::score::player::{Player, PlayerInstrument};

/// Ledger lines that nobody minds (estimate).
const EASY_LEDGERS: i32 = 2;
/// What a change of clef costs, in ledger lines beyond the easy ones (estimate).
const CHANGE: u64 = 24;
/// What a bar in another clef than the player's own costs, in the same (estimate).
const ABROAD: u64 = 1;
/// What each ledger line beyond the easy ones costs (estimate).
const LEDGER: u64 = 4;

/// The clef at the beginning of each bar. Where the score names clefs it is followed.
pub fn clefs(line: &Line, chords: &[Vec<Chord>], player: &Player, concert: bool) -> Vec<Clef> {
    let hands = hands(chords);
    let said = |free: &Free| matches!(free, Free::Instruction(Instruction::Clef(_)));
    let named = !concert && line.iter().any(|bar| bar.free.iter().any(|f| said(&f.what)));
    let choices: Vec<Vec<Clef>> =
        hands.iter().map(|hand| choices(player.instrument(*hand), named, concert)).collect();
    if named {
        return as_named(line, &hands, &choices);
    }
    let costs: Vec<Vec<u64>> = chords
        .iter()
        .zip(&choices)
        .map(|(bar, clefs)| clefs.iter().map(|c| cost(bar, *c)).collect())
        .collect();
    cheapest(&choices, &costs, concert)
}

/// The instrument in hand at the beginning of each bar.
fn hands(chords: &[Vec<Chord>]) -> Vec<u8> {
    let first = chords.iter().flatten().next().map_or(0, |c| c.played.instrument);
    let mut hand = first;
    let mut all = Vec::with_capacity(chords.len());
    for bar in chords {
        hand = bar.first().map_or(hand, |c| c.played.instrument);
        all.push(hand);
    }
    all
}

/// The clefs that a player may be given on an instrument, their own first.
fn choices(held: Option<&PlayerInstrument>, named: bool, concert: bool) -> Vec<Clef> {
    let Some(held) = held else { return vec![Clef::Treble] };
    let own = held.clef.unwrap_or(held.instrument.clef);
    if concert && held.instrument.reads != Interval::UNISON {
        let low = held.instrument.reads.semitones < -12 || own == Clef::Bass;
        return if low { vec![Clef::Bass, Clef::Treble] } else { vec![Clef::Treble, Clef::Bass] };
    }
    if named || held.clef.is_some() {
        return vec![own];
    }
    other(held.instrument.kind, own).map_or_else(|| vec![own], |other| vec![own, other])
}

/// The second clef that players of an instrument read beside their own.
fn other(kind: Kind, own: Clef) -> Option<Clef> {
    match (kind, own) {
        (Kind::Horn | Kind::NaturalHorn | Kind::WagnerTuba, Clef::Treble) => Some(Clef::Bass),
        (Kind::Trombone | Kind::BassTrombone | Kind::Euphonium | Kind::Baritone, Clef::Bass) => {
            Some(Clef::Tenor)
        }
        _ => None,
    }
}

/// True for a note that may be put in another clef, unless the player's line names this one.
pub fn asks_for_another(kind: Kind, own: Clef, written: Pitch) -> bool {
    other(kind, own).is_some() && ledgers(written, own) > EASY_LEDGERS
}

/// What the score says; another instrument begins in its own clef.
fn as_named(line: &Line, hands: &[u8], choices: &[Vec<Clef>]) -> Vec<Clef> {
    let mut now = Clef::Treble;
    let mut hand = None;
    let mut all = Vec::with_capacity(line.len());
    for ((bar, at), own) in line.iter().zip(hands).zip(choices) {
        if hand.replace(*at) != Some(*at) {
            now = own.first().copied().unwrap_or(now);
        }
        let clef = |free: &Free| match free {
            Free::Instruction(Instruction::Clef(clef)) => Some(*clef),
            _ => None,
        };
        let at_once = bar.free.iter().filter(|f| f.onset.is_zero()).filter_map(|f| clef(&f.what)).next_back();
        now = at_once.unwrap_or(now);
        all.push(now);
        now = bar.free.iter().filter_map(|f| clef(&f.what)).next_back().unwrap_or(now);
    }
    all
}

/// Staff line of a clef's lowest and highest line, counted as [`Pitch::staff`](crate::music::Pitch::staff).
fn lines(clef: Clef) -> (i32, i32) {
    let lowest = match clef {
        Clef::Treble => 30,
        Clef::Bass => 18,
        Clef::Tenor => 22,
        Clef::Alto => 24,
    };
    (lowest, lowest + 8)
}

/// The middle line of a clef's stave.
pub fn middle(clef: Clef) -> i32 {
    let (lowest, highest) = lines(clef);
    (lowest + highest) / 2
}

fn cost(bar: &[Chord], clef: Clef) -> u64 {
    let of = |pitch: Pitch| u64::try_from(ledgers(pitch, clef) - EASY_LEDGERS).unwrap_or(0) * LEDGER;
    bar.iter().flat_map(|chord| &chord.tones).map(|tone| of(tone.pitch)).sum()
}

fn ledgers(pitch: Pitch, clef: Clef) -> i32 {
    let (lowest, highest) = lines(clef);
    ((lowest - pitch.staff()).max(pitch.staff() - highest) / 2).max(0)
}

/// The way through the bars that costs least.
fn cheapest(choices: &[Vec<Clef>], costs: &[Vec<u64>], concert: bool) -> Vec<Clef> {
    // By bar, by choice: the least cost up to there, and the choice before.
    let mut steps: Vec<Vec<(u64, usize)>> = Vec::with_capacity(choices.len());
    let mut before: Option<(&Vec<Clef>, Vec<u64>)> = None;
    for (own, costs) in choices.iter().zip(costs) {
        let abroad = |i: usize| if concert || i == 0 { 0 } else { ABROAD };
        let mut step = Vec::with_capacity(own.len());
        for (i, (clef, cost)) in own.iter().zip(costs).enumerate() {
            let reached = match &before {
                // A part begins in its own clef, unless there is good reason.
                None => (if concert || i == 0 { 0 } else { CHANGE }, 0),
                Some((then, sums)) => {
                    let ways = then
                        .iter()
                        .zip(sums)
                        .enumerate()
                        .map(|(j, (from, sum))| (sum + if from == clef { 0 } else { CHANGE }, j));
                    ways.min().unwrap_or((0, 0))
                }
            };
            step.push((reached.0 + cost + abroad(i), reached.1));
        }
        before = Some((own, step.iter().map(|(sum, _)| *sum).collect()));
        steps.push(step);
    }
    let mut at = steps.last().and_then(|last| (0..last.len()).min_by_key(|i| last.get(*i).copied()));
    let mut all = Vec::with_capacity(choices.len());
    for (own, step) in choices.iter().zip(&steps).rev() {
        let here = at.unwrap_or(0);
        all.push(own.get(here).copied().unwrap_or(Clef::Treble));
        at = step.get(here).map(|(_, before)| *before);
    }
    all.reverse();
    all
}
