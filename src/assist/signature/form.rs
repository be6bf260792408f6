//! A form with its parts.

use crate::notation::Span;

/// A part of a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parameter {
    /// Where it stands in the label, in bytes.
    pub span: Span,
    /// What it is, as Markdown of one line.
    pub text: String,
}

/// A form as it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature {
    pub label: String,
    /// What the whole is, as Markdown of one line.
    pub text: String,
    pub parameters: Vec<Parameter>,
    /// The part that is being typed; `None` if it is none of them.
    pub active: Option<usize>,
}

/// Puts a form together from its pieces.
#[derive(Debug, Clone, Default)]
pub struct Form {
    label: String,
    parameters: Vec<Parameter>,
}

impl Form {
    /// Nothing yet.
    pub fn new() -> Form {
        Form::default()
    }

    /// Words that stand as they are.
    pub fn say(mut self, text: &str) -> Form {
        self.label.push_str(text);
        self
    }

    /// A part to fill in, and what it is.
    pub fn part(mut self, name: &str, text: impl Into<String>) -> Form {
        let start = self.label.len() as u32;
        self.label.push_str(name);
        let span = Span::new(start, self.label.len() as u32);
        self.parameters.push(Parameter { span, text: text.into() });
        self
    }

    /// The form, with what it is and the part that is being typed: the last one for all beyond it if there
    /// may be `more` of it.
    pub fn done(self, text: impl Into<String>, active: Option<usize>, more: bool) -> Signature {
        let last = self.parameters.len().checked_sub(1);
        let active = match (active, last) {
            (Some(active), Some(last)) if active <= last => Some(active),
            (Some(_), Some(last)) if more => Some(last),
            _ => None,
        };
        Signature { label: self.label, text: text.into(), parameters: self.parameters, active }
    }
}
