//! What everybody plays and when, as data for programs.
//!
//! `bars` are the bars in the order they are written, silent bars between blocks too: `number`, `length` and `meter`.
//! `order` lists them, by index, in the order they are played. `players` have `id`, `name`, `instruments` (`label`,
//! and `steps` and `semitones` from written to sounding) and `seats`: for each person their `notes`, holds added:
//! `bar` (index), `onset` in that bar and `length` in whole notes as fractions, `sounding` (C4 = 60), `written`,
//! `marks`, `graces` before it (sounding), the `dynamic` in force, `mute`, and `instrument` by index. `seconds` is how
//! long all of it lasts; null without a tempo.

use crate::exchange::paper::{bars, player_name};
use crate::notation::tree::Mark;
use crate::rules::Desk;
use crate::score::clock::Clock;
use crate::score::event::{Event, EventKind};
use serde::Serialize;

#[derive(Serialize)]
struct Played<'a> {
    title: Option<&'a str>,
    bars: Vec<Bar>,
    order: Vec<usize>,
    seconds: Option<f64>,
    players: Vec<Person<'a>>,
}

#[derive(Serialize)]
struct Bar {
    number: i64,
    length: String,
    meter: String,
}

#[derive(Serialize)]
struct Person<'a> {
    id: &'a str,
    name: &'a str,
    instruments: Vec<Held<'a>>,
    seats: Vec<Seat>,
}

#[derive(Serialize)]
struct Held<'a> {
    label: &'a str,
    steps: i32,
    semitones: i32,
}

#[derive(Serialize)]
struct Seat {
    notes: Vec<Note>,
}

#[derive(Serialize)]
struct Note {
    bar: usize,
    onset: String,
    length: String,
    sounding: i32,
    written: String,
    marks: Vec<&'static str>,
    graces: Vec<i32>,
    dynamic: Option<&'static str>,
    mute: Option<&'static str>,
    instrument: u8,
    #[serde(skip)]
    exact: crate::music::Fraction,
}

/// The data as a text.
pub fn json(desk: &Desk) -> String {
    let score = desk.score();
    let sheet = bars(score);
    let meter = |m: &crate::notation::tree::Meter| {
        let groups: Vec<String> = m.groups.iter().map(u32::to_string).collect();
        format!("{}/{}", groups.join("+"), m.beat)
    };
    // Index of the first own bar of each block, and of the silent bars before it.
    let mut firsts = Vec::with_capacity(score.blocks.len());
    let mut at = 0;
    for placed in &score.blocks {
        at += placed.frame.gap as usize;
        firsts.push(at);
        at += placed.frame.bars as usize;
    }
    let mut order = Vec::new();
    for visit in &score.order.visits {
        let block = visit.block as usize;
        let (Some(placed), Some(first)) = (score.blocks.get(block), firsts.get(block)) else { continue };
        let gap = if visit.pass == 1 { placed.frame.gap as usize } else { 0 };
        order.extend(first - gap..first + placed.frame.bars as usize);
    }
    let played = Played {
        title: score.head.title.as_deref(),
        bars: sheet
            .iter()
            .map(|b| Bar { number: b.number, length: b.length.to_string(), meter: meter(&b.meter) })
            .collect(),
        order,
        seconds: Clock::of(score).whole(),
        players: score
            .head
            .players
            .iter()
            .enumerate()
            .map(|(index, player)| Person {
                id: &player.id,
                name: player_name(player),
                instruments: player
                    .instruments
                    .iter()
                    .map(|i| Held {
                        label: &i.label,
                        steps: i.instrument.reads.steps,
                        semitones: i.instrument.reads.semitones,
                    })
                    .collect(),
                seats: (0..player.seats.max(1)).map(|seat| person(desk, &firsts, index, seat)).collect(),
            })
            .collect(),
    };
    let mut text = serde_json::to_string(&played).unwrap_or_default();
    text.push('\n');
    text
}

fn person(desk: &Desk, firsts: &[usize], player: usize, seat: u32) -> Seat {
    let mut notes: Vec<Note> = Vec::new();
    let mut graces: Vec<i32> = Vec::new();
    for (block, first) in firsts.iter().enumerate() {
        for event in desk.report().events_of_seat(desk.score(), block, player, seat) {
            let bar = first + event.bar as usize;
            match event.kind {
                EventKind::Grace => graces.push(event.sounding.midi()),
                EventKind::Note if event.length.is_zero() => graces.clear(),
                EventKind::Note => notes.push(note(&event, bar, std::mem::take(&mut graces))),
                EventKind::Hold => {
                    graces.clear();
                    if let Some(last) = notes.last_mut() {
                        last.exact = last.exact.plus(event.length).unwrap_or(last.exact);
                        last.length = last.exact.to_string();
                        last.marks
                            .extend(marks(&event).filter(|m| Mark::ON_HOLD.iter().any(|h| h.sign() == *m)));
                    }
                }
                EventKind::Rest | EventKind::Improvised => graces.clear(),
            }
        }
    }
    Seat { notes }
}

fn note(event: &Event, bar: usize, graces: Vec<i32>) -> Note {
    Note {
        bar,
        onset: event.onset.to_string(),
        length: event.length.to_string(),
        sounding: event.sounding.midi(),
        written: event.written.to_string(),
        marks: marks(event).collect(),
        graces,
        dynamic: event.dynamic.map(|d| d.word()),
        mute: event.played.mute.map(|m| m.word()),
        instrument: event.played.instrument,
        exact: event.length,
    }
}

fn marks(event: &Event) -> impl Iterator<Item = &'static str> {
    let marks = event.marks;
    Mark::ALL.into_iter().filter(move |m| marks.has(*m)).map(Mark::sign)
}
