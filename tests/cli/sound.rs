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

#[test]
fn a_player_of_a_score() {
    let score = "tuning A4 = 442\nplayer C1 = horn in F\nplayer Tp1 = trumpet in Bb, doubles flugelhorn in Bb\n\
                 instrument Bell = natural, fundamental Eb2, in Eb, range Eb2..Eb5\nplayer Be = Bell\n";
    let dir = folder(&[("harbour.brass", score)]);
    let answer = run(dir.path(), &["sound", "harbour.brass", "C1", "A4"]);
    assert_eq!((answer.status, answer.out.as_str()), (0, "A4 sounds D4 (295.00 Hz)\n"), "{answer:?}");
    let answer = run(dir.path(), &["sound", "harbour.brass", "Tp1", "--concert", "A4"]);
    insta::assert_snapshot!(answer.out, @r"
    trumpet in Bb:
    A4 is written B4 (442.00 Hz)
    flugelhorn in Bb:
    A4 is written B4 (442.00 Hz)
    ");
    let answer = run(dir.path(), &["sound", "harbour.brass", "Be", "C4"]);
    assert_eq!(answer.status, 0, "{answer:?}");
    assert!(answer.out.starts_with("C4 sounds Eb3 "), "{answer:?}");
    assert_eq!(run(dir.path(), &["chart", "harbour.brass", "Be"]).status, 0);
    for wrong in [
        &["sound", "harbour.brass"][..],
        &["sound", "harbour.brass", "Tp7", "C5"],
        &["sound", "x.brass", "Tp1", "C5"],
    ] {
        let answer = run(dir.path(), wrong);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{wrong:?}");
    }
    assert!(run(dir.path(), &["sound", "harbour.brass", "Tp7", "C5"]).err.contains("Tp1"));
}
