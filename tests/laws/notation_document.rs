//! An edited document is the document of the edited text, and reads no more lines than it touches.

use proptest::prelude::*;
use std::sync::Arc;
use waterkey::notation::{Document, Ending};

fn piece() -> impl Strategy<Value = String> {
    let parts = prop::sample::select(vec![
        "\r",
        "\n",
        "\r\n",
        "Tp1 | q : C5 |",
        "bar 1",
        "𝄞",
        "é",
        "x",
        "|",
        "\"",
        "//",
        " ",
        "𝄫",
        "\u{85}",
        "\u{2028}",
        "",
    ]);
    prop::collection::vec(parts, 0..12).prop_map(|v| v.concat())
}

fn edits() -> impl Strategy<Value = Vec<(usize, usize, String)>> {
    prop::collection::vec((0usize..90, 0usize..90, piece()), 1..25)
}

/// The edit as a plain string would take it, clamped as the document clamps.
fn plain(text: &str, start: usize, end: usize, with: &str) -> String {
    let floor = |byte: usize| {
        let mut byte = byte.min(text.len());
        while !text.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    };
    let start = floor(start);
    let end = floor(end).max(start);
    format!("{}{with}{}", &text[..start], &text[end..])
}

fn assert_same(document: &Document, text: &str) {
    let fresh = Document::new(text);
    assert_eq!(document.text(), text);
    assert_eq!(document.lines().len(), fresh.lines().len());
    assert_eq!(document.lines().bytes(), text.len());
    let mut start = 0;
    for (at, (a, b)) in document.lines().iter().zip(fresh.lines().iter()).enumerate() {
        assert_eq!(a, b);
        assert_eq!(document.lines().start_of_line(at), start);
        assert_eq!(document.lines().line_of_byte(start), at);
        assert!(Arc::ptr_eq(document.lines().get(at).unwrap(), a));
        start += a.bytes();
    }
}

proptest! {
    #[test]
    fn edits_give_the_document_of_the_edited_text(first in piece(), edits in edits()) {
        let mut text = first;
        let mut document = Document::new(&text);
        for (start, end, with) in edits {
            let snapshot = document.lines().clone();
            let before = text.clone();
            text = plain(&text, start, end, &with);
            let lines: Vec<_> = document.lines().iter().cloned().collect();
            let touched = document.edit(start..end, &with);
            assert_same(&document, &text);
            // What is said to be touched is all that changed.
            for (at, line) in lines.iter().enumerate() {
                let now = if at < touched.first { at } else if at >= touched.first + touched.removed {
                    at - touched.removed + touched.added
                } else { continue };
                prop_assert!(Arc::ptr_eq(line, document.lines().get(now).unwrap()));
            }
            let old: String = snapshot.iter().map(|l| format!("{}{}", l.text, l.ending.text())).collect();
            prop_assert_eq!(old, before);
        }
    }

    #[test]
    fn a_whole_text_is_an_edit_too(first in piece(), second in piece()) {
        let mut document = Document::new(&first);
        document.replace_all(&second);
        assert_same(&document, &second);
    }

    #[test]
    fn long_documents_keep_their_sums(edits in prop::collection::vec((0usize..9000, 0usize..400, piece()), 1..12)) {
        let mut text = "Tp1 | q : C5 D5 |\n".repeat(400);
        let mut document = Document::new(&text);
        for (start, length, with) in edits {
            text = plain(&text, start, start + length, &with);
            document.edit(start..start + length, &with);
        }
        assert_same(&document, &text);
    }
}

#[test]
fn only_cr_and_lf_end_lines() {
    let text = "a\nb\rc\r\nd\u{b}e\u{c}f\u{85}g\u{2028}h\u{2029}i";
    let document = Document::new(text);
    let endings: Vec<Ending> = document.lines().iter().map(|l| l.ending).collect();
    assert_eq!(endings, [Ending::Lf, Ending::Cr, Ending::CrLf, Ending::None]);
    assert_eq!(document.rope().len_lines(), document.lines().len());
}

#[test]
fn an_edit_reads_the_lines_it_touches() {
    let mut document = Document::new(&"Tp1 | q : C5 D5 E5 F5 |\n".repeat(10_000));
    assert_eq!(document.lines_read(), 10_001);
    let start = document.lines().start_of_line(5_000) + 10;
    document.edit(start..start + 2, "C6");
    assert_eq!(document.lines_read(), 10_002);
    // A line break and the end of one touch two lines and make one.
    document.edit(start..start, "\n");
    assert_eq!(document.lines_read(), 10_004);
    document.edit(start..start + 1, "");
    assert_eq!(document.lines_read(), 10_005);
    // The same text again reads nothing.
    let text = document.text();
    let touched = document.replace_all(&text);
    assert_eq!((document.lines_read(), touched.removed, touched.added), (10_005, 0, 0));
}

#[test]
fn a_split_terminator_is_two_and_joined_again_one() {
    let mut document = Document::new("a\r\nb");
    document.edit(2..2, "x");
    assert_eq!(document.lines().len(), 3);
    document.edit(2..3, "");
    assert_eq!(document.lines().len(), 2);
    document.edit(1..2, "");
    assert_eq!(document.lines().get(0).unwrap().ending, Ending::Lf);
    document.edit(1..1, "\r");
    assert_eq!(document.lines().len(), 2);
    assert_eq!(document.lines().get(0).unwrap().ending, Ending::CrLf);
}
