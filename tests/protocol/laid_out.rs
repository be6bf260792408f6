//! Layout as the smallest edits.

use super::client::Client;
use serde_json::{Value, json};
use waterkey::notation::Document;
use waterkey::notation::layout::tidied;

const UNTIDY: &str = "brass 1\ntitle   \"\u{1d11e}  quay\"   \nplayer Tb1=straight trombone\nplayer Hn1  =  horn in F\n\nbar 1 meter 4/4   tempo q = 72\nTb1 | h : E3   F3 |\nHn1|w:C4|\n";

/// The text with the edits made, their positions counted in UTF-16.
fn applied(text: &str, edits: &Value) -> String {
    let mut lines: Vec<Vec<u16>> = text.split_inclusive('\n').map(|l| l.encode_utf16().collect()).collect();
    let mut edits: Vec<&Value> = edits.as_array().unwrap().iter().collect();
    edits.reverse();
    for edit in edits {
        let at = |which: &str, what: &str| edit["range"][which][what].as_u64().unwrap() as usize;
        assert_eq!(at("start", "line"), at("end", "line"));
        let new = edit["newText"].as_str().unwrap().encode_utf16();
        lines[at("start", "line")].splice(at("start", "character")..at("end", "character"), new);
    }
    lines.iter().map(|l| String::from_utf16(l).unwrap()).collect()
}

#[test]
fn a_document_becomes_what_tidy_makes_of_it() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, UNTIDY);
    client.findings("untitled:a", 1);
    let edits = client.format("untitled:a")["result"].clone();
    let tidy = tidied(Document::new(UNTIDY).lines());
    assert_ne!(tidy, UNTIDY);
    assert_eq!(applied(UNTIDY, &edits), tidy);
    client.open("untitled:b", 1, &tidy);
    client.findings("untitled:b", 1);
    assert_eq!(client.format("untitled:b")["result"], json!([]));
}

#[test]
fn a_range_changes_no_other_line() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, UNTIDY);
    client.findings("untitled:a", 1);
    let params = json!({"textDocument": {"uri": "untitled:a"}, "range": super::client::range_of([5, 0, 5, 3]),
        "options": {"tabSize": 4, "insertSpaces": true}});
    let edits = client.ask("textDocument/rangeFormatting", params)["result"].clone();
    let lines: Vec<u64> =
        edits.as_array().unwrap().iter().map(|e| e["range"]["start"]["line"].as_u64().unwrap()).collect();
    assert!(!lines.is_empty() && lines.iter().all(|line| *line == 5), "{edits}");
}
