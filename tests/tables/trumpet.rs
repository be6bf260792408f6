//! `fingerings_trumpet.tsv`: every note of a published chart.

use crate::checks::{Checks, near, same};
use crate::reading::{instrument, listed};
use crate::rows::{Row, cells, rows};
use waterkey::brass::way::REACH;
use waterkey::brass::{Instrument, written};

pub const TABLE: &str = include_str!("data/fingerings_trumpet.tsv");

#[test]
fn the_chart_of_the_trumpet() {
    let trumpet = instrument("trumpet in Bb");
    let mut checks = Checks::new("fingerings_trumpet", &[]);
    for row in rows(TABLE) {
        let read = row.pitch("written");
        let sounding = written::sounding(read, trumpet.reads);
        let key = row.get("written");
        checks.row(key, row.source(), same("concert", sounding, row.pitch("concert_Bb_trumpet")));
        checks.row(key, row.source(), fingerings(&trumpet, sounding.midi(), &row, 17));
    }
    checks.finish(76);
}

/// The same chart serves every three-valve instrument whose lowest open note is read C4.
#[test]
fn the_chart_of_every_other_three_valve_instrument_in_treble_clef() {
    let mut checks = Checks::new("fingerings_trumpet", &[]);
    for name in [
        "trumpet in C",
        "trumpet in D",
        "trumpet in Eb",
        "cornet in Bb",
        "soprano cornet in Eb",
        "flugelhorn in Bb",
        "bass trumpet in Bb",
        "tenor horn in Eb",
        "baritone horn in Bb",
        "mellophone in F",
    ] {
        let instrument = instrument(name);
        for row in rows(TABLE) {
            let midi = row.pitch("written").midi() + instrument.reads.semitones;
            checks.row(row.get("written"), row.source(), fingerings(&instrument, midi, &row, 17));
        }
    }
    checks.finish(380);
}

/// Standard fingering and alternates of a row, with harmonic and cents; and backwards up to the highest harmonic
/// that the table goes to, pedals apart, for which no table lists alternates.
pub fn fingerings(instrument: &Instrument, midi: i32, row: &Row, highest: u16) -> Result<(), String> {
    let usual = instrument.note(midi).usual.ok_or("no way")?;
    same("usual", usual.how.to_string().as_str(), row.get("standard"))?;
    let standard = cells(row.get("standard_partial_cents"))[0];
    same("harmonic", usual.partial, standard.partial)?;
    near("cents", f64::from(usual.cents), standard.number, 0.51)?;
    let ways = instrument.ways(midi);
    let mut published = cells(row.get("alternates_partial_cents"));
    published.extend(cells(row.get("poor_partials_7_11_13_14")));
    for cell in published.iter().filter(|cell| cell.number.abs() <= REACH) {
        let way = ways.iter().find(|way| way.how == cell.how && way.partial == cell.partial);
        let way = way.ok_or_else(|| format!("{} on harmonic {} is not derived", cell.how, cell.partial))?;
        near("cents of an alternate", f64::from(way.cents), cell.number, 0.51)?;
    }
    for way in listed(ways).skip(1).filter(|way| (2..=highest).contains(&way.partial)) {
        let known = published.iter().any(|cell| cell.how == way.how && cell.partial == way.partial);
        if !known {
            return Err(format!("{} on harmonic {} is derived but not published", way.how, way.partial));
        }
    }
    Ok(())
}
