//! `waterkey who`.

use super::answer::{folder, run};

const SCORE: &str = "player Tp1 = trumpet in Bb, level school\nplayer Tp2 = trumpet in Bb\nplayer Co = cornet in Bb\n\
                     bar 1  meter 4/4  tempo q = 72\nTp1 | w : G5 | w : C5 |\nCo | w : G5 | - |\n";

#[test]
fn players_are_ranked_with_reasons() {
    let dir = folder(&[("x.brass", SCORE)]);
    let answer = run(dir.path(), &["who", "x.brass", "--bar", "1", "--player", "Tp1"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    let lines: Vec<&str> = answer.out.lines().collect();
    assert_eq!(lines[0], "bar 1 of Tp1:");
    assert!(lines[1].contains("1. Co ") && lines[1].contains("has these notes already"), "{lines:?}");
    assert!(lines[2].contains("2. Tp2") && lines[2].contains("the same instrument"), "{lines:?}");
}

#[test]
fn programs_get_json() {
    let dir = folder(&[("x.brass", SCORE)]);
    let answer = run(
        dir.path(),
        &["who", "x.brass", "--bar", "1", "--to", "2", "--player", "Tp1", "--format", "json"],
    );
    let json: serde_json::Value = serde_json::from_str(&answer.out).unwrap();
    assert_eq!((&json["firstBar"], &json["lastBar"]), (&1.into(), &2.into()));
    let first = &json["candidates"][0];
    assert_eq!((&first["player"], &first["standing"]), (&"Tp2".into(), &"free".into()));
    assert!(first["declined"].is_null() && first["possible"] == true);
    assert!(first["reasons"].as_array().unwrap().iter().any(|r| r["about"] == "range"));
}

#[test]
fn what_cannot_be_asked_is_told() {
    let dir = folder(&[("x.brass", SCORE)]);
    for (arguments, why) in [
        (["--bar", "9", "--player", "Tp1"], "it has no bar 9"),
        (["--bar", "1", "--player", "Tp9"], "no player is called"),
        (["--bar", "2", "--player", "Co"], "Co plays nothing there"),
    ] {
        let answer = run(dir.path(), &[&["who", "x.brass"], &arguments[..]].concat());
        assert!(answer.status == 2 && answer.err.contains(why), "{}", answer.err);
    }
}
