//! The one writer to standard output, and the one to standard error.

use super::FAILED;
use std::ffi::OsStr;
use std::io::{self, BufWriter, IsTerminal, Stderr, Stdout, Write};

/// Where a command's answer and its complaints go.
///
/// A reader that has gone away (`| head`) is no fault: what remains is dropped and the status stays.
pub struct Out {
    answer: BufWriter<Stdout>,
    complaints: Stderr,
    colour: bool,
    colour_on_error: bool,
    lost: Option<io::Error>,
}

impl Out {
    pub fn new() -> Out {
        let variable = |name| std::env::var_os(name).unwrap_or_default();
        let (no_color, term) = (variable("NO_COLOR"), variable("TERM"));
        Out {
            colour: wants_colour(&no_color, &term, io::stdout().is_terminal()),
            colour_on_error: wants_colour(&no_color, &term, io::stderr().is_terminal()),
            answer: BufWriter::new(io::stdout()),
            complaints: io::stderr(),
            lost: None,
        }
    }

    /// True if the answer may be coloured.
    pub fn colour(&self) -> bool {
        self.colour
    }

    /// True if complaints may be coloured.
    pub fn colour_on_error(&self) -> bool {
        self.colour_on_error
    }

    /// Writes a piece of the answer.
    pub fn text(&mut self, text: &str) {
        if self.lost.is_none() {
            self.lost = self.answer.write_all(text.as_bytes()).err();
        }
    }

    /// Writes a line of the answer.
    pub fn line(&mut self, text: &str) {
        self.text(text);
        self.text("\n");
    }

    /// Writes a line to standard error: what could not be done.
    pub fn trouble(&mut self, text: &str) {
        // With nowhere left to complain to, the exit status has to do.
        let _ = writeln!(self.complaints, "{text}");
    }

    /// Hands over what is still held back; the status, unless the answer could not be written.
    pub fn finish(mut self, status: u8) -> u8 {
        let lost = self.lost.take().or_else(|| self.answer.flush().err());
        match lost {
            Some(error) if error.kind() != io::ErrorKind::BrokenPipe => {
                self.trouble(&format!("the answer could not be written: {error}"));
                FAILED
            }
            _ => status,
        }
    }
}

/// Colours for a terminal that knows them, unless NO_COLOR is set to anything (no-color.org).
fn wants_colour(no_color: &OsStr, term: &OsStr, terminal: bool) -> bool {
    terminal && no_color.is_empty() && term != "dumb"
}

#[cfg(test)]
mod tests {
    use super::wants_colour;

    #[test]
    fn colours_only_where_they_are_wanted() {
        let wants =
            |no_color: &str, term: &str, terminal| wants_colour(no_color.as_ref(), term.as_ref(), terminal);
        assert!(wants("", "xterm", true));
        assert!(!wants("", "xterm", false));
        assert!(!wants("1", "xterm", true));
        assert!(!wants("", "dumb", true));
    }
}
