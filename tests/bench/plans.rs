//! How fast slide and fingers are planned. Reported, never judged.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use waterkey::brass::plan::{Effort, Joined, Plan, PlanNote, Planner};
use waterkey::brass::{Level, find};
use waterkey::music::Pitch;

fn main() {
    divan::main();
}

/// Instruments with few ways of a note and with many.
const INSTRUMENTS: [&str; 6] =
    ["straight trombone", "trombone", "bass trombone", "trumpet in Bb", "horn in F", "F tuba"];

fn planner(name: &str) -> Planner {
    let (name, key) = name.split_once(" in ").unwrap_or((name, ""));
    let key = Pitch::parse(&format!("{key}4"));
    Planner::new(&find(name, key, None).unwrap().instrument, Effort::at(Level::Professional))
}

/// A thousand quavers in steps and leaps about the middle of the range.
fn passage(name: &str) -> Vec<PlanNote> {
    let middle = match name {
        "trumpet in Bb" => 67,
        "horn in F" => 58,
        "F tuba" => 41,
        _ => 50,
    };
    let steps = [0, 2, 4, 5, 7, 5, 4, 2, -3, 4, -5, 7, 0, 0, 3, -1];
    (0..1000)
        .map(|i| PlanNote {
            midi: middle + steps[i % 16] + (i / 16 % 5) as i32,
            after_seconds: 0.2,
            joined: if i % 32 == 0 { Joined::Afresh } else { Joined::Tongued },
            bound: None,
        })
        .collect()
}

#[divan::bench(args = INSTRUMENTS)]
fn a_thousand_notes(bencher: Bencher, name: &str) {
    let (planner, notes, mut plan) = (planner(name), passage(name), Plan::default());
    bencher.counter(ItemsCount::new(1000usize)).bench_local(|| planner.plan(black_box(&notes), &mut plan));
}

#[divan::bench(args = INSTRUMENTS)]
fn a_planner(bencher: Bencher, name: &str) {
    bencher.bench(|| planner(black_box(name)));
}
