//! The grammar in the form of TextMate, for VS Code and whatever else reads it.

use super::words::{alternatives, instruments, techniques, words};
use serde_json::{Value, json};
use waterkey::assist::glossary::Class;

/// A rule of the grammar.
fn colour(scope: &str, pattern: impl Into<String>) -> Value {
    json!({"name": format!("{scope}.brass"), "match": pattern.into()})
}

const ID: &str = r"[\p{L}][\p{L}\p{M}\p{N}_]*";

/// The whole grammar.
pub fn textmate() -> Value {
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
                    colour("entity.name.function.technique", format!(r":(?:{})\b", alternatives(techniques().iter().map(|w| w[1..].to_owned()).collect()))),
                    colour("constant.other.choice", r"@[A-Za-z0-9]+"),
                    {"include": "#length"},
                    colour("keyword.other.dynamic", format!(r"(?<![\w:])(?:{})(?![\w:])", words(&[Class::Dynamic]))),
                    colour("keyword.other.bars", format!(r"\b(?:{})\b", words(&[Class::Bars]))),
                    colour("support.type.instrument", format!(r"\b(?:{})\b", alternatives(instruments().iter().map(|name| name.replace(' ', "[ \\t]+")).collect()))),
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
