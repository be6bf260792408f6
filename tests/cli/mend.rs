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
