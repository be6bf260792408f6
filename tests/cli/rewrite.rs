//! `waterkey rewrite`.

use super::answer::{folder, run, run_with};
use super::scores::{CLEAN, FAULTY};

fn tidy(dir: &tempfile::TempDir, text: &str) -> String {
    run_with(dir.path(), &["tidy", "-"], text.as_bytes()).out
}

#[test]
fn a_score_goes_to_written_pitch_and_back_in_its_file() {
    let dir = folder(&[]);
    let score = tidy(&dir, CLEAN);
    std::fs::write(dir.path().join("x.brass"), &score).unwrap();
    let shown = run(dir.path(), &["rewrite", "x.brass", "written"]);
    assert_eq!((shown.status, shown.err.as_str()), (0, ""));
    assert!(shown.out.contains("Tp1    | q : p C5 D5 E5 F5 | w : G5, |"), "{}", shown.out);
    assert!(shown.out.contains("Tb1    | h : p D4 F4"), "{}", shown.out);
    let there = run(dir.path(), &["rewrite", "-i", "x.brass", "written"]);
    assert_eq!((there.status, there.out.as_str()), (0, "x.brass is rewritten\n"));
    assert_eq!(std::fs::read_to_string(dir.path().join("x.brass")).unwrap(), shown.out);
    assert_eq!(run(dir.path(), &["rewrite", "-i", "x.brass", "concert"]).status, 0);
    assert_eq!(std::fs::read_to_string(dir.path().join("x.brass")).unwrap(), score);
}

#[test]
fn keys_and_notes_move_together() {
    let dir = folder(&[("x.brass", CLEAN)]);
    for words in [&["up", "M2"][..], &["key", "C"]] {
        let moved = run(dir.path(), &[&["rewrite", "x.brass"], words].concat());
        assert!(moved.out.contains("key C major") && moved.out.contains("p C5 D5 E5 F5"), "{}", moved.out);
    }
    let one = run(dir.path(), &["rewrite", "x.brass", "down", "P8", "--bars", "2", "--player", "Tp1"]);
    assert!(one.out.contains("Bb4 C5 D5 Eb5 | w : F4, |") && one.out.contains("key Bb major"), "{}", one.out);
}

#[test]
fn blocks_phrases_and_values() {
    let dir = folder(&[("x.brass", CLEAN)]);
    let ask = |words: &[&str]| run(dir.path(), &[&["rewrite", "x.brass"], words].concat());
    assert!(
        ask(&["split", "2"]).out.contains("\n\nbar 2\nTp1 | w : F5, |\n"),
        "{}",
        ask(&["split", "2"]).out
    );
    let phrase = ask(&["phrase", "oars", "--bars", "1", "--player", "Tp1"]).out;
    assert!(
        phrase.contains("phrase oars | q : p Bb4 C5 D5 Eb5 |\n") && phrase.contains("| play oars |"),
        "{phrase}"
    );
    let back = run_with(dir.path(), &["rewrite", "-", "inline", "oars"], phrase.as_bytes()).out;
    assert!(back.contains("q : p Bb4 C5 D5 Eb5") && !back.contains("oars"), "{back}");
    let slow = ask(&["double"]).out;
    assert!(slow.contains("meter 4/2  key Bb major  tempo h = 72") && slow.contains("| h : p Bb4"), "{slow}");
    assert!(ask(&["renumber", "9"]).out.contains("\nbar 9  meter"));
    let cornet = ask(&["instrument", "Tp1", "cornet", "in", "Bb"]).out;
    assert!(cornet.contains("player Tp1 = cornet in Bb\n"), "{cornet}");
}

#[test]
fn what_cannot_be_done_is_refused_with_the_reason() {
    let dir = folder(&[("x.brass", CLEAN), ("faulty.brass", FAULTY)]);
    for (words, reason) in [
        (&["x.brass", "concert"][..], "at concert pitch already"),
        (&["x.brass", "up", "K9"], "\"K9\" is no interval"),
        (&["x.brass", "split", "1"], "a block begins or ends there already"),
        (&["x.brass", "split", "7"], "there is no bar 7"),
        (&["x.brass", "join", "1"], "no block stands before bar 1"),
        (&["x.brass", "expand"], "there is no % and no *n here"),
        (&["x.brass", "own"], "no bar here takes its figure from a rhythm row"),
        (&["x.brass", "share", "--bars", "1"], "no two rows have the same figure"),
        (&["x.brass", "inline", "oars"], "no phrase \"oars\""),
        (&["x.brass", "phrase", "oars"], "--bars and --player are needed"),
        (&["x.brass", "phrase", "Tp1", "--bars", "1", "--player", "Tp1"], "Tp1 is taken"),
        (&["x.brass", "instrument", "Tp1", "flute"], "flute"),
        (&["x.brass", "instrument", "Tp9", "trombone"], "no player is called"),
        (&["x.brass", "up", "P8", "--player", "Zz"], "no player is called"),
        (&["faulty.brass", "written"], "mend what cannot be read first: bar 1"),
        (&["none.brass", "written"], "none.brass"),
    ] {
        let refused = run(dir.path(), &[&["rewrite"], words].concat());
        assert_eq!((refused.status, refused.out.as_str()), (2, ""), "{words:?}");
        assert!(refused.err.contains(reason), "{words:?}: {}", refused.err);
    }
}
