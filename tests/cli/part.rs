//! `waterkey part`.

use super::answer::{folder, run, run_with};
use super::scores::{CLEAN, FAULTY};

const PART: &str = "\
brass 1
title    \"Harbour at First Light\"
pitch    written

player Tp1  = trumpet in Bb

bar 1  meter 4/4  key Bb major  tempo q = 72
Tp1    | q : p C5 D5 E5 F5 | w : G5, |
";

#[test]
fn a_part_goes_to_standard_output() {
    let dir = folder(&[("x.brass", CLEAN)]);
    let answer = run(dir.path(), &["part", "x.brass", "Tp1"]);
    assert_eq!((answer.status, answer.out.as_str(), answer.err.as_str()), (0, PART, ""));
    let again = run_with(dir.path(), &["part", "-", "Tp1"], PART.as_bytes());
    assert_eq!((again.status, again.out.as_str()), (0, PART));
}

#[test]
fn a_part_goes_to_a_file_and_takes_the_place_of_what_it_holds() {
    let dir = folder(&[("x.brass", CLEAN), ("tp1.brass", "old")]);
    let answer = run(dir.path(), &["part", "x.brass", "Tp1", "-o", "tp1.brass"]);
    assert_eq!((answer.status, answer.out.as_str()), (0, "tp1.brass is written\n"));
    assert_eq!(std::fs::read_to_string(dir.path().join("tp1.brass")).unwrap(), PART);
    let answer = run(dir.path(), &["part", "x.brass", "Tp1", "-o", "./x.brass"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.contains("the score itself"), "{answer:?}");
    assert_eq!(std::fs::read_to_string(dir.path().join("x.brass")).unwrap(), CLEAN);
    let answer = run(dir.path(), &["part", "x.brass", "Tp1", "-o", "no/where.brass"]);
    assert!(answer.status == 2 && answer.err.contains("could not be written"), "{answer:?}");
}

#[test]
fn all_parts_go_into_a_folder_and_are_clean() {
    let dir = folder(&[("x.brass", CLEAN)]);
    let answer = run(dir.path(), &["part", "x.brass", "--all", "parts"]);
    assert_eq!(answer.status, 0, "{answer:?}");
    assert_eq!(answer.out.lines().count(), 2);
    assert_eq!(std::fs::read_to_string(dir.path().join("parts/x-Tp1.brass")).unwrap(), PART);
    assert_eq!(run(dir.path(), &["check", "parts"]).status, 0);
    assert_eq!(run(dir.path(), &["tidy", "--check", "parts"]).status, 0);
}

#[test]
fn who_is_not_there_is_said() {
    let dir = folder(&[("x.brass", CLEAN), ("empty.brass", "")]);
    let answer = run(dir.path(), &["part", "x.brass", "Tp2"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert_eq!(answer.err, "x.brass: no player is called \"Tp2\"; did you mean Tp1?\n");
    let answer = run(dir.path(), &["part", "empty.brass", "--all", "parts"]);
    assert!(answer.status == 2 && answer.err.contains("no players"), "{answer:?}");
    assert!(!dir.path().join("parts").exists());
    for wrong in [
        &["part"][..],
        &["part", "x.brass"],
        &["part", "nobody.brass", "Tp1"],
        &["part", "x.brass", "Tp1", "--all", "p"],
        &["part", "x.brass", "--all", "p", "-o", "q"],
    ] {
        let answer = run(dir.path(), wrong);
        assert!(
            answer.status == 2 && !answer.err.is_empty() && answer.out.is_empty(),
            "{wrong:?} {answer:?}"
        );
    }
}

#[test]
fn faults_of_reading_are_told_and_the_part_is_there_all_the_same() {
    let dir = folder(&[("x.brass", FAULTY)]);
    let answer = run(dir.path(), &["part", "x.brass", "Tp1"]);
    assert_eq!(answer.status, 1);
    assert!(answer.out.contains("| q : D5 E5 F#5 |"), "{answer:?}");
    assert!(answer.err.contains("waterkey check x.brass"), "{answer:?}");
}

#[test]
fn settings_and_includes_hold() {
    let dir = folder(&[
        ("x.brass", "include \"crew.brass\"\nbar 1  tempo q = 60\nHn | w : F4 |\n"),
        ("crew.brass", "player Hn = horn in F\n"),
    ]);
    let answer = run(dir.path(), &["part", "x.brass", "Hn"]);
    assert!(answer.status == 0 && answer.out.contains("Hn     | w : C5 |"), "{answer:?}");
}
