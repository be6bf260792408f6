//! Lines in seconds, worked out by hand beside each text, and what follows from them.

use proptest::prelude::*;
use waterkey::brass::plan::{Joined, Plan, PlanNote};
use waterkey::rules::passage::{FREE_SECONDS, PlannedStep};
use waterkey::rules::{Desk, Settings, check};
use waterkey::score::NoFiles;
use waterkey::score::passage::{Sound, SoundKind};

struct Heard {
    sounds: Vec<Sound>,
    steps: Vec<PlannedStep>,
    /// By visit.
    seconds: Vec<f64>,
}

fn heard(text: &str) -> Heard {
    let desk = Desk::new(text, Settings::default(), &NoFiles);
    let mut all = Heard { sounds: Vec::new(), steps: Vec::new(), seconds: Vec::new() };
    desk.report().listen(desk.score(), 0, &mut |_, passage| {
        all.sounds.extend(passage.sounds);
        all.steps.extend(passage.steps);
        if !passage.ends {
            all.seconds.push(passage.sounds.iter().map(|s| s.seconds).sum());
        }
    });
    all
}

/// `N` for a note, `g` grace, `h` held on from the visit before, `-` silence, `?` improvised; each with seconds.
fn told(text: &str) -> String {
    let letter = |kind| match kind {
        SoundKind::Note => 'N',
        SoundKind::Grace => 'g',
        SoundKind::Held => 'h',
        SoundKind::Silence => '-',
        SoundKind::Improvised => '?',
    };
    let words: Vec<String> = heard(text)
        .sounds
        .iter()
        .map(|s| {
            let slur = if s.slurred { "_" } else { "" };
            let glide = if s.glides { "~" } else { "" };
            let breath = if s.breath { "," } else { "" };
            format!("{slur}{glide}{}{}{breath}", letter(s.kind), (s.seconds * 1000.0).round() / 1000.0)
        })
        .collect();
    words.join(" ")
}

const TB: &str = "player Tb1 = trombone\nplayer Tp1 = trumpet in Bb\n";

#[test]
fn holds_are_part_of_their_note_and_rests_are_one_silence() {
    let text = format!("{TB}bar 1  tempo q = 60\nTb1 | q : F3 = - - | h : - F3 | = | q : = F3 G3 - |\n");
    assert_eq!(told(&text), "N2 -4 N7 N1 N1 -1");
}

#[test]
fn a_note_goes_on_over_the_edge_of_a_visit() {
    let text = format!("{TB}bar 1  tempo q = 60\nTb1 | w : F3 |\nbar 2\nTb1 | h : = G3 |\n");
    assert_eq!(told(&text), "N4 h2 N2");
    let sounds = heard(&text).sounds;
    assert_eq!(sounds[1].sounding, sounds[0].sounding, "what goes on is known");
}

#[test]
fn bars_without_a_row_and_between_blocks_are_silent() {
    let text = format!(
        "{TB}bar 1  tempo q = 60\nTb1 | w : F3 |\nTp1 | w : C5 | w : C5 |\nbar 5\nTp1 | w : C5 |\nbar 6\nTb1 | w : F3 |\n"
    );
    assert_eq!(told(&text), "N4 -4 -12 N4");
}

#[test]
fn repeats_and_endings_are_played_out() {
    let text = format!(
        "{TB}bar 1  tempo q = 60  repeat 2\nTb1 | h : F3 - |\nbar 2  ending 1\nTb1 | w : G3 |\nbar 3  ending 2\nTb1 | w : - |\n"
    );
    assert_eq!(told(&text), "N2 -2 N4 N2 -2 -4");
}

#[test]
fn the_tempo_changes_inside_a_note() {
    // A quarter at 60 and a quarter at 120.
    let text = format!("{TB}bar 1  tempo q = 60\nrhythm | q [tempo q = 120] q h |\nTb1 | F3 = G3 |\n");
    assert_eq!(told(&text), "N1.5 N1");
    // From 120 to 60 over a whole note: 4 ln 2 seconds.
    let text = format!(
        "{TB}bar 1  tempo q = 120\nrhythm | [rit] w | w |\nTb1 | F3 | = |\nbar 3  tempo q = 60\nTb1 | w : F3 |\n"
    );
    let expected = 8.0 * 2f64.ln();
    assert!((heard(&text).sounds[0].seconds - expected).abs() < 1e-9);
}

#[test]
fn a_fermata_sounds_on_and_a_break_is_silent_for_all() {
    let text = format!("{TB}bar 1  tempo q = 60\nTb1 | h : F3:fermata G3 |\n");
    assert_eq!(told(&text), "N3 N2");
    let text = format!("{TB}bar 1  tempo q = 60\nTb1 | h : F3 G3 |\nTp1 | h : C5,, C5 |\n");
    assert_eq!(told(&text), "N2 -0.5 N2");
    // A fermata that somebody else has lengthens the rest here.
    let text = format!("{TB}bar 1  tempo q = 60\nTb1 | h : - G3 |\nTp1 | h : C5:fermata C5 |\n");
    assert_eq!(told(&text), "-3 N2");
}

#[test]
fn slurs_lead_to_the_next_note_unless_something_ends_them() {
    let row = |bar: &str| told(&format!("{TB}bar 1  tempo q = 60\nTb1 | {bar} |\n"));
    assert_eq!(row("q : F3_ G3_ A3 Bb3"), "N1 _N1 _N1 N1");
    assert_eq!(row("q : F3_ = A3:gliss Bb3"), "N2 _N1 ~N1");
    assert_eq!(row("q : F3 =_ A3 Bb3,"), "N2 _N1 N1,");
    assert_eq!(row("q : F3_ - A3 Bb3"), "N1 -1 N1 N1");
    assert_eq!(row("q : F3_ [mute straight] G3 A3 Bb3"), "N1 N1 N1 N1");
    let text = format!("{TB}bar 1  tempo q = 60\nTb1 | w : F3_ |\nbar 2\nTb1 | w : G3 |\n");
    assert_eq!(told(&text), "N4 _N4");
}

#[test]
fn without_a_tempo_nothing_is_heard() {
    assert_eq!(told(&format!("{TB}bar 1\nTb1 | w : F3 |\nbar 2  tempo q = 60\nTb1 | w : F3 |\n")), "N4");
}

/// Bars of a melody for a trombone: each of notes, rests and holds.
fn melody() -> impl Strategy<Value = Vec<Vec<(usize, u8)>>> {
    prop::collection::vec(prop::collection::vec((0usize..24, 0u8..14), 4), 1..12)
}

const NOTES: [&str; 24] = [
    "E2", "F2", "Gb2", "G2", "Ab2", "A2", "Bb2", "B2", "C3", "Db3", "D3", "Eb3", "E3", "F3", "Gb3", "G3",
    "Ab3", "A3", "Bb3", "B3", "C4", "D4", "Eb4", "F4",
];

/// The melody in blocks of so many bars.
fn text(melody: &[Vec<(usize, u8)>], instrument: &str, beats: u32, block: usize) -> String {
    let mut text = format!("player P = {instrument}\n");
    for (b, bars) in melody.chunks(block).enumerate() {
        text += &format!(
            "bar {}{}\nP |",
            b * block + 1,
            if b == 0 { format!("  tempo q = {beats}") } else { String::new() }
        );
        for (i, bar) in bars.iter().enumerate() {
            text += " q :";
            for (j, (note, what)) in bar.iter().enumerate() {
                text += &match what {
                    0 | 1 => " -".to_owned(),
                    2 if (b, i, j) != (0, 0, 0) => " =".to_owned(),
                    3 | 4 => format!(" {}_", NOTES[*note]),
                    5 => format!(" {}:gliss", NOTES[*note]),
                    _ => format!(" {}", NOTES[*note]),
                };
            }
            text += " |";
        }
        text += "\n";
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, ..ProptestConfig::default() })]

    #[test]
    fn a_line_lasts_as_long_as_its_bars(melody in melody(), beats in 30u32..300, block in 1usize..5) {
        let heard = heard(&text(&melody, "trombone", beats, block));
        let all: f64 = heard.seconds.iter().sum();
        prop_assert!((all - melody.len() as f64 * 240.0 / f64::from(beats)).abs() < 1e-6);
        // Sounds follow each other without gaps, and no silence follows a silence.
        for pair in heard.sounds.windows(2) {
            let begins_a_visit = pair[1].onset_seconds == 0.0;
            prop_assert!(begins_a_visit || (pair[0].end_seconds() - pair[1].onset_seconds).abs() < 1e-9);
            prop_assert!(begins_a_visit || pair[0].sounds() || pair[1].sounds());
        }
    }

    #[test]
    fn a_line_planned_visit_by_visit_is_planned_whole(
        melody in melody(), beats in 60u32..400, block in 1usize..5, trombone in any::<bool>()
    ) {
        let instrument = if trombone { "trombone" } else { "euphonium" };
        let text = text(&melody, instrument, beats, block);
        let heard = heard(&text);
        let desk = Desk::new(&text, Settings::default(), &NoFiles);
        // The same notes, gathered from the sounds in another way, planned at once.
        let (mut notes, mut now, mut last, mut silent) = (Vec::new(), 0.0, 0.0, 10.0);
        for sound in &heard.sounds {
            match sound.kind {
                SoundKind::Silence => silent += sound.seconds,
                SoundKind::Note => {
                    let joined = match sound {
                        _ if silent >= FREE_SECONDS => Joined::Afresh,
                        s if s.glides => Joined::Glides,
                        s if s.slurred => Joined::Slurred,
                        _ => Joined::Tongued,
                    };
                    let midi = sound.sounding.unwrap().midi();
                    notes.push(PlanNote { midi, after_seconds: (now - last) as f32, joined, bound: None });
                    silent = 0.0;
                    last = now;
                }
                _ => silent = 0.0,
            }
            now += sound.seconds;
        }
        let mut whole = Plan::default();
        let player = &desk.score().head.players[0];
        let tools = waterkey::rules::passage::Tools::of(player, &waterkey::rules::Settings::default());
        let planner = tools.planner(0).unwrap();
        planner.plan(&notes, &mut whole);
        prop_assert_eq!(heard.steps.len(), notes.len(), "every note is told once");
        let ways: Vec<_> = heard.steps.iter().map(|s| s.step.way).collect();
        prop_assert_eq!(planner.weigh(&notes, &ways), whole.weight);
        for (step, note) in heard.steps.iter().zip(&notes) {
            prop_assert_eq!(step.note.midi, note.midi);
        }
    }

    /// The number in a finding, by a count that knows nothing of visits and states.
    #[test]
    fn what_no_rest_measures_is_what_a_slow_count_gives(melody in melody(), beats in 30u32..90, block in 1usize..5) {
        let text = text(&melody, "trombone, level school", beats, block);
        let found = check(&text, &Settings::default(), &NoFiles);
        let measured: Vec<String> =
            found.iter().filter(|f| f.rule == "no-rest").filter_map(|f| f.measured.clone()).collect();
        // Quarters that sound, in stretches between silences of two seconds and more.
        let beat = 60.0 / f64::from(beats);
        let (mut stretches, mut quarters, mut load, mut silent, mut sounding, mut first) =
            (Vec::new(), 0u32, 0.0, 0u32, false, true);
        let mut high = false;
        for (note, what) in melody.iter().flatten() {
            sounding = match what {
                0 | 1 => false,
                2 if !first => sounding,
                _ => {
                    // Above a school player's comfortable D4.
                    high = *note > 21;
                    true
                }
            };
            first = false;
            if sounding {
                (quarters, silent) = (quarters + 1, 0);
                load += if high { 1.0 / 0.6 } else { 1.0 };
                continue;
            }
            silent += 1;
            if f64::from(silent) * beat > 2.0 - 1e-9 {
                stretches.push((quarters, load));
                (quarters, load) = (0, 0.0);
            }
        }
        stretches.push((quarters, load));
        let over = stretches.into_iter().filter(|(_, load)| load * beat > 30.0 + 1e-4);
        let wanted: Vec<String> = over.map(|(q, _)| format!("{:.0} s", f64::from(q) * beat)).collect();
        prop_assert_eq!(measured, wanted, "{}", text);
    }

    #[test]
    fn a_rest_never_adds_a_finding_of_the_lips(
        melody in melody(), beats in 30u32..60, at in any::<prop::sample::Index>()
    ) {
        let count = |melody: &[Vec<(usize, u8)>]| {
            let found = check(&text(melody, "trombone, level school", beats, 2), &Settings::default(), &NoFiles);
            let mut shares: Vec<u8> = found.iter().filter(|f| f.rule == "no-rest").map(|f| f.grade).collect();
            shares.sort_unstable();
            shares.len() + shares.iter().filter(|g| **g == 2).count()
        };
        let before = count(&melody);
        let mut rested = melody.clone();
        let bar = at.index(rested.len());
        rested.insert(bar, vec![(0, 0); 4]);
        // A rest may part one stretch that is too long into two that are, and make neither worse.
        prop_assert!(count(&rested) <= before.max(2 * before));
        if before == 0 {
            prop_assert_eq!(count(&rested), 0);
        }
    }
}
