//! How fast lines are read: bare tokens, whole lines, an edit. Reported, never judged.
#![allow(clippy::unwrap_used)]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use waterkey::notation::{Document, Ending, read_line, token};

fn main() {
    divan::main();
}

/// A row of ordinary music and how many notes it has.
const ROW: &str = "Tp1    | p cresc Bb4  C5.  D5   Eb5> | mf F5_ D5 | e e q h : D5. Eb5. F5> Bb5_ | q q h : = A5 G5, | (Bb3 D4) C4 D4 Eb4 |";
const NOTES: usize = 17;
/// Bare notes under a rhythm row.
const PLAIN: &str = "Tp1 | Bb4 C5 D5 Eb5 F5 G5 A5 Bb5 | C6 Bb5 A5 G5 F5 Eb5 D5 C5 | Bb4 C5 D5 Eb5 F5 G5 A5 Bb5 | C6 Bb5 A5 G5 F5 Eb5 D5 C5 |";
const PLAIN_NOTES: usize = 32;
const RHYTHM: &str = "rhythm | q. e q q | h h | e*4 {3:2 q q q} | [tempo q = 60] w |";
const PLACES: usize = 14;

#[divan::bench]
fn tokens_of_a_row(bencher: Bencher) {
    bencher.counter(ItemsCount::new(NOTES)).bench(|| token::tokens(black_box(ROW)));
}

#[divan::bench]
fn ordinary_row(bencher: Bencher) {
    bencher.counter(ItemsCount::new(NOTES)).bench(|| read_line(black_box(ROW), Ending::Lf));
}

#[divan::bench]
fn plain_row(bencher: Bencher) {
    bencher.counter(ItemsCount::new(PLAIN_NOTES)).bench(|| read_line(black_box(PLAIN), Ending::Lf));
}

#[divan::bench]
fn rhythm_row(bencher: Bencher) {
    bencher.counter(ItemsCount::new(PLACES)).bench(|| read_line(black_box(RHYTHM), Ending::Lf));
}

/// A document of 100,000 notes.
fn long() -> String {
    format!("{ROW}\n").repeat(100_000 / NOTES)
}

#[divan::bench(sample_count = 20)]
fn document_of_100_000_notes(bencher: Bencher) {
    let text = long();
    bencher.counter(ItemsCount::new(100_000usize)).bench(|| Document::new(black_box(&text)));
}

#[divan::bench]
fn snapshot(bencher: Bencher) {
    let document = Document::new(&long());
    bencher.bench(|| black_box(document.lines().clone()));
}

#[divan::bench]
fn one_note_edit(bencher: Bencher) {
    let mut document = Document::new(&long());
    let at = document.lines().start_of_line(3_000) + 17;
    let mut flip = false;
    bencher.bench_local(move || {
        flip = !flip;
        let snapshot = document.lines().clone();
        document.edit(at..at + 3, if flip { "Cb5" } else { "Bb4" });
        snapshot
    });
}
