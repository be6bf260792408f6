//! Grammars for editors, whose lists of words are those of the program.
//!
//! `WATERKEY_GRAMMARS=write cargo test --test grammar` writes them anew.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod colours;
mod kate;
mod lists;
mod sublime;
mod textmate;
mod tree_sitter;
mod words;

use serde_json::Value;
use std::path::Path;

/// A file of the project is what the test makes of the program's words; written anew where that is wanted.
fn holds(name: &str, wanted: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    if std::env::var_os("WATERKEY_GRAMMARS").is_some_and(|v| v == "write") {
        std::fs::write(&path, wanted).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == wanted, "{name} is out of date: WATERKEY_GRAMMARS=write writes it");
}

/// The part of a file between two lines is what the test makes of the program's words.
fn holds_between(name: &str, from: &str, to: &str, wanted: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let written = std::fs::read_to_string(&path).unwrap();
    let (before, rest) = written.split_once(from).expect(from);
    let (_, after) = rest.split_once(to).expect(to);
    holds(name, &format!("{before}{from}{wanted}{to}{after}"));
}

fn pretty(value: &Value) -> String {
    serde_json::to_string_pretty(value).unwrap() + "\n"
}

#[test]
fn the_textmate_grammar_has_the_words_of_the_program() {
    holds("grammar/brass.tmLanguage.json", &pretty(&textmate::textmate()));
}

#[test]
fn the_tree_sitter_grammar_has_the_words_of_the_program() {
    holds("grammar/tree-sitter-brass/words.json", &pretty(&tree_sitter::lists()));
}

#[test]
fn the_syntax_of_kate_has_the_words_of_the_program() {
    holds("editors/kate/brass.xml", &kate::syntax());
}

#[test]
fn the_syntax_of_sublime_text_has_the_words_of_the_program() {
    holds("editors/sublime/Brass score.sublime-syntax", &sublime::syntax());
}

#[test]
fn the_queries_of_editors_are_those_of_the_tree_sitter_grammar() {
    let query = |name: &str| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/tree-sitter-brass/queries").join(name);
        std::fs::read_to_string(path).unwrap()
    };
    let helix = |name: &str| tree_sitter::renamed(&query(name), &tree_sitter::HELIX);
    holds("editors/helix/queries/brass/highlights.scm", &helix("highlights.scm"));
    holds("editors/helix/queries/brass/locals.scm", &helix("locals.scm"));
    let zed = tree_sitter::renamed(&query("highlights.scm"), &tree_sitter::ZED);
    holds("editors/zed/languages/brass/highlights.scm", &zed);
}

#[test]
fn the_lists_for_vim_and_emacs_have_the_words_of_the_program() {
    let from = "Words of the program, written by tests/grammar\n";
    holds_between("editors/vim/syntax/brass.vim", from, "\" End of them\n", &lists::vim());
    holds_between("editors/emacs/brass-mode.el", from, ";; End of them\n", &lists::emacs());
}
