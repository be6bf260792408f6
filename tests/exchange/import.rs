//! Laws of what is taken in: what is written for other programs and taken in again is the same music, and from the
//! second time on the same text.

use super::desk;
use super::generated::score;
use proptest::prelude::*;
use serde_json::Value;
use std::collections::BTreeSet;
use waterkey::exchange::import::{Imported, Map, import};
use waterkey::exchange::musicxml::{self, Pitches};
use waterkey::exchange::{midi, played};
use waterkey::rules::registry::is_reading_fault;
use waterkey::rules::{Desk, Severity};

fn taken(bytes: &[u8]) -> Imported {
    import(bytes, &Map::default()).unwrap_or_else(|why| panic!("{why}"))
}

fn faults(desk: &Desk) -> Vec<String> {
    let all = desk.findings();
    let grave = all.iter().filter(|f| is_reading_fault(f.rule) && f.severity == Severity::Error);
    grave.map(|f| format!("{}:{} {}", f.line + 1, f.rule, f.message)).collect()
}

/// A note as it is compared: bar, onset, length, pitch, marks, graces, mute, instrument, dynamic.
/// Slurs and glissandos that lead nowhere are not written, so that they are compared only where there are none.
fn note(note: &Value, chords: bool, lines: bool) -> String {
    let marks: BTreeSet<&str> = note["marks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|m| m.as_str().unwrap())
        // A fermata of the rhythm row is everybody's own when it comes back.
        .filter(|m| *m != ":fermata" && (lines || !matches!(*m, "_" | ":gliss")))
        .collect();
    let common = format!("{} {} {}", note["bar"], note["onset"], note["sounding"]);
    if chords {
        return common;
    }
    format!(
        "{common} {} {marks:?} {} {} {} {}",
        note["length"], note["graces"], note["mute"], note["instrument"], note["dynamic"]
    )
}

/// What differs between what two scores play.
/// The order in which bars are played counts if `ordered`.
fn differs(one: &Desk, other: &Desk, lines: bool, ordered: bool) -> Option<String> {
    let read = |desk: &Desk| serde_json::from_str::<Value>(&played::json(desk)).unwrap();
    let (one, other) = (read(one), read(other));
    for part in ["bars", "order"] {
        if one[part] != other[part] && (ordered || part == "bars") {
            return Some(format!("{part}: {} / {}", one[part], other[part]));
        }
    }
    for player in one["players"].as_array().unwrap() {
        let twin = other["players"].as_array().unwrap().iter().find(|p| p["id"] == player["id"]);
        let Some(twin) = twin else { return Some(format!("{} is gone", player["id"])) };
        let seats = player["seats"].as_array().unwrap();
        let all = |person: &Value| -> Vec<String> {
            // People of one part are one stave: which of them has which note is not said there.
            let mut all: Vec<String> = person["seats"]
                .as_array()
                .unwrap()
                .iter()
                .flat_map(|s| s["notes"].as_array().unwrap().iter().map(|n| note(n, seats.len() > 1, lines)))
                .collect();
            if seats.len() > 1 {
                all.sort();
                all.dedup();
            }
            all
        };
        let (a, b) = (all(player), all(twin));
        if a != b {
            let at = a.iter().zip(&b).position(|(x, y)| x != y).unwrap_or(a.len().min(b.len()));
            return Some(format!("{}: {:?} / {:?}", player["id"], a.get(at), b.get(at)));
        }
    }
    None
}

/// Out, in, out and in.
fn round(text: &str, pitches: Pitches, lines: bool) -> Result<(), String> {
    let first = desk(text);
    if !faults(&first).is_empty() || first.score().head.players.is_empty() {
        return Ok(());
    }
    let once = taken(musicxml::score(&first, pitches).as_bytes());
    let second = desk(&once.text);
    let found = faults(&second);
    if !found.is_empty() {
        return Err(format!("{:?}\n{}", found.first(), once.text));
    }
    // A road map is words in MusicXML, and endings in which something changes are told as lost.
    let ordered = !text.contains("roadmap") && !once.losses.iter().any(|l| l.kind.starts_with("endings"));
    if let Some(why) = differs(&first, &second, lines, ordered) {
        return Err(format!("{why}\n{:?}\n{}", once.losses, once.text));
    }
    let twice = taken(musicxml::score(&second, pitches).as_bytes());
    if twice.text != once.text {
        let lines = once.text.lines().zip(twice.text.lines()).find(|(a, b)| {
            let plain = |l: &str| l.split_whitespace().collect::<Vec<_>>().join(" ");
            plain(a) != plain(b)
        });
        return Err(format!("not the same the second time: {lines:?}"));
    }
    Ok(())
}

#[test]
fn every_sample_comes_back() {
    let mut count = 0;
    for entry in std::fs::read_dir("samples").unwrap() {
        let path = entry.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        if !text.contains("\nbar") {
            continue;
        }
        for pitches in [Pitches::Written, Pitches::Concert] {
            if let Err(why) = round(&text, pitches, true) {
                panic!("{} {pitches:?}: {why}", path.display());
            }
        }
        count += 1;
    }
    assert!(count > 5);
}

/// As many as `PROPTEST_CASES` asks for.
fn cases() -> u32 {
    std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(64)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), max_shrink_iters: 0, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_comes_back(seed in any::<u64>()) {
        let text = score(seed);
        for pitches in [Pitches::Written, Pitches::Concert] {
            if let Err(why) = round(&text, pitches, false) {
                prop_assert!(false, "{pitches:?} {why}\n\n{text}");
            }
        }
    }

    #[test]
    fn what_sounds_in_midi_is_taken_in_without_a_fault(seed in any::<u64>()) {
        let text = score(seed);
        let bytes = midi::score(&desk(&text));
        let Ok(imported) = import(&bytes, &Map::default()) else { return Ok(()) };
        let found = faults(&desk(&imported.text));
        prop_assert!(found.is_empty(), "{found:?}\n{}", imported.text);
        prop_assert!(imported.doubt.is_some());
    }
}
