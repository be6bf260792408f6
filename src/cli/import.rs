//! `waterkey import`: a score of another program as a text of the notation.

use super::out::Out;
use super::written_file::{name_of, write_file};
use super::{CLEAN, FAILED};
use crate::exchange::import::{Imported, LARGEST, Map, import};
use crate::host::read::{bytes_of, read_bytes};
use clap::Args;
use std::io;
use std::path::PathBuf;

/// Take in a score as MusicXML or MIDI
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey import harbour.musicxml -o harbour.brass       a score, or its compressed form (.mxl)\n  \
        waterkey import harbour.mid -o harbour.brass            what was played, laid on a grid\n  \
        waterkey import choir.xml --map \"Alto=horn in F\"        a part for an instrument of your choice\n  \
        waterkey import choir.xml --map \"*=euphonium\"           every part that is not known to be for brass\n\n\
        Parts for brass are recognised by their names, by the instruments' sound identifiers and by how they\n\
        transpose; other parts are left out. What cannot be carried over is listed on standard error: what, in\n\
        which part, from which bar on, how often.\n\n\
        Exit status: 0 the text is written, 2 it could not be.")]
pub struct Import {
    /// The file; - reads standard input
    #[arg(value_name = "FILE")]
    path: PathBuf,

    /// Write into this file, in the place of what it holds
    #[arg(short, long, value_name = "SCORE")]
    output: Option<PathBuf>,

    /// The instrument of a part, by the part's name or number; PART=none leaves it out, * is every other part
    #[arg(long, value_name = "PART=INSTRUMENT")]
    map: Vec<String>,

    /// List what is not carried over as JSON, for programs
    #[arg(long)]
    json: bool,
}

impl Import {
    pub fn run(self, out: &mut Out) -> u8 {
        match self.write(out) {
            Ok(()) => CLEAN,
            Err(why) => {
                out.trouble(&why);
                FAILED
            }
        }
    }

    fn write(&self, out: &mut Out) -> Result<(), String> {
        let name = name_of(&self.path);
        let wrong = |why: &dyn std::fmt::Display| format!("{name}: {why}");
        let mut map = Map::default();
        for said in &self.map {
            map.add(said).map_err(|why| format!("--map {said}: {why}"))?;
        }
        let bytes = if self.path.as_os_str() == "-" {
            bytes_of(io::stdin().lock(), LARGEST)
        } else {
            read_bytes(&self.path, LARGEST)
        };
        let imported = import(&bytes.map_err(|why| wrong(&why))?, &map).map_err(|why| wrong(&why))?;
        match &self.output {
            Some(file) => {
                write_file(file, imported.text.as_bytes(), &self.path, out)?;
            }
            None => out.text(&imported.text),
        }
        if self.json {
            let list = serde_json::json!({"losses": imported.losses, "doubt": imported.doubt});
            out.trouble(&list.to_string());
        } else {
            told(&imported).for_each(|line| out.trouble(&format!("{name}: {line}")));
        }
        Ok(())
    }
}

/// What is lost and in doubt, a line each.
pub fn told(imported: &Imported) -> impl Iterator<Item = String> {
    let doubt = imported.doubt.iter().map(ToString::to_string);
    let losses = imported.losses.iter().map(|loss| format!("not carried over: {loss}"));
    doubt.chain(losses)
}
