//! The samples are what they say they are: the clean ones clean at every level, the draft full of the
//! mistakes it remarks on, and all together a tour of the notation.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use waterkey::host::FolderLoader;
use waterkey::rules::{Desk, Finding, Settings, Severity, check};
use waterkey::score::NoFiles;
use waterkey::score::event::EventKind;

const CLEAN: [&str; 10] = [
    "breakwater-hymn.brass",
    "crew.brass",
    "foghorn-call.brass",
    "harbour.brass",
    "lightship.brass",
    "mole-quartet.brass",
    "night-ferry.brass",
    "pilot-fanfare.brass",
    "quay-chorale.brass",
    "slipway-study.brass",
];
/// Too high, too low and too remote for others.
const FOR_PROFESSIONALS: &str = "lightship.brass";
const DRAFT: &str = "harbour-mistakes.brass";

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples")
}

fn text_of(name: &str) -> String {
    std::fs::read_to_string(folder().join(name)).unwrap()
}

fn findings(name: &str, text: &str) -> Vec<Finding> {
    check(text, &Settings::default(), &FolderLoader::for_score(&folder().join(name), &[]))
}

fn told(name: &str, found: &[Finding]) -> String {
    found.iter().fold(String::new(), |mut out, f| {
        writeln!(out, "{name}:{}: {} {}: {}", f.line + 1, f.severity.word(), f.rule, f.message).unwrap();
        out
    })
}

/// A line without its remark; runs of blanks count as one.
fn bare(line: &str) -> String {
    let mut quoted = false;
    let mut end = line.len();
    let mut before = ' ';
    for (at, c) in line.char_indices() {
        quoted ^= c == '"';
        if !quoted && before == ' ' && line[at..].starts_with("//") {
            end = at;
            break;
        }
        before = if c.is_whitespace() { ' ' } else { c };
    }
    line[..end].split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_sample_is_known_here() {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.ends_with(".brass"))
        .collect();
    names.sort();
    let mut known: Vec<&str> = CLEAN.into_iter().chain([DRAFT]).collect();
    known.sort_unstable();
    assert_eq!(names, known);
}

#[test]
fn there_is_nothing_to_find_in_the_clean_samples_not_even_a_hint() {
    let out: String = CLEAN.iter().map(|name| told(name, &findings(name, &text_of(name)))).collect();
    assert!(out.is_empty(), "\n{out}");
}

/// Rules of breath, lips, aim, counting and clefs, and of hands that may be small: how long and how boldly a piece
/// goes on is its own affair, and not every piece
/// is for beginners.
const OF_THE_PIECE: [&str; 11] = [
    "no-rest",
    "heavy-load",
    "long-high",
    "no-recovery",
    "no-breath",
    "short-breath",
    "cold-entry",
    "wide-leap",
    "long-silence",
    "clef-flips",
    "stopped-limits",
];

/// Ranges, tubes and fingerings are within everybody's means; only what a level is asked to read may differ,
/// and how long anybody can go on.
#[test]
fn the_clean_samples_suit_players_of_every_level() {
    let mut out = String::new();
    for name in CLEAN.into_iter().filter(|name| *name != FOR_PROFESSIONALS) {
        let text = text_of(name);
        for level in ["school", "amateur", "professional"] {
            let other: String = text
                .lines()
                .map(|line| match line.strip_prefix("level ") {
                    Some(_) => format!("level {level}\n"),
                    None => format!("{line}\n"),
                })
                .collect();
            let mut found = findings(name, &other);
            found.retain(|f| !OF_THE_PIECE.contains(&f.rule));
            out += &told(&format!("{name} ({level})"), &found);
        }
    }
    assert!(out.is_empty(), "\n{out}");
}

/// Block, bar, and place in the bar.
type At = (usize, u32, u64);

/// What everybody sounds or has just sounded, at each attack of the score; a rest of half a bar or more parts.
fn chords(desk: &Desk) -> Vec<Vec<Option<i32>>> {
    let score = desk.score();
    let mut attacks: BTreeMap<At, Vec<(usize, Option<i32>)>> = BTreeMap::new();
    for block in 0..score.blocks.len() {
        for player in 0..score.head.players.len() {
            let all = desk.report().events(score, block, player);
            if all.is_empty() {
                attacks.entry((block, 0, 0)).or_default().push((player, None));
            }
            for event in all {
                let sounds = match event.kind {
                    EventKind::Note => Some(event.sounding.midi()),
                    EventKind::Rest if event.length.to_f64() >= 0.5 => None,
                    _ => continue,
                };
                let at = (block, event.bar, (event.onset.to_f64() * 1024.0) as u64);
                attacks.entry(at).or_default().push((player, sounds));
            }
        }
    }
    let mut now = vec![None; score.head.players.len()];
    let mut all = Vec::new();
    for changes in attacks.values() {
        changes.iter().for_each(|(player, sounds)| now[*player] = *sounds);
        all.push(now.clone());
    }
    all
}

/// Of two voices, both moving the same way: `true` if they keep a fifth or an octave apart.
fn parallel(before: (i32, i32), after: (i32, i32)) -> bool {
    let apart = |(low, high): (i32, i32)| (high - low).rem_euclid(12);
    let moved = ((after.0 - before.0).signum(), (after.1 - before.1).signum());
    moved.0 != 0 && moved.0 == moved.1 && apart(before) == apart(after) && [0, 7].contains(&apart(after))
}

/// Strict part-writing (common practice): no fifths or octaves in parallel between the outer voices of everybody,
/// nor fifths between any two players.
#[test]
fn the_voices_of_the_lightship_lead_well() {
    let desk = Desk::new(&text_of("lightship.brass"), Settings::default(), &NoFiles);
    let name = |player: usize| &*desk.score().head.players[player].id;
    let chords = chords(&desk);
    assert!(chords.len() > 50, "{}", chords.len());
    let mut out = String::new();
    for (at, pair) in chords.windows(2).enumerate() {
        let outer = |chord: &[Option<i32>]| {
            let all = chord.iter().flatten();
            all.clone().min().copied().zip(all.max().copied()).filter(|(low, high)| low < high)
        };
        if let (Some(before), Some(after)) = (outer(&pair[0]), outer(&pair[1]))
            && parallel(before, after)
        {
            writeln!(out, "{at}: outer voices {before:?} to {after:?}").unwrap();
        }
        for a in 0..pair[0].len() {
            for b in a + 1..pair[0].len() {
                let voices = |chord: &[Option<i32>]| chord[a].zip(chord[b]);
                let (Some(before), Some(after)) = (voices(&pair[0]), voices(&pair[1])) else { continue };
                if (before.0 - before.1).rem_euclid(12) != 0
                    && (parallel(before, after) || parallel((before.1, before.0), (after.1, after.0)))
                {
                    writeln!(out, "{at}: {} and {} {before:?} to {after:?}", name(a), name(b)).unwrap();
                }
            }
        }
    }
    assert!(out.is_empty(), "\n{out}");
}

/// A remark that stands alone speaks of the lines below it, down to the next remark or blank line.
#[test]
fn every_remark_of_the_draft_stands_above_a_finding_and_every_finding_below_a_remark() {
    let text = text_of(DRAFT);
    let lines: Vec<&str> = text.lines().collect();
    let marked: BTreeSet<usize> = findings(DRAFT, &text)
        .iter()
        .filter(|f| f.severity != Severity::Hint)
        .map(|f| f.line as usize)
        .collect();
    let mut out = String::new();
    let mut remarked = BTreeSet::new();
    for (at, line) in lines.iter().enumerate().filter(|(at, l)| *at > 3 && l.starts_with("//")) {
        let below =
            || (at + 1..lines.len()).take_while(|i| !lines[*i].is_empty() && !lines[*i].starts_with("//"));
        remarked.extend(below());
        if !below().any(|i| marked.contains(&i)) {
            writeln!(out, "nothing found below {}: {line}", at + 1).unwrap();
        }
    }
    for line in marked.difference(&remarked) {
        writeln!(out, "no remark above {}: {}", line + 1, lines[*line]).unwrap();
    }
    assert!(out.is_empty(), "\n{out}");
}

#[test]
fn the_samples_show_every_construct_of_the_notation() {
    let list = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/samples_cover.tsv");
    let list = std::fs::read_to_string(list).unwrap();
    let mut out = String::new();
    let mut rows = 0;
    for row in list.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let [construct, shown, name] = row.split('\t').collect::<Vec<_>>()[..] else {
            panic!("three columns: {row}");
        };
        rows += 1;
        let whole: String = text_of(name).lines().map(|l| bare(l) + "\n").collect();
        if !shows(&whole, construct, shown) {
            writeln!(out, "{name} has no {construct} `{shown}`").unwrap();
        }
    }
    assert!(rows > 100, "{rows} constructs");
    assert!(out.is_empty(), "\n{out}");
}

/// A short word (a value, a dynamic) must stand by itself; anything else need only occur.
fn shows(text: &str, construct: &str, shown: &str) -> bool {
    let edge = |c: Option<char>| !c.is_some_and(|c| c.is_alphanumeric() || c == '"');
    let alone = matches!(construct, "value" | "dynamic");
    let lines = text.lines().filter(|l| construct != "chord symbol" || l.starts_with("chords"));
    lines.into_iter().any(|line| {
        format!("{line} ").match_indices(shown).any(|(at, _)| {
            !alone
                || (edge(line[..at].chars().next_back())
                    && edge(line.get(at + shown.len()..).and_then(|r| r.chars().next())))
        })
    })
}
