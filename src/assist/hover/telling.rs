//! What is told on hovering, once, for both ways of showing it.

use super::Hover;
use crate::notation::Span;

/// A title and what follows it.
#[derive(Debug, Clone, Default)]
pub struct Telling {
    title: String,
    parts: Vec<Part>,
}

#[derive(Debug, Clone)]
enum Part {
    /// A label and plain text.
    Fact(String, String),
    /// Markdown of our own.
    Text(String),
    /// In letters of one width.
    Drawn(String),
}

impl Telling {
    /// With a title in plain text.
    pub fn new(title: impl Into<String>) -> Telling {
        Telling { title: title.into(), parts: Vec::new() }
    }

    /// Adds a label and a plain text; nothing for an empty text.
    pub fn fact(&mut self, label: impl Into<String>, value: impl Into<String>) {
        let value = value.into();
        if !value.is_empty() {
            self.parts.push(Part::Fact(label.into(), value));
        }
    }

    /// Adds a paragraph of Markdown.
    pub fn text(&mut self, markdown: impl Into<String>) {
        self.parts.push(Part::Text(markdown.into()));
    }

    /// Adds a line that is drawn in letters of one width.
    pub fn drawn(&mut self, line: impl Into<String>) {
        self.parts.push(Part::Drawn(line.into()));
    }

    /// Written out.
    pub fn hover(&self, line: u32, span: Span) -> Hover {
        Hover { line, span, markdown: self.markdown(), plain: self.plain() }
    }

    /// As Markdown.
    pub fn markdown(&self) -> String {
        let mut out = format!("**{}**\n", escaped(&self.title));
        let mut listed = false;
        for part in &self.parts {
            match part {
                Part::Fact(label, value) => {
                    out.push_str(if listed { "" } else { "\n" });
                    out.push_str(&format!("- {}: {}\n", escaped(label), escaped(value)));
                }
                Part::Text(text) => out.push_str(&format!("\n{text}\n")),
                Part::Drawn(line) => out.push_str(&format!("\n```text\n{line}\n```\n")),
            }
            listed = matches!(part, Part::Fact(..));
        }
        out
    }

    /// Without Markdown.
    pub fn plain(&self) -> String {
        let mut out = format!("{}\n", self.title);
        for part in &self.parts {
            match part {
                Part::Fact(label, value) => out.push_str(&format!("{label}: {value}\n")),
                Part::Text(text) => out.push_str(&format!("{}\n", text.replace(['`', '*'], ""))),
                Part::Drawn(line) => out.push_str(&format!("{line}\n")),
            }
        }
        out
    }
}

/// Text that Markdown would take for signs of its own, made safe.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' => {
                out.push('\\');
                out.push(c);
            }
            '\n' | '\r' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
