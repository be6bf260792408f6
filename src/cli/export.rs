//! `waterkey export`: a score in other forms.

use super::FAILED;
use super::out::Out;
use super::reading::one_score;
use super::written_file::{name_of, stem_of, tell_faults, write_file};
use crate::exchange::form::Form;
use crate::exchange::musicxml::{self, Pitches};
use crate::rules::Desk;
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Write a score in a form that other programs read
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey export harbour.brass --to musicxml -o harbour.musicxml   the score as its parts are read\n  \
        waterkey export harbour.brass --concert -o harbour.mxl            at concert pitch, compressed\n  \
        waterkey export harbour.brass --to musicxml --parts parts         a file for each player\n  \
        waterkey export harbour.brass -o harbour.mid                      to be heard, repeats played out\n  \
        waterkey export harbour.brass --to musicxml > harbour.musicxml    on standard output\n\n\
        Without --to the ending of FILE says which form: .musicxml or .mxl, .mid, .json.\n\n\
        Exit status: 0 it is written, 1 it is written but the score has faults of reading, so that something\n\
        may be missing, 2 it could not be written.")]
pub struct Export {
    /// The score; - reads it from standard input
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// The form
    #[arg(long, value_name = "FORM")]
    to: Option<To>,

    /// Write into this file, in the place of what it holds
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,

    /// Everything at concert pitch, not as each player reads it (MusicXML)
    #[arg(long, conflicts_with = "parts")]
    concert: bool,

    /// Write what each player reads into this folder, as SCORE-PLAYER.musicxml
    #[arg(long, value_name = "FOLDER", conflicts_with = "output")]
    parts: Option<PathBuf>,

    /// No cues before entries after long silences
    #[arg(long, requires = "parts")]
    no_cues: bool,
}

/// What may be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum To {
    /// MusicXML 4.0; compressed if FILE ends in .mxl
    Musicxml,
    /// A Standard MIDI File, format 1
    Midi,
    /// What everybody plays and when, for programs
    Json,
}

impl Export {
    pub fn run(self, out: &mut Out) -> u8 {
        match self.write(out) {
            Ok(status) => status,
            Err(why) => {
                out.trouble(&why);
                FAILED
            }
        }
    }

    fn form(&self) -> Result<Form, String> {
        let ending = self.output.as_deref().and_then(Path::extension).and_then(|e| e.to_str());
        let of_file = ending.and_then(Form::of_ending);
        let form = match (self.to, of_file, &self.output) {
            (Some(To::Musicxml), Some(Form::Compressed), _) => Form::Compressed,
            (Some(To::Musicxml), ..) => Form::Musicxml,
            (Some(To::Midi), ..) => Form::Midi,
            (Some(To::Json), ..) => Form::Json,
            (None, Some(form), _) => form,
            (None, None, Some(file)) => {
                return Err(format!(
                    "{}: this ending says no form; add `--to musicxml`, `--to midi` or `--to json`",
                    file.display()
                ));
            }
            (None, None, None) => {
                return Err("say which form: `--to musicxml`, `--to midi` or `--to json`".to_owned());
            }
        };
        let music = matches!(form, Form::Musicxml | Form::Compressed);
        if !music && self.parts.is_some() {
            return Err("only MusicXML is written in parts: `--to musicxml --parts FOLDER`".to_owned());
        }
        if !music && self.concert {
            return Err("`--concert` is for MusicXML; the other forms hold what sounds anyway".to_owned());
        }
        Ok(form)
    }

    fn write(&self, out: &mut Out) -> Result<u8, String> {
        let form = self.form()?;
        let name = name_of(&self.path);
        let desk = one_score(&self.path, out).map_err(|why| format!("{name}: {why}"))?;
        if let Some(folder) = &self.parts {
            self.parts(&desk, folder, out)?;
            return Ok(tell_faults(&desk, None, &self.path, out));
        }
        let pitches = if self.concert { Pitches::Concert } else { Pitches::Written };
        let bytes = form.score(&desk, pitches)?;
        match (&self.output, std::str::from_utf8(&bytes)) {
            (Some(file), _) => write_file(file, &bytes, &self.path, out)?,
            (None, Ok(text)) if form != Form::Midi => out.text(text),
            (None, _) => return Err("MIDI is no text: name a file with `-o FILE`".to_owned()),
        }
        Ok(tell_faults(&desk, None, &self.path, out))
    }

    fn parts(&self, desk: &Desk, folder: &Path, out: &mut Out) -> Result<(), String> {
        let players = &desk.score().head.players;
        if players.is_empty() {
            return Err(format!("{}: the score has no players", name_of(&self.path)));
        }
        std::fs::create_dir_all(folder)
            .map_err(|why| format!("{}: could not be made: {why}", folder.display()))?;
        for (index, player) in players.iter().enumerate() {
            let file = folder.join(format!("{}-{}.musicxml", stem_of(&self.path), player.id));
            write_file(&file, musicxml::part_with(desk, index, !self.no_cues).as_bytes(), &self.path, out)?;
        }
        Ok(())
    }
}
