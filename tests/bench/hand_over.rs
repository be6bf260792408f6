//! Offers for a click on a long score: what another player could take over. Reported, never judged.
//!
//! `cargo bench --bench hand_over`
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::indexing_slicing)]

use std::fmt::Write as _;
use std::time::Instant;
use waterkey::assist::{Cures, Extent, Place, playable};
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;
use waterkey::section::{Stretch, rank};

const PLAYERS: [(&str, &str, [&str; 4]); 8] = [
    ("Tp1", "trumpet in Bb, level school", ["F5", "D5", "A5", "G5"]),
    ("Tp2", "trumpet in C", ["D5", "F5", "F5", "Eb5"]),
    ("Hn1", "horn in F", ["C5", "D5", "Bb4", "A4"]),
    ("Hn2", "horn in F", ["F4", "G4", "F4", "F4"]),
    ("Tb1", "straight trombone", ["F4", "D4", "C4", "Bb3"]),
    ("Tb2", "trombone", ["D4", "Bb3", "A3", "G3"]),
    ("Euph", "euphonium", ["F3", "Bb3", "C4", "Bb3"]),
    ("Tu", "Eb tuba", ["Bb2", "Bb2", "F2", "G2"]),
];

/// About so many notes in blocks of four bars, in which everybody but the first rests now and then; the line of
/// the first player in the middle block.
fn score(notes: usize) -> (String, u32) {
    let mut text = String::from("brass 1\ntitle \"Harbour at First Light\"\n");
    for (id, instrument, _) in PLAYERS {
        writeln!(text, "player {id} = {instrument}").unwrap();
    }
    let blocks = notes.div_ceil(PLAYERS.len() * 14);
    let mut middle = 0;
    for block in 0..blocks {
        let tempo = if block == 0 { "  key Bb major  tempo q = 84" } else { "" };
        writeln!(text, "\nbar {}  meter 4/4{tempo}", block * 4 + 1).unwrap();
        for (number, (id, _, pool)) in PLAYERS.into_iter().enumerate() {
            if number == 0 && block == blocks / 2 {
                middle = text.lines().count() as u32;
            }
            let bar = format!("q : {} {} {} {}", pool[0], pool[block % 4], pool[2], pool[3]);
            let second = if (block + number) % 2 == 1 { "-".to_owned() } else { bar.clone() };
            writeln!(text, "{id:4} | {bar} | {second} | {second} | {bar} |").unwrap();
        }
    }
    (text, middle)
}

const SECTION: [(&str, &str, [&str; 4], &str); 12] = [
    ("Tp1", "trumpet in Bb", ["F5", "D5", "C5", "G5"], "F6"),
    ("Tp2", "trumpet in Bb", ["D5", "Bb4", "A4", "Eb5"], "E6"),
    ("Tp3", "trumpet in Bb", ["Bb4", "F4", "F4", "C5"], "E3"),
    ("Hn1", "horn in F", ["C5", "D5", "Bb4", "A4"], "G5"),
    ("Hn3", "horn in F", ["A4", "Bb4", "G4", "F4"], "A5"),
    ("Hn2", "horn in F", ["F4", "G4", "F4", "F4"], "C2"),
    ("Hn4", "horn in F", ["D4", "Eb4", "D4", "C4"], "G5"),
    ("Tb1", "trombone", ["F4", "D4", "C4", "Bb3"], "Eb2"),
    ("Tb2", "trombone", ["D4", "Bb3", "A3", "G3"], "C5"),
    ("BTb", "bass trombone", ["F3", "Bb2", "C3", "D3"], "A1"),
    ("Euph", "euphonium", ["F3", "Bb3", "C4", "Bb3"], "D5"),
    ("Tu", "F tuba", ["Bb2", "Bb2", "F2", "G2"], "Db5"),
];

/// One block of 32 bars, in which everybody now and then has a note that lies badly.
fn section() -> String {
    let mut text = String::from("brass 1\n");
    for (id, instrument, ..) in SECTION {
        writeln!(text, "player {id} = {instrument}").unwrap();
    }
    writeln!(text, "\nbar 1  meter 4/4  key Bb major  tempo q = 84").unwrap();
    for (number, (id, _, pool, bad)) in SECTION.into_iter().enumerate() {
        write!(text, "{id:4} |").unwrap();
        for bar in 0..32 {
            if bar % 4 == number % 4 {
                write!(text, " - |").unwrap();
            } else {
                let third = if bar % 16 == number + 1 { bad } else { pool[2] };
                write!(text, " q : {} {} {third} {}, |", pool[0], pool[bar % 4], pool[3]).unwrap();
            }
        }
        text.push('\n');
    }
    text
}

fn timed(what: &str, times: u32, mut work: impl FnMut() -> usize) {
    let began = Instant::now();
    let mut found = 0;
    for _ in 0..times {
        found = work();
    }
    let each = began.elapsed().as_secs_f64() * 1000.0 / f64::from(times);
    println!("{what:40} {each:8.2} ms  ({found} found)");
}

fn main() {
    let (text, line) = score(100_000);
    let desk = Desk::new(&text, Settings::default(), &NoFiles);
    let at = |byte| Place { line, byte };
    let row = desk.document().lines().get(line as usize).unwrap().text.to_string();
    let second = row.match_indices('|').nth(1).unwrap().0 as u32;
    let block = desk.score().block_at(line).unwrap();
    println!("{} lines, block {block}", desk.document().lines().len());
    let stretch = Stretch::bars(&desk, 0, block, 1, 1).unwrap();
    timed("ranking one bar", 20, || rank(&desk, &stretch).len());
    timed("hand-overs of a selected bar", 10, || {
        Cures::for_a_click(&desk).hand_overs(Extent { from: at(second + 2), to: at(second + 19) }).len()
    });
    timed("wider octave moves", 10, || {
        Cures::for_a_click(&desk).wider_moves(Extent { from: at(second + 12), to: at(second + 12) }).len()
    });
    let found = Cures::of(&desk).touched(Extent { from: at(second), to: at(second + 20) });
    println!("{} findings under the cursor", found.len());
    timed("all offers under the cursor", 10, || {
        let cures = Cures::for_a_click(&desk);
        found.iter().map(|f| cures.offers(f).len()).sum()
    });
    // The same score with chords in that bar, for one player.
    let bars: Vec<&str> = row.split('|').collect();
    let with = format!("{}|{}| e : (D4 F4)_ (F4 Bb4)*7 |{}|{}|", bars[0], bars[1], bars[3], bars[4]);
    let desk =
        Desk::new(&text.replacen(&row, &with, text.matches(&row).count()), Settings::default(), &NoFiles);
    let bar = Extent { from: at(second + 2), to: at(second + 25) };
    timed("shares of a selected bar of chords", 10, || Cures::for_a_click(&desk).shares(bar).len());
    let found = Cures::of(&desk).touched(bar);
    println!("{} findings under the cursor", found.len());
    timed("all offers for the chords of a bar", 10, || {
        let cures = Cures::for_a_click(&desk);
        found.iter().map(|f| cures.offers(f).len()).sum()
    });
    let desk = Desk::new(&section(), Settings::default(), &NoFiles);
    let mut told = String::new();
    timed("32 bars of twelve players made playable", 3, || {
        let found = playable(&desk, 0..1, &mut |_| true).unwrap();
        told = format!("{} findings, {} left, exact: {}", found.before, found.left.len(), found.exact);
        found.steps.len()
    });
    println!("{told}");
}
