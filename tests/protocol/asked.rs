//! Questions about a place: hover, names, outline, folds, selections. Each with an astral character before
//! the place, in all three encodings.

use super::client::{Client, range_of};
use serde_json::{Value, json};

const URI: &str = "untitled:a";

/// A word of two astral characters stands before the notes of bar 1.
const SCORE: &str = "\
brass 1
// the crew
// of the pilot boat
player Tp1 = trumpet in Bb
player Tb1 = trombone
group  All = Tp1 Tb1

bar 1  meter 4/4  key Bb major  tempo q = 72  mark A
Tp1 | h : \"\u{1d11e}\u{1d11e}\" Bb4 C5 |
Tb1 | h : F3 = |
All | | w : F4 |
";

/// Encoding, and the columns that two astral characters take.
const ENCODINGS: [(&str, u32); 3] = [("utf-8", 8), ("utf-16", 4), ("utf-32", 2)];

fn started(encoding: &str, more: Value) -> Client {
    let mut capabilities = json!({"general": {"positionEncodings": [encoding]}});
    for (key, value) in more.as_object().unwrap() {
        capabilities[key] = value.clone();
    }
    let mut client = Client::start(capabilities);
    client.open(URI, 1, SCORE);
    client.findings(URI, 1);
    client
}

fn at(client: &mut Client, method: &str, line: u32, column: u32) -> Value {
    let params = json!({"textDocument": {"uri": URI}, "position": {"line": line, "character": column}});
    client.ask(method, params)
}

#[test]
fn a_note_tells_what_is_written_and_what_sounds() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, json!({}));
        // `Bb4` stands at column 12 plus the two characters and their closing quote.
        let from = 11 + wide + 2;
        let answer = at(&mut client, "textDocument/hover", 8, from + 1);
        let hover = &answer["result"];
        assert_eq!(hover["range"], range_of([8, from, 8, from + 3]), "{encoding}: {answer}");
        let text = hover["contents"]["value"].as_str().unwrap();
        assert!(text.contains("Bb4") && text.contains("C5"), "{text}");
        assert_eq!(hover["contents"]["kind"], "plaintext");
        assert!(!text.contains("**"), "plain text has no Markdown: {text}");
    }
}

#[test]
fn markdown_is_for_those_who_prefer_it() {
    let formats = json!({"textDocument": {"hover": {"contentFormat": ["markdown", "plaintext"]}}});
    let mut client = started("utf-16", formats);
    let answer = at(&mut client, "textDocument/hover", 9, 11);
    assert_eq!(answer["result"]["contents"]["kind"], "markdown", "{answer}");
    // Between blanks, and far beyond the end, there is nothing to tell.
    assert_eq!(at(&mut client, "textDocument/hover", 6, 0)["result"], Value::Null);
    at(&mut client, "textDocument/hover", u32::MAX, u32::MAX);
}

#[test]
fn a_name_is_found_marked_and_changed_everywhere() {
    for (encoding, _) in ENCODINGS {
        let mut client =
            started(encoding, json!({"workspace": {"workspaceEdit": {"documentChanges": true}}}));
        let found = at(&mut client, "textDocument/definition", 8, 1)["result"]["range"].clone();
        assert_eq!(found, range_of([3, 7, 3, 10]));
        let params = json!({"textDocument": {"uri": URI}, "position": {"line": 3, "character": 8},
            "context": {"includeDeclaration": true}});
        let all = client.ask("textDocument/references", params)["result"].clone();
        assert_eq!(all.as_array().unwrap().len(), 3, "{all}");
        let marked = at(&mut client, "textDocument/documentHighlight", 8, 1)["result"].clone();
        assert_eq!(marked[0]["kind"], json!(3), "the declaration is where it is written: {marked}");
        let params =
            json!({"textDocument": {"uri": URI}, "position": {"line": 8, "character": 1}, "newName": "Cor"});
        let edit = client.ask("textDocument/rename", params)["result"].clone();
        let changes = &edit["documentChanges"][0];
        assert_eq!(changes["textDocument"], json!({"uri": URI, "version": 1}));
        assert_eq!(changes["edits"].as_array().unwrap().len(), 3, "{edit}");
    }
}

#[test]
fn what_cannot_be_renamed_is_said_in_words() {
    let mut client = started("utf-16", json!({"textDocument": {"rename": {"prepareSupport": true}}}));
    assert_eq!(at(&mut client, "textDocument/prepareRename", 8, 8)["result"], Value::Null);
    let may = at(&mut client, "textDocument/prepareRename", 8, 1)["result"].clone();
    assert_eq!(may, json!({"range": range_of([8, 0, 8, 3]), "placeholder": "Tp1"}));
    let params =
        json!({"textDocument": {"uri": URI}, "position": {"line": 8, "character": 1}, "newName": "Tb1"});
    let refused = client.ask("textDocument/rename", params);
    assert!(refused["error"]["message"].as_str().unwrap().contains("Tb1"), "{refused}");
}

#[test]
fn the_outline_is_a_tree_or_a_list() {
    let text = json!({"textDocument": {"uri": URI}});
    let tree = json!({"textDocument": {"documentSymbol": {"hierarchicalDocumentSymbolSupport": true}}});
    let mut client = started("utf-16", tree);
    let outline = client.ask("textDocument/documentSymbol", text.clone())["result"].clone();
    let told = outline.to_string();
    assert!(told.contains("\"children\"") && told.contains("Tp1"), "{outline}");
    let mut client = started("utf-16", json!({}));
    let list = client.ask("textDocument/documentSymbol", text)["result"].clone();
    let list = list.as_array().unwrap();
    assert!(list.iter().all(|s| s["location"]["uri"] == URI), "{list:?}");
    assert!(list.iter().any(|s| s["containerName"].is_string()), "{list:?}");
}

#[test]
fn folds_and_selections() {
    let mut client = started("utf-16", json!({}));
    let folds =
        client.ask("textDocument/foldingRange", json!({"textDocument": {"uri": URI}}))["result"].clone();
    let lines: Vec<(u64, u64)> = folds
        .as_array()
        .unwrap()
        .iter()
        .map(|f| (f["startLine"].as_u64().unwrap(), f["endLine"].as_u64().unwrap()))
        .collect();
    assert!(lines.contains(&(1, 2)) && lines.contains(&(7, 10)), "{lines:?}");
    let params = json!({"textDocument": {"uri": URI}, "positions": [{"line": 9, "character": 11}]});
    let grown = client.ask("textDocument/selectionRange", params)["result"][0].clone();
    assert_eq!(grown["range"], range_of([9, 10, 9, 12]), "{grown}");
    let outermost = std::iter::successors(Some(&grown), |s| s.get("parent").filter(|p| p.is_object())).last();
    assert!(outermost.unwrap()["range"]["end"]["line"].as_u64().unwrap() >= 10, "{grown}");
}

#[test]
fn a_text_that_is_not_open_is_an_error_and_no_more() {
    let mut client = started("utf-16", json!({}));
    let params = json!({"textDocument": {"uri": "untitled:nobody"}, "position": {"line": 0, "character": 0}});
    assert!(client.ask("textDocument/hover", params)["error"]["message"].is_string());
    assert!(at(&mut client, "textDocument/hover", 9, 11)["result"].is_object());
}
