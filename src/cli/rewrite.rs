//! `waterkey rewrite`: a score written another way, so that the same is heard, or the same in another key.

mod asked;

use super::out::Out;
use super::reading::one_score;
use super::written_file::name_of;
use super::{CLEAN, FAILED};
use crate::assist::rewrite::{Refusal, Rewrite, rewritten, text_with};
use crate::host::FolderLoader;
use crate::host::write::replace_text;
use crate::rules::Desk;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// Write a score another way: at written pitch, in another key, with other figures, blocks, phrases or values
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey rewrite harbour.brass written                    as the players read it, on standard output\n  \
        waterkey rewrite harbour.brass -i concert                 back, in the file itself\n  \
        waterkey rewrite harbour.brass up m3                      the whole score, keys and chord symbols too\n  \
        waterkey rewrite harbour.brass down P8 --bars 9-12 --player Tu\n  \
        waterkey rewrite harbour.brass key C                      the nearest way to C\n  \
        waterkey rewrite harbour.brass instrument Tp1 cornet in Bb\n  \
        waterkey rewrite harbour.brass phrase oars --bars 3-4 --player Tp1\n  \
        waterkey rewrite - double < x.brass                       read standard input\n\n\
        What is heard, when and for how long stays as it is, or moves by exactly the interval; a layout in columns\n\
        stays one. What cannot be done so is refused with the reason, and nothing is written.\n\n\
        Exit status: 0 it is written, 2 it could not be done.")]
pub struct RewriteScore {
    /// The score; - reads it from standard input and writes standard output
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// Write into the file itself instead of standard output
    #[arg(short, long)]
    in_place: bool,

    #[command(subcommand)]
    what: What,
}

/// Which bars and whose.
#[derive(Args, Clone, Default)]
pub struct Where {
    /// Bars by number, such as 9 or 9-12; all without it
    #[arg(long, value_name = "FROM-TO", value_parser = bars)]
    bars: Option<(i64, i64)>,

    /// A player by ID; everybody without it
    #[arg(long, value_name = "PLAYER")]
    player: Option<String>,
}

/// What is to be done.
#[derive(Subcommand)]
pub enum What {
    /// What sounds
    Concert,
    /// What each player reads
    Written,
    /// By an interval upwards (m2 M2 m3 … P8); with --bars or --player only those notes, and the keys stay
    Up {
        interval: String,
        #[command(flatten)]
        place: Where,
    },
    /// By an interval downwards
    Down {
        interval: String,
        #[command(flatten)]
        place: Where,
    },
    /// The nearest way to a key, by its tonic: the first key of the score becomes this one
    Key { tonic: String },
    /// Bars under a rhythm row get figures of their own
    Own {
        #[command(flatten)]
        place: Where,
    },
    /// Figures that rows have in common go into a rhythm row
    Share {
        #[command(flatten)]
        place: Where,
    },
    /// Bars of one player's row become a phrase (--bars and --player are needed)
    Phrase {
        name: String,
        #[command(flatten)]
        place: Where,
    },
    /// A phrase is written out wherever it is played
    Inline { phrase: String },
    /// % and * are written out
    Expand {
        #[command(flatten)]
        place: Where,
    },
    /// A new block begins at this bar
    Split { bar: i64 },
    /// The block that begins at this bar is joined to the one before
    Join { bar: i64 },
    /// Bars are numbered on, from this number if there is one
    Renumber { from: Option<i64> },
    /// Another instrument for a player, who plays the same
    Instrument {
        player: String,
        #[arg(required = true, num_args = 1..)]
        instrument: Vec<String>,
    },
    /// All values twice as long, in the same seconds
    Double,
    /// All values half as long, in the same seconds
    Halve,
}

fn bars(text: &str) -> Result<(i64, i64), String> {
    let (from, to) = text.split_once('-').unwrap_or((text, text));
    match (from.trim().parse(), to.trim().parse()) {
        (Ok(from), Ok(to)) if from <= to => Ok((from, to)),
        _ => Err("bars are a number or two, such as 9 or 9-12".to_owned()),
    }
}

impl RewriteScore {
    pub fn run(self, out: &mut Out) -> u8 {
        let input = self.path.as_os_str() == "-";
        let name = name_of(&self.path);
        match self.done(out) {
            Err(why) => {
                out.trouble(&format!("{name}: {why}"));
                FAILED
            }
            Ok(text) if self.in_place && !input => match replace_text(&self.path, &text) {
                Ok(()) => {
                    out.line(&format!("{name} is rewritten"));
                    CLEAN
                }
                Err(why) => {
                    out.trouble(&format!("{name}: could not be written: {why}"));
                    FAILED
                }
            },
            Ok(text) => {
                out.text(&text);
                CLEAN
            }
        }
    }

    /// The new text. Several blocks are done one after the other.
    fn done(&self, out: &mut Out) -> Result<String, String> {
        let input = self.path.as_os_str() == "-";
        let loader =
            if input { FolderLoader::without_place() } else { FolderLoader::for_score(&self.path, &[]) };
        let mut desk = one_score(&self.path, out)?;
        let mut idle: Option<Refusal> = None;
        let mut any = false;
        let parts = asked::parts(&desk, &self.what)?;
        for part in parts {
            let Some(what) = asked::rewrite(&desk, &self.what, part)? else { continue };
            match step(&desk, &what, &loader) {
                Ok(next) => {
                    desk = next;
                    any = true;
                }
                Err(why) if why.is_idle() => idle = Some(why),
                Err(why) => return Err(why.to_string()),
            }
        }
        if any {
            return Ok(desk.document().text());
        }
        Err(idle.map_or_else(|| "there are no such bars".to_owned(), |why| why.to_string()))
    }
}

fn step(desk: &Desk, what: &Rewrite, loader: &FolderLoader) -> Result<Desk, Refusal> {
    let edits = rewritten(desk, what)?;
    let mut next = desk.clone();
    next.replace_all(&text_with(desk, &edits), loader);
    Ok(next)
}
