//! Positions in all three encodings, with astral characters before them, and out of range.

use super::client::{Client, brief};
use super::texts::{CLEAN, GAP};
use serde_json::{Value, json};

/// Encoding, and the columns an astral character takes.
const ENCODINGS: [(&str, u32); 3] = [("utf-8", 4), ("utf-16", 2), ("utf-32", 1)];

fn client(encoding: &str) -> Client {
    let client = Client::start(json!({"general": {"positionEncodings": [encoding]}}));
    assert_eq!(client.initialized["capabilities"]["positionEncoding"], encoding);
    client
}

#[test]
fn findings_behind_an_astral_character() {
    for (encoding, width) in ENCODINGS {
        let mut client = client(encoding);
        let text = CLEAN.replace("brass 1\n", "brass 1\ntitle \"\u{1d11e}\" ??\n");
        client.open("untitled:a", 1, &text);
        let found = client.findings("untitled:a", 1);
        let range = &found[0]["range"];
        let columns = (&range["start"]["character"], &range["end"]["character"]);
        assert_eq!(columns, (&json!(9 + width), &json!(11 + width)), "{encoding}: {found}");
    }
}

#[test]
fn edits_behind_an_astral_character() {
    for (encoding, width) in ENCODINGS {
        let mut client = client(encoding);
        let text = CLEAN.replace("brass 1\n", "brass 1\ntitle \"\u{1d11e}\u{1d11e}\" ??\n");
        client.open("untitled:a", 1, &text);
        assert_ne!(client.findings("untitled:a", 1), json!([]));
        let from = 7 + 2 * width + 1;
        client.edit("untitled:a", 2, [1, from, 1, from + 3], "");
        assert_eq!(client.findings("untitled:a", 2), json!([]), "{encoding}");
    }
}

#[test]
fn out_of_range_is_clamped() {
    let max = u32::MAX;
    let mut client = Client::start(json!({}));
    let uri = "untitled:a";
    client.open(uri, 1, "rubbish\r\nmore\r\n");
    assert_ne!(client.findings(uri, 1), json!([]));
    client.edit(uri, 2, [0, 0, max, max], GAP);
    assert_eq!(brief(&client.findings(uri, 2)), ["tube-gap 4:13-16"]);
    // A column beyond the line is its end, before the terminator.
    client.edit(uri, 3, [3, max, 3, max], " ??");
    assert_eq!(client.findings(uri, 3).as_array().unwrap().len(), 2);
    // An end before the start is the start.
    client.edit(uri, 4, [3, 30, 2, 0], "");
    client.edit(uri, 5, [3, 30, 3, max], "");
    assert_eq!(brief(&client.findings(uri, 5)), ["tube-gap 4:13-16"]);
    client.edit(uri, 6, [9999, 7, 9999, 9], "Tb1 | w : Eb2 |");
    let found = client.findings(uri, 6);
    assert!(brief(&found).iter().any(|f| f.starts_with("tube-gap 5:") || f.contains(" 5:")), "{found}");
}

#[test]
fn all_kinds_of_line_ends() {
    for end in ["\n", "\r\n", "\r"] {
        let mut client = Client::start(json!({}));
        let uri = "untitled:a";
        client.open(uri, 1, &GAP.replace('\n', end));
        assert_eq!(brief(&client.findings(uri, 1)), ["tube-gap 4:13-16"], "{end:?}");
        client.edit(uri, 2, [4, 13, 4, 16], "F2");
        assert_eq!(client.findings(uri, 2), json!([]), "{end:?}");
        client.replace(uri, 3, &GAP.replace('\n', end));
        assert_eq!(brief(&client.findings(uri, 3)), ["tube-gap 4:13-16"]);
    }
}

#[test]
fn an_edit_between_cr_and_lf() {
    let mut client = Client::start(json!({}));
    let uri = "untitled:a";
    client.open(uri, 1, &GAP.replace('\n', "\r\n"));
    client.findings(uri, 1);
    // The LF of line 1 goes with the start of line 2: its CR remains and still ends the line.
    client.change(
        uri,
        2,
        json!([{"range": super::client::range_of([1, u32::MAX, 2, 0]), "text": "\r"},
               {"range": super::client::range_of([2, 0, 2, 0]), "text": "\n"}]),
    );
    client.edit(uri, 3, [4, 0, 4, 0], " ");
    let found = client.findings(uri, 3);
    assert_eq!(brief(&found).len(), 1, "{found}");
}

#[test]
fn any_scheme_is_a_text() {
    let mut client = Client::start(json!({}));
    for uri in [
        "untitled:Untitled-1",
        "git:/harbour.brass?ref=main",
        "vscode-notebook-cell://quay/1#x",
        "memory://a/%F0%9D%84%9E.brass",
    ] {
        client.open(uri, 1, GAP);
        assert_eq!(brief(&client.findings(uri, 1)).len(), 1, "{uri}");
        client.close(uri);
        assert_eq!(client.findings(uri, Value::Null), json!([]));
    }
}
