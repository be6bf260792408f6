//! `waterkey tidy`: writes scores in the canonical layout.

use super::out::Out;
use super::{CLEAN, FAILED, FOUND};
use crate::host::write::replace_text;
use crate::host::{find_scores, read, read_score};
use crate::notation::Document;
use crate::notation::layout::tidied;
use clap::Args;
use std::io;
use std::path::{Path, PathBuf};

/// Lay a score out neatly: barlines in columns, notes under their places; nothing that sounds changes
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey tidy harbour.brass    lay one score out\n  \
        waterkey tidy scores           every .brass file in a folder and the folders in it\n  \
        waterkey tidy --check scores   only tell which are not tidy\n  \
        waterkey tidy - < x.brass      read standard input, write standard output\n\n\
        Comments, blank lines and the spelling of notes stay. Lines that cannot be read stay as they are.\n\n\
        Exit status: 0 all is tidy now, 1 with --check something is not, 2 something could not be done.")]
pub struct Tidy {
    /// Scores, or folders to search for scores; - reads one score from standard input
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Change nothing; name the scores that are not tidy
    #[arg(long)]
    check: bool,
}

impl Tidy {
    pub fn run(self, out: &mut Out) -> u8 {
        let (input, places): (Vec<_>, Vec<_>) =
            self.paths.iter().cloned().partition(|p| p.as_os_str() == "-");
        let (scores, missing) = find_scores(&places);
        for place in &missing {
            out.trouble(&place.to_string());
        }
        let mut status = if missing.is_empty() { CLEAN } else { FAILED };
        for score in &scores {
            status = status.max(self.file(score, out));
        }
        if !input.is_empty() {
            status = status.max(self.input(out));
        }
        status
    }

    fn file(&self, score: &Path, out: &mut Out) -> u8 {
        let name = score.display();
        let text = match read_score(score) {
            Ok(text) => text,
            Err(why) => {
                out.trouble(&format!("{name}: {why}"));
                return FAILED;
            }
        };
        let tidy = tidied(Document::new(&text).lines());
        if tidy == text {
            return CLEAN;
        }
        if self.check {
            out.line(&format!("{name} is not tidy"));
            return FOUND;
        }
        match replace_text(score, &tidy) {
            Ok(()) => {
                out.line(&format!("{name} is tidy now"));
                CLEAN
            }
            Err(why) => {
                out.trouble(&format!("{name}: could not be written: {why}"));
                FAILED
            }
        }
    }

    fn input(&self, out: &mut Out) -> u8 {
        let text = match read::text_of(io::stdin().lock(), read::LARGEST) {
            Ok(text) => text,
            Err(why) => {
                out.trouble(&format!("standard input: {why}"));
                return FAILED;
            }
        };
        let tidy = tidied(Document::new(&text).lines());
        if !self.check {
            out.text(&tidy);
            CLEAN
        } else if tidy == text {
            CLEAN
        } else {
            out.line("standard input is not tidy");
            FOUND
        }
    }
}
