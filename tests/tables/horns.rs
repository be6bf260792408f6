//! `fingerings_horn_F_side.tsv` and `fingerings_horn_double.tsv`.

use crate::checks::{Checks, Exceptions, near, same};
use crate::reading::instrument;
use crate::rows::{cells, rows};
use crate::trumpet::fingerings;
use waterkey::brass::way::REACH;
use waterkey::brass::{How, written};

#[test]
fn the_chart_of_the_f_side() {
    let horn = instrument("single horn in F");
    let mut checks = Checks::new("fingerings_horn_F_side", &[]);
    for row in rows(include_str!("data/fingerings_horn_F_side.tsv")) {
        let sounding = written::sounding(row.pitch("written_in_F"), horn.reads);
        checks.row(row.get("written_in_F"), row.source(), same("concert", sounding, row.pitch("concert")));
        checks.row(row.get("written_in_F"), row.source(), fingerings(&horn, sounding.midi(), &row, 16));
    }
    checks.finish(100);
}

const CHANGE_OVER: &str =
    "the change to the B flat side is taken at written Ab4, the table's at C#5; both are published";

const DOUBLE: Exceptions = &[
    ("Ab4 standard", CHANGE_OVER),
    ("A4 standard", CHANGE_OVER),
    ("Bb4 standard", CHANGE_OVER),
    ("B4 standard", CHANGE_OVER),
    ("C5 standard", CHANGE_OVER),
];

#[test]
fn the_chart_of_the_double_horn() {
    let (double, single) = (instrument("horn in F"), instrument("single horn in F"));
    let mut checks = Checks::new("fingerings_horn_double", DOUBLE);
    for row in rows(include_str!("data/fingerings_horn_double.tsv")) {
        let read = row.get("written_in_F");
        let midi = row.pitch("concert").midi();
        let usual = double.note(midi).usual.unwrap().how;
        let standard = same("usual", usual.to_string().as_str(), row.get("standard_double"));
        checks.row(&format!("{read} standard"), row.source(), standard);
        let f_side = single.note(midi).usual.unwrap().how;
        checks.row(read, row.source(), same("F side", f_side.to_string().as_str(), row.get("F_side")));
        if usual.thumb {
            checks.row(
                read,
                row.source(),
                same("B flat side", usual.to_string().as_str(), row.get("Bb_side")),
            );
        }
        for column in ["F_side_partial_cents", "Bb_side_partial_cents"] {
            for cell in cells(row.get(column)) {
                let way = double.ways(midi).iter().find(|w| w.how == cell.how && w.partial == cell.partial);
                let derived = way.map_or(f64::NAN, |way| f64::from(way.cents));
                checks.row(read, row.source(), near(&cell.how.to_string(), derived, cell.number, 0.51));
            }
        }
        for how in row.get("all_alternates").split(' ').filter_map(How::parse) {
            let held =
                double.ways(midi).iter().any(|way| way.how == how && f64::from(way.cents.abs()) <= REACH);
            let outcome = if held { Ok(()) } else { Err(format!("{how} is not derived")) };
            checks.row(read, row.source(), outcome);
        }
    }
    checks.finish(300);
}

/// Written F2 down to C#2 lie below the F side's second harmonics: only the B flat side's fundamentals have them.
#[test]
fn the_thumb_side_bridges_the_f_sides_gap_with_pedals() {
    let (double, single) = (instrument("horn in F"), instrument("single horn in F"));
    for midi in 30..=34 {
        assert!(double.note(midi).usual.is_some_and(|way| way.how.thumb && way.is_pedal()));
        assert!(single.note(midi).usual.is_none());
    }
}

/// Common practice: with the bell closed, finger a semitone lower on the F side.
#[test]
fn stopped_notes_are_fingered_a_semitone_lower_on_the_f_side() {
    let (double, b_flat) = (instrument("horn in F"), instrument("single horn in Bb"));
    for midi in 54..=77 {
        let way = double.stopped(midi).unwrap();
        assert!(!way.how.thumb);
        assert!(double.ways(midi - 1).iter().any(|w| w.how == way.how && w.partial == way.partial));
        assert_eq!(b_flat.stopped(midi), None);
    }
}
