//! Files that nobody should hand in, and somebody will.

use super::answer::{Answer, folder, run, run_with};
use super::scores::{CLEAN, FAULTY};
use std::time::{Duration, Instant};

/// Runs `check` on a text as a file, and asserts that it neither panicked nor took for ever.
fn check(text: &[u8]) -> Answer {
    let dir = folder(&[]);
    std::fs::write(dir.path().join("x.brass"), text).unwrap();
    let began = Instant::now();
    let answer = run(dir.path(), &["check", "--format", "json", "x.brass"]);
    // Generous: this catches what grows with the square, not what is slow.
    assert!(began.elapsed() < Duration::from_secs(60), "{:?}", began.elapsed());
    assert!(
        !answer.err.contains("panicked") && !answer.err.contains("waterkey itself failed"),
        "{}",
        answer.err
    );
    assert!((0..=2).contains(&answer.status), "{answer:?}");
    answer
}

fn rules(answer: &Answer) -> Vec<(String, u64)> {
    let json = answer.json();
    let findings = json["files"][0]["findings"].as_array().unwrap();
    findings.iter().map(|f| (f["rule"].as_str().unwrap().to_owned(), f["line"].as_u64().unwrap())).collect()
}

fn has(answer: &Answer, rule: &str, line: u64) {
    let rules = rules(answer);
    assert!(rules.contains(&(rule.to_owned(), line)), "{rule} in line {line}: {rules:?}");
}

/// A score of one trumpet with these lines after the head; they begin at line 3.
fn score(body: &str) -> Vec<u8> {
    format!("brass 1\nplayer Tp1 = trumpet in Bb\n{body}").into_bytes()
}

#[test]
fn not_utf_8() {
    let answer = check(b"brass 1\ntitle \"caf\xe9\"\n");
    assert_eq!(answer.status, 2);
    assert!(answer.err.contains("x.brass: not UTF-8 at byte 18 (line 2, column 11)"), "{}", answer.err);
    assert!(check(b"\xff\xfeb\0r\0").err.contains("UTF-16"));
    assert!(run_with(folder(&[]).path(), &["check", "-"], b"\xff").err.contains("standard input: not UTF-8"));
}

#[test]
fn empty() {
    assert_eq!(check(b"").status, 0);
    assert_eq!(check(b"\n\n\n").status, 0);
}

#[test]
fn a_line_of_a_megabyte() {
    let mut text = score("bar 1  meter 4/4  tempo q = 72\nTp1 | ");
    text.extend("C5 ".repeat(350_000).bytes());
    text.extend(b"|\n");
    let answer = check(&text);
    has(&answer, "too-long", 4);
    let dir = folder(&[]);
    std::fs::write(dir.path().join("x.brass"), &text).unwrap();
    let people = run(dir.path(), &["check", "x.brass"]);
    assert!(people.out.lines().all(|line| line.chars().count() < 200), "the excerpt is cut");
}

#[test]
fn ten_thousand_brackets() {
    for open in ["(", "[", "{3:2 ", "(["] {
        let text =
            score(&format!("bar 1  meter 4/4  tempo q = 72\nTp1 | q : {} C5 |\n", open.repeat(10_000)));
        assert_eq!(check(&text).status, 1, "{open}");
    }
}

#[test]
fn numbers_that_make_no_sense() {
    let bar = "bar 1  meter 4/4  tempo q = 72\n";
    has(&check(&score(&format!("{bar}Tp1 | {{0:2 e*3}} : C5 D5 E5 |\n"))), "bad-number", 4);
    has(&check(&score("bar 1  meter 0/4\nTp1 | w : C5 |\n")), "bad-number", 3);
    has(&check(&score("bar 1  meter 4/4  tempo q = 0\nTp1 | w : C5 |\n")), "bad-number", 3);
    has(&check(&score(&format!("{bar}Tp1 | w : C55 |\n"))), "bad-number", 4);
}

#[test]
fn names_that_bite_their_tail() {
    has(&check(&score("player Tp1 = trombone\nbar 1  meter 4/4  tempo q = 72\n")), "duplicate-name", 3);
    let group = check(&score("group All = Tp1 All\nbar 1  meter 4/4  tempo q = 72\nAll | w : C5 |\n"));
    assert_eq!(group.status, 1, "{group:?}");
    assert!(rules(&group).iter().any(|(_, line)| *line == 3), "{group:?}");
}

#[test]
fn includes_stay_at_home() {
    for path in ["/etc/passwd", "../../../../../../etc/passwd", "x.brass", "nobody.brass"] {
        let answer = check(&score(&format!("include \"{path}\"\n")));
        has(&answer, "include-fault", 3);
        assert!(!answer.out.contains("root:"), "nothing of the file is shown");
    }
    let dir = folder(&[
        ("a.brass", "include \"b.brass\"\nbar 1  meter 4/4  tempo q = 72\n"),
        ("b.brass", "include \"c.brass\"\n"),
        ("c.brass", "include \"b.brass\"\n"),
    ]);
    let round = run(dir.path(), &["check", "--format", "json", "a.brass"]);
    has(&round, "include-fault", 1);
    let input = run_with(dir.path(), &["check", "--format", "json", "-"], b"include \"b.brass\"\n");
    has(&input, "include-fault", 1);
}

#[test]
fn an_include_that_is_there_is_read() {
    let dir = folder(&[
        ("band.brass", "player Tp1 = trumpet in Bb\n"),
        ("a.brass", "include \"band.brass\"\nbar 1  meter 4/4  tempo q = 72\nTp1 | w : C5 |\n"),
    ]);
    let answer = run(dir.path(), &["check", "a.brass"]);
    assert_eq!(answer.status, 0, "{answer:?}");
}

#[test]
fn other_line_ends() {
    for end in ["\r", "\r\n"] {
        let clean = check(CLEAN.replace('\n', end).as_bytes());
        assert_eq!(clean.status, 0, "{end:?}: {clean:?}");
        let faulty = check(FAULTY.replace('\n', end).as_bytes());
        has(&faulty, "place-count", 4);
    }
}

#[test]
fn a_byte_order_mark() {
    let answer = check(format!("\u{feff}{CLEAN}").as_bytes());
    assert!(answer.status <= 1, "{answer:?}");
    let with = check(format!("\u{feff}{}", FAULTY).as_bytes());
    has(&with, "place-count", 4);
}

#[test]
fn control_characters_do_not_reach_the_terminal() {
    let dir = folder(&[]);
    std::fs::write(dir.path().join("x.brass"), score("title \"\u{1b}[31m\u{202e}red\"\u{1b}]0;x\u{7} zz\n"))
        .unwrap();
    let answer = run(dir.path(), &["check", "--hints", "x.brass"]);
    assert!(answer.out.chars().all(|c| c == '\n' || !c.is_control()), "{answer:?}");
}

#[test]
fn something_that_is_no_file() {
    let dir = folder(&[("folder.brass/x.brass", CLEAN)]);
    assert_eq!(run(dir.path(), &["check", "folder.brass"]).status, 0, "a folder may be called so");
    #[cfg(unix)]
    {
        let answer = run(dir.path(), &["check", "/dev/null"]);
        assert_eq!(answer.status, 2);
        assert!(answer.err.contains("not a file"), "{answer:?}");
    }
}
