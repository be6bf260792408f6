//! `waterkey.toml`: found upwards, judged setting by setting.

use super::answer::{folder, run};
use super::scores::CLEAN;

#[test]
fn every_fault_is_named_and_the_rest_holds() {
    let settings = "level = \"virtuoso\"\ntuning = 442\n[rules]\ntoo-hihg = \"off\"\ntoo-low = \"off\"\n\
                    bar-length = \"off\"\n[limits.too-high]\nfurlongs = 3\n";
    let dir = folder(&[("waterkey.toml", settings), ("town/harbour.brass", CLEAN)]);
    let answer = run(dir.path(), &["check", "town"]);
    assert_eq!(answer.status, 0, "{answer:?}");
    assert!(answer.err.lines().all(|line| line.starts_with("waterkey.toml:")), "{}", answer.err);
    for named in [
        "waterkey.toml:1: `level`",
        "waterkey.toml:4: `rules.too-hihg`: there is no such rule; did you mean `too-high`?",
        "waterkey.toml:6: `rules.bar-length`: this is a reading fault",
        "waterkey.toml:8: `limits.too-high.furlongs`",
    ] {
        assert!(answer.err.contains(named), "{named} in {}", answer.err);
    }
    assert_eq!(answer.err.lines().count(), 4, "{}", answer.err);
}

#[test]
fn the_nearest_settings_hold_for_a_score() {
    let high = "player Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | w : G6 |\n";
    let dir = folder(&[
        ("waterkey.toml", "[rules]\ntoo-high = \"off\"\n"),
        ("a/harbour.brass", high),
        ("b/waterkey.toml", "[rules]\ntoo-high = \"error\"\n"),
        ("b/harbour.brass", high),
    ]);
    let json = run(dir.path(), &["check", "--format", "json", "."]).json();
    let severities = |file: usize| -> Vec<String> {
        let findings = json["files"][file]["findings"].as_array().unwrap();
        findings.iter().filter(|f| f["rule"] == "too-high").map(|f| f["severity"].to_string()).collect()
    };
    assert_eq!(severities(0), Vec::<String>::new());
    assert_eq!(severities(1), ["\"error\""]);
}

#[test]
fn a_level_in_the_settings_holds_where_the_score_has_none() {
    // Concert B flat 5 is written C6: the comfortable top of a professional, far beyond a school player.
    let score = "player Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | w : Bb5 |\n";
    let dir = folder(&[("waterkey.toml", "level = \"school\"\n"), ("x.brass", score)]);
    let school = run(dir.path(), &["check", "x.brass"]);
    assert_eq!(school.status, 1, "{school:?}");
    let own = format!("level professional\n{score}");
    let dir = folder(&[("waterkey.toml", "level = \"school\"\n"), ("x.brass", &own)]);
    let professional = run(dir.path(), &["check", "x.brass"]);
    assert_eq!(professional.status, 0, "{professional:?}");
}
