//! Tells what the syntax for Sublime Text colours, for `colours.py`: `sublime-colours SYNTAX SCORES…`.

use std::error::Error;
use std::fs;
use syntect::parsing::{ParseState, ScopeStack, SyntaxDefinition, SyntaxSetBuilder};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let written = fs::read_to_string(arguments.next().ok_or("which syntax?")?)?;
    // Whatever in the file cannot be read is told here.
    let syntax = SyntaxDefinition::load_from_str(&written, true, None)?;
    let mut builder = SyntaxSetBuilder::new();
    builder.add(syntax);
    let set = builder.build();
    let syntax = set.find_syntax_by_extension("brass").ok_or("it is for no file that ends in .brass")?;
    for path in arguments {
        let text = fs::read_to_string(&path)?;
        let (mut state, mut stack) = (ParseState::new(syntax), ScopeStack::new());
        let mut lines = Vec::new();
        for line in text.split('\n') {
            let ended = format!("{line}\n");
            let (mut pieces, mut from) = (Vec::new(), 0);
            for (at, change) in state.parse_line(&ended, &set)? {
                piece(line, from, at, &stack, &mut pieces);
                from = at;
                stack.apply(&change)?;
            }
            piece(line, from, line.len(), &stack, &mut pieces);
            lines.push(pieces);
        }
        println!("{}", serde_json::json!({"path": path, "lines": lines}));
    }
    Ok(())
}

/// The innermost scope says it; the outermost is the language.
fn piece(line: &str, from: usize, to: usize, stack: &ScopeStack, pieces: &mut Vec<(String, Option<String>)>) {
    let to = to.min(line.len());
    if from < to {
        let scope = stack.as_slice().iter().skip(1).next_back().map(ToString::to_string);
        pieces.push((line[from..to].to_owned(), scope));
    }
}
