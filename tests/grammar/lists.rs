//! Lists of words inside files that people write: for Vim and Emacs.

use super::words::{alternatives, instruments, of, spelled, techniques};
use waterkey::assist::glossary::Class;

/// Longest first, so that none hides a longer one.
fn longest_first(mut words: Vec<String>) -> Vec<String> {
    words.sort_by(|a, b| b.len().cmp(&a.len()).then(a.cmp(b)));
    words.dedup();
    words
}

/// The lists that both have: name, words.
fn lists() -> [(&'static str, Vec<String>); 7] {
    let bare = techniques().iter().map(|word| word[1..].to_owned()).collect();
    [
        ("line", longest_first(of(Class::Line))),
        ("setting", longest_first(of(Class::Setting))),
        ("option", longest_first(spelled(&[Class::Option, Class::Build]))),
        ("value", longest_first(spelled(&[Class::Level, Class::Basis, Class::Clef, Class::Mute]))),
        ("instrument", longest_first(instruments())),
        ("dynamic", longest_first(of(Class::Dynamic))),
        ("technique", longest_first(bare)),
    ]
}

pub fn vim() -> String {
    let mut out = String::new();
    for (name, words) in lists() {
        // Those of several words stand in a pattern, where a bar between them is escaped.
        let pattern = alternatives(words).replace('|', r"\|");
        out += &format!("let s:{name} = '{pattern}'\n");
    }
    out
}

pub fn emacs() -> String {
    let mut out = String::new();
    for (name, words) in lists() {
        let mut line = format!("(defconst brass--{name}-words\n  '(");
        let mut width = 4;
        for (i, word) in words.iter().enumerate() {
            let said = format!("\"{word}\"");
            if i > 0 && width + said.len() > 76 {
                line += "\n    ";
                width = 4;
            } else if i > 0 {
                line.push(' ');
            }
            width += said.len() + 1;
            line += &said;
        }
        out += &format!("{line}))\n");
    }
    out
}
