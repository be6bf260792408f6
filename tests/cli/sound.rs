//! `waterkey sound`.

use super::answer::{folder, run};

#[test]
fn written_sounding_and_chords() {
    let dir = folder(&[]);
    let answer = run(dir.path(), &["sound", "horn", "in", "F", "C5", "Gb4"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    insta::assert_snapshot!(answer.out, @r"
    C5 sounds F4 (349.23 Hz)
    Gb4 sounds Cb4 (246.94 Hz)
    ");
    let answer = run(dir.path(), &["sound", "trumpet", "in", "Bb", "--concert", "E7", "Bb4", "Cm7/G"]);
    insta::assert_snapshot!(answer.out, @r"
    E7 is written F#7 (2637.02 Hz)
    Bb4 is written C5 (466.16 Hz)
    Cm7/G is written Dm7/A
    ");
}

#[test]
fn what_is_no_note_is_named() {
    let dir = folder(&[]);
    let answer = run(dir.path(), &["sound", "trombone", "Bb3", "h4"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.contains("\"h4\""), "{}", answer.err);
    assert_eq!(run(dir.path(), &["sound", "trombone"]).status, 2);
}
