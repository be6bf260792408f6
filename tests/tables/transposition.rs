//! `transposition_examples.tsv`: notes, keys and chord symbols that players read.

use crate::checks::{Checks, same};
use crate::instruments::of_table;
use crate::rows::{Row, rows};
use waterkey::brass::reading_interval;
use waterkey::brass::written::{sounding, written, written_key};
use waterkey::music::{Interval, Key, Mode, Pitch};

#[test]
fn the_worked_examples() {
    let mut checks = Checks::new("transposition_examples", &[]);
    for row in rows(include_str!("data/transposition_examples.tsv")) {
        let key = format!("{} {} {}", row.get("kind"), row.get("instrument_id"), row.get("written"));
        let outcome = match row.get("kind") {
            "note" => note(&row),
            // Notations that a score of ours does not have: the arithmetic alone.
            "note_old_bass_clef" | "note_other_notation" => moves(&row, published(&row)),
            "key" => key_of(&row, of_table(row.get("instrument_id")).reads),
            "chord_symbol" => chord(&row),
            other => panic!("{other}"),
        };
        checks.row(&key, row.source(), outcome);
    }
    checks.finish(117);
}

fn published(row: &Row) -> Interval {
    Interval::new(row.number("steps"), row.number("semitones"))
}

fn note(row: &Row) -> Result<(), String> {
    let reads = of_table(row.get("instrument_id")).reads;
    same("interval", reads.to_string(), published(row).to_string())?;
    moves(row, reads)?;
    if row.get("concert_key_or_chord") == "-" { Ok(()) } else { key_of(row, reads) }
}

fn moves(row: &Row, by: Interval) -> Result<(), String> {
    same("sounding", sounding(row.pitch("written"), by), row.pitch("sounding"))?;
    same("written", written(row.pitch("sounding"), by), row.pitch("written"))
}

fn parse_key(text: &str) -> Key {
    let (tonic, mode) = text.split_once(' ').unwrap();
    Key::parse(tonic, if mode == "minor" { Mode::Minor } else { Mode::Major }).unwrap()
}

fn key_of(row: &Row, reads: Interval) -> Result<(), String> {
    let concert = parse_key(row.get("concert_key_or_chord"));
    let interval = reading_interval(reads, Some(concert));
    same("key", written_key(concert, interval).unwrap(), parse_key(row.get("written_key_or_chord")))
}

fn chord(row: &Row) -> Result<(), String> {
    let reads = of_table(row.get("instrument_id")).reads;
    let (root, quality) = root(row.get("concert_key_or_chord"));
    let read = format!("{}{quality}", written(root, reads).name());
    same("chord", read.as_str(), row.get("written_key_or_chord"))
}

fn root(symbol: &str) -> (Pitch, &str) {
    let long = symbol.chars().nth(1).is_some_and(|c| c == '#' || c == 'b');
    let (root, quality) = symbol.split_at(1 + usize::from(long));
    (Pitch::parse(&format!("{root}4")).unwrap(), quality)
}

/// Concert F# major is eight sharps on a B flat trumpet; players read A flat major.
#[test]
fn more_than_six_accidentals_are_read_in_the_enharmonic_key() {
    for (name, concert, read, interval) in [
        ("trumpet in Bb", "F# major", "Ab major", Interval::new(-2, -2)),
        ("trumpet in Bb", "B major", "Db major", Interval::new(-2, -2)),
        ("horn in F", "F# major", "Db major", Interval::new(-5, -7)),
        ("trumpet in D", "Gb major", "E major", Interval::new(2, 2)),
        ("tenor horn in Eb", "D minor", "B minor", Interval::new(-5, -9)),
        ("tenor horn in Eb", "C# minor", "Bb minor", Interval::new(-6, -9)),
        ("trombone", "C# major", "C# major", Interval::UNISON),
        ("bass trumpet in C", "C# major", "C# major", Interval::new(-7, -12)),
    ] {
        let reads = crate::reading::instrument(name).reads;
        let concert = parse_key(concert);
        let chosen = reading_interval(reads, Some(concert));
        assert_eq!(chosen, interval, "{name} {concert}");
        assert_eq!(written_key(concert, chosen), Some(parse_key(read)), "{name} {concert}");
        assert_eq!(reading_interval(reads, None), reads);
    }
}
