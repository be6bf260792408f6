//! Prints what the program makes of pitches, intervals, keys and readings, for an independent library to check:
//!
//! ```text
//! cargo test --test tables oracle -- --ignored --nocapture | python tests/oracle/pitch_music21.py
//! ```

use std::fmt::Write;
use waterkey::brass::catalogue::entries;
use waterkey::brass::reading_interval;
use waterkey::brass::written::{sounding, written, written_key};
use waterkey::music::{Interval, Key, Mode, Pitch, Step};

fn pitches(octaves: std::ops::RangeInclusive<i32>) -> Vec<Pitch> {
    let spelled = |octave| {
        Step::ALL
            .into_iter()
            .flat_map(move |step| (-2..=2).filter_map(move |alter| Pitch::new(step, alter, octave)))
    };
    octaves.flat_map(spelled).collect()
}

#[test]
#[ignore = "prints the input of tests/oracle/pitch_music21.py"]
fn oracle() {
    let mut out = String::from("\n");
    let mut rows = 0;
    let mut row = |fields: std::fmt::Arguments| {
        rows += 1;
        writeln!(out, "oracle\t{fields}").unwrap();
    };
    for pitch in pitches(0..=8) {
        row(format_args!("pitch\t{pitch}\t{}\t{}", pitch.midi(), pitch.hertz(440.0)));
    }
    for from in pitches(4..=4) {
        for to in pitches(3..=5) {
            let interval = Interval::between(from, to);
            row(format_args!(
                "interval\t{from}\t{to}\t{}\t{}\t{interval}",
                interval.steps, interval.semitones
            ));
        }
    }
    for made in entries().map(|entry| entry.instrument().unwrap()) {
        let (name, Interval { steps, semitones }) = (&made.name, made.reads);
        for read in pitches(0..=8) {
            let heard = sounding(read, made.reads);
            row(format_args!(
                "note\t{name}\t{steps}\t{semitones}\t{read}\t{heard}\t{}",
                written(heard, made.reads)
            ));
        }
        for (mode, word) in [(Mode::Major, "major"), (Mode::Minor, "minor")] {
            for concert in (-7..=7).filter_map(|fifths| Key::from_fifths(fifths, mode)) {
                let interval = reading_interval(made.reads, Some(concert));
                let key = written_key(concert, interval).unwrap();
                let tonic = |key: Key| Pitch { step: key.step, alter: key.alter, octave: 4 }.name();
                row(format_args!(
                    "key\t{name}\t{}\t{}\t{word}\t{}\t{}\t{}\t{}",
                    interval.steps,
                    interval.semitones,
                    tonic(concert),
                    concert.fifths(),
                    tonic(key),
                    key.fifths()
                ));
            }
        }
    }
    println!("{out}oracle\tend\t{rows}");
}
