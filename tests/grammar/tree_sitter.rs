//! The lists of words of the tree-sitter grammar, and its colours under the names that editors have for them.

use super::words::{instruments, of, signs, techniques};
use serde_json::{Value, json};
use waterkey::assist::glossary::Class;

pub fn lists() -> Value {
    json!({
        "basis": of(Class::Basis),
        "clef": of(Class::Clef),
        "dynamic": of(Class::Dynamic),
        "instruction": of(Class::Instruction),
        "instrument": instruments(),
        "level": of(Class::Level),
        "mute": of(Class::Mute),
        "register": of(Class::Register),
        "sign": signs(),
        "technique": techniques(),
        "value": of(Class::Value),
    })
}

/// Names of colours in Helix, where they differ.
pub const HELIX: [(&str, &str); 4] = [
    ("comment", "comment.line"),
    ("property", "variable.other.member"),
    ("number", "constant.numeric"),
    ("local.definition", "local.definition.variable"),
];

/// Names of colours in Zed, where they differ.
pub const ZED: [(&str, &str); 1] = [("function.builtin", "function")];

/// A query with other names for what it captures.
pub fn renamed(query: &str, names: &[(&str, &str)]) -> String {
    let mut out =
        "; Written by tests/grammar of the project, from grammar/tree-sitter-brass/queries.\n".to_owned();
    for (i, part) in query.split('@').enumerate() {
        if i == 0 {
            out += part;
            continue;
        }
        let end = part.find(|c: char| !c.is_ascii_alphanumeric() && c != '.').unwrap_or(part.len());
        let (name, rest) = part.split_at(end);
        let name = names.iter().find(|(common, _)| *common == name).map_or(name, |(_, own)| own);
        out += &format!("@{name}{rest}");
    }
    out
}
