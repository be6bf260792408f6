//! Layout as the smallest edits.

use super::client::Client;
use serde_json::{Value, json};
use waterkey::notation::Document;
use waterkey::notation::layout::tidied;

const UNTIDY: &str = "brass 1\ntitle   \"\u{1d11e}  quay\"   \nplayer Tb1=straight trombone\nplayer Hn1  =  horn in F\n\nbar 1 meter 4/4   tempo q = 72\nTb1 | h : E3   F3 |\nHn1|w:C4|\n";

/// The text with the edits made; an astral character takes so many columns.
fn applied(text: &str, edits: &Value, astral: usize) -> String {
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
    for edit in edits.as_array().unwrap().iter().rev() {
        let at = |which: &str, what: &str| edit["range"][which][what].as_u64().unwrap() as usize;
        assert_eq!(at("start", "line"), at("end", "line"));
        let line = &mut lines[at("start", "line")];
        let byte = |column: usize| {
            let mut columns = 0;
            let wide = |c: char| if c.is_ascii() { 1 } else { astral };
            let mut before = line.char_indices().skip_while(|(_, c)| {
                let here = columns;
                columns += wide(*c);
                here < column
            });
            before.next().map_or(line.len(), |(at, _)| at)
        };
        let stretch = byte(at("start", "character"))..byte(at("end", "character"));
        line.replace_range(stretch, edit["newText"].as_str().unwrap());
    }
    lines.concat()
}

#[test]
fn a_document_becomes_what_tidy_makes_of_it() {
    let tidy = tidied(Document::new(UNTIDY).lines());
    assert_ne!(tidy, UNTIDY);
    for (encoding, astral) in [("utf-8", 4), ("utf-16", 2), ("utf-32", 1)] {
        let mut client = Client::start(json!({"general": {"positionEncodings": [encoding]}}));
        client.open("untitled:a", 1, UNTIDY);
        client.findings("untitled:a", 1);
        let edits = client.format("untitled:a")["result"].clone();
        assert_eq!(applied(UNTIDY, &edits, astral), tidy, "{encoding}");
        client.open("untitled:b", 1, &tidy);
        client.findings("untitled:b", 1);
        assert_eq!(client.format("untitled:b")["result"], json!([]));
    }
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
