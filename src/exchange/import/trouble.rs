//! Why a file cannot be taken in.

use std::fmt;

/// What is wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trouble {
    /// Neither MusicXML nor MIDI.
    UnknownForm,
    /// More bytes than are read, packed or unpacked.
    TooLarge { limit: u64 },
    /// The zip archive, with the reason.
    Archive(String),
    /// The text's encoding, with the reason.
    Encoding(String),
    /// Not well-formed, at this line, from 1.
    Xml { line: usize, why: String },
    /// Entities of its own: nothing is looked up and nothing multiplied.
    Entity { line: usize, name: String },
    /// Well-formed, but something else.
    NotAScore { root: String },
    /// A number that no music has.
    Number { part: String, bar: String, why: String },
    /// The MIDI file, with the reason.
    Midi(String),
    /// What was said about an instrument.
    Map(String),
    /// No part for brass; the names of all parts.
    NoBrass { parts: Vec<String> },
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::UnknownForm => {
                write!(
                    f,
                    "neither MusicXML (.musicxml, .xml, .mxl) nor MIDI (.mid): its beginning is of neither kind"
                )
            }
            Trouble::TooLarge { limit } => {
                write!(f, "larger than {} MB when unpacked, the most that is read", limit >> 20)
            }
            Trouble::Archive(why) => write!(f, "the compressed file is damaged: {why}"),
            Trouble::Encoding(why) => write!(f, "{why}; save it as UTF-8 and try again"),
            Trouble::Xml { line, why } => write!(f, "the XML is damaged at line {line}: {why}"),
            Trouble::Entity { line, name } => write!(
                f,
                "line {line}: \"&{name};\" stands for text that is declared in the file or elsewhere; such text is \
                 neither looked up nor filled in. Save the score again without it"
            ),
            Trouble::NotAScore { root } => write!(
                f,
                "XML, but no score: it begins with <{root}>, and a score begins with <score-partwise> or \
                 <score-timewise>"
            ),
            Trouble::Number { part, bar, why } => write!(f, "{part}, bar {bar}: {why}"),
            Trouble::Midi(why) => write!(f, "the MIDI file is damaged: {why}"),
            Trouble::Map(why) => write!(f, "{why}"),
            Trouble::NoBrass { parts } if parts.is_empty() => write!(f, "there are no parts in this score"),
            Trouble::NoBrass { parts } => {
                let first = parts.first().map_or("", String::as_str);
                let shown: Vec<String> = parts.iter().take(12).map(|p| format!("\"{p}\"")).collect();
                let more =
                    if parts.len() > 12 { format!(" and {} more", parts.len() - 12) } else { String::new() };
                write!(
                    f,
                    "no part here is known to be for brass: {}{more}. Say who plays what: \
                     `--map \"{first}=horn in F\"`",
                    shown.join(", ")
                )
            }
        }
    }
}
