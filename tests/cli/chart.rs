//! `waterkey chart`.

use super::answer::{folder, members, run};

#[test]
fn json_has_its_shape() {
    let dir = folder(&[]);
    let answer = run(dir.path(), &["chart", "trumpet", "in", "Bb", "--format", "json"]);
    assert_eq!(answer.status, 0);
    let chart = answer.json();
    assert_eq!(chart["instrument"], "trumpet in Bb");
    let notes = chart["notes"].as_array().unwrap();
    assert_eq!(members(&chart), ["instrument", "notes"]);
    assert_eq!(members(&notes[0]), ["cents", "concert", "hertz", "others", "partial", "usual", "written"]);
    let written = |name: &str| notes.iter().find(|n| n["written"] == name).unwrap();
    // The fingering chart of The Whole Horn: open C4, 13 for D4, 12 for E4; frequencies follow ISO 16.
    assert_eq!((&written("C4")["usual"], &written("C4")["concert"]), (&"0".into(), &"Bb3".into()));
    assert_eq!(written("D4")["usual"], "13");
    assert_eq!(written("E4")["usual"], "12");
    assert_eq!(written("B4")["hertz"], 440.0);
    let other = &written("E4")["others"][0];
    assert_eq!((&other["how"], &other["partial"]), (&"3".into(), &3.into()));
    assert_eq!(members(other), ["cents", "how", "partial"]);
    assert!(other["cents"].is_number());
}

#[test]
fn a_note_that_cannot_be_played_has_no_way() {
    let dir = folder(&[]);
    let chart = run(dir.path(), &["chart", "straight trombone", "--format", "json"]).json();
    let gap = chart["notes"].as_array().unwrap().iter().find(|n| n["written"] == "C2").unwrap();
    assert!(gap["usual"].is_null() && gap["partial"].is_null() && gap["cents"].is_null());
    assert_eq!(gap["others"], serde_json::json!([]));
    let table = run(dir.path(), &["chart", "straight", "trombone"]);
    assert!(table.out.contains("none: between Bb1 and E2"), "{}", table.out);
}

#[test]
fn csv_has_one_line_a_note() {
    let dir = folder(&[]);
    let csv = run(dir.path(), &["chart", "horn", "in", "F", "--format", "csv"]).out;
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("written,concert,hertz,usual,partial,cents,others"));
    for line in lines {
        assert_eq!(line.split(',').count(), 7, "{line}");
    }
}

#[test]
fn tuning_and_wrong_names() {
    let dir = folder(&[]);
    let sharp = run(dir.path(), &["chart", "trombone", "--tuning", "442", "--format", "csv"]);
    assert!(sharp.out.contains("A3,A3,221.00,"), "{}", sharp.out);
    for wrong in [&["chart", "trumpt", "in", "Bb"][..], &["chart", "flute"], &["chart", "trumpet"]] {
        let answer = run(dir.path(), wrong);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{wrong:?}");
        assert!(!answer.err.is_empty());
    }
    assert!(run(dir.path(), &["chart", "trumpt", "in", "Bb"]).err.contains("trumpet"));
    assert_eq!(run(dir.path(), &["chart", "trombone", "--tuning", "4400"]).status, 2);
}

#[test]
fn every_instrument_that_is_listed_has_a_chart() {
    let dir = folder(&[]);
    let names = run(dir.path(), &["chart"]).out;
    assert!(names.lines().count() > 40, "{names}");
    for name in names.lines() {
        let chart = run(dir.path(), &["chart", name, "--format", "json"]);
        assert_eq!((chart.status, chart.json()["instrument"].as_str()), (0, Some(name)), "{chart:?}");
    }
}
