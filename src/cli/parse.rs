//! `waterkey parse`: how a score was read, line by line.

use super::out::Out;
use super::report::place::lines;
use super::{CLEAN, FAILED};
use crate::host::{ReadError, read, read_score};
use crate::notation::{Ending, print, read_line};
use clap::Args;
use std::io;
use std::path::PathBuf;

/// Print how each line of a score was read, for those who work on the notation
#[derive(Args)]
#[command(after_help = "Example:\n  \
        waterkey parse harbour.brass\n\n\
        Lines are counted from 1; places in a line are bytes from 0. The form is for people and may change.")]
pub struct Parse {
    /// The score; - reads standard input
    #[arg(value_name = "PATH")]
    path: PathBuf,
}

impl Parse {
    pub fn run(self, out: &mut Out) -> u8 {
        let text = match self.text() {
            Ok(text) => text,
            Err(why) => {
                out.trouble(&format!("{}: {why}", self.path.display()));
                return FAILED;
            }
        };
        let mut all = lines(&text);
        // What follows the last line end is a line only if something stands there.
        all.pop_if(|last| last.is_empty());
        for (at, line) in all.into_iter().enumerate() {
            let tree = print::print(&read_line(line, Ending::Lf));
            let mut rows = tree.lines();
            out.line(&format!("{:>5}  {}", at + 1, rows.next().unwrap_or_default()));
            rows.for_each(|row| out.line(&format!("       {row}")));
        }
        CLEAN
    }

    fn text(&self) -> Result<String, ReadError> {
        if self.path.as_os_str() == "-" {
            read::text_of(io::stdin().lock(), read::LARGEST)
        } else {
            read_score(&self.path)
        }
    }
}
