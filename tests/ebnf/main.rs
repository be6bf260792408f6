//! The grammar in `grammar/brass.ebnf` and the program say the same of every line.
//!
//! `WATERKEY_GRAMMARS=write cargo test --test ebnf` writes its lists of words anew.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod accept;
mod form;
mod others;
mod sentence;
mod told;

use accept::accepts;
use form::{Grammar, loose, read};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use waterkey::assist::glossary::{Class, entries};
use waterkey::brass::catalogue;
use waterkey::notation::{Ending, Line, read_line};

static GRAMMAR: LazyLock<Grammar> = LazyLock::new(|| read(&written()).unwrap());

fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/brass.ebnf")
}

fn written() -> String {
    std::fs::read_to_string(path()).unwrap()
}

/// The lists of words, as the grammar has them below its last comment.
fn lists() -> String {
    let of = |class: Class| {
        let words = entries().filter(move |(c, ..)| *c == class.word()).map(|(_, word, _)| word.to_owned());
        words.collect::<Vec<_>>()
    };
    let techniques = of(Class::Mark).into_iter().filter(|w| w.len() > 1 && w.starts_with(':')).collect();
    let instruments = catalogue::entries().map(|e| e.name.to_owned()).collect::<BTreeSet<_>>();
    let lists: [(&str, Vec<String>); 9] = [
        ("level", of(Class::Level)),
        ("basis", of(Class::Basis)),
        ("clef", of(Class::Clef)),
        ("register", of(Class::Register)),
        ("mute", of(Class::Mute)),
        ("dynamic", of(Class::Dynamic)),
        ("value", of(Class::Value)),
        ("technique", techniques),
        ("instrument name", instruments.into_iter().collect()),
    ];
    let mut out = String::new();
    for (name, words) in lists {
        let mut line = format!("\n{name} =");
        for (i, word) in words.iter().enumerate() {
            let word = format!("{} \"{word}\"", if i == 0 { "" } else { " |" });
            if line.len() + word.len() > 105 {
                out += &line;
                line = "\n   ".to_owned();
            }
            line += &word;
        }
        out += &format!("{line} ;");
    }
    out + "\n"
}

#[test]
fn the_words_are_those_of_the_program() {
    const MARK: &str = "(* The program's words; written by its test *)\n";
    let (before, after) = written().split_once(MARK).map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
    let wanted = lists();
    if std::env::var_os("WATERKEY_GRAMMARS").is_some_and(|v| v == "write") {
        std::fs::write(path(), format!("{before}{MARK}{wanted}")).unwrap();
    } else {
        assert!(after == wanted, "the lists of words are out of date: WATERKEY_GRAMMARS=write writes them");
    }
}

#[test]
fn every_name_has_a_rule_and_every_rule_a_use() {
    assert_eq!(loose(&GRAMMAR, "line"), Vec::<String>::new());
}

/// Faults of form, without those that the grammar tells in words: that a thing stands once, that a phrase does not
/// begin with what it continues.
fn faults_of_form(line: &Line) -> Vec<&str> {
    let told = |text: &str| {
        ["twice", "two fingerings", "A phrase cannot begin with"].iter().any(|words| text.contains(words))
    };
    line.faults.iter().map(|f| &*f.text).filter(|text| !told(text)).collect()
}

/// Texts that people wrote: all samples, all fixtures.
fn texts() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![root.join("samples"), root.join("tests/fixtures"), root.join("tests/assist")];
    let mut all = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            match entry.extension() {
                _ if entry.is_dir() => folders.push(entry),
                Some(extension) if extension == "brass" => all.push(entry),
                _ => {}
            }
        }
    }
    all
}

#[test]
fn every_line_that_people_wrote_and_the_program_reads_is_in_the_grammar() {
    let (mut lines, mut strange) = (BTreeSet::new(), Vec::new());
    for path in texts() {
        let text = std::fs::read_to_string(&path).unwrap();
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(&text);
        for line in text.split(['\n', '\r']).filter(|l| l.len() < 2000) {
            if lines.insert(line.to_owned())
                && read_line(line, Ending::Lf).faults.is_empty()
                && !accepts(&GRAMMAR, "line", line)
            {
                strange.push(format!("{}: {line}", path.file_name().unwrap().display()));
            }
        }
    }
    assert!(lines.len() > 2000, "{}", lines.len());
    assert!(strange.is_empty(), "{} lines:\n{}", strange.len(), strange.join("\n"));
}

#[test]
fn every_line_that_people_wrote_and_the_grammar_takes_is_read() {
    let mut strange = BTreeSet::new();
    for path in texts() {
        let text = std::fs::read_to_string(&path).unwrap();
        for line in text.split(['\n', '\r']).filter(|l| l.len() < 2000) {
            let read = read_line(line, Ending::Lf);
            let faults = faults_of_form(&read);
            if !faults.is_empty() && accepts(&GRAMMAR, "line", line) {
                strange.insert(format!("{line}\n    {faults:?}"));
            }
        }
    }
    assert!(
        strange.is_empty(),
        "{} lines:\n{}",
        strange.len(),
        strange.into_iter().collect::<Vec<_>>().join("\n")
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, ..ProptestConfig::default() })]

    #[test]
    fn every_sentence_of_the_grammar_is_read(seed in any::<u64>()) {
        let line = sentence::sentence(&GRAMMAR, "line", seed);
        prop_assert!(accepts(&GRAMMAR, "line", &line), "the grammar itself does not take {line:?}");
        let read = read_line(&line, Ending::Lf);
        prop_assert!(faults_of_form(&read).is_empty(), "{line:?}: {:?}", faults_of_form(&read));
    }
}
