//! `waterkey report`: the rehearsal sheet of a score.

use super::out::Out;
use super::reading::one_score;
use super::written_file::{name_of, tell_faults, write_file};
use super::{FAILED, width};
use crate::assist::sheet::sheet;
use crate::exchange::sheet::{html, json, text};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Show what a score asks of each player: span, time, rests, high passages, mutes, hard bars
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey report harbour.brass                          the sheet as text\n  \
        waterkey report harbour.brass --format html -o h.html  a page with a chart for each player\n  \
        waterkey report harbour.brass --format json            for programs\n  \
        waterkey report - < x.brass                            read the score from standard input\n\n\
        Time is that of playing, repeats and road map unrolled. A rest is as long as for the rule no-rest, high\n\
        is what lies above the mark of the rule long-high, and where a part has several seats it is the first\n\
        that is told. Changes tell the seconds between the last note before and the first note after. The page\n\
        is one file that needs nothing else; it can be printed.\n\n\
        Exit status: 0 the sheet is written, 1 it is written but the score has faults of reading, so that\n\
        something may be missing, 2 it could not be written.")]
pub struct Sheet {
    /// The score; - reads it from standard input
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// For people at a terminal, for a browser or a printer, or for programs
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Write it into this file, in the place of what it holds
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Text,
    Json,
    Html,
}

impl Sheet {
    pub fn run(self, out: &mut Out) -> u8 {
        match self.write(out) {
            Ok(status) => status,
            Err(why) => {
                out.trouble(&why);
                FAILED
            }
        }
    }

    fn write(&self, out: &mut Out) -> Result<u8, String> {
        let name = name_of(&self.path);
        let desk = one_score(&self.path, out).map_err(|why| format!("{name}: {why}"))?;
        let sheet = sheet(&desk);
        let told = match self.format {
            Format::Text => text(&sheet, width()),
            Format::Html => html(&sheet),
            Format::Json => {
                json(&sheet).map_err(|why| format!("the sheet could not be written: {why}"))? + "\n"
            }
        };
        match &self.output {
            None => out.text(&told),
            Some(file) => write_file(file, told.as_bytes(), &self.path, out)?,
        }
        Ok(tell_faults(&desk, None, &self.path, out))
    }
}
