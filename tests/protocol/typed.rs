//! A barline that is typed aligns its block.

use super::client::Client;
use serde_json::{Value, json};
use waterkey::notation::Document;
use waterkey::notation::layout::tidied;

/// A block whose second row is being written, a tidy one, and one that is not.
const SCORE: &str = "\
brass 1
player Tp1 = trumpet in Bb
player Tb1 = trombone

bar 1  meter 4/4  tempo q = 72
Tp1 | q : C5 D5 E5 F5 | w : C5 |
Tb1 | h : \"\u{1d11e}\" F3 G3 | w : F3   |   // low

bar 3
Tp1 |   h :   C5 C5 |
";

/// Columns of a text.
type Columns = fn(&str) -> usize;

const ENCODINGS: [(&str, Columns); 3] = [
    ("utf-8", str::len),
    ("utf-16", |text| text.encode_utf16().count()),
    ("utf-32", |text| text.chars().count()),
];

fn typed(client: &mut Client, uri: &str, line: usize, column: usize) -> Value {
    let params = json!({"textDocument": {"uri": uri}, "position": {"line": line, "character": column},
        "ch": "|", "options": {"tabSize": 4, "insertSpaces": true}});
    client.ask("textDocument/onTypeFormatting", params)["result"].clone()
}

/// The text with the edits made.
fn applied(text: &str, edits: &Value, columns: Columns) -> String {
    let mut lines: Vec<String> = text.split('\n').map(str::to_owned).collect();
    for edit in edits.as_array().unwrap().iter().rev() {
        let at = |which: &str, what: &str| edit["range"][which][what].as_u64().unwrap() as usize;
        assert_eq!(at("start", "line"), at("end", "line"));
        let line = &mut lines[at("start", "line")];
        let byte =
            |column| (0..=line.len()).find(|b| line.is_char_boundary(*b) && columns(&line[..*b]) == column);
        let (from, to) = (byte(at("start", "character")).unwrap(), byte(at("end", "character")).unwrap());
        let new = edit["newText"].as_str().unwrap();
        assert!(line[from..to].trim().is_empty() && new.trim().is_empty(), "{edit}");
        line.replace_range(from..to, new);
    }
    lines.join("\n")
}

#[test]
fn the_block_is_aligned_and_nothing_else() {
    for (encoding, columns) in ENCODINGS {
        let mut client = Client::start(json!({"general": {"positionEncodings": [encoding]}}));
        client.open("untitled:a", 1, SCORE);
        client.findings("untitled:a", 1);
        let line = SCORE.lines().nth(6).unwrap();
        let end = line.rfind('|').unwrap() + 1;
        let made = applied(SCORE, &typed(&mut client, "untitled:a", 6, columns(&line[..end])), columns);
        let tidy = tidied(Document::new(SCORE).lines());
        for at in [4, 5, 8, 9] {
            let from = if at == 5 { &tidy } else { SCORE };
            assert_eq!(made.lines().nth(at), from.lines().nth(at), "{encoding}");
        }
        // Behind the barline the blanks before the remark stay as they are.
        let wanted = tidy.lines().nth(6).unwrap().replace("|  // low", "|   // low");
        assert_eq!(made.lines().nth(6).unwrap(), wanted, "{encoding}");
        assert!(typed(&mut client, "untitled:a", 5, 3).as_array().unwrap().is_empty(), "no barline there");
        assert!(typed(&mut client, "untitled:a", 99, 99).as_array().unwrap().is_empty());
    }
}

#[test]
fn what_stands_behind_the_cursor_stays_where_it_is() {
    let mut client = Client::start(json!({"general": {"positionEncodings": ["utf-8"]}}));
    client.open("untitled:a", 1, SCORE);
    client.findings("untitled:a", 1);
    let line = SCORE.lines().nth(6).unwrap();
    let first = line.find('|').unwrap() + 1;
    let second = first + line[first..].find('|').unwrap() + 1;
    let edits = typed(&mut client, "untitled:a", 6, second);
    for edit in edits.as_array().unwrap().iter().filter(|e| e["range"]["start"]["line"] == 6) {
        assert!(edit["range"]["end"]["character"].as_u64().unwrap() < second as u64, "{edit}");
    }
    assert!(!edits.as_array().unwrap().is_empty());
}

#[test]
fn a_block_with_a_row_that_cannot_be_read_stays() {
    let text = SCORE.replace("w : C5 |", "w : c5 |");
    let mut client = Client::start(json!({"general": {"positionEncodings": ["utf-8"]}}));
    client.open("untitled:a", 1, &text);
    client.findings("untitled:a", 1);
    let line = text.lines().nth(6).unwrap();
    assert_eq!(typed(&mut client, "untitled:a", 6, line.rfind('|').unwrap() + 1), json!([]));
    // The block below is read well.
    let line = text.lines().nth(9).unwrap();
    let edits = typed(&mut client, "untitled:a", 9, line.rfind('|').unwrap() + 1);
    assert!(!edits.as_array().unwrap().is_empty());
    // Barlines in words and remarks are none, and neither is one in the head.
    let words = "phrase oars | w : C5 |\nplayer Tp1 = horn in F // | x\nbar 1\nTp1  | w : \"|\" C5 |\n";
    client.open("untitled:b", 1, words);
    client.findings("untitled:b", 1);
    for (line, column) in [(0, 13), (1, 27), (3, 13)] {
        assert_eq!(typed(&mut client, "untitled:b", line, column), json!([]), "{line}");
    }
}
