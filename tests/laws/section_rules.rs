//! Rules about several players, counted another way: beat by beat and bar by bar, over lists of numbers.

use proptest::prelude::*;
use waterkey::rules::registry::is_reading_fault;
use waterkey::rules::{Finding, Settings, Severity, check};
use waterkey::score::NoFiles;

const NAMES: [&str; 12] = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];

fn name(midi: i32) -> String {
    format!("{}{}", NAMES[midi.rem_euclid(12) as usize], midi.div_euclid(12) - 1)
}

fn of(rule: &str, text: &str, settings: &Settings) -> Vec<Finding> {
    let found = check(text, settings, &NoFiles);
    assert!(
        !found.iter().any(|f| f.severity > Severity::Hint && is_reading_fault(f.rule)),
        "{text}\n{found:#?}"
    );
    found.into_iter().filter(|f| f.rule == rule).collect()
}

/// Crotchets of one line, four to a bar.
fn row(id: &str, notes: &[Option<i32>]) -> String {
    let bars = notes.chunks(4).map(|bar| {
        let list: Vec<String> = bar.iter().map(|n| n.map_or("-".to_owned(), name)).collect();
        format!(" q*4 : {} |", list.join(" "))
    });
    format!("{id} |{}\n", bars.collect::<String>())
}

fn line(from: i32, to: i32) -> impl Strategy<Value = Vec<Option<i32>>> {
    prop::collection::vec(prop::option::weighted(0.85, from..to), 16)
}

/// Beats of each crossing of two lines; rests end none.
fn crossings(above: &[Option<i32>], below: &[Option<i32>]) -> Vec<u32> {
    let (mut all, mut now) = (Vec::new(), 0);
    for (a, b) in above.iter().zip(below) {
        match a.zip(*b) {
            Some((a, b)) if a < b => now += 1,
            Some(_) => all.push(std::mem::take(&mut now)),
            None => {}
        }
    }
    all.push(now);
    all.into_iter().filter(|beats| *beats > 2).collect()
}

fn beats(found: &[Finding]) -> Vec<u32> {
    found.iter().map(|f| f.measured.as_ref().unwrap().split('.').next().unwrap().parse().unwrap()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn crossings_are_those_of_a_count_beat_by_beat(a in line(62, 70), b in line(60, 68), later in 0usize..4) {
        // What the second, third and fourth chair of horns may do above the first, third and second.
        let (one, other) = [("Hn1", "Hn2"), ("Hn1", "Hn3"), ("Hn3", "Hn4"), ("Hn2", "Hn4")][later];
        let head = "level professional\nplayer Hn1 = horn in F\nplayer Hn2 = horn in F\nplayer Hn3 = horn in F\nplayer Hn4 = horn in F\nbar 1  meter 4/4\n";
        let text = format!("{head}{}{}", row(one, &a), row(other, &b));
        let mut found = beats(&of("crossed-parts", &text, &Settings::default()));
        let mut wanted = crossings(&a, &b);
        found.sort_unstable();
        wanted.sort_unstable();
        prop_assert_eq!(found, wanted, "{}", text);
        // The third horn above the second is no crossing, nor the second above the third.
        for (one, other) in [("Hn2", "Hn3"), ("Hn3", "Hn2")] {
            let text = format!("{head}{}{}", row(one, &a), row(other, &b));
            prop_assert!(of("crossed-parts", &text, &Settings::default()).is_empty(), "{}", text);
        }
    }

    #[test]
    fn holes_in_chords_are_those_of_a_count_bar_by_bar(
        chords in prop::collection::vec((36..48, 1..22, 1..22, 1..22), 1..7),
    ) {
        let ids = ["Tu", "Tb", "Hn", "Tp"];
        let heights = |(low, a, b, c): &(i32, i32, i32, i32)| [*low, low + a, low + a + b, low + a + b + c];
        let mut text = "player Tp = trumpet in Bb, top C7\nplayer Hn = horn in F, top C7\nplayer Tb = trombone, top C7\nplayer Tu = F tuba\nbar 1  meter 4/4\n".to_owned();
        for (voice, id) in ids.iter().enumerate() {
            let bars: String = chords.iter().map(|c| format!(" w : {} |", name(heights(c)[voice]))).collect();
            text += &format!("{id} |{bars}\n");
        }
        // The voice above the hole of each chord: the lowest hole that is not above the bass.
        let holes: Vec<Option<usize>> = chords.iter().map(|c| {
            let all = heights(c);
            (2..4).find(|voice| all[*voice] - all[*voice - 1] > 12)
        }).collect();
        let mut wanted = 0;
        let mut at = 0;
        while at < holes.len() {
            let same = holes[at..].iter().take_while(|h| **h == holes[at]).count();
            wanted += usize::from(holes[at].is_some() && same > 1);
            at += same;
        }
        prop_assert_eq!(of("gap-in-chord", &text, &Settings::default()).len(), wanted, "{}", text);
    }

    #[test]
    fn loud_minutes_are_those_of_a_count_second_by_second(
        bars in prop::collection::vec(0u8..4, 1..40),
    ) {
        let mut settings = Settings::default();
        settings.limits.insert(("hearing-load".to_owned(), "loud".to_owned()), 19.5);
        settings.limits.insert(("hearing-load".to_owned(), "quiet".to_owned()), 7.5);
        // A bar lasts four seconds: ff, softer, silent.
        let what = |bar: u8| match bar { 0 | 3 => "w : ff C4,", 1 => "w : mf C4,", _ => "w : -" };
        let row: String = bars.iter().map(|bar| format!(" {} |", what(*bar))).collect();
        let text = format!("player Eu = euphonium\nbar 1  meter 4/4  tempo q = 60\nEu |{row}\n");
        let (mut loud, mut quiet, mut told, mut wanted) = (0.0, 0.0, false, 0);
        for second in bars.iter().flat_map(|bar| [*bar; 4]) {
            if second == 0 || second == 3 {
                (loud, quiet) = (loud + 1.0, 0.0);
            } else {
                quiet += 1.0;
            }
            if quiet >= 8.0 {
                (loud, told) = (0.0, false);
            }
            if loud >= 19.5 && !told {
                (told, wanted) = (true, wanted + 1);
            }
        }
        prop_assert_eq!(of("hearing-load", &text, &settings).len(), wanted, "{}", text);
    }
}
