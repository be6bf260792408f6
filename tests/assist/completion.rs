//! Completion lines: a comment under a line of a score, whose `|<` says where somebody is typing.
//!
//! The `|` stands under the place before which the cursor is; what is typed ends there, and what stands
//! behind it on the line is there already. After `|<` comes what must be offered, in this order, parted by
//! ` & `: `LABEL` alone, or `LABEL: WORDS` where the words beside it are looked at. `not: LABEL` must not be
//! offered; `nothing` alone means that there is nothing to offer; `first: LABEL` must be the very first.
//! A line between `«` and `»` shows what is replaced: `|< replaces: TEXT`.

use super::text::desk;
use std::fmt::Write as _;
use std::path::Path;
use waterkey::assist::{Completions, Place, completion};

struct Cursor {
    line: usize,
    byte: usize,
    wanted: Vec<String>,
}

/// The texts of a file, parted by lines of `// ---`, and the cursors in each.
fn cursors(text: &str) -> Vec<Cursor> {
    let lines: Vec<&str> = text.lines().collect();
    let mut above = 0;
    let mut all = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let Some((before, said)) = line.split_once("|< ").filter(|_| line.starts_with("//")) else {
            above = i;
            continue;
        };
        let column = before.chars().count();
        let byte = lines[above].char_indices().nth(column).map_or(lines[above].len(), |(b, _)| b);
        let wanted = said.split(" & ").map(|w| w.trim().to_owned()).collect();
        all.push(Cursor { line: above, byte, wanted });
    }
    all
}

/// The text with the line cut where the cursor stands, if the line is marked as being typed: cursor lines
/// stay comments and disturb nothing.
fn judge(name: &str, text: &str) -> String {
    let mut out = String::new();
    let all = cursors(text);
    assert!(!all.is_empty(), "{name} has no cursor");
    let desk = desk(text);
    for cursor in all {
        let place = Place { line: cursor.line as u32, byte: cursor.byte as u32 };
        let offered = completion(&desk, place);
        let mut from = 0;
        for wanted in &cursor.wanted {
            let good = fits(&desk.document().text(), offered.as_ref(), wanted, &mut from);
            if !good {
                let labels: Vec<String> = offered
                    .iter()
                    .flat_map(|o| &o.items)
                    .map(|i| format!("{}: {}", i.label, i.detail))
                    .collect();
                writeln!(
                    out,
                    "{name}:{}:{}: wanted `{wanted}`, offered\n  {}",
                    cursor.line + 1,
                    cursor.byte,
                    labels.join("\n  ")
                )
                .unwrap();
                break;
            }
        }
    }
    out
}

fn fits(text: &str, offered: Option<&Completions>, wanted: &str, from: &mut usize) -> bool {
    let Some(offered) = offered else { return wanted == "nothing" };
    let find = |wanted: &str| {
        offered.items.iter().position(|i| {
            let told = format!("{}: {}", i.label, i.detail);
            i.label == wanted || (wanted.contains(": ") && told.starts_with(wanted))
        })
    };
    if let Some(label) = wanted.strip_prefix("not: ") {
        return find(label).is_none();
    }
    if let Some(replaced) = wanted.strip_prefix("replaces: ") {
        let line = text.lines().nth(offered.line as usize).unwrap();
        return offered.word.of(line) == replaced;
    }
    if let Some(label) = wanted.strip_prefix("first: ") {
        return find(label) == Some(0);
    }
    let at = find(wanted);
    let good = at.is_some_and(|at| at >= *from);
    *from = at.map_or(*from, |at| at + 1);
    good
}

#[test]
fn every_cursor_is_offered_what_its_line_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/assist/completion");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    let mut out = String::new();
    for path in paths {
        let text = std::fs::read_to_string(&path).unwrap();
        out += &judge(&path.file_name().unwrap().to_string_lossy(), &text);
    }
    assert!(out.is_empty(), "\n{out}");
}
