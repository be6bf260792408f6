//! Hints beside the text and facts above it, drawn into the text.

use super::text::{desk, samples};
use std::fmt::Write as _;
use waterkey::assist::playing::Uses;
use waterkey::assist::{Hint, HintKind, Wanted, hints, lenses, reason};
use waterkey::rules::Desk;
use waterkey::rules::line_plan::of_line;
use waterkey::score::NoFiles;
use waterkey::score::clock::Clock;
use waterkey::score::event::Origin;

fn only(kind: HintKind) -> Wanted {
    let mut wanted = Wanted::NONE;
    wanted.set(kind, true);
    wanted
}

/// Every line, with its hints where an editor shows them.
fn drawn(text: &str, wanted: Wanted) -> String {
    let desk = desk(text);
    let clock = Clock::of(desk.score());
    let all = hints(&desk, || &clock, 0..=u32::MAX, wanted);
    let mut out = String::new();
    for (number, line) in desk.document().lines().iter().enumerate() {
        let here: Vec<&Hint> = all.iter().filter(|h| h.at.line == number as u32).collect();
        let mut shown = line.text.to_string();
        for hint in here.iter().rev() {
            shown.insert_str(hint.at.byte as usize, &format!("‹{}›", hint.label));
        }
        writeln!(out, "{shown}").unwrap();
    }
    out
}

const SCORE: &str = "\
player Tp1 = trumpet in Bb, doubles flugelhorn in Bb
player Tp2 = trumpet in C
player Hn1 = horn in F
player Hn2 = horn in F
player Hn3 = horn in F
player Tb1 = trombone, doubles trumpet in Bb
player Cor = cornet in Bb, seats 3
player Nat = natural horn in Eb
group Horns = Hn1 Hn2 Hn3
phrase riff in F | q : C5 /D5 E5 (F5 A5) - | play call | % |
phrase call | q : C5*4 |
bar 1  meter 4/4  key Eb major  tempo q = 60  mark A  repeat 2  // on we go
rhythm | q q h | h h |
Tp1 | \"\u{1d11e}\" Bb4_ C5@13. = | Eb5*2 |
Tp2 Tp1 Hn3 | | | w : C5 |
Hn1 Hn2 Hn3 | (Eb4 G4 Bb4) (D4 F4) - | (Eb4 G4 Bb4)> (Eb4 G4 C5) |
Cor | Bb4 (F4 Bb4) (D4 F4 Bb4) | [solo] Bb4 (D4 F4) | % |
Nat | Bb4 Eb5 G5 | F5 A5 |
bar 4
Horns | q : [stopped] C4:stopped /(C4 E4) (D4 F4 A4 C5) (E4 -) = | play riff | % |
Tb1 Tp1 | q : Bb3 F4 [switch trumpet] Bb4 = |
Tb1 | | rest 1 | q : E2 C2 Bb1 - |
bar 20
bar 30  tempo q = 120
Tb1 | | w : B3 |
";

#[test]
fn the_other_pitch_beside_each_note() {
    insta::assert_snapshot!(drawn(SCORE, only(HintKind::Pitch)));
}

#[test]
fn the_pitch_that_sounds_beside_what_is_written() {
    let score = "\
pitch written
player Tp1 = trumpet in Bb
player Tb1 = trombone
player Cor1 = cornet in Bb
player Hn1 = horn in F
phrase riff in F | q : C5 D5 E5 F5 |
bar 1  meter 4/4  key B major
Tp1 Cor1 | q : Db5 /Eb5 F5 (Gb4 Ab4) - |
Tb1 | q : B3 C4 D4 E4 |
Tp1 Hn1 | | w : Db5 |
";
    insta::assert_snapshot!(drawn(score, only(HintKind::Pitch)));
}

#[test]
fn who_gets_which_note() {
    insta::assert_snapshot!(drawn(SCORE, only(HintKind::Sharing)));
}

#[test]
fn how_notes_are_fingered() {
    insta::assert_snapshot!(drawn(SCORE, only(HintKind::Fingering)));
}

/// The plan is not merely the usual way: F3 lies on 6 between quick notes that do. The tie tells a natural slur.
const SLIDES: &str = "\
player Tb = trombone
player Eu = euphonium
player Sec = trombone, seats 2
bar 1  meter 4/4  key F major
Tb | q : F3_ D3 Bb2 - |
bar 2  tempo q = 120
rhythm | q*4 | q*4 | e*8 | q*4 |
Tb | F3_ Bb3_ C4_ D4 | - | F3 C3 F3 C3 F3@6 C3 F3 - | - Eb3:gliss F3 - |
Eu | F3_ Bb3_ C4_ D4 | - | - | /F3 Bb3 - - - |
Sec | F3_ Bb3_ C4_ D4 | - | - | (F3 A3) (F3 C4) - - |
";

#[test]
fn how_slides_and_fingers_go_in_the_plan() {
    insta::assert_snapshot!(drawn(SLIDES, only(HintKind::Fingering)));
}

#[test]
fn how_far_the_slide_goes() {
    insta::assert_snapshot!(drawn(SLIDES, only(HintKind::Travel)));
}

/// What stands beside a note is what the plan of the whole line has there.
#[test]
fn hints_tell_the_plan_of_the_line() {
    let (mut compared, mut unusual) = (0, 0);
    for (name, desk) in samples() {
        let clock = Clock::of(desk.score());
        let mut wanted = only(HintKind::Fingering);
        wanted.set(HintKind::Travel, true);
        let all = hints(&desk, || &clock, 0..=u32::MAX, wanted);
        for (index, player) in desk.score().head.players.iter().enumerate() {
            let mut told = Vec::new();
            for planned in of_line(&desk, index).iter().filter(|p| p.pass == 1 && player.seats == 1) {
                let events = desk.report().events(desk.score(), planned.block, index);
                let Some(event) = planned.event(&desk, &events).filter(|e| e.origin == Origin::Here) else {
                    continue;
                };
                let line = desk.document().lines().get(planned.line as usize).unwrap();
                // A row of one player, an entry of its own, told once.
                let alone = line.text.split_whitespace().next() == Some(&*player.id)
                    && line.text.split('|').next().unwrap().split_whitespace().count() == 1;
                let place = (planned.line, planned.span.end);
                if !alone || event.marks.choice.is_some() || told.contains(&place) {
                    continue;
                }
                told.push(place);
                let label = |kind: HintKind| {
                    let here = |h: &&Hint| (h.at.line, h.at.byte) == place && h.kind == kind;
                    all.iter().find(here).map(|h| h.label.trim_start_matches('‿').to_owned())
                };
                let Some(way) = planned.step.way else { continue };
                let tube = &planned.held(&desk, index).unwrap().instrument;
                if tube.build.fingers() == 0 && tube.build.slide().is_none() {
                    continue;
                }
                assert_eq!(label(HintKind::Fingering), Some(way.how.to_string()), "{name} {place:?}");
                let travel = planned.step.travel_cm;
                let side = if travel < 0.0 { "in" } else { "out" };
                let moves = tube.build.slide().is_some() && !planned.begins() && travel.abs() >= 0.5;
                let wanted = moves.then(|| format!("{:.0} cm {side}", travel.abs()));
                assert_eq!(label(HintKind::Travel), wanted, "{name} {place:?}");
                compared += 1;
                unusual += u32::from(tube.note(event.sounding.midi()).usual != Some(way));
            }
        }
    }
    assert!(compared > 300 && unusual > 5, "{compared}, {unusual}");
}

#[test]
fn seconds_behind_the_headers() {
    insta::assert_snapshot!(drawn(SCORE, only(HintKind::Seconds)));
}

#[test]
fn the_reasons() {
    let desk = desk(SCORE);
    let clock = Clock::of(desk.score());
    let mut out = String::new();
    let mut told = Vec::new();
    for hint in hints(&desk, || &clock, 0..=u32::MAX, Wanted::ALL) {
        let why = reason(&desk, || &clock, hint.at, hint.kind).unwrap();
        // One of each kind on each line shows what they are like.
        if !told.contains(&(hint.at.line, hint.kind)) {
            told.push((hint.at.line, hint.kind));
            writeln!(out, "{}: {}\n{why}\n", hint.at.line + 1, hint.label).unwrap();
        }
    }
    insta::assert_snapshot!(out);
}

#[test]
fn facts_above_players_and_blocks() {
    let mut out = String::new();
    for (name, desk) in samples() {
        let clock = Clock::of(desk.score());
        for lens in lenses(&desk, &clock, &mut Uses::default()) {
            let line = desk.document().lines().get(lens.at.line as usize).unwrap();
            writeln!(out, "{name}: {} ~ {}", lens.at.span.of(&line.text), lens.text).unwrap();
        }
    }
    insta::assert_snapshot!(out);
}

#[test]
fn after_an_edit_only_what_changed_is_looked_at() {
    let mut desk = samples().into_iter().find(|(name, _)| name == "harbour.brass").unwrap().1;
    let mut uses = Uses::default();
    let all = |desk: &Desk, uses: &mut Uses| lenses(desk, &Clock::of(desk.score()), uses);
    all(&desk, &mut uses);
    let pieces = ["C5", "Bb4", " ", "\nbar\n", "|", "Tp1 | w : C6 |\n", "\nplayer Zz = horn in F\n", "="];
    let mut place = 7;
    for (turn, piece) in pieces.into_iter().cycle().take(40).enumerate() {
        let bytes = desk.document().lines().bytes();
        place = (place * 7919 + 13) % bytes;
        desk.edit(place..(place + turn % 4).min(bytes), piece, &NoFiles);
        assert_eq!(all(&desk, &mut uses), all(&desk, &mut Uses::default()), "after {turn} edits");
    }
}

#[test]
fn a_note_that_changes_costs_a_look_at_its_bars() {
    let mut desk = desk(SCORE);
    let mut uses = Uses::default();
    let look = |desk: &Desk, uses: &mut Uses| {
        lenses(desk, &Clock::of(desk.score()), uses);
        uses.looked_at()
    };
    let before = look(&desk, &mut uses);
    assert_eq!(look(&desk, &mut uses), before, "nothing changed");
    let byte = desk.document().text().find("Bb4_").unwrap();
    desk.edit(byte..byte + 3, "G4", &NoFiles);
    // Its player's pair, and the next, to which the state may be handed over.
    assert!((1..=2).contains(&(look(&desk, &mut uses) - before)));
}

/// What holds for hints and facts of every text.
pub fn what_stands_beside_is_sound(desk: &Desk, clock: &Clock) {
    let all = hints(desk, || clock, 0..=u32::MAX, Wanted::ALL);
    let lines = desk.document().lines();
    for (i, hint) in all.iter().enumerate() {
        let text = &lines.get(hint.at.line as usize).unwrap().text;
        assert!(text.is_char_boundary(hint.at.byte as usize), "{hint:?} in {text:?}");
        assert!(!hint.label.is_empty() && hint.label.trim() == hint.label, "{hint:?}");
        if i < 200 {
            let why = reason(desk, || clock, hint.at, hint.kind).expect("a reason");
            assert!(why.ends_with('.') || hint.kind == HintKind::Sharing, "{why}");
        }
    }
    assert!(
        all.windows(2).all(|pair| (pair[0].at.line, pair[0].at.byte) <= (pair[1].at.line, pair[1].at.byte))
    );
    for (kind, wanted) in HintKind::ALL.map(|kind| (kind, only(kind))) {
        let alone = hints(desk, || clock, 0..=u32::MAX, wanted);
        let among: Vec<&Hint> = all.iter().filter(|h| h.kind == kind).collect();
        assert_eq!(alone.iter().collect::<Vec<_>>(), among, "a switch switches one kind");
    }
    let last = lines.len() as u32;
    for first in (0..last).step_by(5) {
        let some = hints(desk, || clock, first..=first + 7, Wanted::ALL);
        let inside = |h: &&Hint| (first..=first + 7).contains(&h.at.line);
        assert_eq!(some.iter().collect::<Vec<_>>(), all.iter().filter(inside).collect::<Vec<_>>());
    }
    for lens in lenses(desk, clock, &mut Uses::default()) {
        let text = &lines.get(lens.at.line as usize).unwrap().text;
        assert!(!lens.text.is_empty() && !lens.at.span.of(text).is_empty(), "{lens:?}");
    }
}

#[test]
fn what_stands_beside_the_samples_is_sound() {
    for (_, desk) in samples() {
        what_stands_beside_is_sound(&desk, &Clock::of(desk.score()));
    }
}

#[test]
fn no_hint_is_more_than_asked_for() {
    let desk = desk(SCORE);
    let clock = Clock::of(desk.score());
    assert!(hints(&desk, || panic!("nobody asked for seconds"), 0..=u32::MAX, Wanted::NONE).is_empty());
    assert!(hints(&desk, || &clock, 9999..=u32::MAX, Wanted::ALL).is_empty());
}
