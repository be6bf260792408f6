//! Edits in their order, however many; questions answered from the text they were asked about.

use super::client::{Client, brief};
use super::texts::{CLEAN, GAP, WRONG};
use serde_json::{Value, json};

#[test]
fn two_thousand_edits_at_once() {
    let uri = "untitled:a";
    let mut client = Client::start(json!({}));
    client.open(uri, 0, CLEAN);
    // Each takes back what the one before did and does something else: only in order do they end as told.
    for version in 1..=2000i64 {
        let note = ["F2", "Eb2"][version as usize % 2];
        let old = if version == 1 || version % 2 == 1 { 2 } else { 3 };
        client.edit(uri, version, [4, 13, 4, 13 + old], note);
    }
    client.edit(uri, 2001, [5, 0, 5, 0], WRONG);
    assert_eq!(brief(&client.findings(uri, 2001)), ["unknown-word 5:0-2"]);
}

#[test]
fn questions_between_edits_are_answered_for_the_newest_text_or_refused() {
    let uri = "untitled:a";
    let mut client = Client::start(json!({}));
    client.open(uri, 0, CLEAN);
    client.findings(uri, 0);
    let mut ids = Vec::new();
    for version in 1..=300i64 {
        client.edit(uri, version, [1, 0, 1, 0], " ");
        ids.push(client.question(
            "textDocument/formatting",
            json!({"textDocument": {"uri": uri}, "options": {"tabSize": 4, "insertSpaces": true}}),
        ));
    }
    for (n, id) in ids.into_iter().enumerate() {
        let answer = client.answer(id);
        if answer["error"]["code"] == -32801 {
            assert!(n < 299, "the last question was not overtaken");
            continue;
        }
        // The edit must be for the text with n + 1 blanks.
        let range = &answer["result"][0]["range"];
        assert_eq!(range["end"]["character"], n + 1, "{answer}");
    }
    client.edit(uri, 301, [5, 0, 5, 0], WRONG);
    client.findings(uri, 301);
}

#[test]
fn a_cancelled_question_is_answered_at_once() {
    let mut client = Client::start(json!({"textDocument": {"diagnostic": {}}}));
    client.open("untitled:a", 1, GAP);
    let first = client.ask("workspace/diagnostic", json!({"previousResultIds": []}));
    let id = &first["result"]["items"][0]["resultId"];
    let before = json!([{"uri": "untitled:a", "value": id}]);
    // None of these ends by itself.
    let open: Vec<i64> = (0..300)
        .map(|_| client.question("workspace/diagnostic", json!({"previousResultIds": before})))
        .collect();
    for id in &open {
        client.tell("$/cancelRequest", json!({"id": id}));
    }
    for id in open {
        assert_eq!(client.answer(id)["error"]["code"], -32800);
    }
    assert_eq!(client.ask("nothing/like/this", json!({}))["error"]["code"], -32601);
}

#[test]
fn opened_anew_with_lower_versions() {
    let uri = "untitled:a";
    let mut client = Client::start(json!({}));
    client.open(uri, 70, GAP);
    assert_eq!(brief(&client.findings(uri, 70)), ["tube-gap 4:13-16"]);
    client.close(uri);
    assert_eq!(client.findings(uri, Value::Null), json!([]));
    client.open(uri, 1, CLEAN);
    assert_eq!(client.findings(uri, 1), json!([]));
    client.replace(uri, 0, GAP);
    assert_eq!(brief(&client.findings(uri, 0)), ["tube-gap 4:13-16"]);
    // Opened a second time without closing: it is the new text that counts.
    client.open(uri, -3, CLEAN);
    assert_eq!(client.findings(uri, -3), json!([]));
}

#[test]
fn an_edit_that_cannot_be_read_gives_the_text_up() {
    let uri = "untitled:a";
    let mut client = Client::start(json!({}));
    client.open(uri, 1, GAP);
    client.findings(uri, 1);
    client.tell(
        "textDocument/didChange",
        json!({"textDocument": {"uri": uri, "version": 2}, "contentChanges": [{"range": "everything", "text": ""}]}),
    );
    assert_eq!(client.findings(uri, Value::Null), json!([]));
    let message = client.next("window/showMessage");
    assert!(message["message"].as_str().unwrap().contains("open it again"), "{message}");
    client.replace(uri, 3, CLEAN);
    assert_eq!(client.format(uri)["error"]["code"], -32602);
    client.open(uri, 4, GAP);
    assert_eq!(brief(&client.findings(uri, 4)), ["tube-gap 4:13-16"]);
}
