//! `instruments.tsv`: readings, tubes and limits of the catalogue.

use crate::checks::{Checks, Exceptions, same};
use crate::reading::instrument;
use crate::rows::{Row, pitch, rows};
use waterkey::brass::slide::Slide;
use waterkey::brass::valves::Valves;
use waterkey::brass::{Build, Compass, Instrument, Level, OwnInstrument, OwnKind, Register, written};
use waterkey::music::{Interval, Pitch};

/// The instrument of a row: from the catalogue, with other valves, or declared as one's own.
pub fn of_table(id: &str) -> Instrument {
    let name = match id {
        "trumpet_F_short" => "trumpet in F",
        "horn_F" => "single horn in F",
        "horn_double_F_Bb" => "horn in F",
        "horn_Bb_single" => "single horn in Bb",
        "natural_horn_Fsharp" => "natural horn in F#",
        "baritone_Bb_treble" => "baritone horn in Bb",
        "baritone_Bb_bass" => "baritone horn",
        "euphonium_treble" => "euphonium in Bb",
        "euphonium_bass_comp" => "euphonium",
        "euphonium_bass_3v" => return instrument("euphonium").with_valves(3, false).unwrap(),
        "euphonium_bass_4v" => return instrument("euphonium").with_valves(4, true).unwrap(),
        "trombone_alto_Eb" => "alto trombone",
        "trombone_tenor_Bb" => "straight trombone",
        "trombone_tenor_Bb_treble" => "straight trombone in Bb",
        "trombone_tenor_F" => "trombone",
        "trombone_bass_F_Gb" | "trombone_bass_F_D" => "bass trombone",
        "trombone_contrabass_F" => "contrabass trombone",
        "tuba_F" => "F tuba",
        "tuba_Eb" => "Eb tuba",
        "tuba_Eb_treble" => "bass in Eb",
        "tuba_CC" => "CC tuba",
        "tuba_BBb" => "BBb tuba",
        "tuba_BBb_treble" => "bass in Bb",
        "sousaphone_BBb" => "sousaphone",
        "wagner_tuba_Bb" => "Wagner tuba in Bb",
        "wagner_tuba_F" => "Wagner tuba in F",
        "cimbasso_F" => "cimbasso",
        "trumpet_F_long" => return own("F2", OwnKind::Valved, "F", Some(Register::Up)),
        "cornet_A" => return own("A2", OwnKind::Valved, "A", None),
        "bass_trumpet_D" => return own("D2", OwnKind::Valved, "D", None),
        "euphonium_bass_clef_Bb" => return own("Bb1", OwnKind::Valved, "Bb", None),
        "trombone_bass_G" => return own("G1", OwnKind::Slide, "C", None),
        "mellophone_bugle_G" => return own("G2", OwnKind::Valved, "G", None),
        _ => return instrument(&key_after_name(id)),
    };
    instrument(name)
}

/// `bass_trumpet_Bb` is `bass trumpet in Bb`, `natural_horn_C_basso` is `natural horn in C basso`.
fn key_after_name(id: &str) -> String {
    let words: Vec<&str> = id.split('_').collect();
    let key = words.iter().position(|word| word.starts_with(|c: char| c.is_ascii_uppercase())).unwrap();
    format!("{} in {}", words[..key].join(" "), words[key..].join(" "))
}

fn own(fundamental: &str, kind: OwnKind, key: &str, register: Option<Register>) -> Instrument {
    let key = Pitch::parse(&format!("{key}4")).unwrap();
    let own = OwnInstrument {
        name: "own",
        kind,
        fundamental: Some(pitch(fundamental)),
        read_in: Some((key, register)),
        valves: None,
        range: None,
        comfortable: None,
    };
    own.build().unwrap()
}

/// No brass instruments in the sense of the core: holes or keys along the tube, or an irregular one.
const OUTSIDE: [&str; 4] = ["ophicleide_C", "ophicleide_Bb", "serpent_C", "didgeridoo"];

fn catalogued() -> Vec<Row> {
    let all = rows(include_str!("data/instruments.tsv"));
    all.into_iter().filter(|row| !OUTSIDE.contains(&row.get("id"))).collect()
}

#[test]
fn readings_and_tubes() {
    let mut checks = Checks::new("instruments", &[]);
    for row in catalogued() {
        let made = of_table(row.get("id"));
        let published =
            Interval::new(row.number("written_to_concert_steps"), row.number("written_to_concert_semitones"));
        let (id, source) = (row.get("id"), row.source());
        checks.row(id, source, same("reading", made.reads.to_string(), published.to_string()));
        checks.row(
            id,
            source,
            same("fundamental", made.tube.fundamental, row.pitch("fundamental_concert").midi()),
        );
        let read = written::written(row.pitch("fundamental_concert"), made.reads);
        checks.row(id, source, same("fundamental as read", read, row.pitch("fundamental_written")));
        if made.kind != waterkey::brass::Kind::Own {
            let bore = format!("{:?}", made.bore).to_lowercase();
            checks.row(id, source, same("bore", bore.as_str(), row.get("bore")));
            let clefs = row.get("clefs").contains(made.clef.word());
            checks.row(id, source, if clefs { Ok(()) } else { Err(format!("clef {}", made.clef.word())) });
        }
    }
    checks.finish(300);
}

#[test]
fn families() {
    let mut checks = Checks::new("instruments", &[]);
    for row in catalogued() {
        let family = match of_table(row.get("id")).build {
            Build::Natural { .. } => "natural",
            Build::Valved(_) | Build::Double(_) => "valved",
            Build::Slide(_) => "slide",
        };
        checks.row(row.get("id"), row.source(), same("family", family, row.get("family")));
    }
    checks.finish(76);
}

const SINGLE: &str = "a single source's extreme, beyond what most professionals reach";

const REACHED: Exceptions = &[
    ("flugelhorn_Bb extreme_high_written", SINGLE),
    ("bass_trumpet_C extreme_high_written", "the compass of one composer's parts, reported at second hand"),
    ("euphonium_bass_comp extreme_high_written", SINGLE),
];

/// Every limit of a row that is no estimate lies on the tube, and inside what professionals reach.
#[test]
fn limits_lie_on_the_tube_and_within_reach() {
    let mut checks = Checks::new("instruments", REACHED);
    for row in catalogued().iter().filter(|row| row.get("confidence") != "low") {
        let made = of_table(row.get("id"));
        let own = made.kind == waterkey::brass::Kind::Own;
        let reach = made.limits(Level::Professional).reach;
        let school = made.limits(Level::School).usual;
        let semitones: i32 = row.number("written_to_concert_semitones");
        for column in [
            "usual_low_written",
            "usual_high_written",
            "school_low_written",
            "school_high_written",
            "extreme_high_written",
        ] {
            let Some(written) = Pitch::parse(row.get(column)) else { continue };
            let midi = written.midi() + semitones;
            let key = format!("{} {column}", row.get("id"));
            let natural = matches!(made.build, Build::Natural { .. });
            let playable = made.note(midi).usual.is_some() || natural && column.starts_with("school");
            checks.row(
                &key,
                row.source(),
                if playable { Ok(()) } else { Err(format!("{written} cannot be played")) },
            );
            if column.contains("high") && !own {
                let within = midi <= reach && (!column.starts_with("school") || midi <= school);
                checks.row(
                    &key,
                    row.source(),
                    if within { Ok(()) } else { Err(format!("{written} is out of reach")) },
                );
            }
        }
        for column in ["usual_low", "usual_high"] {
            let (read, heard) =
                (row.pitch(&format!("{column}_written")), row.pitch(&format!("{column}_concert")));
            let outcome = same(column, read.midi() + semitones, heard.midi());
            checks.row(&format!("{} {column}", row.get("id")), row.source(), outcome);
        }
    }
    checks.finish(200);
}

/// The other bass trombone, whose second valve works only behind the first, has the same notes.
#[test]
fn a_dependent_second_attachment_has_no_gap_either() {
    let tube = instrument("bass trombone").tube;
    let compass = Compass::of(tube, &Build::Slide(Slide::with_dependent(5.0, 8.0)));
    assert!((34..=70).all(|midi| compass.at(midi).usual.is_some()));
    assert!((24..=70).all(|midi| compass.ways(midi).iter().all(|way| way.how.thumb || !way.how.second)));
}

/// Published for old bombardons: valves 3 and 4 of four and six semitones.
#[test]
fn valves_of_other_lengths() {
    let valves = Valves::exact(&[2.0, 1.0, 4.0, 6.0]);
    assert!((valves.nominal(0b0100) - 4.0).abs() < 1e-9);
    assert!((valves.nominal(0b1000) - 6.0).abs() < 1e-9);
}
