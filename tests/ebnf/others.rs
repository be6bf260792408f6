//! Texts for other readers of the notation, each with what the program sees in it.
//!
//! `cargo test --test ebnf texts_for_others -- --ignored --nocapture` tells them, one JSON object a line;
//! `tests/oracle/tree_sitter.py` reads them.

#![allow(clippy::print_stdout, reason = "another program reads it")]

use super::{GRAMMAR, faults_of_form, sentence, texts};
use serde_json::{Value, json};
use waterkey::notation::tree::{FigureNode, LineTree, Row, RowKind};
use waterkey::notation::{Ending, read_line};

/// How many sentences of the grammar are told.
const SENTENCES: u64 = 3000;

/// What stands in a row, counted by kind.
fn counts(row: &Row) -> Value {
    let places = row.nodes.iter().filter(|n| matches!(n, FigureNode::Place(_))).count();
    json!({
        "bars": row.bars.iter().filter(|b| b.has_figure || !b.items.is_empty()).count(),
        "items": if row.kind == RowKind::Chords { row.symbols.len() } else { row.items.len() },
        "members": row.members.len(),
        "names": row.names.len(),
        "places": places,
    })
}

fn line(text: &str) -> Value {
    let of_row = |kind: &str, row: &Row| json!({"kind": kind, "counts": counts(row)});
    let kind = match &read_line(text, Ending::Lf).tree {
        LineTree::Blank => return Value::Null,
        LineTree::Row(row) => {
            let kind = match row.kind {
                RowKind::Rhythm => "rhythm_row",
                RowKind::Chords => "chords_row",
                RowKind::Music => "music_row",
            };
            return of_row(kind, row);
        }
        LineTree::Phrase(phrase) => return of_row("phrase", &phrase.row),
        LineTree::Version(_) => "version",
        LineTree::Text(..) => "text_line",
        LineTree::Level(_) => "level_line",
        LineTree::Basis(_) => "basis_line",
        LineTree::Tuning(_) => "tuning_line",
        LineTree::Player(_) => "player",
        LineTree::Group(_) => "group",
        LineTree::Instrument(_) => "instrument",
        LineTree::Allow(_) => "allowance",
        LineTree::Roadmap(_) => "roadmap",
        LineTree::Include(_) => "include",
        LineTree::Block(_) => "bar_line",
        LineTree::Bad => "bad",
    };
    json!({"kind": kind})
}

fn told(name: &str, text: &str) -> Value {
    let marked = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    let plain = marked.replace("\r\n", "\n").replace('\r', "\n");
    let lines: Vec<&str> = plain.split('\n').collect();
    let reads = lines.iter().all(|l| faults_of_form(&read_line(l, Ending::Lf)).is_empty());
    json!({
        "name": name,
        "text": text,
        "reads": reads,
        "lines": lines.iter().map(|l| line(l)).collect::<Vec<_>>(),
    })
}

#[test]
#[ignore = "tells its texts to another program"]
fn texts_for_others() {
    // The name of the test stands on the line that begins here.
    println!();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for path in texts() {
        // What is no text in UTF-8 is a matter of files, not of the notation.
        if let Ok(text) = std::fs::read_to_string(&path) {
            println!("{}", told(&path.strip_prefix(root).unwrap().display().to_string(), &text));
        }
    }
    for seed in 0..SENTENCES {
        let line = sentence::sentence(&GRAMMAR, "line", seed.wrapping_mul(0x9E37_79B9_7F4A_7C15));
        println!("{}", told(&format!("sentence {seed}"), &line));
    }
}
