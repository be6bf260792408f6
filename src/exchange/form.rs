//! The forms in which other programs take a score, by the endings of their files.

use super::musicxml::Pitches;
use super::{midi, musicxml, played};
use crate::rules::Desk;

/// What a score is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Musicxml,
    /// The same in a zip archive.
    Compressed,
    Midi,
    /// What everybody plays and when.
    Json,
}

impl Form {
    /// The form of a file whose name ends so.
    pub fn of_ending(ending: &str) -> Option<Form> {
        match ending.to_ascii_lowercase().as_str() {
            "musicxml" | "xml" => Some(Form::Musicxml),
            "mxl" => Some(Form::Compressed),
            "mid" | "midi" => Some(Form::Midi),
            "json" => Some(Form::Json),
            _ => None,
        }
    }

    /// The score for everybody.
    pub fn score(self, desk: &Desk, pitches: Pitches) -> Result<Vec<u8>, String> {
        match self {
            Form::Musicxml => Ok(musicxml::score(desk, pitches).into_bytes()),
            Form::Compressed => packed(&musicxml::score(desk, pitches)),
            Form::Midi => Ok(midi::score(desk)),
            Form::Json => Ok(played::json(desk).into_bytes()),
        }
    }

    /// What one player reads, by index into the score's players.
    pub fn part(self, desk: &Desk, player: usize) -> Result<Vec<u8>, String> {
        match self {
            Form::Musicxml => Ok(musicxml::part(desk, player).into_bytes()),
            Form::Compressed => packed(&musicxml::part(desk, player)),
            Form::Midi | Form::Json => Err("one player's part is written as MusicXML only".to_owned()),
        }
    }
}

fn packed(score: &str) -> Result<Vec<u8>, String> {
    musicxml::compressed(score).map_err(|why| format!("it could not be compressed: {why}"))
}
