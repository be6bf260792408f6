//! Whether the same pitches sound at the same times, and everybody else does what they did.

use super::people::Who;
use super::task::Task;
use crate::assist::cure::Trial;
use crate::assist::hand_over::Declined;
use crate::assist::hand_over::kept::{same, same_later, told};
use crate::assist::hand_over::line::Line;
use crate::rules::Desk;
use crate::score::event::{Event, EventKind};
use crate::section::At;
use crate::section::stretch::{begins, ends, sounds};

/// One thing that sounds: begins, ends, kind, height.
type Sound = (At, At, u8, i32);

/// Seats of a part that are listened to.
const MOST_SEATS: u32 = 99;

fn people(desk: &Desk) -> impl Iterator<Item = (usize, u32)> + '_ {
    let players = desk.score().head.players.iter().enumerate();
    players.flat_map(|(at, p)| (0..p.seats.clamp(1, MOST_SEATS)).map(move |seat| (at, seat)))
}

fn sound(event: &Event, height: i32) -> Sound {
    (begins(event), ends(event), event.kind as u8, if event.kind == EventKind::Hold { 0 } else { height })
}

/// What the text asks for before: of the chords all notes.
fn asked_for(task: &Task<'_>) -> Vec<Sound> {
    let (desk, block) = (task.desk, task.stretch.block);
    let mut all = Vec::new();
    let first = task.row.row.people.first().map(|p| (usize::from(p.player), u32::from(p.seat)));
    for (player, seat) in people(desk) {
        let is_first = first == Some((player, seat));
        let mut held: Option<usize> = None;
        for event in desk.report().events_of_seat(desk.score(), block, player, seat) {
            let unit = on_row(task, player, seat).then(|| task.unit_of(&event)).flatten();
            let unit = unit.and_then(|at| task.units.get(at));
            match (unit, held) {
                (Some(unit), _) => {
                    held = Some(unit.tones.len());
                    let tones = unit.tones.iter().filter(|_| is_first);
                    all.extend(tones.map(|(pitch, _)| sound(&event, pitch.midi())));
                }
                (None, Some(count)) if event.kind == EventKind::Hold => {
                    let copies = if is_first { count } else { 0 };
                    all.extend(std::iter::repeat_n(sound(&event, 0), copies));
                }
                (None, _) => {
                    held = None;
                    if sounds(&event) {
                        all.push(sound(&event, event.sounding.midi()));
                    }
                }
            }
        }
    }
    all.sort_unstable();
    all
}

fn heard(desk: &Desk, block: usize) -> Vec<Sound> {
    let events = people(desk).flat_map(|(p, s)| desk.report().events_of_seat(desk.score(), block, p, s));
    let mut all: Vec<Sound> = events.filter(sounds).map(|e| sound(&e, e.sounding.midi())).collect();
    all.sort_unstable();
    all
}

fn on_row(task: &Task<'_>, player: usize, seat: u32) -> bool {
    let is = |p: &crate::score::head::Person| (usize::from(p.player), u32::from(p.seat)) == (player, seat);
    task.row.row.people.iter().any(is)
}

/// Checks a change: `takers` are the lines that others have of the row now.
pub fn check(task: &Task<'_>, trial: &Trial, takers: &[(Who, Line<'_>)]) -> Result<(), Declined> {
    let (before, after) = (task.desk, trial.desk());
    let block = task.stretch.block;
    let (mut was, mut is) = (asked_for(task), heard(after, block));
    if !task.over {
        // A doubled note is one sound, whoever doubles it.
        was.dedup();
        is.dedup();
    }
    let time = |desk: &Desk| desk.report().clock.block(block);
    let same_time = match (time(before), time(after)) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-9,
        (a, b) => a == b,
    };
    let fine = was == is
        && same_time
        && people(before).all(|(player, seat)| unchanged(task, after, takers, player, seat))
        && takers.iter().all(|(who, line)| arrived(task, after, *who, line));
    if fine { Ok(()) } else { Err(Declined::Otherwise) }
}

/// Outside of the chords everybody does what they did.
fn unchanged(task: &Task<'_>, after: &Desk, takers: &[(Who, Line<'_>)], player: usize, seat: u32) -> bool {
    let block = task.stretch.block;
    let takes = takers.iter().any(|(who, _)| who.player == player);
    let mine = on_row(task, player, seat);
    let here = |e: &Event| takes && task.stretch.has(e);
    let all = |desk: &Desk| -> Vec<_> {
        let events = desk.report().events_of_seat(desk.score(), block, player, seat);
        let mut in_chord = false;
        let mut out = Vec::new();
        for event in events.into_iter().filter(|e| !here(e)) {
            // After the change the chord may have become a note, in the same place in time.
            let chord = mine && task.units_at(begins(&event)) && event.kind != EventKind::Grace;
            in_chord = chord || in_chord && event.kind == EventKind::Hold;
            if !in_chord && sounds(&event) {
                out.push(told(event, false));
            }
        }
        out
    };
    let later = !takes && !mine || same_later(task.desk, after, block, player);
    same(&all(task.desk), &all(after)) && later
}

/// The takers have what the row had, but for slurs into rests.
fn arrived(task: &Task<'_>, after: &Desk, who: Who, line: &Line<'_>) -> bool {
    let block = task.stretch.block;
    let now = after.report().events_of_seat(after.score(), block, who.player, who.seat);
    let now: Vec<&Event> = now.iter().filter(|e| sounds(e) && task.stretch.has(e)).collect();
    now.len() == line.events.len()
        && now.iter().zip(&line.events).all(|(now, was)| {
            let state = |e: &Event| {
                let played = crate::score::state::PlayedState { instrument: 0, ..e.played };
                (e.kind != EventKind::Hold).then_some(played)
            };
            let dynamic = now.kind == EventKind::Hold || was.dynamic.is_none() || now.dynamic == was.dynamic;
            (now.kind, now.bar, now.onset, now.length) == (was.kind, was.bar, was.onset, was.length)
                && state(now) == state(was)
                && dynamic
        })
}
