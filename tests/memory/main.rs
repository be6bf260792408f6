//! What the server keeps in memory after a text is closed: nothing of that text.
//!
//! Allocations are counted, not measured. The server runs in this process, so that its allocator is ours.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

use serde_json::{Value, json};
use stats_alloc::{INSTRUMENTED_SYSTEM, StatsAlloc};
use std::alloc::System;
use std::io::{BufRead, BufReader, PipeReader, PipeWriter, Read, Write, pipe};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

/// Live allocations that may come and go with threads, channels and growing tables, however many texts
/// were opened.
const SLACK: isize = 24;

/// Texts opened and closed between the two counts: one allocation kept of each is more than the slack.
const TEXTS: usize = 80;

fn live() -> isize {
    let stats = ALLOCATOR.stats();
    stats.allocations as isize - stats.deallocations as isize
}

struct Editor {
    input: PipeWriter,
    output: BufReader<PipeReader>,
    last_id: i64,
}

impl Editor {
    fn send(&mut self, message: &Value) {
        let body = message.to_string();
        write!(self.input, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
        self.input.flush().unwrap();
    }

    fn tell(&mut self, method: &str, params: &Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Reads until the answer comes; everything before it is passed over.
    fn ask(&mut self, method: &str, params: &Value) -> Value {
        self.last_id += 1;
        let id = self.last_id;
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
        loop {
            let mut length = 0;
            loop {
                let mut line = String::new();
                assert!(self.output.read_line(&mut line).unwrap() > 0, "the server has ended");
                if line == "\r\n" {
                    break;
                }
                length = line.trim().strip_prefix("Content-Length: ").unwrap().parse().unwrap();
            }
            let mut body = vec![0; length];
            self.output.read_exact(&mut body).unwrap();
            let message: Value = serde_json::from_slice(&body).unwrap();
            if message["id"] == id && message.get("method").is_none() {
                return message;
            }
        }
    }

    /// Opens a text, edits it, asks everything about it, closes it.
    fn visit(&mut self, number: usize, text: &str) {
        let uri = format!("untitled:quay-{number}");
        let document = json!({"uri": uri, "languageId": "brass", "version": 1, "text": text});
        self.tell("textDocument/didOpen", &json!({"textDocument": document}));
        let row = text.lines().position(|l| l.starts_with("Tb1")).unwrap();
        for version in 2..6 {
            let at = json!({"line": row, "character": 12});
            self.tell(
                "textDocument/didChange",
                &json!({"textDocument": {"uri": uri, "version": version},
                    "contentChanges": [{"range": {"start": at, "end": at}, "text": " "}]}),
            );
        }
        let text = json!({"uri": uri});
        let at = json!({"line": row, "character": 17});
        let whole = json!({"start": {"line": 0, "character": 0}, "end": {"line": 99, "character": 0}});
        let options = json!({"tabSize": 4, "insertSpaces": true});
        for (method, params) in [
            ("textDocument/hover", json!({"textDocument": text, "position": at})),
            ("textDocument/documentSymbol", json!({"textDocument": text})),
            ("textDocument/foldingRange", json!({"textDocument": text})),
            ("textDocument/formatting", json!({"textDocument": text, "options": options})),
            (
                "textDocument/references",
                json!({"textDocument": text, "position": {"line": row, "character": 1},
                "context": {"includeDeclaration": true}}),
            ),
            ("textDocument/completion", json!({"textDocument": text, "position": at})),
            ("textDocument/signatureHelp", json!({"textDocument": text, "position": at})),
            ("textDocument/semanticTokens/full", json!({"textDocument": text})),
            ("textDocument/inlayHint", json!({"textDocument": text, "range": whole})),
            ("textDocument/codeLens", json!({"textDocument": text})),
            ("textDocument/documentLink", json!({"textDocument": text})),
            (
                "textDocument/codeAction",
                json!({"textDocument": text, "range": whole, "context": {"diagnostics": []}}),
            ),
            ("workspace/symbol", json!({"query": "Tb"})),
        ] {
            self.ask(method, &params);
        }
        self.tell("textDocument/didClose", &json!({"textDocument": text}));
        // Answered only after the closing was taken in, and after what was published before it was read.
        let gone = self.ask("textDocument/hover", &json!({"textDocument": text, "position": at}));
        assert!(gone["error"].is_object(), "{gone}");
    }
}

#[test]
fn a_closed_text_leaves_nothing_behind() {
    let samples = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/harbour.brass");
    let text = std::fs::read_to_string(samples).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("log");
    let ((from_editor, input), (output, to_editor)) = (pipe().unwrap(), pipe().unwrap());
    let server =
        std::thread::spawn(move || waterkey::server::run(from_editor, to_editor, Some(&log)).unwrap());
    let mut editor = Editor { input, output: BufReader::new(output), last_id: 0 };
    editor.ask("initialize", &json!({"capabilities": {}}));
    editor.tell("initialized", &json!({}));
    for number in 0..20 {
        editor.visit(number, &text);
    }
    let before = live();
    for number in 20..20 + TEXTS {
        editor.visit(number, &text);
    }
    let grown = live() - before;
    assert!(grown <= SLACK, "{grown} allocations were kept of {TEXTS} texts");
    editor.ask("shutdown", &Value::Null);
    editor.tell("exit", &Value::Null);
    assert_eq!(server.join().unwrap(), 0);
}
