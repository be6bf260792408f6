//! Every way a session can end.

use super::client::Client;
use super::texts::GAP;
use serde_json::{Value, json};
use std::process::{Command, Stdio};

#[test]
fn shutdown_then_exit_is_success_though_the_input_stays_open() {
    let mut client = Client::start(json!({}));
    client.end();
    assert_eq!(client.complaints(), "");
}

#[test]
fn exit_alone_is_failure() {
    let mut client = Client::start(json!({}));
    client.tell("exit", Value::Null);
    assert_eq!(client.wait().code(), Some(1));
    let mut client = Client::silent();
    client.send(&json!({"jsonrpc": "2.0", "method": "exit"}));
    assert_eq!(client.wait().code(), Some(1));
}

#[test]
fn the_end_of_the_input() {
    let mut client = Client::start(json!({}));
    client.hang_up();
    assert_eq!(client.wait().code(), Some(1));
    let mut client = Client::start(json!({}));
    client.ask("shutdown", Value::Null);
    client.hang_up();
    assert_eq!(client.wait().code(), Some(0));
    let mut client = Client::silent();
    client.raw(b"Content-Length: 100\r\n\r\n{");
    client.hang_up();
    assert_eq!(client.wait().code(), Some(1));
}

#[test]
fn the_end_of_the_input_leaves_no_question_unanswered() {
    let mut client = Client::start(json!({"textDocument": {"diagnostic": {}}}));
    client.open("untitled:a", 1, GAP);
    let first = client.ask("workspace/diagnostic", json!({"previousResultIds": []}));
    let id = &first["result"]["items"][0]["resultId"];
    let before = json!([{"uri": "untitled:a", "value": id}]);
    let parked = client.question("workspace/diagnostic", json!({"previousResultIds": before}));
    let other = client.question("nothing/like/this", json!({}));
    client.answer(other);
    client.hang_up();
    assert_eq!(client.wait().code(), Some(1));
    assert_eq!(client.unread.pop_front().unwrap()["id"], parked);
}

#[test]
fn nobody_reads_any_more() {
    let (mut command, _cache) = super::client::command();
    let mut child = command.spawn().unwrap();
    drop(child.stdout.take());
    let mut input = child.stdin.take().unwrap();
    use std::io::Write;
    let initialize =
        json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {"capabilities": {}}});
    input.write_all(&super::client::frame(&initialize)).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(1));
    drop(input);
}

#[cfg(unix)]
#[test]
fn the_editor_is_gone() {
    let mut editor = Command::new("cat").stdin(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
    let mut client = Client::with(json!({"processId": editor.id(), "capabilities": {}}));
    let id = client.question("nothing/like/this", json!({}));
    client.answer(id);
    editor.kill().unwrap();
    editor.wait().unwrap();
    assert_eq!(client.wait().code(), Some(1));
    // One that was gone before the server began.
    let mut client = Client::silent();
    let id = client.question("initialize", json!({"processId": editor.id(), "capabilities": {}}));
    assert!(client.answer(id)["result"].is_object());
    assert_eq!(client.wait().code(), Some(1));
}

#[test]
fn without_a_log_nothing_is_said_beside_the_protocol() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, "player Tp1 = trumpet in Bb\n");
    client.findings("untitled:a", 1);
    client.tell("$/setTrace", json!({"value": "verbose"}));
    // What would be noted in a log: a stray answer, an edit of nothing, a name that nobody knows.
    client.send(&json!({"jsonrpc": "2.0", "id": 99, "result": null}));
    client.edit("untitled:b", 1, [0, 0, 0, 0], " ");
    assert!(client.ask("quay/unheard", json!({}))["error"].is_object());
    client.end();
    assert_eq!(client.complaints(), "");
}

#[test]
fn a_log_is_kept_where_one_is_wanted() {
    let (mut command, cache) = super::client::command();
    let log = cache.path().join("waterkey.log");
    let mut child = command.arg("--log").arg(&log).spawn().unwrap();
    use std::io::Write;
    let mut input = child.stdin.take().unwrap();
    input.write_all(b"Content-Length: 1\r\n\r\n?").unwrap();
    drop(input);
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), output.stderr.len()), (Some(1), 0));
    let written = std::fs::read_to_string(log).unwrap();
    assert!(written.contains("a frame that is no message") && written.contains("has ended"), "{written}");
}

#[test]
fn a_log_that_cannot_be_kept_is_said() {
    let (mut command, cache) = super::client::command();
    let output = command.arg("--log").arg(cache.path()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("could not start"), "{output:?}");
}
