//! `waterkey parse`.

use super::answer::{folder, run, run_with};

#[test]
fn every_line_is_told() {
    let dir =
        folder(&[("x.brass", "brass 1\nplayer Tp1 = trumpet in Bb\nbar 1  meter 4/4\nTp1 | q : C5 d5 |\n")]);
    let answer = run(dir.path(), &["parse", "x.brass"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    for line in 1..=4 {
        assert!(
            answer.out.lines().any(|l| l.trim_start().starts_with(&format!("{line}  "))),
            "{}",
            answer.out
        );
    }
    assert!(answer.out.contains("fault unreadable"), "{}", answer.out);
    assert_eq!(run_with(dir.path(), &["parse", "-"], b"brass 1\n").status, 0);
    assert_eq!(run(dir.path(), &["parse", "nobody.brass"]).status, 2);
}
