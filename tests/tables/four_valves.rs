//! `fingerings_euph_tuba_4valve.tsv`: four valves, compensating and plain, and three.

use crate::checks::{Checks, near, same};
use crate::reading::instrument;
use crate::rows::{Row, cells, rows};
use waterkey::brass::valves::Valves;
use waterkey::brass::way::REACH;
use waterkey::brass::{Build, Compass, How, Nature, Tube, written};

fn tube(id: &str) -> Tube {
    let name = match id {
        "euphonium_bass_comp" => "euphonium",
        "tuba_BBb" => "BBb tuba",
        "tuba_CC" => "CC tuba",
        "tuba_Eb" => "Eb tuba",
        "tuba_F" => "F tuba",
        other => panic!("{other}"),
    };
    instrument(name).tube
}

#[test]
fn the_charts_of_four_valves() {
    let mut checks = Checks::new("fingerings_euph_tuba_4valve", &[]);
    for row in rows(include_str!("data/fingerings_euph_tuba_4valve.tsv")) {
        let tube = tube(row.get("instrument"));
        let midi = row.pitch("concert_written_bass_clef").midi();
        let key = format!("{} {}", row.get("instrument"), row.get("concert_written_bass_clef"));
        checks.row(&key, row.source(), compensating(tube, midi, &row));
        checks.row(&key, row.source(), plain(tube, midi, &row));
        checks.row(&key, row.source(), three(tube, midi, &row));
        checks.row(&key, row.source(), treble(&row));
    }
    checks.finish(4 * 235);
}

fn compensating(tube: Tube, midi: i32, row: &Row) -> Result<(), String> {
    let compass = Compass::of(tube, &Build::Valved(Valves::four_compensating()));
    let usual = compass.at(midi).usual.ok_or("no way")?;
    same("compensating", usual.how.to_string().as_str(), row.get("four_valve_standard"))?;
    same("harmonic", format!("p{}", usual.partial).as_str(), row.get("partial"))?;
    near("cents compensating", f64::from(usual.cents), row.number("cents_compensating"), 0.51)
}

fn plain(tube: Tube, midi: i32, row: &Row) -> Result<(), String> {
    let valves = Valves::four_plain();
    let compass = Compass::of(tube, &Build::Valved(valves));
    let standard = How::parse(row.get("four_valve_standard")).unwrap();
    let partial = row.get("partial").trim_start_matches('p').parse().unwrap();
    let same_fingering = tube.cents(partial, valves.length(standard.digits)) - 100.0 * f64::from(midi);
    near("cents plain", same_fingering, row.number("cents_non_compensating_same_fingering"), 0.51)?;
    let nearest = row.get("non_compensating_nearest");
    if nearest == "1234" && row.number::<f64>("non_compensating_nearest_cents") > 80.0 {
        return match compass.at(midi).nature {
            Nature::Gap { .. } => Ok(()),
            other => Err(format!("{other:?} where plain valves have no note")),
        };
    }
    let usual = compass.at(midi).usual.ok_or("no way")?;
    let published = if nearest == "-" { row.get("four_valve_standard") } else { nearest };
    same("plain", usual.how.to_string().as_str(), published)?;
    if nearest != "-" {
        near("cents", f64::from(usual.cents), row.number("non_compensating_nearest_cents"), 0.51)?;
    }
    for cell in cells(row.get("alternates_partial_cents")).iter().filter(|cell| cell.number.abs() <= REACH) {
        let way = compass.ways(midi).iter().find(|way| way.how == cell.how && way.partial == cell.partial);
        let way = way.ok_or_else(|| format!("{} on harmonic {} is not derived", cell.how, cell.partial))?;
        near("cents of an alternate", f64::from(way.cents), cell.number, 0.51)?;
    }
    Ok(())
}

fn three(tube: Tube, midi: i32, row: &Row) -> Result<(), String> {
    let compass = Compass::of(tube, &Build::Valved(Valves::three()));
    let usual = compass.at(midi).usual.map_or_else(|| "-".to_owned(), |way| way.how.to_string());
    same("three valves", usual.as_str(), row.get("three_valve_standard"))
}

/// The brass band reads the same tube in treble clef.
fn treble(row: &Row) -> Result<(), String> {
    let name = match row.get("instrument") {
        "euphonium_bass_comp" => "euphonium in Bb",
        "tuba_BBb" => "bass in Bb",
        "tuba_Eb" => "bass in Eb",
        _ => return same("no treble reading", row.get("written_treble_clef_brass_band"), "-"),
    };
    let read = written::written(row.pitch("concert_written_bass_clef"), instrument(name).reads);
    same("treble clef", read, row.pitch("written_treble_clef_brass_band"))
}

/// Practice: B natural above the pedal is missing on a plain euphonium, weak on a compensating one, C is weak plain.
#[test]
fn the_bottom_of_the_euphonium() {
    let compensating = instrument("euphonium");
    let plain = compensating.with_valves(4, true).unwrap();
    let three = compensating.with_valves(3, false).unwrap();
    assert_eq!(compensating.note(35).nature, Nature::Weak);
    assert_eq!(plain.note(35).nature, Nature::Gap { below: 34, above: 36 });
    assert_eq!(plain.note(36).nature, Nature::Weak);
    assert_eq!(plain.note(37).nature, Nature::Ordinary);
    assert_eq!(plain.lowest(), 37);
    for midi in 35..=39 {
        assert_eq!(three.note(midi).nature, Nature::Gap { below: 34, above: 40 });
    }
    assert_eq!(three.lowest(), 40);
}

/// Common practice: the long fifth valve fills what four plain valves lack, down to the pedal.
#[test]
fn five_valves_have_no_gap() {
    for name in ["F tuba", "CC tuba", "cimbasso"] {
        let tuba = instrument(name);
        let pedal = tuba.tube.fundamental;
        for midi in pedal..=pedal + 40 {
            assert!(tuba.note(midi).usual.is_some_and(|way| !way.is_weak()), "{name} {midi}");
        }
        let how = |above: i32| tuba.note(pedal + above).usual.unwrap().how.to_string();
        assert_eq!([how(1), how(2), how(4), how(5), how(6)], ["12345", "2345", "245", "45", "24"]);
    }
}
