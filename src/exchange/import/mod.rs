//! Scores of other programs as texts of the notation.
//!
//! Bytes come in, a text goes out, and with it a list of everything that could not be carried over. Whatever the
//! bytes are, the time and the memory this takes are bounded, and nothing outside them is read.

mod bytes;
mod figure;
mod instrument;
mod lines;
mod loss;
mod map;
mod midi;
mod music;
mod musicxml;
mod repeats;
mod settle;
mod text;
mod tree;
mod trouble;

pub use bytes::LARGEST;
pub use loss::Loss;
pub use map::Map;
pub use music::Doubt;
pub use trouble::Trouble;

use bytes::Sort;
use loss::Losses;

/// What came in.
#[derive(Debug)]
pub struct Imported {
    /// A score in the notation's layout.
    pub text: String,
    /// What it does not have, or has another way.
    pub losses: Vec<Loss>,
    /// How much doubt there is about its rhythms, if it was played and not written.
    pub doubt: Option<Doubt>,
}

/// Reads MusicXML, plain or compressed, or a MIDI file.
pub fn import(bytes: &[u8], map: &Map) -> Result<Imported, Trouble> {
    if bytes.len() as u64 > LARGEST {
        return Err(Trouble::TooLarge { limit: LARGEST });
    }
    let mut losses = Losses::default();
    let music = match bytes::sort(bytes).ok_or(Trouble::UnknownForm)? {
        Sort::Midi => midi::read(bytes, map, &mut losses)?,
        Sort::Xml => musicxml::read(&tree::read(&bytes::text(bytes)?)?, map, &mut losses)?,
        Sort::Archive => {
            let inside = bytes::unpacked(bytes)?;
            musicxml::read(&tree::read(&bytes::text(&inside)?)?, map, &mut losses)?
        }
    };
    let text = text::text(&music, &mut losses);
    Ok(Imported { text, losses: losses.list(music.first), doubt: music.doubt })
}

/// True for the name of a file that is not a text of the notation but can be taken in.
pub fn is_foreign(ending: &str) -> bool {
    matches!(ending.to_ascii_lowercase().as_str(), "musicxml" | "xml" | "mxl" | "mid" | "midi")
}
