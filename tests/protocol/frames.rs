//! Frames of every kind, good and bad: none ends the server.

use super::client::{Client, brief, frame};
use super::texts::GAP;
use serde_json::{Value, json};

fn error(client: &mut Client, code: i64, id: Value) {
    let answer = client.take(|m| m.get("method").is_none() && m.get("error").is_some());
    assert_eq!((&answer["error"]["code"], &answer["id"]), (&json!(code), &id), "{answer}");
}

#[test]
fn headers_in_any_case_and_number() {
    let mut client = Client::start(json!({}));
    let body = r#"{"jsonrpc":"2.0","id":"a","method":"nothing/like/this"}"#;
    for headers in [
        format!("content-length: {}\r\n", body.len()),
        format!("X-One: 1\r\nCONTENT-LENGTH: {}\r\nX-Two: 2\r\nX-Three: 3\r\n", body.len()),
        format!(
            "Content-Type: application/vscode-jsonrpc; charset=latin\r\nContent-Length:{}\r\n",
            body.len()
        ),
    ] {
        client.raw(format!("{headers}\r\n{body}").as_bytes());
        assert_eq!(client.answer("a")["error"]["code"], -32601);
    }
}

#[test]
fn what_is_no_message_is_answered_or_dropped() {
    let mut client = Client::start(json!({}));
    let raw = |body: &[u8]| [format!("Content-Length: {}\r\n\r\n", body.len()).as_bytes(), body].concat();
    for (body, code) in [
        (&b"{"[..], -32700),
        (b"\xff\xfe", -32700),
        (b"{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"\xff\"}", -32700),
        (b"", -32700),
        (b"[]", -32600),
        (b"[{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"shutdown\"}]", -32600),
        (b"17", -32600),
        (b"null", -32600),
    ] {
        client.raw(&raw(body));
        error(&mut client, code, Value::Null);
    }
    client.raw(&raw("[".repeat(300_000).as_bytes()));
    error(&mut client, -32700, Value::Null);
    client.raw(&raw(br#"{"id":3,"method":"shutdown"}"#));
    error(&mut client, -32600, json!(3));
    client.raw(b"Content-Length: many\r\n\r\n");
    error(&mut client, -32700, Value::Null);
    client.raw(b"Content-Length: -5\r\n\r\n{}\r\n");
    error(&mut client, -32700, Value::Null);
    // These get no answer.
    client.raw(b"good morning\r\n\r\n\r\n\x00\x01\x02");
    client.send(&json!({"jsonrpc": "2.0", "id": 999, "result": {}}));
    client.send(&json!({"jsonrpc": "2.0", "id": 998}));
    client.send(&json!({"jsonrpc": "1.0", "method": "exit"}));
    client.tell("nothing/like/this", json!({}));
    client.tell("$/nothing", json!([1]));
    client.tell("textDocument/didOpen", json!({"wrong": true}));
    client.tell("$/cancelRequest", json!({"id": 12345}));
    client.tell("window/workDoneProgress/cancel", json!({"token": "x"}));
    client.tell("$/setTrace", json!({"value": "off"}));
    // And the session goes on.
    client.open("untitled:a", 1, GAP);
    assert_eq!(brief(&client.findings("untitled:a", 1)), ["tube-gap 4:13-16"]);
}

#[test]
fn a_wrong_length_costs_at_most_its_own_message() {
    let mut client = Client::start(json!({}));
    let body = r#"{"jsonrpc":"2.0","method":"initialized","params":{}}"#;
    for off in [-7i64, -1, 1, 9, 40] {
        let length = body.len() as i64 + off;
        client.raw(format!("Content-Length: {length}\r\n\r\n{body}").as_bytes());
        let id = client.question("nothing/like/this", json!({}));
        error(&mut client, -32700, Value::Null);
        assert_eq!(client.answer(id)["error"]["code"], -32601, "off by {off}");
    }
}

#[test]
fn every_request_is_answered() {
    let mut client = Client::start(json!({}));
    for method in ["nothing/like/this", "$/nothing", "textDocument/hover", "initialize", ""] {
        if method.is_empty() {
            continue;
        }
        let answer = client.ask(method, json!({}));
        assert!(answer["error"]["code"].is_i64(), "{method}: {answer}");
    }
    let wrong = client.ask("textDocument/formatting", json!({"textDocument": 5}));
    assert_eq!(wrong["error"]["code"], -32602);
    let not_open = client.format("untitled:nobody");
    assert_eq!(not_open["error"]["code"], -32602);
}

#[test]
fn before_the_beginning_and_after_the_end() {
    let mut client = Client::silent();
    let early = client.ask("textDocument/formatting", json!({}));
    assert_eq!(early["error"]["code"], -32002);
    client.open("untitled:a", 1, GAP);
    client.begin(json!({"capabilities": {}}));
    assert_eq!(client.ask("shutdown", Value::Null)["result"], Value::Null);
    assert_eq!(client.format("untitled:a")["error"]["code"], -32600);
    assert_eq!(client.ask("shutdown", Value::Null)["error"]["code"], -32600);
    client.tell("exit", Value::Null);
    assert_eq!(client.wait().code(), Some(0));
}

#[test]
fn a_client_that_does_not_wait_for_initialize() {
    let mut client = Client::silent();
    let mut all = frame(
        &json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {"capabilities": {}, "processId": null}}),
    );
    all.extend(frame(&json!({"jsonrpc": "2.0", "method": "initialized", "params": {}})));
    let document = json!({"uri": "untitled:a", "languageId": "brass", "version": 5, "text": GAP});
    let open =
        json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": document}});
    all.extend(frame(&open));
    client.raw(&all);
    let first = client.take(|_| true);
    assert!(first["result"]["capabilities"].is_object(), "{first}");
    assert_eq!(brief(&client.findings("untitled:a", 5)), ["tube-gap 4:13-16"]);
}
