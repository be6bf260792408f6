//! From bytes to findings, and from an edit to new findings. Reported, never judged.
//!
//! `cargo bench --bench findings`
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::indexing_slicing)]

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::{Duration, Instant};
use waterkey::assist::{Cures, Extent, Place};
use waterkey::notation::document::split;
use waterkey::notation::{Document, token};
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

/// Sixteen players, as an orchestra's brass with a second choir has them.
const PLAYERS: [(&str, &str, [&str; 8]); 16] = [
    ("Hn1", "horn in F", ["C5", "D5", "Bb4", "A4", "G4", "C5", "D5", "Eb5"]),
    ("Hn2", "horn in F", ["F4", "G4", "F4", "F4", "Eb4", "F4", "G4", "A4"]),
    ("Hn3", "horn in F", ["A4", "Bb4", "A4", "C5", "Bb4", "A4", "Bb4", "C5"]),
    ("Hn4", "horn in F", ["C4", "D4", "C4", "F4", "G4", "F4", "D4", "C4"]),
    ("Tp1", "trumpet in Bb", ["F5", "Bb5", "A5", "G5", "F5", "Eb5", "D5", "C5"]),
    ("Tp2", "trumpet in Bb", ["D5", "F5", "F5", "Eb5", "D5", "C5", "Bb4", "A4"]),
    ("Tp3", "trumpet in C", ["Bb4", "D5", "C5", "Bb4", "A4", "G4", "F4", "F4"]),
    ("Cor1", "cornet in Bb", ["F5", "Bb5", "A5", "G5", "F5", "Eb5", "D5", "C5"]),
    ("Cor2", "cornet in Bb", ["D5", "F5", "F5", "Eb5", "D5", "C5", "Bb4", "A4"]),
    ("Flu", "flugelhorn in Bb", ["Bb4", "D5", "C5", "Bb4", "A4", "G4", "F4", "F4"]),
    ("Tb1", "trombone", ["F4", "D4", "C4", "Bb3", "A3", "G3", "F3", "F3"]),
    ("Tb2", "trombone", ["D4", "Bb3", "A3", "G3", "F3", "Eb3", "D3", "C3"]),
    ("BTb", "bass trombone", ["Bb2", "F2", "F3", "Eb3", "D3", "C3", "Bb2", "F2"]),
    ("Euph", "euphonium", ["F3", "Bb3", "C4", "Bb3", "A3", "G3", "F3", "Eb3"]),
    ("EbB", "Eb tuba", ["Bb2", "Bb2", "F2", "G2", "D2", "Eb2", "F2", "F2"]),
    ("BbB", "BBb tuba", ["Bb1", "Bb1", "F2", "Eb2", "D2", "C2", "Bb1", "F2"]),
];

/// A score of about so many notes: blocks of four bars, most rows under the rhythm row, some with
/// their own figures, a few things wrong.
fn score(notes: usize) -> (String, usize) {
    let mut text = String::from("brass 1\ntitle \"Harbour at First Light\"\n");
    for (id, instrument, _) in PLAYERS {
        writeln!(text, "player {id} = {instrument}").unwrap();
    }
    let mut count = 0;
    let mut block = 0;
    while count < notes {
        let tempo = if block == 0 { "  key Bb major  tempo q = 84" } else { "" };
        writeln!(text, "\nbar {}  meter 4/4{tempo}", block * 4 + 1).unwrap();
        writeln!(text, "rhythm | q. e q q | e*4 h | q q q q | q q h |").unwrap();
        for (i, (id, _, pool)) in PLAYERS.iter().enumerate() {
            let note = |k: usize| pool[(k * 3 + block + i) % 8];
            let own = (block + i) % 5 == 0;
            write!(text, "{id:6} | mf {} {} {}_ {} ", note(0), note(1), note(2), note(3)).unwrap();
            if own {
                write!(
                    text,
                    "| s*4 q h : {}. {}. {}. {}. {} {} ",
                    note(4),
                    note(5),
                    note(6),
                    note(7),
                    note(8),
                    note(9)
                )
                .unwrap();
                count += 1;
            } else {
                write!(text, "| {}_ {} {}_ {} {} ", note(4), note(5), note(6), note(7), note(8)).unwrap();
            }
            write!(text, "| {}> {} {} {}, ", note(1), note(2), note(3), note(4)).unwrap();
            writeln!(
                text,
                "| {} {} {} |",
                note(5),
                if block % 97 == 3 && i == 10 { "Eb2" } else { note(6) },
                note(7)
            )
            .unwrap();
            count += 4 + 5 + 4 + 3;
        }
        block += 1;
    }
    (text, count)
}

fn median_of(times: &mut [Duration]) -> (Duration, Duration) {
    times.sort_unstable();
    (times[times.len() / 2], times[times.len() * 99 / 100])
}

fn edits(text: &str, rounds: usize) -> (Duration, Duration, usize) {
    let mut desk = Desk::new(text, Settings::default(), &NoFiles);
    let mut times = Vec::with_capacity(rounds);
    let places: Vec<usize> = text.match_indices("Tb2").map(|(at, _)| at).skip(1).collect();
    let mut found = 0;
    for round in 0..rounds {
        let row = places[(round * 7919) % places.len()];
        let at = row + text[row..].find("mf ").unwrap() + 3;
        let len = desk.document().text()[at..].find(' ').unwrap();
        // Of the same length, so that the places stay where they are.
        let with = match (len, round % 2) {
            (2, 0) => "C4",
            (2, _) => "D3",
            (_, 0) => "Bb3",
            _ => "Eb3",
        };
        let now = Instant::now();
        desk.edit(at..at + len, with, &NoFiles);
        let findings = desk.findings();
        times.push(now.elapsed());
        found = black_box(findings).len();
    }
    let (median, worst) = median_of(&mut times);
    (median, worst, found)
}

/// Milliseconds that the offers for one click take, in the middle of the findings: median, worst, the findings
/// of the score and the offers for them.
fn clicks(text: &str, rounds: usize) -> (Duration, Duration, usize, usize) {
    let desk = Desk::new(text, Settings::default(), &NoFiles);
    let all = desk.findings();
    let step = (all.len() / rounds).max(1);
    let (mut times, mut offers) = (Vec::new(), 0);
    for finding in all.iter().step_by(step) {
        let place = Place { line: finding.line, byte: finding.span.start };
        let by = Extent { from: place, to: place };
        let now = Instant::now();
        let cures = Cures::of(&desk);
        for finding in &cures.touched(by) {
            offers += black_box(cures.offers(finding)).len();
        }
        offers += black_box(cures.moves(by)).len();
        times.push(now.elapsed());
    }
    let (median, worst) = median_of(&mut times);
    (median, worst, all.len(), offers / times.len())
}

/// Highest resident memory so far, in MB; `None` where the system does not tell.
fn peak() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb / 1024.0)
}

fn best(rounds: usize, mut work: impl FnMut()) -> Duration {
    (0..rounds)
        .map(|_| {
            let now = Instant::now();
            work();
            now.elapsed()
        })
        .min()
        .unwrap()
}

fn main() {
    let (text, notes) = score(100_000);
    println!("score: {notes} notes, 16 players, {} bytes, {} lines", text.len(), text.lines().count());
    let before = peak();
    let whole = best(1, || {
        black_box(Desk::new(&text, Settings::default(), &NoFiles).findings());
    });
    let first = peak();
    let lexing = best(9, || {
        for (line, _) in split(&text) {
            black_box(token::tokens(line));
        }
    });
    let reading = best(9, || {
        black_box(Document::new(&text));
    });
    let checking = best(9, || {
        black_box(Desk::new(&text, Settings::default(), &NoFiles).findings());
    });
    let rate = |time: Duration| notes as f64 / time.as_secs_f64() / 1e6;
    println!(
        "bare tokens           {:8.2} ms  {:6.2} million notes/s",
        lexing.as_secs_f64() * 1e3,
        rate(lexing)
    );
    println!(
        "lines read            {:8.2} ms  {:6.2} million notes/s",
        reading.as_secs_f64() * 1e3,
        rate(reading)
    );
    println!(
        "bytes to findings     {:8.2} ms  {:6.2} million notes/s, {:.1} times bare tokens (first run {:.2} ms)",
        checking.as_secs_f64() * 1e3,
        rate(checking),
        checking.as_secs_f64() / lexing.as_secs_f64(),
        whole.as_secs_f64() * 1e3
    );
    for size in [100, 1_000, 10_000, 100_000] {
        let (text, notes) = score(size);
        let (median, worst, found) = edits(&text, 400);
        println!(
            "one-note edit, {notes:6} notes: median {:7.1} µs, p99 {:7.1} µs ({found} findings)",
            median.as_secs_f64() * 1e6,
            worst.as_secs_f64() * 1e6
        );
    }
    // A few notes that the slide does not have; then every player a beginner, and thousands of notes too high.
    let gaps = text.replace("Tb1 = trombone", "Tb1 = straight trombone");
    let school = text.replacen("brass 1\n", "brass 1\nlevel school\n", 1);
    for text in [gaps, school] {
        let (median, worst, found, offers) = clicks(&text, 40);
        println!(
            "offers for a click, {found:6} findings: median {:7.2} ms, worst {:7.2} ms, about {offers} offers",
            median.as_secs_f64() * 1e3,
            worst.as_secs_f64() * 1e3
        );
    }
    if let (Some(before), Some(first)) = (before, first) {
        println!(
            "resident memory: {before:.0} MB with the text alone, {first:.0} MB at most while it was checked once"
        );
    }
}
