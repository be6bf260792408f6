//! `workspace/executeCommand`: charts, parts, and what the server knows of itself.

use super::client::Client;
use serde_json::{Value, json};
use waterkey::assist::sheet::sheet;
use waterkey::exchange::part::part;
use waterkey::exchange::sheet::html;
use waterkey::exchange::{midi, musicxml};
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

const SCORE: &str = "\
brass 1
title \"Quay \u{1d11e}\"
player Tp1 = trumpet in Bb, name \"The pilot\"
player Hn1 = horn in F
bar 1  meter 4/4  key Bb major  tempo q = 72
Tp1 | h : \"\u{1d11e}\" Bb4 C5 |
";

fn command(client: &mut Client, name: &str, arguments: Value) -> Value {
    client.ask("workspace/executeCommand", json!({"command": name, "arguments": arguments}))
}

fn refused(client: &mut Client, name: &str, arguments: Value) -> String {
    let answer = command(client, name, arguments);
    assert_eq!(answer["error"]["code"], -32602, "{answer}");
    answer["error"]["message"].as_str().unwrap().to_owned()
}

fn wanted(text: &str, player: usize) -> String {
    part(&Desk::new(text, Settings::default(), &NoFiles), player)
}

#[test]
fn a_part_is_that_of_the_newest_text_in_every_encoding() {
    for (encoding, column) in [("utf-8", 17), ("utf-16", 15), ("utf-32", 14)] {
        let mut client = Client::start(json!({"general": {"positionEncodings": [encoding]}}));
        assert_eq!(
            client.initialized["capabilities"]["executeCommandProvider"]["commands"],
            json!(["waterkey.chart", "waterkey.part", "waterkey.sheet", "waterkey.export", "waterkey.debug"])
        );
        client.open("untitled:a", 1, SCORE);
        client.findings("untitled:a", 1);
        let answer = command(&mut client, "waterkey.part", json!(["untitled:a", "The pilot"]));
        assert_eq!(answer["result"], wanted(SCORE, 0));
        // The edit and the question are on their way together.
        client.edit("untitled:a", 2, [5, column, 5, column + 3], "D5");
        let answer = command(&mut client, "waterkey.part", json!(["untitled:a", "Tp1", null]));
        assert_eq!(answer["result"], wanted(&SCORE.replace("Bb4 C5", "D5 C5"), 0), "{encoding}");
    }
}

#[test]
fn a_part_is_written_only_where_it_was_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().canonicalize().unwrap();
    let score = format!("file://{}/quay.brass", folder.display());
    let mut client = Client::start(json!({"window": {"showDocument": {"support": true}}}));
    client.open(&score, 1, SCORE);
    client.findings(&score, 1);
    let answer = command(&mut client, "waterkey.part", json!([score, "Tp1"]));
    assert!(answer["result"].is_string());
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 0);
    let answer = command(&mut client, "waterkey.part", json!([score, "Tp1", "tp1.brass"]));
    assert_eq!(answer["result"], wanted(SCORE, 0));
    assert_eq!(std::fs::read_to_string(folder.join("tp1.brass")).unwrap(), wanted(SCORE, 0));
    assert!(refused(&mut client, "waterkey.part", json!([score, "Tp1", "quay.brass"])).contains("itself"));
    assert!(refused(&mut client, "waterkey.part", json!([score, "Tp1", "no/where"])).contains("written"));
    client.end();
    let shown: Vec<&Value> =
        client.asked.iter().filter(|(m, _)| m == "window/showDocument").map(|(_, p)| &p["uri"]).collect();
    assert_eq!(shown, [&json!(format!("file://{}/tp1.brass", folder.display()))]);
}

#[test]
fn a_score_is_written_for_other_programs_and_the_path_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().canonicalize().unwrap();
    let score = format!("file://{}/quay.brass", folder.display());
    let mut client = Client::start(json!({}));
    client.open(&score, 1, SCORE);
    client.findings(&score, 1);
    let desk = Desk::new(SCORE, Settings::default(), &NoFiles);
    let answer = command(&mut client, "waterkey.export", json!([score, "quay.mid"]));
    assert_eq!(answer["result"], folder.join("quay.mid").display().to_string());
    assert_eq!(std::fs::read(folder.join("quay.mid")).unwrap(), midi::score(&desk));
    command(&mut client, "waterkey.export", json!([score, "tp1.musicxml", "Tp1"]));
    assert_eq!(std::fs::read_to_string(folder.join("tp1.musicxml")).unwrap(), musicxml::part(&desk, 0));
    assert!(refused(&mut client, "waterkey.export", json!([score, "quay.pdf"])).contains(".musicxml"));
    assert!(
        refused(&mut client, "waterkey.export", json!([score, "tp1.mid", "Tp1"])).contains("MusicXML only")
    );
    assert!(refused(&mut client, "waterkey.export", json!([score, "x.mid", "Tp9"])).contains("did you mean"));
    client.end();
}

#[test]
fn a_text_that_brings_players_has_parts_too() {
    let mut client = Client::start(json!({}));
    client.open("file:///nowhere/crew.brass", 1, "player Tp1 = trumpet in Bb\n");
    client.findings("file:///nowhere/crew.brass", 1);
    let answer = command(&mut client, "waterkey.part", json!(["file:///nowhere/crew.brass", "Tp1"]));
    assert_eq!(answer["result"], "brass 1\npitch    written\n\nplayer Tp1  = trumpet in Bb\n");
}

#[test]
fn charts_of_instruments_and_of_players() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, SCORE);
    client.findings("untitled:a", 1);
    let named = command(&mut client, "waterkey.chart", json!(["trumpet in Bb"]))["result"].clone();
    assert!(named.as_str().unwrap().starts_with("trumpet in Bb, A4 = 440 Hz\n"), "{named}");
    let held = command(&mut client, "waterkey.chart", json!(["untitled:a", "Tp1"]))["result"].clone();
    assert_eq!(held, named);
    assert!(refused(&mut client, "waterkey.chart", json!(["trumpt in Bb"])).contains("trumpet"));
    assert!(
        refused(&mut client, "waterkey.chart", json!(["untitled:a", "Tp2"])).contains("did you mean Tp1")
    );
}

#[test]
fn what_cannot_be_done_is_said_in_words() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, SCORE);
    client.findings("untitled:a", 1);
    assert!(refused(&mut client, "waterkey.nonsense", json!([])).contains("waterkey.part"));
    assert!(refused(&mut client, "waterkey.part", json!([])).contains("player"));
    assert!(refused(&mut client, "waterkey.part", json!([1, 2])).contains("player"));
    assert!(refused(&mut client, "waterkey.part", json!(["untitled:b", "Tp1"])).contains("not open"));
    assert!(refused(&mut client, "waterkey.part", json!(["untitled:a", "Tp2"])).contains("did you mean Tp1"));
    assert!(refused(&mut client, "waterkey.part", json!(["untitled:a", "Tp1", "x"])).contains("whole path"));
    // Arguments may be left out altogether.
    let answer = client.ask("workspace/executeCommand", json!({"command": "waterkey.debug"}));
    let told = answer["result"].as_str().unwrap().to_owned();
    for word in [env!("CARGO_PKG_VERSION"), "utf-16", "untitled:a version 1", "lines", "pairs checked"] {
        assert!(told.contains(word), "{word}: {told}");
    }
}

#[test]
fn the_sheet_is_that_of_the_newest_text() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, SCORE);
    client.findings("untitled:a", 1);
    client.edit("untitled:a", 2, [5, 15, 5, 18], "D5");
    let answer = command(&mut client, "waterkey.sheet", json!(["untitled:a"]));
    let text = SCORE.replace("Bb4 C5", "D5 C5");
    assert_eq!(answer["result"], html(&sheet(&Desk::new(&text, Settings::default(), &NoFiles))));
    assert!(answer["result"].as_str().unwrap().contains("written D5 to E5"), "{answer}");
    assert!(refused(&mut client, "waterkey.sheet", json!(["untitled:b"])).contains("untitled:b"));
    assert!(refused(&mut client, "waterkey.sheet", json!([])).contains("URI"));
}
