//! Colours on a terminal, and texts made safe to print.

use crate::rules::Severity;

/// Colours, or none.
#[derive(Debug, Clone, Copy)]
pub struct Paint(pub bool);

impl Paint {
    fn sgr(self, code: &str, text: &str) -> String {
        if self.0 { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
    }

    /// Stands out.
    pub fn strong(self, text: &str) -> String {
        self.sgr("1", text)
    }

    /// Stands back.
    pub fn quiet(self, text: &str) -> String {
        self.sgr("2", text)
    }

    /// In the colour of a severity.
    pub fn severity(self, severity: Severity, text: &str) -> String {
        let code = match severity {
            Severity::Error => "1;31",
            Severity::Warning => "33",
            Severity::Information => "36",
            Severity::Hint => "2",
        };
        self.sgr(code, text)
    }
}

/// The character, or a stand-in for one that would steer the terminal or turn the text round.
pub fn harmless(c: char) -> char {
    match c {
        '\u{202a}'..='\u{202e}'
        | '\u{2066}'..='\u{2069}'
        | '\u{200e}'
        | '\u{200f}'
        | '\u{2028}'
        | '\u{2029}' => '\u{fffd}',
        c if c.is_control() => '\u{fffd}',
        c => c,
    }
}

/// A text with every character made harmless.
pub fn plain(text: &str) -> String {
    text.chars().map(harmless).collect()
}
