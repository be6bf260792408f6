//! The law of parts, for every player of every sample, fixture and generated score.

use super::generated::score;
use super::heard::{all, faults, found, played};
use proptest::prelude::*;
use std::path::{Path, PathBuf};
use waterkey::exchange::part::part;
use waterkey::host::FolderLoader;
use waterkey::notation::Document;
use waterkey::notation::layout::tidied;
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;
use waterkey::score::clock::{BREAK_SECONDS, Clock};
use waterkey::score::event::{EventKind, Origin};
use waterkey::score::score::Placed;

fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

/// Every `.brass` file below a folder.
fn texts(folder: &str) -> Vec<(PathBuf, Desk)> {
    fn below(folder: &Path, out: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                below(&path, out);
            } else if path.extension().is_some_and(|e| e == "brass") {
                out.push(path);
            }
        }
    }
    let mut paths = Vec::new();
    below(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &mut paths);
    paths.sort();
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).unwrap();
        let desk = Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[]));
        (path, desk)
    };
    paths.into_iter().map(read).collect()
}

fn close(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-6 * a.abs().max(1.0),
        (a, b) => a == b,
    }
}

/// What is wrong with a player's part; nothing is good.
fn judge(desk: &Desk, player: usize) -> Result<(), String> {
    let text = part(desk, player);
    let read = self::desk(&text);
    let fail = |what: &str| Err(format!("{what}\n--- the part\n{text}"));
    if tidied(Document::new(&text).lines()) != text {
        return fail("the part is not tidy");
    }
    let (errors, known) = faults(desk);
    if !errors.is_empty() {
        return Ok(());
    }
    let (_, told) = faults(&read);
    let idle = told.contains("idle-allowance") && !changes_hands(desk, player);
    if told.iter().any(|rule| !known.contains(rule)) || idle {
        return fail(&format!("reading the part finds {told:?}, the score {known:?}"));
    }
    let again = part(&read, 0);
    if again != text {
        return fail(&format!("the part of the part is another one:\n{again}"));
    }
    let seats = desk.score().head.players[player].seats;
    for seat in 0..seats {
        let (there, here) = (all(desk, player, seat), all(&read, 0, seat));
        for (a, b) in there.iter().zip(&here) {
            let mut b = b.clone();
            // Breaks of others are in the part, and a break stands for a breath too.
            if b.breaks {
                (b.breaks, b.breath) = (a.breaks, a.breath);
            }
            if a.trill.is_none() || b.trill.is_none() {
                b.trill = a.trill;
            }
            if *a != b {
                return fail(&format!("seat {seat} hears\n{b:?}\nand in the score\n{a:?}"));
            }
        }
        if there.len() != here.len() {
            return fail(&format!("{} notes in the score, {} in the part", there.len(), here.len()));
        }
    }
    let (there, here) = (played(desk), played(&read));
    // Breaks of others over improvised bars have no sign.
    let timed = !breaks_while_improvising(desk, player);
    let close = |a, b| !timed || close(a, b);
    let same =
        there.len() == here.len() && there.iter().zip(&here).all(|(a, b)| a.0 == b.0 && close(a.1, b.1));
    if !same {
        let first = there.iter().zip(&here).find(|(a, b)| a.0 != b.0 || !close(a.1, b.1));
        return fail(&format!("bars are played at other times: {first:?}"));
    }
    if changes_hands(desk, player) {
        return Ok(());
    }
    let ((least, most), (mut less, more)) = (found(desk, player), found(&read, 0));
    // A key is told where the player has a row; in the part that is everywhere.
    less.retain(|(rule, bar)| *rule != "hard-key" || has_row(desk, player, *bar));
    // Copies (`%`) are told where they are written; where a part must write one out, it is told there.
    let copied = copies(desk, player);
    less.retain(|(_, bar)| !copied.contains(bar));
    if !least.is_subset(&more) || !less.is_subset(&most) {
        return fail(&format!("found in the score {least:?}, in the part {less:?}"));
    }
    Ok(())
}

/// Numbers of the bars that repeat the bar before.
fn copies(desk: &Desk, player: usize) -> Vec<i64> {
    let score = desk.score();
    let of_block = |(at, placed): (usize, &Placed)| {
        let first = placed.frame.first_bar;
        let events = desk.report().events(score, at, player).into_iter();
        events.filter(|e| e.origin == Origin::Again).map(|e| first + i64::from(e.bar)).collect::<Vec<_>>()
    };
    score.blocks.iter().enumerate().flat_map(of_block).collect()
}

/// True if a later pass finds another instrument in hand: a part is written for the first.
fn changes_hands(desk: &Desk, player: usize) -> bool {
    desk.report().tracks[player].blocks.iter().flatten().any(|checked| {
        let given = checked.given();
        given.later.iter().any(|(_, state)| state.instrument != given.played.instrument)
    })
}

fn breaks_while_improvising(desk: &Desk, player: usize) -> bool {
    let (score, clock) = (desk.score(), Clock::of(desk.score()));
    (0..score.blocks.len()).any(|block| {
        let events = desk.report().events(score, block, player);
        let free = |bar: u32| events.iter().any(|e| e.bar == bar && e.kind == EventKind::Improvised);
        clock.pauses(block).iter().any(|(bar, _, seconds)| *seconds == BREAK_SECONDS && free(*bar))
    })
}

fn has_row(desk: &Desk, player: usize, bar: i64) -> bool {
    let score = desk.score();
    let block = score.blocks.iter().rposition(|b| b.frame.first_bar <= bar).unwrap();
    desk.report().tracks[player].blocks[block].is_some()
}

fn judge_all(desk: &Desk) -> Result<usize, String> {
    let players = &desk.score().head.players;
    for (index, player) in players.iter().enumerate() {
        judge(desk, index).map_err(|why| format!("{}: {why}", player.id))?;
    }
    Ok(players.len())
}

#[test]
fn every_player_of_every_sample_and_fixture_has_a_true_part() {
    let (mut parts, mut sound) = (0, 0);
    for (path, desk) in texts("samples").into_iter().chain(texts("tests/fixtures")) {
        parts += judge_all(&desk).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
        sound += usize::from(faults(&desk).0.is_empty());
    }
    assert!(parts > 200 && sound > 60, "{parts} parts, {sound} sound scores");
}

#[test]
fn a_score_without_a_player_has_a_head() {
    let text = part(&desk("title \"Quay\"\nbar 1\n"), 0);
    assert_eq!(text, "brass 1\ntitle    \"Quay\"\npitch    written\n");
}

#[test]
fn generated_scores_are_mostly_sound() {
    let sound = (0..200).filter(|seed| faults(&desk(&score(*seed))).0.is_empty()).count();
    assert!(sound > 120, "{sound} of 200");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(80) })]

    #[test]
    fn every_player_of_a_generated_score_has_a_true_part(seed in any::<u64>()) {
        let text = score(seed);
        if let Err(why) = judge_all(&desk(&text)) {
            prop_assert!(false, "{}\n--- the score\n{}", why, text);
        }
    }

    #[test]
    fn whatever_the_text_there_is_a_part(
        lines in prop::collection::vec(prop::sample::select(BITS.to_vec()), 0..24),
    ) {
        let desk = desk(&lines.concat());
        if let Err(why) = judge_all(&desk) {
            prop_assert!(false, "{}\n--- the score\n{}", why, lines.concat());
        }
    }
}

const BITS: [&str; 38] = [
    "player Tp1 = trumpet in Bb\n",
    "player Hn = horn in F, seats 3, top C6, mutes cup\n",
    "player Tb = trombone, doubles alphorn in F\n",
    "player Own = Yard, name \"é𝄞\"\n",
    "instrument Yard = slide, fundamental Bb1\n",
    "group All = Tp1 Hn Tb\n",
    "phrase riff in Bb | q : C5 /D5 E5*3 | play riff | % |\n",
    "allow too-high pedal-care for Tp1 All\n",
    "roadmap A A*2 start\n",
    "pitch written\n",
    "tuning A4 = 442.25 // high\n",
    "bar 1  meter 3+2/8 6/8  key Eb major  tempo q. = 60  mark A  pickup e  repeat 2\n",
    "bar\n",
    "bar\n",
    "bar 99  close q  ending 1\n",
    "bar 3  repeat 2 to 9  key C# major\n",
    "chords | Bb6 F#m7b5 | % | rest 2 | N.C. |\n",
    "rhythm | q. e {3:2 e*3}*2 q= | [rit] h h:fermata | % |\n",
    "rhythm | h [tempo q = 60] h | \"x\" | % [accel] | {3:2 q [rit] q q} |\n",
    "Tp1 | p C5_ D5@12 = - | play riff up m3*2 | %*3 |\n",
    "All | (C4 E4 G4).  (= - Bb4)*3 | rest 3 | improvise 2 |\n",
    "Hn | q : [stopped] C4:trill=D4 B9:gliss Cbb0*64 | = |\n",
    "Hn Tb | h : (C4_ E4 G4 C5)*2 | [solo] - | w : G4 |\n",
    "Tb | [switch alphorn] {5:4 s*5} e- : C4*5 [mute cup] |\n",
    "Tp1 | rest 40000 | = |\n",
    "Tp1",
    " | ",
    "C5",
    " : ",
    "𝄞",
    "\"",
    "// x",
    "\n",
    "\r",
    "(",
    "=",
    "%",
    "bar ",
];
