//! The rehearsal sheet: counted again in a slower way from the events, and what must hold for every score.

use super::generated;
use super::text::{desk, samples};
use proptest::prelude::*;
use waterkey::assist::playing::Uses;
use waterkey::assist::sheet::high::mark;
use waterkey::assist::sheet::{Enough, PlayerSheet, Sheet, Unit, sheet, time_of};
use waterkey::music::Fraction;
use waterkey::notation::tree::Mark;
use waterkey::rules::registry::is_reading_fault;
use waterkey::rules::{Desk, Severity};
use waterkey::score::clock::BREAK_SECONDS;
use waterkey::score::event::{Event, EventKind, Reading, events};
use waterkey::score::state::PlayedState;

/// The shortest rest that ends a stretch; the default of `no-rest`.
const REST: f64 = 2.0;
const HAIR: f64 = 1e-6;

/// Of what could not be read nobody knows how long it lasts, nor in which bar it is.
fn reads(desk: &Desk) -> bool {
    !desk.findings().iter().any(|f| is_reading_fault(f.rule) && f.severity == Severity::Error)
}

/// A piece of sound: from, to, sounding height if known, bar, what is in hand.
#[derive(Debug, Clone, Copy)]
struct Piece {
    from: f64,
    to: f64,
    midi: Option<i32>,
    bar: i64,
    played: PlayedState,
    grace: bool,
}

/// Seconds of a break after an event, in which nobody sounds.
fn break_after(desk: &Desk, block: usize, event: &Event) -> f64 {
    let end = event.onset.plus(event.length).unwrap();
    let pauses = desk.report().clock.pauses(block);
    let here =
        pauses.iter().filter(|(bar, after, s)| (*bar, *after) == (event.bar, end) && *s == BREAK_SECONDS);
    here.map(|(_, _, seconds)| seconds).sum()
}

/// What the first seat does in a block that it comes to in this state.
fn in_visit(desk: &Desk, block: usize, player: usize, played: PlayedState) -> Vec<Event> {
    let score = desk.score();
    let mut out = Vec::new();
    if let Some(checked) = &desk.report().tracks[player].blocks[block] {
        let reading = Reading {
            player: &score.head.players[player],
            basis: score.head.basis,
            key: checked.given().key,
            lengths: &score.blocks[block].read.lengths,
        };
        events(&checked.pair, 0, checked.given().written, played, &reading, &mut out, &mut Vec::new());
    }
    out
}

/// The first seat's sounds, event by event through the order of play.
fn pieces(desk: &Desk, player: usize) -> Option<Vec<Piece>> {
    let (score, clock) = (desk.score(), &desk.report().clock);
    clock.whole().filter(|seconds| *seconds > 0.0)?;
    let mut all: Vec<Piece> = Vec::new();
    let (mut midi, mut state) = (None, PlayedState::default());
    for (number, visit) in score.order.visits.iter().enumerate() {
        let block = visit.block as usize;
        let events = in_visit(desk, block, player, state);
        if let Some(pair) = score.blocks[block].read.pair(player as u16) {
            state = pair.played.after(state);
        }
        // A hold that goes on with its note takes no other mute.
        let mut open = false;
        for event in events {
            let from = clock.visit(number)? + clock.in_block(block, event.bar, event.onset)?;
            let broken = break_after(desk, block, &event);
            let to = from + clock.length(block, &event)? - broken;
            if event.kind == EventKind::Rest || all.last().is_some_and(|p| from - p.to > BREAK_SECONDS + HAIR)
            {
                (midi, open) = (None, false);
            }
            match event.kind {
                EventKind::Rest => continue,
                EventKind::Note | EventKind::Grace => midi = Some(event.sounding.midi()),
                EventKind::Improvised => midi = None,
                EventKind::Hold => {}
            }
            let bar = score.blocks[block].frame.first_bar + i64::from(event.bar);
            let grace = event.kind == EventKind::Grace;
            let to = if grace { from } else { to };
            let goes_on = event.kind == EventKind::Hold && open;
            let played = if goes_on { all.last()?.played } else { event.played };
            open = !grace && broken == 0.0 && !event.marks.has(Mark::Breath);
            all.push(Piece { from, to, midi, bar, played, grace });
        }
    }
    Some(all)
}

fn near(a: f64, b: f64, what: &str) {
    assert!((a - b).abs() < HAIR * (1.0 + a.abs()), "{what}: {a} and {b}");
}

/// Counts again what a sheet says of a player.
fn counted(desk: &Desk, number: usize, told: &PlayerSheet) {
    let Some(pieces) = pieces(desk, number) else {
        assert!(told.time.is_none());
        return;
    };
    let time = told.time.as_ref().unwrap();
    let person = &desk.score().head.players[number];
    let lasts = |p: &Piece| p.to - p.from;
    let playing: f64 = pieces.iter().map(lasts).sum();
    near(time.playing_seconds, playing, "playing");
    near(time.share, (playing / desk.report().clock.whole().unwrap()).min(1.0), "share");

    // Stretches: every piece against every gap before it.
    let sounding: Vec<&Piece> = pieces.iter().filter(|p| !p.grace).collect();
    let mut stretches: Vec<(f64, i64, i64)> = Vec::new();
    for (i, piece) in sounding.iter().enumerate() {
        let silence = if i == 0 { f64::INFINITY } else { piece.from - sounding[i - 1].to };
        if silence > REST - HAIR {
            stretches.push((0.0, piece.bar, piece.bar));
        }
        let last = stretches.last_mut().unwrap();
        (last.0, last.2) = (last.0 + lasts(piece), piece.bar);
    }
    let longest = stretches.iter().fold(0.0_f64, |most, s| most.max(s.0));
    match time.longest {
        Some(found) => {
            near(found.playing_seconds, longest, "longest");
            assert!(
                stretches
                    .iter()
                    .any(|s| (s.0 - longest).abs() < HAIR && (s.1, s.2) == (found.first_bar, found.last_bar))
            );
        }
        None => assert!(sounding.is_empty()),
    }

    let high: f64 = pieces
        .iter()
        .filter(|p| {
            let held = person.instrument(p.played.instrument);
            held.zip(p.midi).is_some_and(|(held, midi)| midi > mark(held, person.level))
        })
        .map(lasts)
        .sum();
    near(time.high.seconds, high, "high");

    let hands = |p: &Piece| {
        let mute = if p.played.stopped { None } else { p.played.mute };
        (p.played.instrument, p.played.stopped, mute)
    };
    let mut before = (0, false, None);
    let mut changes = Vec::new();
    for (i, piece) in pieces.iter().enumerate() {
        if hands(piece) != before {
            changes.push((piece.bar, (i > 0).then(|| (piece.from - pieces[i - 1].to).max(0.0))));
        }
        before = hands(piece);
    }
    assert_eq!(told.changes.all.len(), changes.len());
    for (told, (bar, seconds)) in told.changes.all.iter().zip(changes) {
        assert_eq!(told.first_bar, bar);
        match (told.available_seconds, seconds) {
            (Some(a), Some(b)) => near(a, b, "time to change"),
            (a, b) => assert_eq!(a, b),
        }
    }
}

/// The chart shows what the sheet says.
fn drawn(told: &PlayerSheet) {
    let Some(time) = &told.time else { return };
    let cells: f64 = told.chart.cells.iter().map(|c| c.playing).sum();
    near(cells, time.playing_seconds, "cells");
    let high: f64 = told.chart.cells.iter().map(|c| c.high).sum();
    near(high, time.high.seconds, "high cells");
}

/// What must hold for every score.
fn sound(desk: &Desk) -> Sheet {
    let (all, reads) = (sheet(desk), reads(desk));
    assert_eq!(all.players.len(), desk.score().head.players.len());
    let mut apart = desk.findings_apart().len();
    apart -= all.findings.len();
    for (number, told) in all.players.iter().enumerate() {
        apart -= told.findings.len();
        player_is_sound(desk, &all, number, told);
        if reads {
            counted(desk, number, told);
            drawn(told);
        }
    }
    assert_eq!(apart, 0, "every finding is told once");
    assert!(all.ticks.windows(2).all(|pair| pair[0].0 <= pair[1].0));
    assert!(all.ticks.len() <= 12);
    let length = all.axis.length;
    assert!(all.marks.iter().all(|mark| (0.0..=length + HAIR).contains(&mark.at)));
    all
}

fn player_is_sound(desk: &Desk, all: &Sheet, number: usize, told: &PlayerSheet) {
    let length = all.axis.length;
    let on_axis = |at: f64| (-HAIR..=length + HAIR * (1.0 + length)).contains(&at);
    assert_eq!(told.used, Uses::default().of(desk, number));
    assert_eq!(told.time, time_of(desk, number), "the hover says the same");
    assert_eq!(told.time.is_some(), all.axis.unit == Unit::Seconds);
    if let Some(time) = &told.time {
        assert!((0.0..=1.0).contains(&time.share), "{}", time.share);
        assert!(time.high.seconds <= time.playing_seconds + HAIR);
        let named: f64 = time.high.passages.iter().map(|p| p.high_seconds).sum();
        assert!(named <= time.high.seconds + HAIR);
        assert!(time.high.passages.windows(2).all(|p| p[0].high_seconds >= p[1].high_seconds - HAIR));
        if let Some(longest) = time.longest {
            assert!(longest.playing_seconds <= time.playing_seconds + HAIR);
            let lasts = longest.to_seconds - longest.from_seconds;
            assert!(lasts >= longest.playing_seconds - HAIR, "{longest:?}");
            assert!(longest.bars >= 1 && on_axis(longest.from_seconds) && on_axis(longest.to_seconds));
        }
        let of_instruments: f64 = told.instruments.iter().filter_map(|i| i.playing_seconds).sum();
        if !told.instruments.is_empty() {
            near(of_instruments, time.playing_seconds, "instruments");
        }
        if let Some(notes) = &told.chart.notes {
            near(notes.iter().map(|n| n.to - n.from).sum(), time.playing_seconds, "drawn");
        }
    }
    for cell in &told.chart.cells {
        assert!(cell.from <= cell.to && on_axis(cell.from) && on_axis(cell.to), "{cell:?}");
        assert!(cell.playing <= cell.to - cell.from + HAIR && cell.high <= cell.playing + HAIR, "{cell:?}");
    }
    assert!(told.chart.cells.len() <= 100);
    let notes: u64 = told.chart.cells.iter().map(|c| u64::from(c.notes)).sum();
    assert_eq!(notes, told.notes);
    assert!(told.chart.hands.windows(2).all(|pair| pair[0].to == pair[1].from));
    assert!(told.hardest.windows(2).all(|pair| pair[0].points >= pair[1].points) && told.hardest.len() <= 5);
    assert!(told.findings.iter().all(|f| f.at.is_none_or(on_axis)));
    for change in &told.changes.all {
        assert!(on_axis(change.at) && change.from != change.to, "{change:?}");
        let enough = match change.available_seconds {
            None => Enough::Unasked,
            Some(s) if s < change.needs.least_seconds => Enough::No,
            Some(s) if s < change.needs.comfortable_seconds => Enough::Hurried,
            Some(_) => Enough::Yes,
        };
        assert_eq!(change.enough, enough);
    }
}

#[test]
fn samples_are_counted_twice() {
    for (_, desk) in samples() {
        sound(&desk);
    }
}

#[test]
fn what_several_find_in_one_place_is_each_players() {
    let text = "pitch written\nplayer A = trumpet in Bb, level school\nplayer B = trumpet in Bb, level school\nbar 1  meter 4/4  tempo q = 60\nA B | w : C6 |\n";
    let desk = desk(text);
    assert_eq!(desk.findings().iter().filter(|f| f.rule == "too-high").count(), 1);
    let told = sheet(&desk);
    for player in &told.players {
        assert_eq!(
            player.findings.iter().filter(|f| f.finding.rule == "too-high").count(),
            1,
            "{}",
            player.id
        );
        assert_eq!(player.findings[0].at, Some(0.0));
    }
}

#[test]
fn worked_out_by_hand() {
    // A quarter is a second. Written G5 is not yet high for a professional, A5 is.
    let text = "pitch written\nallow mute-time switch-time\nplayer Tp = trumpet in Bb, doubles flugelhorn in Bb, mutes cup\n\
        bar 1  meter 4/4  tempo q = 60  repeat 2\n\
        Tp | q : C5 D5 - E5 | h : A5 G5 |\n\
        bar 3\n\
        Tp | h. q : - [mute cup] C5 | w : D5 |\n\
        bar 5\n\
        Tp | [switch flugelhorn] w : C5 |\n";
    let desk = desk(&text.replace("| [switch flugelhorn] w :", "| w : [switch flugelhorn]"));
    let told = sheet(&desk);
    let player = &told.players[0];
    let time = player.time.as_ref().unwrap();
    assert_eq!(told.axis.length, 28.0);
    // Twice 7 s; then 5 s and 4 s.
    assert_eq!(time.playing_seconds, 23.0);
    // Rests of a second end nothing: both times round without a rest, bars 1 to 2.
    let longest = time.longest.unwrap();
    assert_eq!((longest.playing_seconds, longest.bars, longest.first_bar, longest.last_bar), (14.0, 4, 1, 2));
    assert_eq!((longest.from_seconds, longest.to_seconds), (0.0, 16.0));
    // 2 s of A5 each time, parted by 6 s.
    assert_eq!((time.high.seconds, time.high.passages.len()), (4.0, 2));
    let changes: Vec<_> = player
        .changes
        .all
        .iter()
        .map(|c| (c.from.as_str(), c.to.as_str(), c.last_bar, c.first_bar, c.available_seconds, c.enough))
        .collect();
    assert_eq!(
        changes,
        [
            ("open", "cup mute", Some(2), 3, Some(3.0), Enough::Hurried),
            ("trumpet in Bb", "flugelhorn in Bb", Some(4), 5, Some(0.0), Enough::No),
        ]
    );
    assert_eq!(player.instruments[1].playing_seconds, Some(4.0));
    // The heaviest bar: A5 and G5 through the whole of it, but slow; bar 1 has a rest and three notes.
    let bars: Vec<i64> = player.hardest.iter().map(|h| h.bar).collect();
    assert_eq!(bars[0], 2, "{:?}", player.hardest);
    assert!(player.findings.iter().all(|f| f.finding.severity < Severity::Error), "{:?}", player.findings);
}

#[test]
fn a_long_note_lies_in_all_its_cells() {
    let bars = " = |".repeat(200);
    let text = format!("player Tu = F tuba\nbar 1  meter 4/4  tempo q = 60\nTu | w : F2 |{bars}\n");
    let desk = desk(&text);
    let told = sound(&desk);
    assert!(told.players[0].chart.cells.iter().all(|c| (c.playing - (c.to - c.from)).abs() < HAIR));
    assert_eq!(told.axis.bar_begins(&desk, 100), 400.0);
    assert_eq!(told.axis.at(&desk, 0, 100, Fraction::ZERO), 400.0);
}

#[test]
fn enough_of_what_is_made_at_random_is_counted() {
    let counted = (0..60).filter(|seed| reads(&desk(&generated::score(*seed)))).count();
    assert!(counted > 15, "{counted}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn whatever_is_played_is_counted_twice(seed: u64) {
        sound(&desk(&generated::score(seed)));
    }

    #[test]
    fn whatever_is_written_has_a_sheet(text in "(player Tp1 = (trumpet|horn|straight trombone)( in (Bb|F|Eb))?\n){0,2}(bar 1  meter [0-9]/4|bar 7  repeat 3|bar  tempo q = [0-9]{0,3}|Tp1 \\| [whqe. :A-G0-9#b=%|-]{0,40}\\|\n|.{0,20}\n){0,12}") {
        sound(&desk(&text));
    }
}
