//! The lists of words of the tree-sitter grammar.

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
