//! The server over its standard input and output: start, opening, change to published findings, memory.
//! Reported, never judged.
//!
//! `cargo bench --bench serve`
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::indexing_slicing)]

use serde_json::{Value, json};
use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

const PLAYERS: [(&str, &str, [&str; 4]); 8] = [
    ("Tp1", "trumpet in Bb", ["F5", "Bb5", "A5", "G5"]),
    ("Tp2", "trumpet in C", ["D5", "F5", "F5", "Eb5"]),
    ("Hn1", "horn in F", ["C5", "D5", "Bb4", "A4"]),
    ("Hn2", "horn in F", ["F4", "G4", "F4", "F4"]),
    ("Tb1", "straight trombone", ["F4", "D4", "C4", "Bb3"]),
    ("Tb2", "trombone", ["D4", "Bb3", "A3", "G3"]),
    ("Euph", "euphonium", ["F3", "Bb3", "C4", "Bb3"]),
    ("Tu", "Eb tuba", ["Bb2", "Bb2", "F2", "G2"]),
];

/// About so many notes in blocks of four bars; the line of the trombone in the middle block.
fn score(notes: usize) -> (String, usize) {
    let mut text = String::from("brass 1\ntitle \"Harbour at First Light\"\n");
    for (id, instrument, _) in PLAYERS {
        writeln!(text, "player {id} = {instrument}").unwrap();
    }
    let blocks = notes.div_ceil(PLAYERS.len() * 16);
    let (mut lines, mut middle) = (text.lines().count(), 0);
    for block in 0..blocks {
        let tempo = if block == 0 { "  key Bb major  tempo q = 84" } else { "" };
        writeln!(text, "\nbar {}  meter 4/4{tempo}", block * 4 + 1).unwrap();
        lines += 2;
        for (id, _, pool) in PLAYERS {
            if id == "Tb1" && block == blocks / 2 {
                middle = lines;
            }
            let bar = format!("q : {} {} {} {}", pool[0], pool[block % 4], pool[2], pool[3]);
            writeln!(text, "{id:4} | {bar} | {bar} | {bar} | {bar} |").unwrap();
            lines += 1;
        }
    }
    (text, middle)
}

struct Session {
    child: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
}

impl Session {
    fn start() -> (Session, Duration) {
        let began = Instant::now();
        let mut child = Command::new(env!("CARGO_BIN_EXE_waterkey"))
            .arg("serve")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let (input, output) = (child.stdin.take().unwrap(), BufReader::new(child.stdout.take().unwrap()));
        let mut session = Session { child, input, output };
        let hints =
            json!({"pitch": true, "sharing": true, "fingering": true, "travel": true, "seconds": true});
        // Without it the server has no actions to offer.
        let action = json!({"codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix", "refactor"]}},
            "dataSupport": true, "resolveSupport": {"properties": ["edit"]}});
        let capabilities = json!({"textDocument": {"codeAction": action}});
        let params = json!({"capabilities": capabilities, "initializationOptions": {"hints": hints}});
        session.send(json!({"id": 1, "method": "initialize", "params": params}));
        session.next();
        let time = began.elapsed();
        session.send(json!({"method": "initialized", "params": {}}));
        (session, time)
    }

    fn send(&mut self, mut message: Value) {
        message["jsonrpc"] = json!("2.0");
        let body = message.to_string();
        write!(self.input, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
        self.input.flush().unwrap();
    }

    fn next(&mut self) -> Vec<u8> {
        let mut length = 0;
        loop {
            let mut line = String::new();
            assert!(self.output.read_line(&mut line).unwrap() > 0, "the server ended");
            match line.strip_prefix("Content-Length: ") {
                Some(number) => length = number.trim().parse().unwrap(),
                None => break,
            }
        }
        let mut body = vec![0; length];
        self.output.read_exact(&mut body).unwrap();
        body
    }

    /// The answer to a question about the text, findings passed over.
    fn ask(&mut self, method: &str, mut params: Value) -> Vec<u8> {
        params["textDocument"] = json!({"uri": "untitled:harbour"});
        self.send(json!({"id": 7, "method": method, "params": params}));
        loop {
            let body = self.next();
            if !body.windows(18).take(120).any(|w| w == b"publishDiagnostics") {
                return body;
            }
        }
    }

    /// Resident memory in megabytes, where the system tells it.
    fn memory(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:")).unwrap_or("0");
        line.trim().trim_end_matches(" kB").parse().unwrap_or(0.0) / 1024.0
    }
}

fn quantile(sorted: &[Duration], q: f64) -> Duration {
    sorted[((sorted.len() - 1) as f64 * q) as usize]
}

/// Colours, hints and facts, each asked for after an edit, as editors do.
fn beside(session: &mut Session, line: usize, rounds: usize) {
    let screen = json!({"range": {"start": {"line": line.saturating_sub(30), "character": 0},
        "end": {"line": line + 30, "character": 0}}});
    let questions = [
        ("all colours", "textDocument/semanticTokens/full", json!({})),
        ("what changed of them", "textDocument/semanticTokens/full/delta", json!({})),
        ("those of a screen", "textDocument/semanticTokens/range", screen.clone()),
        ("hints of a screen", "textDocument/inlayHint", screen),
        ("facts above lines", "textDocument/codeLens", json!({})),
        ("about a note", "textDocument/hover", json!({"position": {"line": line, "character": 11}})),
        (
            "offers for a note",
            "textDocument/codeAction",
            json!({"range": {"start": {"line": line, "character": 11}, "end": {"line": line, "character": 12}},
                "context": {"diagnostics": [], "only": ["quickfix"]}}),
        ),
        (
            "ways to write a bar",
            "textDocument/codeAction",
            json!({"range": {"start": {"line": line, "character": 11}, "end": {"line": line, "character": 16}},
                "context": {"diagnostics": [], "only": ["refactor"]}}),
        ),
        (
            "ways to write the score",
            "textDocument/codeAction",
            json!({"range": {"start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 0}},
                "context": {"diagnostics": [], "only": ["refactor"]}}),
        ),
    ];
    let mut id = Value::Null;
    for (name, method, mut params) in questions {
        let rounds = if name == "all colours" { rounds.min(10) } else { rounds };
        let mut times = Vec::with_capacity(rounds);
        let mut bytes = 0;
        for round in 0..rounds {
            let note = ["Eb3", "D3"][round % 2];
            let before = if round % 2 == 0 { 2 } else { 3 };
            let change = json!({"range": {"start": {"line": line, "character": 14},
                "end": {"line": line, "character": 14 + before}}, "text": note});
            let document = json!({"uri": "untitled:harbour", "version": 5000});
            let edit = json!({"textDocument": document, "contentChanges": [change]});
            session.send(json!({"method": "textDocument/didChange", "params": edit}));
            session.ask(
                "textDocument/semanticTokens/range",
                json!({"range": {
                "start": {"line": 0, "character": 0}, "end": {"line": 0, "character": 0}}}),
            );
            params["previousResultId"] = id.clone();
            let began = Instant::now();
            let answer = session.ask(method, params.clone());
            times.push(began.elapsed());
            bytes = answer.len();
            if method.contains("/full") {
                id = serde_json::from_slice::<Value>(&answer).unwrap()["result"]["resultId"].clone();
            }
        }
        times.sort();
        println!(
            "                {name}: median {:.1?} p99 {:.1?}, {bytes} bytes",
            quantile(&times, 0.5),
            quantile(&times, 0.99)
        );
    }
}

fn main() {
    // `cargo test --benches` only wants to know that it runs.
    let rounds = if std::env::args().any(|a| a == "--bench") { 1000 } else { 4 };
    let mut starts: Vec<Duration> = (0..rounds.min(30))
        .map(|_| {
            let (mut session, time) = Session::start();
            session.child.kill().unwrap();
            session.child.wait().unwrap();
            time
        })
        .collect();
    starts.sort();
    println!("start to `initialize` answered: median {:.1?}", quantile(&starts, 0.5));
    // One size alone: `cargo bench --bench serve -- 100000`.
    let size = std::env::args().find_map(|a| a.parse::<usize>().ok());
    for notes in [100, 1_000, 10_000, 100_000].into_iter().filter(|n| size.is_none_or(|size| size == *n)) {
        let (text, line) = score(notes);
        let (mut session, _) = Session::start();
        let began = Instant::now();
        let document = json!({"uri": "untitled:harbour", "languageId": "brass", "version": 0, "text": text});
        session.send(json!({"method": "textDocument/didOpen", "params": {"textDocument": document}}));
        session.next();
        let opened = began.elapsed();
        let mut times = Vec::with_capacity(rounds);
        for round in 0..rounds {
            // The note that the instrument does not have, and the one it has, in turn.
            let (old, new) = if round % 2 == 0 { (2, "Eb2") } else { (3, "F4") };
            let change = json!({"range": {"start": {"line": line, "character": 11},
                "end": {"line": line, "character": 11 + old}}, "text": new});
            let document = json!({"uri": "untitled:harbour", "version": round + 1});
            let params = json!({"textDocument": document, "contentChanges": [change]});
            let began = Instant::now();
            session.send(json!({"method": "textDocument/didChange", "params": params}));
            session.next();
            times.push(began.elapsed());
        }
        times.sort();
        println!(
            "{notes:>7} notes, {:>6} kB: opened {opened:>8.1?}, change to findings median {:>8.1?} p99 {:>8.1?}, \
             {:.0} MB",
            text.len() / 1000,
            quantile(&times, 0.5),
            quantile(&times, 0.99),
            session.memory()
        );
        let mut offers = Vec::with_capacity(rounds);
        for _ in 0..rounds {
            let params = json!({"textDocument": {"uri": "untitled:harbour"},
                "position": {"line": line, "character": 13}});
            let began = Instant::now();
            session.send(json!({"id": 3, "method": "textDocument/completion", "params": params}));
            session.next();
            offers.push(began.elapsed());
        }
        offers.sort();
        println!(
            "{:>14} completion median {:>8.1?} p99 {:>8.1?}",
            "",
            quantile(&offers, 0.5),
            quantile(&offers, 0.99)
        );
        beside(&mut session, line, rounds.min(100));
        session.send(json!({"id": 2, "method": "shutdown"}));
        session.next();
        session.send(json!({"method": "exit"}));
        assert_eq!(session.child.wait().unwrap().code(), Some(0));
    }
}
