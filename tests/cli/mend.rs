//! `waterkey mend`.

use super::answer::{folder, run, run_with};

const SLIPS: &str = "player Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | w : c5 |\nbar 2\nTp1 | w : d5 | w : D5 |\n";

fn read(dir: &tempfile::TempDir) -> String {
    std::fs::read_to_string(dir.path().join("x.brass")).unwrap()
}

#[test]
fn plain_slips_are_mended_and_then_there_is_nothing_to_do() {
    let dir = folder(&[("x.brass", SLIPS)]);
    let answer = run(dir.path(), &["mend", "x.brass"]);
    assert_eq!(
        (answer.status, answer.out.as_str(), answer.err.as_str()),
        (0, "x.brass: 2 lines mended\n", "")
    );
    assert_eq!(read(&dir), SLIPS.replace("c5", "C5").replace("d5", "D5"));
    let again = run(dir.path(), &["mend", "x.brass"]);
    assert_eq!((again.status, again.out.as_str()), (0, ""));
}

#[test]
fn a_dry_run_shows_the_lines_and_writes_nothing() {
    let dir = folder(&[("x.brass", SLIPS)]);
    let answer = run(dir.path(), &["mend", "--dry-run", "--block", "3", "x.brass"]);
    assert_eq!(answer.status, 1);
    assert_eq!(answer.out, "x.brass:5 - Tp1 | w : d5 | w : D5 |\nx.brass:5 + Tp1 | w : D5 | w : D5 |\n");
    assert_eq!(read(&dir), SLIPS);
    let none = run(dir.path(), &["mend", "--block", "9", "x.brass"]);
    assert!(none.status == 2 && none.err.contains("it has no bar 9"), "{}", none.err);
}

#[test]
fn standard_input_goes_to_standard_output() {
    let dir = folder(&[]);
    let answer = run_with(dir.path(), &["mend", "-"], SLIPS.as_bytes());
    assert_eq!((answer.status, answer.out), (0, SLIPS.replace("c5", "C5").replace("d5", "D5")));
}

const HIGH: &str = "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 96\n\
                    Tp1 | w : C5 |\nTp2 | w : A4 |\nbar 2\nTp1 | q : C5 E6 F6 E6 |\nTp2 | w : A4 |\n";

#[test]
fn what_cannot_be_played_is_made_playable_when_asked_for() {
    let dir = folder(&[("x.brass", HIGH)]);
    assert_eq!(run(dir.path(), &["mend", "x.brass"]).out, "", "no plain slip");
    let dry = run(dir.path(), &["mend", "--playable", "--dry-run", "x.brass"]);
    assert_eq!(dry.status, 1);
    assert!(dry.out.starts_with("x.brass: bar 2: "), "{}", dry.out);
    assert!(
        dry.out.contains("1 move, 0 left") && dry.out.contains("bar 2, Tp1: Down an octave"),
        "{}",
        dry.out
    );
    assert!(dry.out.contains("x.brass:7 - Tp1 | q : C5 E6 F6 E6 |"), "{}", dry.out);
    assert_eq!(read(&dir), HIGH, "nothing is written");
    let other = run(dir.path(), &["mend", "--playable", "--block", "1", "x.brass"]);
    assert_eq!((other.status, other.out.as_str(), read(&dir).as_str()), (0, "", HIGH));
    let mended = run(dir.path(), &["mend", "--playable", "x.brass"]);
    assert_eq!(mended.status, 0);
    assert!(mended.out.ends_with("x.brass: 1 line mended\n"), "{}", mended.out);
    assert_eq!(run(dir.path(), &["check", "x.brass"]).status, 0, "{}", read(&dir));
    assert_eq!(run(dir.path(), &["mend", "--playable", "x.brass"]).out, "");
}
