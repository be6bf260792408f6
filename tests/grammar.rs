//! Grammars for editors, whose lists of words are those of the program.
//!
//! `WATERKEY_GRAMMARS=write cargo test --test grammar` writes them anew.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use serde_json::{Value, json};
use std::path::Path;
use waterkey::assist::glossary::{Class, entries};
use waterkey::brass::catalogue;

/// The words of some classes, longest first so that none hides a longer one, ready for a pattern.
fn words(classes: &[Class]) -> String {
    let letters = |w: &str| w.chars().any(|c| c.is_ascii_alphabetic());
    let is_word = |w: &&str| letters(w) && w.chars().all(|c| c.is_ascii_alphabetic() || c == '-');
    let all = entries().filter(|(class, ..)| classes.iter().any(|c| c.word() == *class));
    alternatives(all.map(|(_, word, _)| word).filter(is_word).map(str::to_owned).collect())
}

fn alternatives(mut all: Vec<String>) -> String {
    all.sort_by(|a, b| b.len().cmp(&a.len()).then(a.cmp(b)));
    all.dedup();
    all.join("|")
}

fn techniques() -> String {
    let all = entries().filter(|(class, ..)| *class == Class::Mark.word());
    alternatives(all.filter_map(|(_, word, _)| word.strip_prefix(':')).map(str::to_owned).collect())
}

fn instruments() -> String {
    alternatives(catalogue::entries().map(|e| e.name.replace(' ', "[ \\t]+")).collect())
}

/// A rule of the grammar.
fn colour(scope: &str, pattern: impl Into<String>) -> Value {
    json!({"name": format!("{scope}.brass"), "match": pattern.into()})
}

const ID: &str = r"[\p{L}][\p{L}\p{M}\p{N}_]*";

fn textmate() -> Value {
    let line_words = words(&[Class::Line]);
    json!({
        "name": "Brass score",
        "scopeName": "source.brass",
        "fileTypes": ["brass"],
        "patterns": [
            {"include": "#remark"},
            {"include": "#declared"},
            {"include": "#block"},
            {"include": "#head"},
            {"include": "#row"},
        ],
        "repository": {
            "remark": colour("comment.line.double-slash", r"(?:^|(?<=[ \t]))//(?:[ \t].*)?$"),
            "quoted": colour("string.quoted.double", r#""[^"]*""#),
            "declared": {
                "match": format!(r"^[ \t]*(player|group|instrument|phrase)[ \t]+({ID})"),
                "captures": {
                    "1": {"name": "keyword.control.brass"},
                    "2": {"name": "variable.other.definition.brass"},
                },
            },
            "block": {
                "begin": r"^[ \t]*(bar)\b",
                "beginCaptures": {"1": {"name": "keyword.control.brass"}},
                "end": "$",
                "patterns": [
                    {"include": "#remark"},
                    {"include": "#quoted"},
                    colour("support.type.property-name", format!(r"\b(?:{})\b", words(&[Class::Setting]))),
                    {"include": "#length"},
                    colour("constant.numeric", r"\b\d+\b"),
                ],
            },
            "head": {
                "match": format!(r"^[ \t]*({line_words})\b"),
                "captures": {"1": {"name": "keyword.control.brass"}},
            },
            "row": {
                "patterns": [
                    {"include": "#remark"},
                    {"include": "#quoted"},
                    {"include": "#instruction"},
                    colour("keyword.operator.barline", r"\|"),
                    {
                        "match": format!(r"^[ \t]*({ID})(?=[^|]*\|)"),
                        "captures": {"1": {"name": "variable.other.brass"}},
                    },
                    {"include": "#pitch"},
                    colour("entity.name.function.technique", format!(r":(?:{})\b", techniques())),
                    colour("constant.other.choice", r"@[A-Za-z0-9]+"),
                    {"include": "#length"},
                    colour("keyword.other.dynamic", format!(r"(?<![\w:])(?:{})(?![\w:])", words(&[Class::Dynamic]))),
                    colour("keyword.other.bars", format!(r"\b(?:{})\b", words(&[Class::Bars]))),
                    colour("support.type.instrument", format!(r"\b(?:{})\b", instruments())),
                    colour(
                        "support.constant",
                        format!(
                            r"\b(?:{})(?![\w-])",
                            words(&[Class::Option, Class::Level, Class::Basis, Class::Clef, Class::Mute, Class::Build])
                        ),
                    ),
                ],
            },
            "instruction": {
                "begin": r"\[",
                "end": r"\]|$",
                "name": "meta.preprocessor.instruction.brass",
                "patterns": [
                    {"include": "#quoted"},
                    colour("keyword.other.instruction", format!(r"(?<=\[)(?:{})(?![\w-])", words(&[Class::Instruction]))),
                    colour("support.constant.mute", format!(r"\b(?:{})(?![\w-])", words(&[Class::Mute]))),
                ],
            },
            "pitch": colour("constant.character.pitch", r"(?<![\p{L}\p{N}_:@])[A-G](?:#|x|bb|b|♯|♭|𝄪|𝄫)?[0-9](?![\p{L}\p{N}])"),
            "length": colour("constant.numeric.length", r"(?<![\p{L}\p{N}_:@])(?:ww?|h|q|e|s{1,3})(?=[.\-=*+: }]|$)"),
        },
    })
}

#[test]
fn the_textmate_grammar_has_the_words_of_the_program() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/brass.tmLanguage.json");
    let wanted = serde_json::to_string_pretty(&textmate()).unwrap() + "\n";
    if std::env::var_os("WATERKEY_GRAMMARS").is_some_and(|v| v == "write") {
        std::fs::write(&path, &wanted).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == wanted, "{} is out of date: WATERKEY_GRAMMARS=write writes it", path.display());
}
