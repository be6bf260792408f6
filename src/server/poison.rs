//! Texts over which the server fails, for tests only: no text of a user can make it, so the tests put a
//! word into a comment. The whole server is driven, over pipes and inside the test's process.

use super::frame::{Frame, Frames};
use crate::rules::Desk;
use serde_json::{Value, json};
use std::io::{Cursor, Write};
use std::sync::{Arc, Condvar, Mutex};
use std::time::Duration;

/// A text with this cannot be analysed.
pub const ANALYSIS: &str = "// poison for the analysis";
/// A text with this cannot be asked about.
pub const ANSWER: &str = "// poison for the answer";

/// Panics if the text has this in it.
pub fn taste(desk: &Desk, poison: &str) {
    assert!(!desk.document().text().contains(poison), "tasted {poison}");
}

/// A test that waits longer for an answer is given up.
const PATIENCE: Duration = Duration::from_secs(60);

/// What the server has said.
#[derive(Clone, Default)]
struct Output(Arc<(Mutex<Vec<u8>>, Condvar)>);

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.0.lock().unwrap().extend_from_slice(bytes);
        self.0.1.notify_all();
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Output {
    /// All messages, as soon as they are like this.
    fn when(&self, like: impl Fn(&[Value]) -> bool) -> Vec<Value> {
        let mut bytes = self.0.0.lock().unwrap();
        loop {
            let mut frames = Frames::new(Cursor::new(&*bytes));
            let mut said = Vec::new();
            while let Ok(Frame::Body(body)) = frames.next() {
                said.push(serde_json::from_slice(&body).unwrap());
            }
            if like(&said) {
                return said;
            }
            let (more, waited) = self.0.1.wait_timeout(bytes, PATIENCE).unwrap();
            assert!(!waited.timed_out(), "{said:?}");
            bytes = more;
        }
    }
}

/// Runs a session with these messages, each question answered before the next goes out, and gives what the
/// server said by the time it had shown so many messages, its exit status and its log.
fn session(messages: &[Value], shown: usize) -> (Vec<Value>, u8, String) {
    let dir = tempfile::tempdir().unwrap();
    let log = dir.path().join("log");
    let (input, mut to_server) = std::io::pipe().unwrap();
    let output = Output::default();
    let before = std::panic::take_hook();
    let (place, written) = (log.clone(), output.clone());
    let server = std::thread::spawn(move || super::run(input, written, Some(&place)).unwrap());
    let mut send = |message: &Value| {
        let body = message.to_string();
        write!(to_server, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
        if let Some(id) = message.get("id") {
            output.when(|said| said.iter().any(|m| m.get("method").is_none() && m["id"] == *id));
        }
    };
    messages.iter().for_each(&mut send);
    let is_shown = |m: &&Value| m["method"] == "window/showMessage";
    output.when(|said| said.iter().filter(is_shown).count() >= shown);
    send(&ask("end", "shutdown", Value::Null));
    send(&json!({"jsonrpc": "2.0", "method": "exit"}));
    let status = server.join().unwrap();
    std::panic::set_hook(before);
    (output.when(|_| true), status, std::fs::read_to_string(log).unwrap())
}

fn open(name: &str, text: &str) -> Value {
    let document = json!({"uri": name, "languageId": "brass", "version": 1, "text": text});
    json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": document}})
}

fn ask(id: impl Into<Value>, method: &str, params: Value) -> Value {
    json!({"jsonrpc": "2.0", "id": id.into(), "method": method, "params": params})
}

fn hover(id: impl Into<Value>, name: &str) -> Value {
    let place = json!({"line": 0, "character": 8});
    ask(id, "textDocument/hover", json!({"textDocument": {"uri": name}, "position": place}))
}

#[test]
fn a_fault_of_its_own_costs_one_text_or_one_answer_and_is_told_once() {
    let fine = "player Tp1 = trumpet in Bb\n";
    let full = json!([{"text": fine}]);
    let mended = json!({"textDocument": {"uri": "untitled:b", "version": 2}, "contentChanges": full});
    let place = json!({"textDocument": {"uri": "untitled:b"}, "position": {"line": 0, "character": 8}});
    let messages = [
        ask(0, "initialize", json!({"capabilities": {}})),
        json!({"jsonrpc": "2.0", "method": "initialized", "params": {}}),
        open("untitled:a", fine),
        open("untitled:b", &format!("{fine}{ANSWER}\n")),
        open("untitled:c", &format!("{fine}{ANALYSIS}\n")),
        hover(1, "untitled:a"),
        hover("two", "untitled:b"),
        hover(3, "untitled:c"),
        open("untitled:c", &format!("{fine}{ANALYSIS}\n")),
        // A question that looks at the texts around, too.
        ask(4, "textDocument/definition", place),
        hover(5, "untitled:a"),
        json!({"jsonrpc": "2.0", "method": "textDocument/didChange", "params": mended}),
        hover(6, "untitled:b"),
        open("untitled:c", fine),
        hover(7, "untitled:c"),
    ];
    let (said, status, log) = session(&messages, 3);
    assert_eq!(status, 0, "{said:?}");
    let answer = |id: Value| {
        let all: Vec<&Value> = said.iter().filter(|m| m.get("method").is_none() && m["id"] == id).collect();
        assert_eq!(all.len(), 1, "{id} in {said:?}");
        all[0].clone()
    };
    for id in [1, 5, 6, 7] {
        assert!(answer(json!(id))["result"]["contents"].is_object(), "{id} in {said:?}");
    }
    for id in [json!("two"), json!(4)] {
        let error = answer(id)["error"].clone();
        assert_eq!(error["code"], -32603);
        assert!(error["message"].as_str().unwrap().contains("fault of its own"), "{error}");
    }
    assert!(answer(json!(3))["error"]["message"].as_str().unwrap().contains("not open"));

    let shown: Vec<&str> = said
        .iter()
        .filter(|m| m["method"] == "window/showMessage")
        .map(|m| m["params"]["message"].as_str().unwrap())
        .collect();
    let of = |what: &str| shown.iter().filter(|text| text.contains(what)).count();
    assert_eq!((of("a fault of its own"), of("out of step"), shown.len()), (1, 2, 3), "{shown:?}");

    assert!(log.contains(&format!("textDocument/hover, id \"two\", failed: tasted {ANSWER}")), "{log}");
    assert!(log.contains(&format!("textDocument/definition, id 4, failed: tasted {ANSWER}")), "{log}");
    assert_eq!(log.matches("textDocument/").count(), 2, "{log}");
    assert!(log.contains("panic at src/server/poison.rs:"), "{log}");
    assert_eq!(log.matches("untitled:c is out of step").count(), 2, "{log}");
}
