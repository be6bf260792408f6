//! The grammar in the form of Sublime Text.

use super::colours::{Colour, Rule, contexts};
use super::textmate::scope;
use std::fmt::Write;

fn quoted(pattern: &str) -> String {
    format!("'{}'", pattern.replace('\'', "''"))
}

fn matched(out: &mut String, pattern: &str, colour: Option<Colour>, action: &str) {
    writeln!(out, "    - match: {}", quoted(pattern)).unwrap();
    if let Some(colour) = colour {
        writeln!(out, "      scope: {}", scope(colour)).unwrap();
    }
    if !action.is_empty() {
        writeln!(out, "      {action}").unwrap();
    }
}

pub fn syntax() -> String {
    let mut out = "%YAML 1.2\n---\n# Written by tests/grammar of the project.\n\
                   name: Brass score\nfile_extensions: [brass]\nscope: source.brass\nversion: 2\n\ncontexts:\n"
        .to_owned();
    for (i, context) in contexts().iter().enumerate() {
        let name = if i == 0 { "main" } else { context.name };
        writeln!(out, "  {name}:").unwrap();
        // What is only included ends with what includes it.
        if i > 0 && name != "common" {
            matched(&mut out, "$", None, "pop: true");
        }
        for rule in &context.rules {
            match rule {
                Rule::Match(colour, pattern, None) => matched(&mut out, pattern, Some(*colour), ""),
                Rule::Match(colour, pattern, Some(to)) => {
                    matched(&mut out, pattern, Some(*colour), &format!("push: {to}"));
                }
                Rule::Last(colour, pattern) => matched(&mut out, pattern, Some(*colour), "pop: true"),
                Rule::Ahead(pattern, to) => {
                    matched(&mut out, &format!("(?={pattern})"), None, &format!("push: {to}"))
                }
                Rule::Until(pattern) => matched(&mut out, &format!("(?={pattern})"), None, "pop: true"),
                Rule::Of(name) => writeln!(out, "    - include: {name}").unwrap(),
            }
        }
        out.push('\n');
    }
    out.truncate(out.trim_end().len());
    out + "\n"
}
