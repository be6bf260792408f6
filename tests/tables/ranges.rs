//! `ranges_by_source.tsv`: what single sources say, against the catalogue.

use crate::checks::{Checks, Exceptions, same};
use crate::instruments::of_table;
use crate::rows::rows;
use waterkey::brass::{Build, Level, Nature};
use waterkey::music::Pitch;

const EXTREME: &str = "called extreme, or a single source's; beyond what most professionals reach";

const EXCEPTIONS: Exceptions = &[
    ("cornet_Bb extreme: high_written C7", "an outlier: the page also calls the cornet non-transposing"),
    ("flugelhorn_Bb extreme, loud only: high_written F#6", EXTREME),
    ("horn_F extreme: high_written E6", EXTREME),
    ("trombone_tenor_Bb usual: high_written Bb5", "a misprint: the page means B flat above middle C"),
    (
        "trombone_tenor_F with attachment pulled to E: low_written B1",
        "with the attachment in F there is no B1",
    ),
    (
        "trombone_bass_F_D partials 1 to 12 open: high_written F5",
        "harmonics of the tube, not a player's range",
    ),
    ("euphonium_bass_comp professional: high_written C6", EXTREME),
    ("bass_trumpet_C orchestral compass: high_written Gb6", "one composer's parts, reported at second hand"),
];

#[test]
fn every_published_range_lies_on_the_tube_and_within_reach() {
    let mut checks = Checks::new("ranges_by_source", EXCEPTIONS);
    for row in rows(include_str!("data/ranges_by_source.tsv")) {
        if row.get("instrument_id").starts_with("ophicleide") {
            continue;
        }
        let made = of_table(row.get("instrument_id"));
        let key =
            |end: &str| format!("{} {}: {end} {}", row.get("instrument_id"), row.get("tier"), row.get(end));
        for end in ["low", "high"] {
            let (read, heard) = (row.get(&format!("{end}_written")), row.get(&format!("{end}_concert")));
            let (Some(read), Some(heard)) = (Pitch::parse(read), Pitch::parse(heard)) else { continue };
            let key = key(&format!("{end}_written"));
            checks.row(
                &key,
                row.source(),
                same("sounding", read.midi() + made.reads.semitones, heard.midi()),
            );
            let nature = made.note(heard.midi()).nature;
            let beginner =
                matches!(made.build, Build::Natural { .. }) && matches!(nature, Nature::OffSeries { .. });
            let playable = nature.is_playable() || beginner;
            checks.row(
                &key,
                row.source(),
                if playable { Ok(()) } else { Err(format!("{read}: {nature:?}")) },
            );
            let reach = made.limits(Level::Professional).reach;
            let within = end == "low" || heard.midi() <= reach;
            checks.row(
                &key,
                row.source(),
                if within { Ok(()) } else { Err(format!("{read} is out of reach")) },
            );
        }
    }
    checks.finish(400);
}
