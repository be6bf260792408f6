//! Long sessions of random edits and questions end where a fresh server begins.

mod dice;
mod questions;
mod text;

use super::client::{Client, range_of};
use super::texts::{GAP, WRONG};
use dice::Dice;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use text::{Columns, Text};

const PIECES: [&str; 20] = [
    "",
    "",
    "\n",
    "\r\n",
    "\r",
    " ",
    "|",
    "Eb2",
    "\u{1d11e}",
    "é",
    "[stopped]",
    "bar 3\n",
    "(",
    "q : C4 D4",
    "//",
    "Tb1 | h : E2 Eb2 |\n",
    "player Tp1 = trumpet in Bb\n",
    "group All = Tb1 Tp1\n",
    "phrase riff | h : C4 D4 |\n",
    "Tb1 | play riff |\n",
];

/// Above every version that a session counts up to: versions begin again when a text is opened anew, so a
/// number just after the last may have been published before.
const LAST_VERSION: i64 = 1_000_000;

const URI: &str = "file:///nowhere/at/all/quay.brass";

#[test]
fn random_edits_and_questions() {
    for (seed, columns) in (1..).zip(Columns::ALL) {
        session(seed, 2000, columns, false);
        session(seed + 10, 2000, columns, true);
    }
}

fn capabilities(columns: Columns, pull: bool) -> Value {
    let mut text = json!({
        "publishDiagnostics": {"relatedInformation": true},
        "codeAction": {"codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix", "source"]}},
            "isPreferredSupport": true},
        "completion": {"completionItem": {"snippetSupport": true}},
        "rename": {"prepareSupport": true},
        "semanticTokens": {"requests": {"full": {"delta": true}, "range": true}, "formats": ["relative"],
            "tokenTypes": ["keyword", "variable", "string", "number", "comment"], "tokenModifiers": []},
    });
    if pull {
        text["diagnostic"] = json!({});
    }
    json!({"textDocument": text, "general": {"positionEncodings": [columns.name()]}})
}

fn session(seed: u64, steps: usize, columns: Columns, pull: bool) {
    let mut dice = Dice(seed);
    let mut client = Client::start(capabilities(columns, pull));
    let mut text = Text::new(GAP, columns);
    let mut undo: Vec<String> = Vec::new();
    let mut version = 0i64;
    let mut asked = BTreeSet::new();
    client.open(URI, version, GAP);
    for _ in 0..steps {
        if text.shown.len() > 3000 || undo.len() > 200 {
            undo.clear();
            text = Text::new(GAP, columns);
            version += 1;
            client.replace(URI, version, GAP);
        }
        version += 1 + dice.below(2) as i64;
        match dice.below(20) {
            0 => {
                // Opened anew, with versions that begin again.
                client.close(URI);
                version = dice.below(5) as i64;
                client.open(URI, version, &text.shown);
            }
            1 => {
                text = Text::new(&format!("{}{WRONG}", text.shown), columns);
                client.replace(URI, version, &text.shown);
            }
            2 => {
                let back = undo.pop().unwrap_or_default();
                client.replace(URI, version, &back);
                text = Text::new(&back, columns);
            }
            3 => {
                asked.insert(client.question("nothing/like/this", json!([])));
                client.tell("nothing/like/this", json!({}));
            }
            4 => {
                let params = json!({"textDocument": {"uri": URI}, "previousResultId": "1"});
                asked.insert(client.question("textDocument/diagnostic", params));
            }
            5..9 => {
                let (method, params) = questions::any(&mut dice, URI, &text);
                let id = client.question(method, params);
                asked.insert(id);
                if dice.below(4) == 0 {
                    client.tell("$/cancelRequest", json!({"id": id}));
                }
            }
            _ => {
                undo.push(text.shown.clone());
                let mut changes = Vec::new();
                for _ in 0..=dice.below(3) {
                    let range = text.range(&mut dice);
                    let piece = PIECES[dice.below(PIECES.len())];
                    text.edit(range, piece);
                    changes.push(json!({"range": range_of(range), "text": piece}));
                }
                client.change(URI, version, Value::Array(changes));
            }
        }
    }
    for id in asked {
        client.answer(id);
    }
    // A finding that was not there before makes sure that something is published for the last version,
    // whose number no earlier opening of the text had.
    let lines = text.lines().len() as u32;
    let more = format!("\n{WRONG}");
    text.edit([lines, 0, lines, 0], &more);
    client.edit(URI, LAST_VERSION, [lines, 0, lines, 0], &more);
    let mut fresh = Client::start(capabilities(columns, pull));
    fresh.open(URI, LAST_VERSION, &text.shown);
    let told = |client: &mut Client| {
        let mut found = if pull { client.pull(URI, Value::Null) } else { client.findings(URI, LAST_VERSION) };
        questions::neutral(&mut found);
        found
    };
    let (found, wanted) = (told(&mut client), told(&mut fresh));
    let place = format!("seed {seed}, {}: {:?}", columns.name(), text.shown);
    assert_eq!(found, wanted, "{place}");
    let mut twin = Dice(dice.0);
    let answers = questions::everything(&mut client, URI, &mut dice, &text);
    let wanted = questions::everything(&mut fresh, URI, &mut twin, &text);
    for (answer, wanted) in answers.iter().zip(&wanted) {
        assert_eq!(answer, wanted, "{place}");
    }
    for client in [&mut client, &mut fresh] {
        client.unread.retain(|m| m["method"] != "textDocument/publishDiagnostics");
    }
}
