//! Actions that write a score another way: titles at once, edits at once or when they are chosen.

use super::client::{Client, range_of};
use serde_json::{Value, json};

const URI: &str = "untitled:a";

const SCORE: &str = "\
brass 1
title \"\u{1d11e} Harbour\"
player Tp1 = trumpet in Bb
phrase oars | q : C5 D5 E5 F5 |
bar 1  meter 4/4  key Bb major  tempo q = 72
Tp1 | q : \"\u{1d11e}\u{1d11e}\" Bb4 C5 D5*2 | % | play oars |
";

const ENCODINGS: [(&str, u32); 3] = [("utf-8", 8), ("utf-16", 4), ("utf-32", 2)];

fn started(encoding: &str, later: bool) -> Client {
    let mut action = json!({"codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["refactor"]}}});
    if later {
        action["resolveSupport"] = json!({"properties": ["edit"]});
        action["dataSupport"] = json!(true);
    }
    let mut client = Client::start(json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"codeAction": action},
    }));
    client.open(URI, 1, SCORE);
    client.findings(URI, 1);
    client
}

fn asked(client: &mut Client, range: [u32; 4], kind: &str) -> Vec<Value> {
    let context = json!({"diagnostics": [], "only": [kind], "triggerKind": 1});
    let params = json!({"textDocument": {"uri": URI}, "range": range_of(range), "context": context});
    let answer = client.ask("textDocument/codeAction", params);
    answer["result"].as_array().unwrap_or_else(|| panic!("{answer}")).clone()
}

fn named<'a>(actions: &'a [Value], title: &str) -> &'a Value {
    let found = actions.iter().find(|a| a["title"] == title);
    found.unwrap_or_else(|| panic!("{title} is not among {actions:#?}"))
}

#[test]
fn copies_are_written_out_where_they_are_pointed_at() {
    for (encoding, wide) in ENCODINGS {
        for later in [false, true] {
            let mut client = started(encoding, later);
            // `D5*2` begins behind the quote and two notes.
            let from = 11 + wide + 2 + 7;
            let all = asked(&mut client, [5, from + 1, 5, from + 1], "refactor.rewrite");
            let mut action = named(&all, "Write the copies out one by one").clone();
            assert_eq!(action["kind"], "refactor.rewrite");
            assert_eq!(action.get("edit").is_none(), later, "{action}");
            if later {
                action = client.ask("codeAction/resolve", action)["result"].clone();
            }
            let copied = range_of([5, from + 2, 5, from + 4]);
            let edit = json!({"changes": {URI: [{"range": copied, "newText": " D5"}]}});
            assert_eq!(action["edit"], edit, "{encoding}");
        }
    }
}

#[test]
fn kinds_are_told_apart() {
    let mut client = started("utf-16", true);
    let kinds =
        |all: &[Value]| all.iter().map(|a| a["kind"].as_str().unwrap().to_owned()).collect::<Vec<_>>();
    let play = [5, 44, 5, 44];
    let inline = asked(&mut client, play, "refactor.inline");
    assert_eq!(kinds(&inline), ["refactor.inline"], "{inline:#?}");
    assert_eq!(inline[0]["title"], "Write the phrase oars out here");
    let extract = asked(&mut client, [5, 8, 5, 20], "refactor.extract");
    assert_eq!(kinds(&extract), ["refactor.extract"], "{extract:#?}");
    assert_eq!(extract[0]["title"], "Make bar 1 of this row the phrase motif1");
    let whole = asked(&mut client, [1, 0, 1, 0], "refactor");
    named(&whole, "Write the score as its players read it");
    named(&whole, "Put the whole score up a tone: Bb major becomes C major");
    named(&asked(&mut client, [2, 8, 2, 8], "refactor"), "Give Tp1 a cornet in Bb to play the same");
    // The cursor moved by itself: nobody looks for these.
    let params = json!({"textDocument": {"uri": URI}, "range": range_of(play),
        "context": {"diagnostics": [], "triggerKind": 2}});
    let all = client.ask("textDocument/codeAction", params)["result"].clone();
    assert_eq!(all, json!([]));
}

#[test]
fn what_turns_out_to_be_impossible_says_why() {
    let mut client = started("utf-16", true);
    client.edit(URI, 2, [5, 6, 5, 7], "zz");
    client.findings(URI, 2);
    let whole = asked(&mut client, [1, 0, 1, 0], "refactor.rewrite");
    let written = named(&whole, "Write the score as its players read it").clone();
    let answer = client.ask("codeAction/resolve", written);
    assert_eq!(answer["error"]["code"], json!(-32803), "{answer}");
    let said = answer["error"]["message"].as_str().unwrap();
    assert!(said.starts_with("This cannot be done: mend what cannot be read first: bar 1"), "{said}");
}
