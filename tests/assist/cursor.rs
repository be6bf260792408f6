//! Cursor lines: a comment under a line of a score, whose `|>` says where the cursor stands.
//!
//! The `|` stands under the character the cursor is before; after `|>` comes what must be told there,
//! parts of it separated by ` & `. `|> nothing` where there is nothing to tell, `not: TEXT` for what
//! must not be told. It cannot stand in the first three columns.

use super::text::desk;
use std::fmt::Write as _;
use std::path::Path;
use waterkey::assist::{Place, hover};

struct Cursor {
    place: Place,
    wanted: Vec<String>,
}

fn cursors(text: &str) -> Vec<Cursor> {
    let lines: Vec<&str> = text.lines().collect();
    let mut above = 0;
    let mut all = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let Some((before, said)) = line.split_once("|> ").filter(|_| line.starts_with("//")) else {
            above = i;
            continue;
        };
        let column = before.chars().count();
        let byte = lines[above].char_indices().nth(column).map_or(lines[above].len(), |(b, _)| b);
        let wanted = said.split(" & ").map(|w| w.trim().to_owned()).collect();
        all.push(Cursor { place: Place { line: above as u32, byte: byte as u32 }, wanted });
    }
    all
}

fn judge(name: &str, text: &str) -> String {
    let desk = desk(text);
    let mut out = String::new();
    let all = cursors(text);
    assert!(!all.is_empty(), "{name} has no cursor");
    for cursor in all {
        let told = hover(&desk, cursor.place);
        let plain = told.as_ref().map_or("", |h| &h.plain);
        for wanted in &cursor.wanted {
            let good = match (wanted.as_str(), wanted.strip_prefix("not: ")) {
                ("nothing", _) => told.is_none(),
                (_, Some(text)) => told.is_some() && !plain.contains(text),
                (text, None) => plain.contains(text),
            };
            if !good {
                let Place { line, byte } = cursor.place;
                writeln!(out, "{name}:{}:{byte}: wanted `{wanted}`, told\n{plain}", line + 1).unwrap();
            }
        }
    }
    out
}

#[test]
fn every_cursor_is_told_what_its_line_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/assist/hover");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    let mut out = String::new();
    let brass: Vec<_> = paths.into_iter().filter(|p| p.extension().is_some_and(|e| e == "brass")).collect();
    assert!(brass.len() > 5);
    for path in brass {
        let text = std::fs::read_to_string(&path).unwrap();
        out += &judge(&path.file_name().unwrap().to_string_lossy(), &text);
    }
    assert!(out.is_empty(), "\n{out}");
}
