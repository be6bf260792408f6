//! Long sessions of random edits and questions end where a fresh server begins.

use super::client::{Client, range_of};
use super::texts::{GAP, WRONG};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Numbers that look random, the same at every run (a linear congruential generator with Knuth's constants
/// for 64 bits).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 33) as usize % n
    }
}

const PIECES: [&str; 16] = [
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
];

/// Above every version that a session counts up to: versions begin again when a text is opened anew, so a
/// number just after the last may have been published before.
const LAST_VERSION: i64 = 1_000_000;

/// The editor's own idea of the text, in UTF-16 as most editors have it.
struct Text(Vec<u16>);

impl Text {
    fn new(text: &str) -> Text {
        Text(text.encode_utf16().collect())
    }

    fn shown(&self) -> String {
        String::from_utf16_lossy(&self.0)
    }

    /// Where each line starts and where its content ends.
    fn lines(&self) -> Vec<(usize, usize)> {
        let (cr, lf) = (u16::from(b'\r'), u16::from(b'\n'));
        let mut lines = Vec::new();
        let (mut start, mut at) = (0, 0);
        while at < self.0.len() {
            let unit = self.0[at];
            if unit == cr || unit == lf {
                lines.push((start, at));
                at += usize::from(unit == cr && self.0.get(at + 1) == Some(&lf));
                start = at + 1;
            }
            at += 1;
        }
        lines.push((start, self.0.len()));
        lines
    }

    /// Clamps as the protocol says; half a surrogate pair is rounded down.
    fn offset(&self, line: u32, column: u32) -> usize {
        let lines = self.lines();
        let Some(&(start, end)) = lines.get(line as usize) else { return self.0.len() };
        let at = (start + column as usize).min(end);
        let low = self.0.get(at).is_some_and(|u| (0xdc00..0xe000).contains(u));
        at - usize::from(low && at > start)
    }

    fn edit(&mut self, range: [u32; 4], with: &str) {
        let start = self.offset(range[0], range[1]);
        let end = self.offset(range[2], range[3]).max(start);
        self.0.splice(start..end, with.encode_utf16());
    }
}

fn ranges(dice: &mut Dice, text: &Text) -> [u32; 4] {
    let lines = text.lines();
    let place = |dice: &mut Dice| {
        let line = dice.below(lines.len() + 1);
        let width = lines.get(line).map_or(3, |(a, b)| b - a);
        let column = if dice.below(12) == 0 { u32::MAX } else { dice.below(width + 2) as u32 };
        (line as u32, column)
    };
    let (a, b) = place(dice);
    if dice.below(3) > 0 {
        return [a, b, a, b.saturating_add(dice.below(6) as u32)];
    }
    let (c, d) = place(dice);
    [a, b, c.min(a + 2), d]
}

/// Findings without what may differ between sessions.
fn plain(mut findings: Value) -> Value {
    for finding in findings.as_array_mut().unwrap() {
        finding.as_object_mut().unwrap().remove("data");
    }
    findings
}

#[test]
fn random_edits_and_questions() {
    for seed in 1..=5 {
        session(seed, 2000);
    }
}

fn session(seed: u64, steps: usize) {
    let uri = "file:///nowhere/at/all/quay.brass";
    let mut dice = Dice(seed);
    let mut client =
        Client::start(json!({"textDocument": {"publishDiagnostics": {"relatedInformation": true}}}));
    let mut text = Text::new(GAP);
    let mut undo: Vec<String> = Vec::new();
    let mut version = 0i64;
    let mut questions = BTreeSet::new();
    client.open(uri, version, GAP);
    for _ in 0..steps {
        if text.0.len() > 3000 || undo.len() > 200 {
            undo.clear();
            text = Text::new(GAP);
            version += 1;
            client.replace(uri, version, GAP);
        }
        version += 1 + dice.below(2) as i64;
        match dice.below(20) {
            0 => {
                // Opened anew, with versions that begin again.
                client.close(uri);
                version = dice.below(5) as i64;
                client.open(uri, version, &text.shown());
            }
            1 => {
                text = Text::new(&format!("{}{WRONG}", text.shown()));
                client.replace(uri, version, &text.shown());
            }
            2 => {
                let back = undo.pop().unwrap_or_default();
                text = Text::new(&back);
                client.replace(uri, version, &back);
            }
            3 => {
                questions.insert(client.question(
                    "textDocument/formatting",
                    json!({"textDocument": {"uri": uri}, "options": {"tabSize": 2, "insertSpaces": true}}),
                ));
            }
            4 => {
                questions.insert(client.question("nothing/like/this", json!([])));
                client.tell("nothing/like/this", json!({}));
            }
            5 => {
                let id = client.question(
                    "textDocument/rangeFormatting",
                    json!({"textDocument": {"uri": uri}, "range": range_of(ranges(&mut dice, &text)),
                        "options": {"tabSize": 2, "insertSpaces": true}}),
                );
                questions.insert(id);
                client.tell("$/cancelRequest", json!({"id": id}));
            }
            _ => {
                undo.push(text.shown());
                let mut changes = Vec::new();
                for _ in 0..=dice.below(3) {
                    let range = ranges(&mut dice, &text);
                    let piece = PIECES[dice.below(PIECES.len())];
                    text.edit(range, piece);
                    changes.push(json!({"range": range_of(range), "text": piece}));
                }
                client.change(uri, version, Value::Array(changes));
            }
        }
    }
    for id in questions {
        client.answer(id);
    }
    // A finding that was not there before makes sure that something is published for the last version,
    // whose number no earlier opening of the text had.
    let last = format!("{}\n{WRONG}", text.shown());
    let lines = text.lines().len() as u32;
    client.edit(uri, LAST_VERSION, [lines, 0, lines, 0], &format!("\n{WRONG}"));
    let found = client.findings(uri, LAST_VERSION);
    client.unread.retain(|m| m["method"] != "textDocument/publishDiagnostics");
    let mut fresh =
        Client::start(json!({"textDocument": {"publishDiagnostics": {"relatedInformation": true}}}));
    fresh.open(uri, 1, &last);
    assert_eq!(plain(found), plain(fresh.findings(uri, 1)), "seed {seed}: {last:?}");
}
