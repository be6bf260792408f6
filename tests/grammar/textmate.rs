//! The grammar in the form of TextMate, for VS Code and whatever else reads it.

use super::colours::{Colour, Rule, contexts};
use serde_json::{Map, Value, json};

/// The name of a colour, by the conventions of that form.
pub fn scope(colour: Colour) -> &'static str {
    match colour {
        Colour::Comment => "comment.line.double-slash.brass",
        Colour::Text => "string.quoted.double.brass",
        Colour::Keyword => "keyword.control.brass",
        Colour::Property => "support.type.property-name.brass",
        Colour::Builtin => "constant.language.brass",
        Colour::Type => "entity.name.type.brass",
        Colour::Variable => "variable.other.brass",
        Colour::Function => "entity.name.function.brass",
        Colour::Technique => "support.function.technique.brass",
        Colour::Note => "constant.character.note.brass",
        Colour::Constant => "constant.other.brass",
        Colour::Label => "entity.name.label.brass",
        Colour::Number => "constant.numeric.brass",
        Colour::Dynamic => "storage.modifier.brass",
        Colour::Operator => "keyword.operator.brass",
        Colour::Delimiter => "punctuation.separator.brass",
        Colour::Bracket => "punctuation.section.brackets.brass",
    }
}

fn include(name: &str) -> Value {
    json!({"include": format!("#{name}")})
}

/// A stretch from `begin` to the end of its context.
fn stretch(begin: &str, colour: Option<Colour>, context: &'static str) -> Value {
    let mut end = "$".to_owned();
    let mut captures = Map::new();
    let all = contexts();
    let inside = all.iter().find(|c| c.name == context).map(|c| c.rules.as_slice()).unwrap_or_default();
    // Here a context has one end: groups tell which of its ways it went.
    for rule in inside {
        match rule {
            Rule::Last(last, pattern) => {
                captures.insert((captures.len() + 1).to_string(), json!({"name": scope(*last)}));
                end = format!("{}|({pattern})", end);
            }
            Rule::Until(pattern) => end = format!("{}|(?={pattern})", end),
            _ => {}
        }
    }
    let mut rule =
        json!({"begin": begin, "end": end, "applyEndPatternLast": true, "patterns": [include(context)]});
    if let Some(colour) = colour {
        rule["beginCaptures"] = json!({"0": {"name": scope(colour)}});
    }
    if !captures.is_empty() {
        rule["endCaptures"] = Value::Object(captures);
    }
    rule
}

/// The whole grammar.
pub fn textmate() -> Value {
    let mut repository = Map::new();
    for context in contexts() {
        let patterns: Vec<Value> = context
            .rules
            .iter()
            .filter_map(|rule| match rule {
                Rule::Match(colour, pattern, None) => Some(json!({"name": scope(*colour), "match": pattern})),
                Rule::Match(colour, pattern, Some(to)) => Some(stretch(pattern, Some(*colour), to)),
                Rule::Ahead(pattern, to) => Some(stretch(&format!("(?={pattern})"), None, to)),
                Rule::Of(name) => Some(include(name)),
                Rule::Last(..) | Rule::Until(_) => None,
            })
            .collect();
        repository.insert(context.name.to_owned(), json!({ "patterns": patterns }));
    }
    json!({
        "name": "Brass score",
        "scopeName": "source.brass",
        "fileTypes": ["brass"],
        "patterns": [include("line")],
        "repository": repository,
    })
}
