//! What holds whenever notes are given away or lines are changed: in generated scores and in the samples.

use super::generated::score;
use super::text::{desk, samples};
use proptest::prelude::*;
use waterkey::assist::TextEdit;
use waterkey::assist::cure::Trial;
use waterkey::assist::hand_over::{Handed, give, rest, same_sound, swap};
use waterkey::notation::tree::Mark;
use waterkey::rules::registry::is_reading_fault;
use waterkey::rules::{Desk, Severity};
use waterkey::score::event::{Event, EventKind};
use waterkey::section::Stretch;
use waterkey::section::stretch::sounds;

/// All that a player does outside of a stretch that is heard or seen, without where it stands in the text.
fn outside(desk: &Desk, stretch: &Stretch, player: usize) -> Vec<String> {
    let mut all = Vec::new();
    for block in 0..desk.score().blocks.len() {
        for e in desk.report().events(desk.score(), block, player) {
            if block == stretch.block && stretch.has(&e) || !sounds(&e) {
                continue;
            }
            all.push(format!("{block} {}", said(&e)));
        }
    }
    all
}

fn said(e: &Event) -> String {
    let pitch = if e.kind == EventKind::Hold { "=".to_owned() } else { e.sounding.to_string() };
    let mut e = *e;
    if e.kind == EventKind::Hold {
        // Whoever holds in a chord has marks of the others there, which nobody hears.
        Mark::ALL.into_iter().filter(|m| !Mark::ON_HOLD.contains(m)).for_each(|m| e.marks.remove(m));
    }
    // Words beside a hold that the figure writes have no place of their own.
    let played = (e.kind != EventKind::Hold).then_some(e.played);
    format!("{:?} {} {} {} {pitch} {:?} {played:?}", e.kind, e.bar, e.onset, e.length, e.marks)
}

fn dynamics(desk: &Desk, stretch: &Stretch, player: usize) -> Vec<Option<waterkey::music::Dynamic>> {
    let mut all = Vec::new();
    for block in 0..desk.score().blocks.len() {
        for e in desk.report().events(desk.score(), block, player) {
            if !(block == stretch.block && stretch.has(&e)) && e.kind == EventKind::Note {
                all.push(e.dynamic);
            }
        }
    }
    all
}

/// The notes of a stretch as the listener has them: with marks, dynamics and techniques, without fingerings.
fn inside(desk: &Desk, stretch: &Stretch, player: usize) -> Vec<(String, Option<waterkey::music::Dynamic>)> {
    let all = Stretch { player, ..*stretch }.events(desk);
    let heard = all.into_iter().filter(sounds);
    heard
        .map(|mut e| {
            e.marks.choice = None;
            e.marks.trill = None;
            e.played.instrument = 0;
            // Double accidentals may be spelled otherwise for another instrument.
            e.sounding = waterkey::music::Pitch::plain(e.sounding.midi(), false);
            let dynamic = if e.kind == EventKind::Note { e.dynamic } else { None };
            (format!("{} {:?} {:?}", said(&e), e.trill_to.map(|p| p.midi()), e.fermata), dynamic)
        })
        .collect()
}

fn faults(desk: &Desk) -> usize {
    let findings = desk.findings();
    findings.iter().filter(|f| is_reading_fault(f.rule) && f.severity > Severity::Hint).count()
}

fn tried(desk: &Desk, handed: &Handed, what: &str) -> Desk {
    let edits: &[TextEdit] = &handed.edits;
    let text = desk.document().text();
    let trial =
        Trial::of(desk, edits).unwrap_or_else(|| panic!("{what}: it does not fit\n{edits:?}\n{text}"));
    let after = trial.into_desk();
    let lines: std::collections::BTreeSet<u32> = edits.iter().map(|e| e.line).collect();
    // Where a row of several is written out, tidy rows are kept tidy.
    assert!(lines.len() <= 2 || !handed.written_out.is_empty(), "{what}: more than two lines\n{text}");
    let new = after.document().text();
    let mut rest = new.as_str();
    for (at, line) in text.lines().enumerate().filter(|(at, _)| !lines.contains(&(*at as u32))) {
        let found = rest.find(line).unwrap_or_else(|| panic!("{what}: line {at} is gone\n{new}"));
        rest = &rest[found + line.len()..];
    }
    assert!(
        faults(&after) <= faults(desk),
        "{what}: a new fault\n{edits:#?}\n{text}\n----\n{new}\n{:#?}",
        after
            .findings()
            .iter()
            .filter(|f| is_reading_fault(f.rule))
            .map(|f| (f.line, &f.message))
            .collect::<Vec<_>>()
    );
    after
}

struct Count {
    given: usize,
    written_out: usize,
    swapped: usize,
    declined: usize,
}

fn check(desk: &Desk, stretch: &Stretch, count: &mut Count) {
    let people = desk.score().head.players.len();
    let text = desk.document().text();
    for to in (0..people).filter(|to| *to != stretch.player) {
        let what = |kind: &str, after: &Desk| {
            let id = |at: usize| &desk.score().head.players[at].id;
            format!(
                "{kind} {} to {} in block {} {:?}..{:?}\n{text}\n----\n{}",
                id(stretch.player),
                id(to),
                stretch.block,
                stretch.from,
                stretch.to,
                after.document().text()
            )
        };
        let Ok(handed) = give(desk, stretch, to) else {
            count.declined += 1;
            continue;
        };
        count.given += 1;
        count.written_out += usize::from(!handed.written_out.is_empty());
        let after = tried(desk, &handed, &format!("given to {to}, {stretch:?}"));
        assert!(same_sound(desk, &after, stretch.block, false), "{}", what("other sound", &after));
        for player in (0..people).filter(|p| *p != stretch.player && *p != to) {
            assert_eq!(
                outside(desk, stretch, player),
                outside(&after, stretch, player),
                "{}",
                what("third", &after)
            );
            assert_eq!(
                inside(desk, stretch, player),
                inside(&after, stretch, player),
                "{}",
                what("third", &after)
            );
        }
        for player in [stretch.player, to] {
            assert_eq!(
                outside(desk, stretch, player),
                outside(&after, stretch, player),
                "{}",
                what("outside", &after)
            );
            let (was, is) = (dynamics(desk, stretch, player), dynamics(&after, stretch, player));
            let same = was.iter().zip(&is).all(|(a, b)| a == b || a.is_none());
            assert!(same && was.len() == is.len(), "{was:?} {is:?} {}", what("dynamics", &after));
        }
        let (mine, theirs) = (inside(desk, stretch, stretch.player), inside(&after, stretch, to));
        assert_eq!(mine.len(), theirs.len(), "{}", what("inside", &after));
        for (a, b) in mine.iter().zip(&theirs) {
            // What nobody said of the giver nobody says of the taker.
            assert!(a.0 == b.0 && (a.1 == b.1 || a.1.is_none()), "{a:?}\n{b:?}\n{}", what("inside", &after));
        }
        assert!(inside(&after, stretch, stretch.player).is_empty(), "{}", what("giver plays on", &after));
    }
}

/// Changing lines, and back again.
fn check_swaps(desk: &Desk, stretch: &Stretch, count: &mut Count) {
    for with in (0..desk.score().head.players.len()).filter(|p| *p != stretch.player) {
        let Ok(theirs) = (Stretch { player: with, ..*stretch }).closed(desk) else { continue };
        let closed = Stretch { player: stretch.player, ..theirs }.closed(desk);
        if closed != Ok(Stretch { player: stretch.player, ..theirs }) {
            continue;
        }
        let stretch = closed.unwrap();
        let Ok(handed) = swap(desk, &stretch, with) else { continue };
        count.swapped += 1;
        let after = tried(desk, &handed, "changed");
        assert!(same_sound(desk, &after, stretch.block, false));
        let (mine, theirs) = (inside(desk, &stretch, stretch.player), inside(desk, &stretch, with));
        let notes = |all: &[(String, Option<waterkey::music::Dynamic>)]| -> Vec<String> {
            all.iter().map(|n| n.0.clone()).collect()
        };
        assert_eq!(notes(&theirs), notes(&inside(&after, &stretch, stretch.player)));
        assert_eq!(notes(&mine), notes(&inside(&after, &stretch, with)));
        // Dynamics that nobody named may be named now, and then the way back needs words of its own.
        if let Ok(back) = swap(&after, &stretch, with) {
            let again = tried(&after, &back, "changed back");
            for player in 0..desk.score().head.players.len() {
                assert_eq!(outside(desk, &stretch, player), outside(&again, &stretch, player));
                assert_eq!(notes(&inside(desk, &stretch, player)), notes(&inside(&again, &stretch, player)));
            }
        }
    }
}

/// A player rests; nothing else is changed.
fn check_rest(desk: &Desk, stretch: &Stretch) {
    let Ok(handed) = rest(desk, stretch) else { return };
    let after = tried(desk, &handed, "rested");
    for player in 0..desk.score().head.players.len() {
        assert_eq!(outside(desk, stretch, player), outside(&after, stretch, player));
        if player != stretch.player {
            assert_eq!(inside(desk, stretch, player), inside(&after, stretch, player));
        }
    }
    assert!(inside(&after, stretch, stretch.player).is_empty());
}

/// Stretches worth trying: every bar, every two bars, every single note.
fn stretches(desk: &Desk) -> Vec<Stretch> {
    let mut all = Vec::new();
    for (block, placed) in desk.score().blocks.iter().enumerate() {
        let bars = placed.frame.bars.min(6);
        for player in 0..desk.score().head.players.len() {
            for bar in 0..bars {
                let last = (bar + 1).min(bars - 1);
                all.extend(Stretch::bars(desk, player, block, bar, bar));
                all.extend(Stretch::bars(desk, player, block, bar, last));
            }
            for event in desk.report().events(desk.score(), block, player) {
                if event.kind == EventKind::Note {
                    all.extend(Stretch::of_events(block, player, &[event]));
                }
            }
        }
    }
    all.into_iter().filter_map(|s| s.closed(desk).ok()).collect()
}

fn check_some(desk: &Desk, every: usize) -> Count {
    let mut count = Count { given: 0, written_out: 0, swapped: 0, declined: 0 };
    for stretch in stretches(desk).iter().step_by(every.max(1)) {
        check(desk, stretch, &mut count);
        check_swaps(desk, stretch, &mut count);
        check_rest(desk, stretch);
    }
    count
}

#[test]
fn notes_of_the_samples_sound_the_same_in_other_hands() {
    let (mut given, mut swapped, mut declined, mut written_out) = (0, 0, 0, 0);
    for (_, desk) in samples() {
        let all = stretches(&desk).len();
        let count = check_some(&desk, all / 12);
        given += count.given;
        swapped += count.swapped;
        declined += count.declined;
        written_out += count.written_out;
    }
    assert!(given > 30 && swapped > 10, "{given} given, {swapped} changed, {declined} declined");
    assert!(written_out > 5, "{written_out} of {given} from rows of several players");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(40) })]

    #[test]
    fn notes_sound_the_same_in_other_hands(seed in any::<u64>()) {
        let desk = desk(&score(seed));
        let all = stretches(&desk).len();
        check_some(&desk, all / 12);
    }
}
