//! Hints beside the text and facts above it, with astral characters before them, in all three encodings.

use super::client::{Client, range_of};
use serde_json::{Value, json};

const URI: &str = "untitled:a";

/// A word of two astral characters stands before the notes of bar 1.
const SCORE: &str = "\
brass 1
player Tp1 = trumpet in Bb
player Tb1 = trombone
group  All = Tp1 Tb1

bar 1  meter 4/4  tempo \"\u{1d11e}\u{1d11e}\" q = 60
Tp1 | h : \"\u{1d11e}\u{1d11e}\" Bb4 C5 |
All | | w : (F3 F4) |
";

/// Encoding, and the columns that two astral characters take.
const ENCODINGS: [(&str, u32); 3] = [("utf-8", 8), ("utf-16", 4), ("utf-32", 2)];

fn started(encoding: &str, hints: Value, resolve: bool) -> Client {
    let properties = if resolve { json!(["tooltip"]) } else { json!([]) };
    let capabilities = json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"inlayHint": {"resolveSupport": {"properties": properties}}, "codeLens": {}},
        "workspace": {"inlayHint": {"refreshSupport": true}, "codeLens": {"refreshSupport": true}},
    });
    let options = json!({"hints": hints});
    let mut client = Client::with(json!({"capabilities": capabilities, "initializationOptions": options}));
    client.open(URI, 1, SCORE);
    client.findings(URI, 1);
    client
}

fn hints(client: &mut Client, range: [u32; 4]) -> Vec<Value> {
    let params = json!({"textDocument": {"uri": URI}, "range": range_of(range)});
    let answer = client.ask("textDocument/inlayHint", params);
    answer["result"].as_array().unwrap_or_else(|| panic!("{answer}")).clone()
}

/// `line:column label` of each.
fn brief(hints: &[Value]) -> Vec<String> {
    let one = |h: &Value| {
        format!("{}:{} {}", h["position"]["line"], h["position"]["character"], h["label"].as_str().unwrap())
    };
    hints.iter().map(one).collect()
}

const WHOLE: [u32; 4] = [0, 0, 99, 0];

#[test]
fn each_kind_stands_where_it_belongs() {
    for (encoding, wide) in ENCODINGS {
        let all = json!({"pitch": true, "sharing": true, "fingering": true, "travel": true, "seconds": true});
        let mut client = started(encoding, all, false);
        // Bb4 begins at column 11 with the quotes and the two characters before it.
        let (first, second) = (10 + wide + 2 + 4, 10 + wide + 2 + 7);
        let expected = [
            format!("6:{first} C5"),
            format!("6:{first} 0"),
            format!("6:{second} D5"),
            format!("6:{second} 1"),
        ];
        let told = hints(&mut client, WHOLE);
        let shown = brief(&told);
        assert_eq!(shown[1..5], expected, "{encoding}");
        assert!(shown[0].ends_with("0:00–0:08 (8.0 s)"), "{shown:?}");
        let header = SCORE.lines().nth(5).unwrap().chars().count() as u32 - 2 + wide;
        assert!(shown[0].starts_with(&format!("5:{header} ")), "{encoding}: {shown:?}");
        assert!(shown.contains(&"7:19 Tb1, Tp1".to_owned()), "{shown:?}");
        assert!(told.iter().all(|h| h.get("tooltip").is_none() && h.get("data").is_none()), "{told:?}");
        // A range cuts at columns too.
        assert_eq!(brief(&hints(&mut client, [6, first, 6, first])), expected[..2], "{encoding}");
    }
}

#[test]
fn only_what_disturbs_no_column_is_shown_unasked() {
    let mut client = started("utf-16", json!({}), false);
    let told = hints(&mut client, WHOLE);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0]["position"]["line"], 5);
}

#[test]
fn reasons_are_told_later() {
    for (encoding, _) in ENCODINGS {
        let mut client = started(encoding, json!({"pitch": true}), true);
        let told = hints(&mut client, [6, 0, 6, 99]);
        let reason = client.ask("inlayHint/resolve", told[1].clone())["result"].clone();
        let text = reason["tooltip"].as_str().unwrap_or_else(|| panic!("{reason}"));
        assert!(text.contains("Tp1") && text.contains("D5"), "{text}");
        assert_eq!(reason["position"], told[1]["position"]);
        // The reason is that of the text it was made for, or none.
        client.edit(URI, 2, [0, 0, 0, 0], "\n");
        let late = client.ask("inlayHint/resolve", told[1].clone())["result"].clone();
        assert_eq!(late, told[1]);
        let foreign = json!({"position": {"line": 0, "character": 0}, "label": "x"});
        assert_eq!(client.ask("inlayHint/resolve", foreign.clone())["result"], foreign);
        client.unread.clear();
    }
}

#[test]
fn a_changed_setting_asks_for_hints_again_and_an_edit_does_not() {
    const REFRESH: &str = "workspace/inlayHint/refresh";
    let mut client = started("utf-16", json!({}), false);
    client.edit(URI, 2, [6, 0, 6, 0], " ");
    hints(&mut client, WHOLE);
    assert_eq!(client.asked_for(REFRESH, 0), 0);
    let set = |hints: Value| json!({"settings": {"waterkey": {"hints": hints}}});
    client.tell(
        "workspace/didChangeConfiguration",
        set(json!({"pitch": true, "seconds": false, "pitsch": true})),
    );
    let said = client.next("window/showMessage")["message"].as_str().unwrap().to_owned();
    assert!(said.contains("hints.pitsch") && said.contains("`pitch`"), "{said}");
    let told = hints(&mut client, WHOLE);
    assert!(told.len() > 1 && told.iter().all(|h| h["position"]["line"] != 5), "{told:?}");
    // The answer and the wish to be asked again go out on different ways: which comes first is not settled.
    assert_eq!(client.asked_for(REFRESH, 1), 1);
    // An edit after it brings no other, nor do the same settings told again.
    client.tell(
        "workspace/didChangeConfiguration",
        set(json!({"pitch": true, "seconds": false, "pitsch": true})),
    );
    client.edit(URI, 3, [6, 0, 6, 1], "");
    hints(&mut client, WHOLE);
    client.end();
    assert_eq!(client.asked_for(REFRESH, 0), 1);
}

#[test]
fn facts_above_players_and_blocks() {
    for (encoding, _) in ENCODINGS {
        let mut client = started(encoding, json!({}), false);
        let lenses =
            client.ask("textDocument/codeLens", json!({"textDocument": {"uri": URI}}))["result"].clone();
        let shown: Vec<String> = lenses
            .as_array()
            .unwrap()
            .iter()
            .map(|l| format!("{} {}", l["range"]["start"]["line"], l["command"]["title"].as_str().unwrap()))
            .collect();
        assert_eq!(
            shown,
            [
                "1 G4–D5 written, F4–C5 concert; plays 2 of 2 bars (100 %)",
                "2 F3; plays 1 of 2 bars (50 %)",
                "5 bars 1–2; 0:00–0:08 (8.0 s)"
            ]
        );
        assert!(lenses.as_array().unwrap().iter().all(|l| l["command"]["command"] == ""), "{lenses}");
        client.edit(URI, 2, [7, 0, 8, 0], "");
        let after =
            client.ask("textDocument/codeLens", json!({"textDocument": {"uri": URI}}))["result"].clone();
        assert_eq!(after[1]["command"]["title"], "does not play", "{after}");
        client.unread.clear();
    }
}
