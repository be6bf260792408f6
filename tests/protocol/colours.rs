//! Colours: all of them, those of some lines, and what changed; with astral characters before and inside, in
//! all three encodings.

use super::client::{Client, range_of};
use serde_json::{Value, json};

const URI: &str = "untitled:a";

const SCORE: &str = "\
brass 1
player T\u{10428}p = trumpet in Bb
player Tb1 = trombone

bar 1  meter 4/4  mark \"\u{1d11e}\u{1d11e}\"
T\u{10428}p Nobody | \"\u{1d11e}\" h : p Bb4_ C5 | // \u{1d11e}
Tb1 | h : F3 = |
";

/// Encoding, and the columns that an astral character takes.
const ENCODINGS: [(&str, usize); 3] = [("utf-8", 4), ("utf-16", 2), ("utf-32", 1)];

fn capabilities(encoding: &str, types: &[&str]) -> Value {
    json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"semanticTokens": {
            "requests": {"range": true, "full": {"delta": true}},
            "tokenTypes": types, "tokenModifiers": ["declaration", "defaultLibrary"], "formats": ["relative"],
        }},
    })
}

const ALL: [&str; 20] = [
    "namespace",
    "type",
    "class",
    "enum",
    "struct",
    "parameter",
    "variable",
    "property",
    "enumMember",
    "event",
    "function",
    "method",
    "macro",
    "keyword",
    "modifier",
    "comment",
    "string",
    "number",
    "operator",
    "decorator",
];

fn started(encoding: &str, types: &[&str]) -> Client {
    let mut client = Client::start(capabilities(encoding, types));
    client.open(URI, 1, SCORE);
    client.findings(URI, 1);
    client
}

fn numbers(answer: &Value) -> Vec<u64> {
    answer["data"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()).collect()
}

/// Each token: line, text, type, modifiers.
fn decoded(client: &Client, data: &[u64], text: &str, wide: usize) -> Vec<(usize, String, String, u64)> {
    let legend = &client.initialized["capabilities"]["semanticTokensProvider"]["legend"];
    let width = |c: char| if (c as u32) < 0x10000 { 1 } else { wide };
    let lines: Vec<&str> = text.split('\n').collect();
    let (mut line, mut column) = (0, 0);
    let one = |token: &[u64]| {
        line += token[0] as usize;
        column = if token[0] > 0 { 0 } else { column } + token[1] as usize;
        let mut at = 0;
        let mut shown = String::new();
        for c in lines[line].chars() {
            if (column..column + token[2] as usize).contains(&at) {
                shown.push(c);
            }
            at += width(c);
        }
        let kind = legend["tokenTypes"][token[3] as usize].as_str().unwrap().to_owned();
        (line, shown, kind, token[4])
    };
    data.chunks(5).map(one).collect()
}

fn full(client: &mut Client) -> Value {
    client.ask("textDocument/semanticTokens/full", json!({"textDocument": {"uri": URI}}))["result"].clone()
}

fn delta(client: &mut Client, before: &Value) -> Value {
    let params = json!({"textDocument": {"uri": URI}, "previousResultId": before});
    client.ask("textDocument/semanticTokens/full/delta", params)["result"].clone()
}

#[test]
fn each_token_covers_what_its_type_says() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, &ALL);
        let answer = full(&mut client);
        let all = decoded(&client, &numbers(&answer), SCORE, wide);
        let has = |line: usize, text: &str, kind: &str| {
            assert!(
                all.iter().any(|(l, t, k, _)| (*l, t.as_str(), k.as_str()) == (line, text, kind)),
                "{encoding}: {text} {kind} in {all:#?}"
            );
        };
        has(0, "brass", "keyword");
        has(1, "T\u{10428}p", "variable");
        has(1, "trumpet in Bb", "type");
        has(4, "\"\u{1d11e}\u{1d11e}\"", "event");
        has(5, "T\u{10428}p", "variable");
        has(5, "\"\u{1d11e}\"", "string");
        has(5, "h", "number");
        has(5, "p", "modifier");
        has(5, "Bb4", "property");
        has(5, "// \u{1d11e}", "comment");
        assert!(!all.iter().any(|(_, text, _, _)| text == "Nobody"), "{all:?}");
        let declared: Vec<&str> = all.iter().filter(|t| t.3 & 1 != 0).map(|t| t.1.as_str()).collect();
        assert_eq!(declared, ["T\u{10428}p", "Tb1", "\"\u{1d11e}\u{1d11e}\""]);
    }
}

#[test]
fn some_lines_are_as_in_the_whole() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, &ALL);
        let whole = numbers(&full(&mut client));
        let whole = decoded(&client, &whole, SCORE, wide);
        for (first, last) in [(0, 2), (1, 1), (3, 5), (4, 4000), (9, 9)] {
            let params = json!({"textDocument": {"uri": URI}, "range": range_of([first, 0, last, 3])});
            let some = client.ask("textDocument/semanticTokens/range", params)["result"].clone();
            let some = decoded(&client, &numbers(&some), SCORE, wide);
            let inside = |t: &&(usize, String, String, u64)| (first as usize..=last as usize).contains(&t.0);
            let wanted: Vec<_> = whole.iter().filter(inside).cloned().collect();
            assert_eq!(some, wanted, "{encoding}: {first} to {last}");
        }
    }
}

#[test]
fn what_changed_makes_the_new_of_the_old() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, &ALL);
        let first = full(&mut client);
        let mut data = numbers(&first);
        let mut id = first["resultId"].clone();
        let column = |line: &str, before: &str| -> u32 {
            let before = &line[..line.find(before).unwrap()];
            before.chars().map(|c| if (c as u32) < 0x10000 { 1 } else { wide as u32 }).sum()
        };
        let row = column(SCORE.lines().nth(5).unwrap(), "Bb4");
        let edits: [([u32; 4], &str); 4] = [
            ([5, row, 5, row + 3], "\"\u{1d11e}\" D5"),
            ([2, 0, 2, 0], "player Nobody = horn in F\n"),
            ([7, 0, 7, 3], "Tb2"),
            ([0, 0, 0, 0], "\n\n"),
        ];
        for (version, (range, text)) in (2..).zip(edits) {
            client.edit(URI, version, range, text);
            let answer = delta(&mut client, &id);
            id = answer["resultId"].clone();
            let edits = answer["edits"].as_array().unwrap();
            assert!(edits.len() <= 1, "{answer}");
            for edit in edits {
                let start = edit["start"].as_u64().unwrap() as usize;
                let gone = edit["deleteCount"].as_u64().unwrap() as usize;
                let new = edit.get("data").map(|_| numbers(edit)).unwrap_or_default();
                assert!(
                    start.is_multiple_of(5) && gone.is_multiple_of(5) && new.len().is_multiple_of(5),
                    "{edit}"
                );
                data.splice(start..start + gone, new);
            }
            let params = json!({"textDocument": {"uri": URI}, "range": range_of([0, 0, 99, 0])});
            let fresh = client.ask("textDocument/semanticTokens/range", params)["result"].clone();
            assert_eq!(data, numbers(&fresh), "{encoding}, version {version}");
        }
        let same = delta(&mut client, &id);
        assert_eq!(same["edits"], json!([]), "{same}");
        client.unread.clear();
    }
}

#[test]
fn a_result_nobody_knows_is_sent_whole() {
    let mut client = started("utf-16", &ALL);
    let whole = numbers(&full(&mut client));
    for unknown in ["0", "", "harbour", "99999999999999999999999999"] {
        assert_eq!(numbers(&delta(&mut client, &json!(unknown))), whole, "{unknown}");
    }
    let id = full(&mut client)["resultId"].clone();
    client.close(URI);
    client.open(URI, 1, SCORE);
    assert!(delta(&mut client, &id)["data"].is_array(), "nothing is kept of a closed text");
    client.unread.clear();
}

#[test]
fn a_client_is_sent_the_types_it_knows() {
    let mut client = started("utf-16", &["comment", "keyword", "harbour"]);
    let legend = &client.initialized["capabilities"]["semanticTokensProvider"]["legend"];
    assert_eq!(legend["tokenTypes"], json!(["keyword", "comment"]));
    let data = numbers(&full(&mut client));
    let kinds: Vec<String> = decoded(&client, &data, SCORE, 2).into_iter().map(|t| t.2).collect();
    assert!(kinds.contains(&"comment".to_owned()) && kinds.contains(&"keyword".to_owned()), "{kinds:?}");
    let client = Client::start(json!({}));
    assert_eq!(client.initialized["capabilities"].get("semanticTokensProvider"), None);
}
