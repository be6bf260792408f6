//! What the rules of tongue and low notes measure, counted again without visits and states; and that slower is
//! never worse.

use proptest::prelude::*;
use waterkey::music::pitch::hertz;
use waterkey::rules::{Finding, Settings, Severity, check};
use waterkey::score::NoFiles;

/// A beat: its figure, and for each of its places quarters of a beat in twelfths and whether it sounds.
const BEATS: [(&str, &[(u32, bool)]); 9] = [
    ("s*4", &[(3, true), (3, true), (3, true), (3, true)]),
    ("e e", &[(6, true), (6, true)]),
    ("q", &[(12, true)]),
    ("e s s", &[(6, true), (3, true), (3, true)]),
    ("s s e", &[(3, true), (3, true), (6, true)]),
    ("q-", &[(12, false)]),
    ("s s- e", &[(3, true), (3, false), (6, true)]),
    ("{3:2 e*3}", &[(4, true), (4, true), (4, true)]),
    ("e- s s", &[(6, false), (3, true), (3, true)]),
];

/// A note as it is heard, or a rest.
#[derive(Debug, Clone, Copy)]
struct Heard {
    seconds: f64,
    midi: Option<i32>,
    slurred: bool,
}

/// Bars of four beats: which beat, and a pitch and a wish to slur on for each of its places.
type Music = Vec<[(usize, [(usize, bool); 4]); 4]>;

fn music() -> impl Strategy<Value = Music> {
    let place = (0usize..5, prop::bool::weighted(0.25));
    let beat = (0..BEATS.len(), prop::array::uniform4(place));
    prop::collection::vec(prop::array::uniform4(beat), 1..7)
}

/// The score and what is heard, at a tempo for the first half of the bars and one for the rest.
fn score(player: &str, pitches: [(&str, i32); 5], music: &Music, tempos: [u32; 2]) -> (String, Vec<Heard>) {
    let mut text = format!("player P1 = {player}\nallow no-breath\n");
    let mut heard: Vec<Heard> = Vec::new();
    let half = music.len() / 2;
    for (at, bar) in music.iter().enumerate() {
        let tempo = tempos[usize::from(at >= half)];
        let (mut figures, mut notes) = (Vec::new(), Vec::new());
        for (beat, places) in bar {
            let (figure, lengths) = BEATS[*beat];
            figures.push(figure);
            for ((twelfths, sounds), (pitch, slur)) in lengths.iter().zip(places) {
                let seconds = f64::from(*twelfths) / 12.0 * 60.0 / f64::from(tempo);
                let (name, midi) = pitches[*pitch];
                // A slur leads to the next note only if no rest stands between.
                let reached = slurs(&mut heard);
                if *sounds {
                    notes.push(format!("{name}{}", if *slur { "_" } else { "" }));
                }
                let midi = sounds.then_some(midi);
                heard.push(Heard { seconds, midi, slurred: reached && *sounds });
                if *sounds && *slur {
                    heard.push(SLUR);
                }
            }
        }
        let header =
            if at == 0 || at == half { format!("  meter 4/4  tempo q = {tempo}") } else { String::new() };
        let number = if at == 0 { "bar 1" } else { "bar" };
        text += &format!("{number}{header}\nP1 | {} : {} |\n", figures.join(" "), notes.join(" "));
    }
    heard.retain(|h| h.seconds >= 0.0);
    (text, heard)
}

/// Stands behind a note that slurs on, until the next is heard.
const SLUR: Heard = Heard { seconds: -1.0, midi: None, slurred: false };

/// Takes the slur away that waits at the end; true if there was one.
fn slurs(heard: &mut Vec<Heard>) -> bool {
    heard.pop_if(|h| h.seconds < 0.0).is_some()
}

fn found(text: &str, rule: &str) -> Vec<Finding> {
    check(text, &Settings::default(), &NoFiles).into_iter().filter(|f| f.rule == rule).collect()
}

fn number(finding: &Finding) -> f64 {
    finding.measured.as_ref().unwrap().split(' ').next().unwrap().parse().unwrap()
}

/// When the tongue begins a note.
fn attacks(heard: &[Heard]) -> Vec<f64> {
    let mut now = 0.0;
    let mut all = Vec::new();
    for h in heard {
        if h.midi.is_some() && !h.slurred {
            all.push(now);
        }
        now += h.seconds;
    }
    all
}

/// Rates of every so many attacks in a row.
fn rates(attacks: &[f64], notes: usize) -> impl Iterator<Item = f64> + '_ {
    attacks.windows(notes).map(move |w| (notes - 1) as f64 / (w[notes - 1] - w[0]))
}

const TROMBONE: [(&str, i32); 5] = [("Bb3", 58), ("C4", 60), ("D4", 62), ("A3", 57), ("Bb3", 58)];
const TUBA: [(&str, i32); 5] = [("F1", 29), ("G1", 31), ("Bb1", 34), ("C2", 36), ("F2", 41)];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn the_speed_of_tongues_is_what_a_slow_count_gives(
        music in music(), first in 40u32..130, second in 40u32..130
    ) {
        let (text, heard) = score("trombone, level school", TROMBONE, &music, [first, second]);
        let attacks = attacks(&heard);
        // A school trombonist: 4.5 a second, and for four notes 10 to 8.5 of that.
        let (many, few) = (4.5, 4.5 * 10.0 / 8.5);
        let too_fast = rates(&attacks, 8).filter(|r| *r > many).chain(rates(&attacks, 4).filter(|r| *r > few));
        let most = too_fast.fold(0.0, f64::max);
        let near = |r: f64, l: f64| (r - l).abs() < 1e-4;
        prop_assume!(!rates(&attacks, 8).any(|r| near(r, many)) && !rates(&attacks, 4).any(|r| near(r, few)));
        let told = found(&text, "tongue-speed");
        let told: Vec<f64> =
            told.iter().filter(|f| f.measured.as_ref().unwrap().contains("notes a second")).map(number).collect();
        let worst = told.iter().copied().fold(0.0, f64::max);
        prop_assert!((worst - most).abs() < 0.051, "told {:?}, counted {}\n{}", told, most, text);
    }

    /// What is told of speed; how long a tongue lasts is another matter, and so are speeds between two techniques.
    #[test]
    fn a_slower_tempo_is_never_worse_for_the_tongue(
        music in music(), beats in 60u32..190, slower in 1u32..40, level in 0usize..3
    ) {
        let player = ["trombone, level school", "trombone, level amateur", "trombone"][level];
        let weight = |beats: u32| {
            let (text, _) = score(player, TROMBONE, &music, [beats, beats]);
            let all = found(&text, "tongue-speed");
            let speed = |f: &&Finding| f.severity == Severity::Warning && f.measured.as_ref().unwrap().contains("second");
            all.iter().filter(speed).count()
        };
        if weight(beats) == 0 {
            prop_assert_eq!(weight(beats - slower), 0);
        }
    }

    #[test]
    fn the_swings_of_low_notes_are_what_a_slow_count_gives(
        music in music(), first in 60u32..190, second in 60u32..190
    ) {
        let (text, heard) = score("CC tuba", TUBA, &music, [first, second]);
        let mut swings: Vec<f64> = Vec::new();
        let mut at = 0;
        while at < heard.len() {
            let Some(midi) = heard[at].midi else { at += 1; continue };
            let mut seconds = heard[at].seconds;
            at += 1;
            while at < heard.len() && heard[at].slurred {
                seconds += heard[at].seconds;
                at += 1;
            }
            swings.push(seconds * hertz(f64::from(midi), 440.0));
        }
        prop_assume!(!swings.iter().any(|s| (s - 10.0).abs() < 1e-4));
        let short: Vec<f64> = swings.into_iter().filter(|s| *s < 10.0).collect();
        let told = found(&text, "slow-to-speak");
        let notes: u32 = told
            .iter()
            .map(|f| f.message.split(" low notes are").next().unwrap().rsplit(' ').next().unwrap().parse().unwrap_or(1))
            .sum();
        prop_assert_eq!(notes as usize, short.len(), "{}", text);
        if !short.is_empty() {
            let (least, said) = (short.iter().copied().fold(99.0, f64::min), told.iter().map(number).fold(99.0, f64::min));
            prop_assert!((least - said).abs() < 0.051, "told {}, counted {}\n{}", said, least, text);
            prop_assert_eq!(told.iter().any(|f| f.grade == 2), least < 6.0);
        }
    }

    #[test]
    fn a_slower_tempo_is_never_worse_for_low_notes(music in music(), beats in 60u32..190, slower in 1u32..40) {
        let worst = |beats: u32| {
            let (text, _) = score("CC tuba", TUBA, &music, [beats, beats]);
            let all = found(&text, "slow-to-speak");
            all.iter().map(|f| f.grade).max().unwrap_or(0)
        };
        prop_assert!(worst(beats - slower) <= worst(beats));
    }

    /// A crescendo from pp is no pp, wherever it began.
    #[test]
    fn nothing_is_said_of_softness_on_the_way(rests in 0usize..3, blocks in 1usize..3) {
        let mut text = "player P1 = trombone, level amateur\nbar 1  meter 4/4\nP1 | h : pp Bb3 cresc Bb3 |\n".to_owned();
        text += &"bar\nP1 | w : - |\n".repeat(rests);
        text += &"bar\nP1 | h : A4 Ab4 |\n".repeat(blocks);
        prop_assert!(found(&text, "high-and-soft").is_empty());
        prop_assert_eq!(found(&text.replace("cresc ", ""), "high-and-soft").len(), blocks);
    }
}
