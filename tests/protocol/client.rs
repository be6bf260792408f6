//! An editor made of nothing but the protocol. When it is dropped, no message may have gone unread.

use serde_json::{Value, json};
use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A test that hangs is given up after this.
const GIVEN_UP: Duration = Duration::from_secs(120);

/// The command with a cache folder of its own.
pub fn command() -> (Command, tempfile::TempDir) {
    let cache = tempfile::tempdir().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_waterkey"));
    command.arg("serve").env("XDG_CACHE_HOME", cache.path());
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    (command, cache)
}

/// An editor and its server.
pub struct Client {
    pub child: Child,
    input: Option<ChildStdin>,
    messages: Receiver<Value>,
    pub unread: VecDeque<Value>,
    last_id: i64,
    /// What `workspace/configuration` answers.
    pub configuration: Value,
    /// Questions of the server, by method; all are answered at once.
    pub asked: Vec<(String, Value)>,
    /// What `initialize` answered.
    pub initialized: Value,
    pub cache: tempfile::TempDir,
    ended: bool,
}

impl Client {
    /// A server that nothing was said to yet.
    pub fn silent() -> Client {
        let (mut command, cache) = command();
        let mut child = command.spawn().unwrap();
        let output = child.stdout.take().unwrap();
        let (sender, messages) = channel();
        std::thread::spawn(move || {
            let mut output = BufReader::new(output);
            while let Some(message) = read(&mut output) {
                if sender.send(message).is_err() {
                    return;
                }
            }
        });
        let input = child.stdin.take();
        Client {
            child,
            input,
            messages,
            unread: VecDeque::new(),
            last_id: 0,
            configuration: Value::Null,
            asked: Vec::new(),
            initialized: Value::Null,
            cache,
            ended: false,
        }
    }

    /// A session with these capabilities.
    pub fn start(capabilities: Value) -> Client {
        Client::with(json!({"capabilities": capabilities}))
    }

    /// A session with these parameters of `initialize`.
    pub fn with(params: Value) -> Client {
        let mut client = Client::silent();
        client.begin(params);
        client
    }

    pub fn begin(&mut self, params: Value) {
        let answer = self.ask("initialize", params);
        self.initialized = answer["result"].clone();
        self.tell("initialized", json!({}));
    }

    /// Bytes as they are.
    pub fn raw(&mut self, bytes: &[u8]) {
        let input = self.input.as_mut().unwrap();
        input.write_all(bytes).unwrap();
        input.flush().unwrap();
    }

    pub fn send(&mut self, message: &Value) {
        self.raw(&frame(message));
    }

    pub fn tell(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Asks without waiting; the id.
    pub fn question(&mut self, method: &str, params: Value) -> i64 {
        self.last_id += 1;
        let id = self.last_id;
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
        id
    }

    /// The answer to a question.
    pub fn answer(&mut self, id: impl Into<Value>) -> Value {
        let id = id.into();
        self.take(|m| m.get("method").is_none() && m["id"] == id)
    }

    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        let id = self.question(method, params);
        self.answer(id)
    }

    /// The next notification of this method: its parameters.
    pub fn next(&mut self, method: &str) -> Value {
        self.take(|m| m["method"] == method)["params"].clone()
    }

    /// The first unread message like this; waits for it.
    pub fn take(&mut self, like: impl Fn(&Value) -> bool) -> Value {
        if let Some(at) = self.unread.iter().position(&like) {
            return self.unread.remove(at).unwrap();
        }
        loop {
            let Ok(message) = self.messages.recv_timeout(GIVEN_UP) else {
                panic!("the message never came; unread: {:#?}", self.unread);
            };
            if let Some(message) = self.serve(message) {
                if like(&message) {
                    return message;
                }
                self.unread.push_back(message);
            }
        }
    }

    /// Answers what the server asks.
    fn serve(&mut self, message: Value) -> Option<Value> {
        let (Some(method), Some(id)) = (message["method"].as_str(), message.get("id")) else {
            return Some(message);
        };
        let result = match method {
            "workspace/configuration" => json!([self.configuration]),
            _ => Value::Null,
        };
        self.asked.push((method.to_owned(), message["params"].clone()));
        let answer = json!({"jsonrpc": "2.0", "id": id, "result": result});
        // A server that has ended needs no answer.
        let _ = self.input.as_mut().map(|input| input.write_all(&frame(&answer)));
        None
    }

    /// Waits until the server has asked this so many times; all it has asked of it by then.
    pub fn asked_for(&mut self, method: &str, times: usize) -> usize {
        let count = |asked: &[(String, Value)]| asked.iter().filter(|(asked, _)| asked == method).count();
        while count(&self.asked) < times {
            let Ok(message) = self.messages.recv_timeout(GIVEN_UP) else {
                panic!("{method} was never asked; unread: {:#?}", self.unread);
            };
            if let Some(message) = self.serve(message) {
                self.unread.push_back(message);
            }
        }
        count(&self.asked)
    }

    pub fn open(&mut self, uri: &str, version: i64, text: &str) {
        let document = json!({"uri": uri, "languageId": "brass", "version": version, "text": text});
        self.tell("textDocument/didOpen", json!({"textDocument": document}));
    }

    pub fn close(&mut self, uri: &str) {
        self.tell("textDocument/didClose", json!({"textDocument": {"uri": uri}}));
    }

    /// A change of the whole text.
    pub fn replace(&mut self, uri: &str, version: i64, text: &str) {
        self.change(uri, version, json!([{"text": text}]));
    }

    /// A change from (line, column) to (line, column).
    pub fn edit(&mut self, uri: &str, version: i64, range: [u32; 4], text: &str) {
        self.change(uri, version, json!([{"range": range_of(range), "text": text}]));
    }

    pub fn change(&mut self, uri: &str, version: i64, changes: Value) {
        let document = json!({"uri": uri, "version": version});
        self.tell("textDocument/didChange", json!({"textDocument": document, "contentChanges": changes}));
    }

    /// What is published for a text: waits for that of this version and passes over those of others.
    pub fn findings(&mut self, uri: &str, version: impl Into<Value>) -> Value {
        let version = version.into();
        loop {
            let params =
                self.take(|m| m["method"] == "textDocument/publishDiagnostics" && m["params"]["uri"] == uri);
            if params["params"]["version"] == version {
                return params["params"]["diagnostics"].clone();
            }
        }
    }

    /// Pulls the findings of a text.
    pub fn pull(&mut self, uri: &str, before: Value) -> Value {
        let params = json!({"textDocument": {"uri": uri}, "previousResultId": before});
        self.ask("textDocument/diagnostic", params)["result"].clone()
    }

    pub fn format(&mut self, uri: &str) -> Value {
        let options = json!({"tabSize": 4, "insertSpaces": true});
        self.ask("textDocument/formatting", json!({"textDocument": {"uri": uri}, "options": options}))
    }

    /// Nothing more will be said.
    pub fn hang_up(&mut self) {
        self.input = None;
    }

    /// Waits for the server to end.
    pub fn wait(&mut self) -> ExitStatus {
        self.ended = true;
        while let Ok(message) = self.messages.recv_timeout(GIVEN_UP) {
            if let Some(message) = self.serve(message) {
                self.unread.push_back(message);
            }
        }
        self.child.wait().unwrap()
    }

    /// Ends the session in order.
    pub fn end(&mut self) {
        let id = self.question("shutdown", Value::Null);
        assert_eq!(self.answer(id)["result"], Value::Null);
        self.tell("exit", Value::Null);
        assert_eq!(self.wait().code(), Some(0));
    }

    /// What the server wrote to standard error, after its end.
    pub fn complaints(&mut self) -> String {
        let mut text = String::new();
        self.child.stderr.take().unwrap().read_to_string(&mut text).unwrap();
        text
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        if std::thread::panicking() {
            let _ = self.child.kill();
            return;
        }
        if !self.ended {
            self.end();
        }
        assert!(self.unread.is_empty(), "messages went unread: {:#?}", self.unread);
    }
}

pub fn frame(message: &Value) -> Vec<u8> {
    let body = message.to_string();
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

pub fn range_of([a, b, c, d]: [u32; 4]) -> Value {
    json!({"start": {"line": a, "character": b}, "end": {"line": c, "character": d}})
}

fn read(output: &mut impl BufRead) -> Option<Value> {
    let mut length = 0;
    loop {
        let mut line = String::new();
        if output.read_line(&mut line).unwrap_or(0) == 0 {
            return None;
        }
        if line == "\r\n" {
            break;
        }
        length = line.strip_prefix("Content-Length: ").expect(&line).trim().parse().unwrap();
    }
    let mut body = vec![0; length];
    output.read_exact(&mut body).ok()?;
    Some(serde_json::from_slice(&body).unwrap())
}

/// `RULE line:from-to` of each finding.
pub fn brief(findings: &Value) -> Vec<String> {
    let one = |d: &Value| {
        let (start, end) = (&d["range"]["start"], &d["range"]["end"]);
        format!(
            "{} {}:{}-{}",
            d["code"].as_str().unwrap_or("more"),
            start["line"],
            start["character"],
            end["character"]
        )
    };
    findings.as_array().unwrap().iter().map(one).collect()
}
