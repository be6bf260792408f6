//! Mutes and changes of instrument counted beat by beat, and what more rest does.

use proptest::prelude::*;
use waterkey::rules::{Finding, Settings, Severity, check};
use waterkey::score::NoFiles;

/// One beat: what is said before it, and whether a note sounds.
#[derive(Debug, Clone)]
struct Beat {
    said: Option<usize>,
    sounds: bool,
}

/// Four beats at a tempo.
#[derive(Debug, Clone)]
struct Bar {
    tempo: u32,
    beats: Vec<Beat>,
}

/// An instrument, a note for it, and what may stand in its bell. `open` is no mute.
struct Who {
    line: &'static str,
    note: &'static str,
    bells: &'static [&'static str],
}

const WHO: [Who; 5] = [
    Who {
        line: "trumpet in Bb",
        note: "C5",
        bells: &["open", "straight", "cup", "plunger", "bucket", "harmon", "harmon-stemless"],
    },
    Who { line: "trombone", note: "F3", bells: &["open", "straight", "cup", "plunger", "hat", "bucket"] },
    Who { line: "horn in F", note: "C4", bells: &["open", "straight", "cup", "stopping"] },
    Who { line: "euphonium", note: "C3", bells: &["open", "straight", "cup"] },
    Who { line: "F tuba", note: "C2", bells: &["open", "straight"] },
];

/// Least and comfortable seconds, as the page of the rule has them: in or out.
fn one(who: usize, mute: &str) -> (f64, f64) {
    match (who, mute) {
        (_, "bucket") => (4.0, 7.0),
        (0 | 1, "plunger" | "hat") => (0.7, 2.0),
        (2, "stopping") => (2.0, 4.0),
        (0, _) => (1.0, 3.5),
        (1, _) => (1.5, 4.0),
        (2, _) => (1.0, 2.5),
        (3, _) => (2.0, 5.0),
        _ => (4.0, 10.0),
    }
}

fn needs(who: usize, from: &str, to: &str) -> (f64, f64) {
    match (from, to) {
        ("open", mute) | (mute, "open") => one(who, mute),
        ("harmon", "harmon-stemless") | ("harmon-stemless", "harmon") => (4.0, 8.0),
        (a, b) => {
            let exchange = [(2.5, 5.0), (3.0, 6.0)].get(who).copied();
            let all = [exchange, Some(one(who, a)), Some(one(who, b))];
            all.into_iter().flatten().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap()
        }
    }
}

fn text(who: usize, bars: &[Bar]) -> String {
    let Who { line, note, bells } = &WHO[who];
    let mut out = format!("player P = {line}\n");
    for bar in bars {
        out += &format!("bar  meter 4/4  tempo q = {}\nP | q :", bar.tempo);
        for beat in &bar.beats {
            match beat.said.map(|said| bells[said % bells.len()]) {
                Some("open") => out += " [open]",
                Some(mute) => out += &format!(" [mute {mute}]"),
                None => {}
            }
            out += &format!(" {}", if beat.sounds { note } else { "-" });
        }
        out += " |\n";
    }
    out
}

/// Weight of what should be found for each change, in order: 4 no rest at all, 3 too little, 2 hurried, 1 said too
/// late.
fn slowly(who: usize, bars: &[Bar]) -> Vec<u8> {
    let bells = WHO[who].bells;
    let mut found = Vec::new();
    let mut bell = "open";
    // In the bell at the last note, seconds since its end, and of what was said since: how often, how long ago.
    let mut last: Option<&str> = None;
    let (mut rest, mut times, mut ago) = (0.0, 0, 0.0);
    for bar in bars {
        let seconds = 60.0 / f64::from(bar.tempo);
        for beat in &bar.beats {
            if let Some(said) = beat.said.map(|said| bells[said % bells.len()])
                && said != bell
            {
                bell = said;
                times += 1;
                ago = 0.0;
            }
            if !beat.sounds {
                rest += seconds;
                ago += seconds;
                continue;
            }
            if let Some(before) = last.filter(|before| *before != bell) {
                let (least, comfortable) = needs(who, before, bell);
                let at_hand = [before, bell].iter().all(|b| ["open", "plunger", "hat"].contains(b));
                let weight = if rest < 1e-6 && !at_hand {
                    4
                } else if rest < least - 1e-6 {
                    3
                } else if rest < comfortable - 1e-6 {
                    2
                } else {
                    u8::from(times == 1 && ago < comfortable - 1e-6)
                };
                found.push(weight);
            }
            last = Some(bell);
            (rest, times, ago) = (0.0, 0, 0.0);
        }
    }
    found.retain(|weight| *weight > 0);
    found
}

fn weight(finding: &Finding) -> u8 {
    match (finding.severity, finding.grade) {
        (Severity::Error, _) => 4,
        (Severity::Warning, 2) => 3,
        (Severity::Warning, _) => 2,
        _ => 1,
    }
}

fn weights(text: &str, rule: &str) -> Vec<u8> {
    let found = check(text, &Settings::default(), &NoFiles);
    found.iter().filter(|f| f.rule == rule).map(weight).collect()
}

fn bars() -> impl Strategy<Value = Vec<Bar>> {
    let said = prop_oneof![3 => Just(None), 2 => (0usize..7).prop_map(Some)];
    let beat = (said, prop::bool::weighted(0.35)).prop_map(|(said, sounds)| Beat { said, sounds });
    let tempo = prop_oneof![Just(60u32), Just(120), Just(240), 40u32..200];
    let bar = (tempo, prop::collection::vec(beat, 4)).prop_map(|(tempo, beats)| Bar { tempo, beats });
    prop::collection::vec(bar, 1..14)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn time_for_mutes_is_what_counting_beats_gives(who in 0..WHO.len(), bars in bars()) {
        let text = text(who, &bars);
        prop_assert_eq!(weights(&text, "mute-time"), slowly(who, &bars), "{}", text);
    }

    #[test]
    fn a_bar_of_rest_more_is_never_worse(
        who in 0..WHO.len(), bars in bars(), at in any::<prop::sample::Index>(), tempo in 40u32..200
    ) {
        let before = weights(&text(who, &bars), "mute-time");
        let mut more = bars.clone();
        let silent = Beat { said: None, sounds: false };
        more.insert(at.index(bars.len() + 1), Bar { tempo, beats: vec![silent; 4] });
        let after = weights(&text(who, &more), "mute-time");
        let graver = |all: &[u8], than: u8| all.iter().filter(|w| **w >= than).count();
        for than in 1..=4 {
            prop_assert!(graver(&after, than) <= graver(&before, than), "{}", text(who, &more));
        }
    }

    /// The rest between two instruments, in bars of seconds known by hand.
    #[test]
    fn time_to_change_the_instrument_is_that_of_the_rest(
        large in any::<bool>(), bars in 0u32..8, beats in 0u32..4, tempo in 40u32..240, early in any::<bool>()
    ) {
        let (player, first, second, other) = if large {
            ("F tuba, doubles euphonium", "F2", "Bb2", "euphonium")
        } else {
            ("trumpet in Bb, doubles flugelhorn in Bb", "C5", "F4", "flugelhorn")
        };
        let (head, tail) = if early { (format!("[switch {other}] "), String::new()) } else { (String::new(), format!("[switch {other}] ")) };
        let whole = if bars > 0 { format!("| {head}rest {bars} ") } else { String::new() };
        let head = if bars > 0 { String::new() } else { head };
        let rests = " -".repeat(beats as usize);
        let notes = format!(" {second}").repeat(4 - beats as usize);
        let text = format!(
            "player P = {player}\nbar 1  meter 4/4  tempo q = {tempo}\nP | w : {first} {whole}| q : {head}{}{tail}{} |\n",
            if rests.is_empty() { String::new() } else { format!("{} ", rests.trim()) },
            notes.trim()
        );
        let rest = f64::from(bars * 4 + beats) * 60.0 / f64::from(tempo);
        let (least, comfortable) = if large { (12.0, 20.0) } else { (8.0, 15.0) };
        let wanted: &[u8] = if rest < least / 2.0 - 1e-6 {
            &[3]
        } else if rest < least - 1e-6 {
            &[2]
        } else if rest < comfortable - 1e-6 || !early {
            &[1]
        } else {
            &[]
        };
        prop_assert_eq!(weights(&text, "switch-time"), wanted, "{}", text);
    }
}
