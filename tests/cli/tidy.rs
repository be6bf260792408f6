//! `waterkey tidy`.

use super::answer::{folder, run, run_with};
use super::scores::CLEAN;

const UNTIDY: &str = "brass 1\nplayer Tp1 = trumpet in Bb\n\nbar 1  meter 4/4   tempo q = 72  // slow\n\
                      Tp1 |  q: C5 D5   E5 F5 |w : G5|\n";

fn read(dir: &tempfile::TempDir, name: &str) -> String {
    std::fs::read_to_string(dir.path().join(name)).unwrap()
}

#[test]
fn a_score_is_laid_out_and_then_stays() {
    let dir = folder(&[("x.brass", UNTIDY)]);
    let first = run(dir.path(), &["tidy", "x.brass"]);
    assert_eq!((first.status, first.out.as_str(), first.err.as_str()), (0, "x.brass is tidy now\n", ""));
    let tidy = read(&dir, "x.brass");
    assert_ne!(tidy, UNTIDY);
    let without_blanks = |text: &str| text.split_whitespace().collect::<String>();
    assert_eq!(without_blanks(&tidy), without_blanks(UNTIDY), "only blanks change");
    let again = run(dir.path(), &["tidy", "x.brass"]);
    assert_eq!((again.status, again.out.as_str()), (0, ""));
    assert_eq!(read(&dir, "x.brass"), tidy);
}

#[test]
fn check_changes_nothing() {
    let dir = folder(&[("x.brass", UNTIDY), ("y/z.brass", "brass 1\n")]);
    let answer = run(dir.path(), &["tidy", "--check", "."]);
    assert_eq!((answer.status, answer.out.as_str()), (1, "x.brass is not tidy\n"));
    assert_eq!(read(&dir, "x.brass"), UNTIDY);
    assert_eq!(run(dir.path(), &["tidy", "--check", "y"]).status, 0);
}

#[test]
fn standard_input_goes_to_standard_output() {
    let dir = folder(&[]);
    let tidy = run_with(dir.path(), &["tidy", "-"], UNTIDY.as_bytes());
    assert_eq!(tidy.status, 0);
    let again = run_with(dir.path(), &["tidy", "-"], tidy.out.as_bytes());
    assert_eq!(again.out, tidy.out);
    assert_eq!(run_with(dir.path(), &["tidy", "--check", "-"], UNTIDY.as_bytes()).status, 1);
    assert_eq!(run_with(dir.path(), &["tidy", "--check", "-"], tidy.out.as_bytes()).status, 0);
}

#[test]
fn line_ends_and_marks_stay() {
    let dir = folder(&[]);
    for text in [UNTIDY.replace('\n', "\r\n"), UNTIDY.replace('\n', "\r"), format!("\u{feff}{UNTIDY}")] {
        let tidy = run_with(dir.path(), &["tidy", "-"], text.as_bytes()).out;
        let ends =
            |text: &str| text.chars().filter(|c| matches!(c, '\r' | '\n' | '\u{feff}')).collect::<String>();
        assert_eq!(ends(&tidy), ends(&text));
    }
}

#[test]
fn tidying_is_not_what_a_check_sees() {
    let dir = folder(&[("x.brass", CLEAN)]);
    assert_eq!(run(dir.path(), &["tidy", "x.brass"]).status, 0);
    assert_eq!(run(dir.path(), &["check", "x.brass"]).status, 0);
}

#[test]
fn what_cannot_be_done_is_said() {
    let dir = folder(&[]);
    std::fs::write(dir.path().join("latin.brass"), b"title \"caf\xe9\"\n").unwrap();
    let answer = run(dir.path(), &["tidy", "latin.brass", "nobody.brass"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.contains("not UTF-8 at byte 10") && answer.err.contains("nobody.brass"), "{answer:?}");
    assert_eq!(std::fs::read(dir.path().join("latin.brass")).unwrap(), b"title \"caf\xe9\"\n");
}
