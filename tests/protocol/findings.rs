//! Findings as they are pushed.

use super::client::{Client, brief};
use super::texts::{CLEAN, GAP, WRONG};
use serde_json::{Value, json};

fn rich() -> Value {
    json!({"textDocument": {"publishDiagnostics": {
        "relatedInformation": true, "codeDescriptionSupport": true, "versionSupport": true,
        "tagSupport": {"valueSet": [1, 2]}}}})
}

#[test]
fn a_finding_has_its_rule_its_page_and_its_data() {
    let mut client = Client::start(rich());
    client.open("untitled:a", 3, GAP);
    let found = client.findings("untitled:a", 3);
    let one = &found[0];
    assert_eq!(
        (&one["severity"], &one["code"], &one["source"]),
        (&json!(1), &json!("tube-gap"), &json!("waterkey"))
    );
    assert_eq!((&one["data"]["rule"], &one["data"]["bytes"]), (&json!("tube-gap"), &json!([13, 16])));
    assert!(one["data"]["generation"].is_u64());
    let page = one["codeDescription"]["href"].as_str().unwrap();
    let path = page.strip_prefix("file://").unwrap();
    assert!(path.starts_with(client.cache.path().to_str().unwrap()), "{path}");
    assert!(std::fs::read_to_string(path).unwrap().starts_with('#'));
}

#[test]
fn a_client_that_shows_little_is_told_little() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 3, GAP);
    let found = client.findings("untitled:a", 3);
    assert_eq!(found[0].get("codeDescription"), None);
    assert_eq!(found[0].get("relatedInformation"), None);
    assert_eq!(std::fs::read_dir(client.cache.path()).unwrap().count(), 0);
}

#[test]
fn related_notes_of_a_passage() {
    let mut client = Client::start(rich());
    let text = "brass 1\nplayer Tp1 = trumpet in Bb, level school\n\nbar 1  meter 4/4  tempo q = 72\nTp1 | q : E6 F6 E6 F6 |\n";
    client.open("untitled:a", 1, text);
    let found = client.findings("untitled:a", 1);
    let related = found[0]["relatedInformation"].as_array().unwrap();
    assert!(related.len() > 1, "{found}");
    assert!(related.iter().all(|r| r["location"]["uri"] == "untitled:a"));
}

#[test]
fn published_only_when_changed_and_cleared_on_close() {
    let uri = "untitled:a";
    let mut client = Client::start(json!({}));
    client.open(uri, 1, CLEAN);
    assert_eq!(client.findings(uri, 1), json!([]));
    // Nothing is found after this either: nothing is published, or it would be left unread.
    client.edit(uri, 2, [2, 0, 2, 0], "// quay");
    client.format(uri);
    client.close(uri);
    client.open(uri, 1, GAP);
    client.findings(uri, 1);
    client.close(uri);
    assert_eq!(client.findings(uri, Value::Null), json!([]));
}

#[test]
fn a_flood_is_capped_gravest_and_nearest_first() {
    let uri = "untitled:a";
    let mut client = Client::start(json!({}));
    client.open(uri, 1, &format!("{CLEAN}{}", WRONG.repeat(900)));
    let found = client.findings(uri, 1);
    let all = found.as_array().unwrap();
    assert_eq!(all.len(), 201);
    assert!(all[200]["message"].as_str().unwrap().starts_with("700 more findings"), "{}", all[200]);
    assert_eq!(
        (all[200]["severity"].as_i64(), all[0]["range"]["start"]["line"].as_u64()),
        (Some(3), Some(5))
    );
    client.edit(uri, 2, [800, 0, 800, 0], "  ");
    let found = client.findings(uri, 2);
    let lines: Vec<u64> = (0..200).map(|i| found[i]["range"]["start"]["line"].as_u64().unwrap()).collect();
    assert!(lines.contains(&800) && lines[0] >= 690, "{lines:?}");
}

#[test]
fn several_texts_are_told_apart() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, GAP);
    client.open("untitled:b", 7, CLEAN);
    assert_eq!(client.findings("untitled:b", 7), json!([]));
    client.replace("untitled:b", 8, GAP);
    assert_eq!(client.findings("untitled:b", 8).as_array().unwrap().len(), 1);
    client.replace("untitled:a", 2, CLEAN);
    assert_eq!(client.findings("untitled:a", 2), json!([]));
}

#[test]
fn a_trace_is_sent_when_asked_for() {
    let uri = "untitled:a";
    let mut client = Client::with(json!({"capabilities": {}, "trace": "off"}));
    client.open(uri, 1, GAP);
    client.findings(uri, 1);
    client.tell("$/setTrace", json!({"value": "verbose"}));
    client.replace(uri, 2, CLEAN);
    assert!(client.next("$/logTrace")["message"].as_str().unwrap().contains("version 2"));
    client.findings(uri, 2);
    client.tell("$/setTrace", json!({"value": "off"}));
    client.replace(uri, 3, GAP);
    assert_eq!(brief(&client.findings(uri, 3)), ["tube-gap 4:13-16"]);
}
