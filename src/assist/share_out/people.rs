//! Who might have the notes, and what it would cost each.

use super::task::Task;
use crate::assist::sounding::at_moment;
use crate::music::Pitch;
use crate::section::cost::OUT_OF_THE_QUESTION;
use crate::section::force::in_hand;
use crate::section::harmony::{is_leading, role, root};
use crate::section::share::{Chord, Lying, Passage, Person, Tone};
use crate::section::share_lies::lying;
use crate::section::voices::{order, voice};
use crate::section::{Candidate, Part, Standing, Why, rank};

/// Players beyond those of the row who are looked at, the nearest first.
const MOST_OTHERS: usize = 6;
/// What it costs that a player rests whose own line the chords stand on (estimate): somebody else has the whole.
const OWN_LINE: u32 = 40;
/// What it costs at least that one more comes in (estimate).
const COMES_IN: u32 = 4;
/// How much another sound weighs, against taking a whole stretch over: a chord is of one colour (estimate).
const TIMBRE_TIMES: u32 = 2;
/// How much less short time before and after weighs: a note of a chord is found by ear (estimate).
const REST_OVER: u32 = 2;

/// Somebody who might have a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Who {
    pub player: usize,
    pub seat: u32,
    /// Their place among the people of the row; `None` for others.
    pub on_row: Option<usize>,
}

/// The people in the order of the passage, and the passage.
pub fn asked(task: &Task<'_>, named: Option<&[usize]>) -> (Vec<Who>, Passage) {
    let mut all: Vec<(u32, Who, Person)> = Vec::new();
    let people = &task.row.row.people;
    for (place, of) in people.iter().enumerate() {
        let who = Who { player: usize::from(of.player), seat: u32::from(of.seat), on_row: Some(place) };
        let rests = (task.over && people.len() == 1).then_some(OWN_LINE);
        all.push((0, who, person(task, who, rests, 0)));
    }
    if task.over {
        for (candidate, enters) in others(task, named) {
            let who = Who { player: candidate.player, seat: 0, on_row: None };
            put(task, &mut all, who, person(task, who, Some(0), enters));
        }
    }
    // People of one voice stand together.
    all.sort_by_key(|(voice, ..)| *voice);
    let who: Vec<Who> = all.iter().map(|(_, who, _)| *who).collect();
    let people = all.iter().map(|(voice, _, person)| Person { voice: *voice, ..*person }).collect();
    let chords = (0..task.units.len()).map(|at| chord(task, at, &who)).collect();
    (who, Passage { people, chords })
}

fn person(task: &Task<'_>, who: Who, rests: Option<u32>, enters: u32) -> Person {
    let (before, after) = task.around(who.player, who.seat);
    Person { voice: 0, rests, enters, before, after }
}

/// The other players who are free then, with what it costs that they come in.
fn others(task: &Task<'_>, named: Option<&[usize]>) -> Vec<(Candidate, u32)> {
    let comes_in = |candidate: &Candidate| -> u32 {
        let points = |part: &Part| match part.why {
            Why::Mute | Why::Level => part.points,
            Why::Timbre => part.points.saturating_mul(TIMBRE_TIMES),
            Why::Rest => part.points / REST_OVER,
            // How each note lies is told note by note.
            Why::Range | Why::Path | Why::Crossing | Why::Busy => 0,
        };
        candidate.cost.parts.iter().map(points).fold(COMES_IN, u32::saturating_add)
    };
    let on_row = |player: usize| task.row.row.people.iter().any(|p| usize::from(p.player) == player);
    let asked = |player: usize| named.is_none_or(|all| all.contains(&player));
    let free = rank(task.desk, &task.stretch)
        .into_iter()
        .filter(|c| c.standing == Standing::Free && !on_row(c.player) && asked(c.player));
    let mut all: Vec<(Candidate, u32)> = free
        .map(|c| (comes_in(&c), c))
        .map(|(n, c)| (c, n))
        .filter(|(_, n)| *n < OUT_OF_THE_QUESTION)
        .collect();
    all.sort_by_key(|(c, points)| (*points, c.player.abs_diff(task.stretch.player), c.player));
    all.truncate(MOST_OTHERS);
    all
}

/// Puts one more in: beside the people of the row where the voice is one of theirs, else among its own.
fn put(task: &Task<'_>, all: &mut Vec<(u32, Who, Person)>, who: Who, person: Person) {
    let players = &task.desk.score().head.players;
    let order = order(task.desk);
    let place = |at: usize| order.get(at).copied().unwrap_or(at);
    let voice_of = |at: usize| players.get(at).and_then(|p| voice(p));
    let mine = voice_of(who.player);
    let with_row = all.iter().any(|(_, w, _)| w.on_row.is_some() && voice_of(w.player) == mine);
    let number = if with_row { 0 } else { mine.map_or(u32::MAX, |v| v as u32 + 1) };
    let alike = |(n, w, _): &(u32, Who, Person)| *n == number && voice_of(w.player) == mine;
    let before = all.iter().position(|one| alike(one) && place(one.1.player) > place(who.player));
    let behind = all.iter().rposition(alike).map(|at| at + 1);
    let at = before.or(behind).unwrap_or(all.len());
    all.insert(at, (number, who, person));
}

fn chord(task: &Task<'_>, number: usize, people: &[Who]) -> Chord {
    let Some(unit) = task.units.get(number) else { return Chord::default() };
    let desk = task.desk;
    let block = task.stretch.block;
    let mut together: Vec<Pitch> =
        at_moment(desk, block, unit.at.bar, unit.at.onset).iter().map(|v| v.sounding).collect();
    together.extend(unit.tones.iter().map(|(pitch, _)| *pitch));
    let root = root(&together);
    let key = task.row.placed.frame.key;
    let tone = |(pitch, _): &(Pitch, usize)| Tone {
        sounding: pitch.midi(),
        role: role(*pitch, root),
        leading: is_leading(*pitch, key),
    };
    let lies = |who: &Who| -> Vec<Lying> {
        let player = desk.score().head.players.get(who.player);
        let held = player.and_then(|p| p.instrument(in_hand(desk, who.player, block, unit.at).instrument));
        let of = |(pitch, _): &(Pitch, usize)| held.map_or(Lying::default(), |h| lying(h, pitch.midi()));
        unit.tones.iter().map(of).collect()
    };
    Chord { tones: unit.tones.iter().map(tone).collect(), lies: people.iter().map(lies).collect() }
}
