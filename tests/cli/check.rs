//! `waterkey check`: exit status, what is read, and the formats.

use super::answer::{folder, members, run, run_with};
use super::scores::{CLEAN, FAULTY};

#[test]
fn status_0_1_2() {
    let dir = folder(&[("clean.brass", CLEAN), ("faulty.brass", FAULTY)]);
    let clean = run(dir.path(), &["check", "clean.brass"]);
    assert_eq!((clean.status, clean.err.as_str()), (0, ""), "{clean:?}");
    assert_eq!(run(dir.path(), &["check", "faulty.brass"]).status, 1);
    let missing = run(dir.path(), &["check", "clean.brass", "nobody.brass"]);
    assert_eq!(missing.status, 2);
    assert_eq!(missing.err, "nobody.brass: there is no such file or folder\n");
    assert!(missing.out.contains("1 score"), "what is there is checked all the same");
}

#[test]
fn a_folder_is_read_whole_and_in_order() {
    let dir = folder(&[
        ("scores/b.brass", FAULTY),
        ("scores/a/a.brass", CLEAN),
        ("scores/.old/x.brass", FAULTY),
        ("scores/target/y.brass", FAULTY),
        ("scores/readme.txt", "no score"),
    ]);
    let json = run(dir.path(), &["check", "--format", "json", "scores"]).json();
    let paths: Vec<&str> =
        json["files"].as_array().unwrap().iter().map(|f| f["path"].as_str().unwrap()).collect();
    assert_eq!(paths, ["scores/a/a.brass", "scores/b.brass"]);
}

#[test]
fn a_folder_without_scores_is_said() {
    let dir = folder(&[("empty/readme.txt", "")]);
    let answer = run(dir.path(), &["check", "empty"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.contains("no score in this folder"), "{}", answer.err);
}

#[test]
fn standard_input() {
    let dir = folder(&[]);
    let clean = run_with(dir.path(), &["check", "-"], CLEAN.as_bytes());
    assert_eq!(clean.status, 0, "{clean:?}");
    let faulty = run_with(dir.path(), &["check", "--format", "json", "-"], FAULTY.as_bytes());
    assert_eq!(faulty.status, 1);
    assert_eq!(faulty.json()["files"][0]["path"], "-");
}

#[test]
fn json_has_its_shape() {
    let dir = folder(&[("faulty.brass", FAULTY), ("clean.brass", CLEAN)]);
    let json = run(dir.path(), &["check", "--format", "json", "."]).json();
    assert_eq!(json["version"], 1);
    assert_eq!(members(&json), ["files", "version"]);
    assert_eq!(json["files"][0], serde_json::json!({"path": "clean.brass", "findings": []}));
    let finding = &json["files"][1]["findings"][0];
    assert_eq!(
        members(finding),
        [
            "bar",
            "column",
            "endColumn",
            "endLine",
            "grade",
            "limit",
            "line",
            "measured",
            "message",
            "player",
            "rule",
            "severity"
        ]
    );
    assert_eq!((&finding["rule"], &finding["severity"]), (&"place-count".into(), &"error".into()));
    assert_eq!((&finding["line"], &finding["endLine"]), (&4.into(), &4.into()));
    for number in ["line", "column", "endLine", "endColumn", "grade"] {
        assert!(finding[number].as_u64().unwrap() >= 1, "{number}");
    }
    assert!(finding["message"].as_str().unwrap().contains("there are"), "{finding}");
}

#[test]
fn columns_count_characters() {
    let text = |words: &str| {
        format!(
            "player Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | q : {words} C5 D5 E5 zz |\n"
        )
    };
    let place = |words: &str| {
        let dir = folder(&[("x.brass", &text(words))]);
        let json = run(dir.path(), &["check", "--format", "json", "x.brass"]).json();
        let findings = json["files"][0]["findings"].as_array().unwrap().clone();
        let one = findings.iter().find(|f| f["line"] == 3).unwrap_or_else(|| panic!("{findings:?}")).clone();
        (one["column"].as_u64().unwrap(), one["endColumn"].as_u64().unwrap())
    };
    let plain = place("\"abc\"");
    // Outside the basic plane, two bytes wide, two columns wide: one character each.
    assert_eq!(place("\"𝄞é港\""), plain);
    assert_eq!(plain, (26, 28));
}

#[test]
fn what_counts_is_chosen() {
    // A natural horn in C may be the long or the short one.
    let hint_only = "player Hn1 = natural horn in C\nbar 1  meter 4/4  tempo q = 72\nHn1 | w : G3 |\n";
    let dir = folder(&[("hint.brass", hint_only), ("faulty.brass", FAULTY)]);
    let quiet = run(dir.path(), &["check", "hint.brass"]);
    assert_eq!(quiet.status, 0, "{quiet:?}");
    assert!(quiet.out.contains("--hints"), "{quiet:?}");
    let loud = run(dir.path(), &["check", "--hints", "hint.brass"]);
    assert_eq!(loud.status, 0);
    assert!(loud.out.contains("hint ·"), "{loud:?}");
    for level in ["error", "warning", "information"] {
        assert_eq!(run(dir.path(), &["check", "--fail-on", level, "faulty.brass"]).status, 1, "{level}");
    }
}

#[test]
fn for_people() {
    let dir = folder(&[("clean.brass", CLEAN), ("faulty.brass", FAULTY)]);
    let answer = run(dir.path(), &["check", "."]);
    // Whatever the message of the day is, it stands under the carets.
    let message = answer.out.lines().nth(5).unwrap().trim().to_owned();
    insta::assert_snapshot!(answer.out.replace(&message, "MESSAGE"), @r"
    faulty.brass

    4:11  Tp1, bar 1 · error · place-count
          Tp1 | q : C5 D5 E5 |
                    ^^^^^^^^
          MESSAGE

    2 scores: 1 error
    ");
}

#[test]
fn no_colours_and_no_bar_in_a_pipe() {
    let dir = folder(&[("clean.brass", CLEAN), ("faulty.brass", FAULTY)]);
    let answer = run(dir.path(), &["check", "."]);
    assert!(!answer.out.contains('\u{1b}'));
    assert_eq!(answer.err, "");
}

#[test]
fn sarif_names_its_rules() {
    let dir = folder(&[("first light.brass", FAULTY)]);
    let log = run(dir.path(), &["check", "--format", "sarif", "first light.brass"]).json();
    assert_eq!(log["version"], "2.1.0");
    let run = &log["runs"][0];
    let result = &run["results"][0];
    let rule = &run["tool"]["driver"]["rules"][result["ruleIndex"].as_u64().unwrap() as usize];
    assert_eq!(rule["id"], result["ruleId"]);
    for part in ["shortDescription", "help"] {
        assert!(rule[part]["text"].as_str().is_some_and(|t| !t.is_empty()), "{part}");
    }
    let place = &result["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "first%20light.brass");
    assert_eq!(place["region"]["startLine"], 4);
}
