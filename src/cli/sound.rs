//! `waterkey sound`: what a written note sounds, and how a sounding one is written.

use super::out::Out;
use super::score_player::{ScorePlayer, is_score, player};
use super::{CLEAN, FAILED};
use crate::assist::instrument;
use crate::brass::Register;
use crate::brass::written::{sounding, written};
use crate::music::{ChordSymbol, Interval, Pitch};
use crate::score::wording::capital;
use clap::Args;
use std::sync::Arc;

/// Tell what a written note sounds on an instrument, or how a sounding note is written for it
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey sound trumpet in Bb C5 F#4        what these written notes sound\n  \
        waterkey sound horn in F --concert Bb3     how concert B flat is written for horn in F\n  \
        waterkey sound trumpet in Bb --concert E7  a chord symbol: E7 reads F#7\n  \
        waterkey sound harbour.brass Hn1 C5        for a player of a score\n\n\
        Middle C is C4. A word such as E7 can be a note or a chord symbol; where the two would differ,\n\
        both are told.")]
pub struct Sound {
    /// The instrument and the key it is read in, or a score and one of its players; then notes (Bb4) and
    /// chord symbols (Cmaj7)
    #[arg(required = true, value_name = "INSTRUMENT PITCH")]
    words: Vec<String>,

    /// The notes are concert pitch; tell how they are written
    #[arg(long)]
    concert: bool,

    /// The tuning note A4, in hertz; 440 if neither this nor the score says otherwise
    #[arg(long, value_name = "HERTZ", value_parser = super::tuning)]
    tuning: Option<f64>,
}

impl Sound {
    pub fn run(self, out: &mut Out) -> u8 {
        match self.answer() {
            Ok(lines) => {
                lines.iter().for_each(|line| out.line(line));
                CLEAN
            }
            Err(why) => {
                out.trouble(&why);
                FAILED
            }
        }
    }

    fn answer(&self) -> Result<Vec<String>, String> {
        let words: Vec<String> =
            self.words.iter().flat_map(|w| w.split_whitespace()).map(str::to_owned).collect();
        let in_score = self.words.first().is_some_and(|word| is_score(word));
        // The first word always belongs to the name, whatever it looks like; so does a player's.
        let (name, music) = match (in_score, self.words.as_slice()) {
            (true, [score, player, ..]) => (vec![score.clone(), player.clone()], self.words.get(2..)),
            (true, _) => {
                return Err("name a player after the score: waterkey sound harbour.brass Tp1 C5".to_owned());
            }
            (false, _) => {
                let first = after_the_key(&words).unwrap_or_else(|| {
                    words.iter().skip(1).position(|w| is_music(w)).map_or(words.len(), |at| at + 1)
                });
                (words.get(..first).unwrap_or_default().to_vec(), words.get(first..))
            }
        };
        let held = match (in_score, name.as_slice()) {
            (true, [score, id]) => player(score, id)?,
            _ => ScorePlayer { instruments: vec![Arc::new(instrument(&name)?)], tuning: 440.0 },
        };
        let music = music.unwrap_or_default();
        if music.is_empty() {
            return Err(format!("name one note or more at the end: waterkey sound {} C5", name.join(" ")));
        }
        let tuning = self.tuning.unwrap_or(held.tuning);
        let mut lines = Vec::new();
        for instrument in &held.instruments {
            if held.instruments.len() > 1 {
                lines.push(format!("{}:", instrument.name));
            }
            for word in music {
                lines.extend(self.told(word, instrument.reads, tuning)?);
            }
        }
        Ok(lines)
    }

    /// What is said of one word.
    fn told(&self, word: &str, reads: Interval, tuning: f64) -> Result<Vec<String>, String> {
        let joint = if self.concert { "is written" } else { "sounds" };
        let note = Pitch::parse(word).map(|pitch| {
            let there = if self.concert { written(pitch, reads) } else { sounding(pitch, reads) };
            let concert = if self.concert { pitch } else { there };
            (there.to_string(), concert.hertz(tuning))
        });
        // With a note of the same look, only the qualities 6, 7 and 9 are worth a second answer.
        let either = |c: &ChordSymbol| note.is_none() || matches!(c.quality.as_str(), "6" | "7" | "9");
        let chord = ChordSymbol::parse(word).filter(either).map(|chord| {
            let by = if self.concert { reads.inverse() } else { reads };
            chord.moved(by).to_string()
        });
        match (note, chord) {
            (Some((note, hertz)), chord) => {
                let mut lines = vec![format!("{word} {joint} {note} ({hertz:.2} Hz)")];
                lines.extend(
                    chord
                        .filter(|chord| *chord != note)
                        .map(|chord| format!("{word} as a chord {joint} {chord}")),
                );
                Ok(lines)
            }
            (None, Some(chord)) => Ok(vec![format!("{word} {joint} {chord}")]),
            (None, None) if Pitch::parse(&capital(word)).is_some() => {
                Err(format!("note letters are capitals: {}", capital(word)))
            }
            (None, None) => Err(format!(
                "\"{word}\" is neither a note (a capital letter, an accidental if any, and the octave: Bb4) nor a \
                 chord symbol (Cmaj7)"
            )),
        }
    }
}

/// Where the music begins after `in KEY`, or after the register that may follow; `None` without a key.
fn after_the_key(words: &[String]) -> Option<usize> {
    let key = words.iter().position(|word| word == "in")? + 1;
    words.get(key)?;
    let register = words.get(key + 1).is_some_and(|word| {
        // `B flat` belongs to the name, so that it is the name that is found wrong.
        Register::from_word(word).is_some() || matches!(word.as_str(), "flat" | "sharp")
    });
    Some(key + 1 + usize::from(register))
}

/// True for a note with its octave, or for a chord symbol that no word of an instrument's name looks like.
fn is_music(word: &str) -> bool {
    Pitch::parse(word).is_some()
        || ChordSymbol::parse(word)
            .is_some_and(|c| (!c.quality.is_empty() || c.bass.is_some()) && c.classes().is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(concert: bool, words: &str) -> Result<Vec<String>, String> {
        let words = words.split('/').map(str::to_owned).collect();
        Sound { words, concert, tuning: None }.answer()
    }

    #[test]
    fn written_to_concert_and_back() {
        assert_eq!(answer(false, "trumpet/in/Bb/C5").unwrap(), ["C5 sounds Bb4 (466.16 Hz)"]);
        assert_eq!(answer(true, "trumpet in Bb Bb4").unwrap(), ["Bb4 is written C5 (466.16 Hz)"]);
        // Written C5 on horn in F is F4, letters kept.
        assert_eq!(answer(false, "horn/in/F/C5").unwrap(), ["C5 sounds F4 (349.23 Hz)"]);
    }

    #[test]
    fn chord_symbols() {
        assert_eq!(answer(true, "trumpet/in/Bb/F#m7b5").unwrap(), ["F#m7b5 is written G#m7b5"]);
        assert_eq!(answer(true, "trumpet/in/Bb/Cmaj7/Bb").unwrap()[1], "Bb is written C");
        let lines = answer(true, "trumpet/in/Bb/E7").unwrap();
        assert_eq!(lines, ["E7 is written F#7 (2637.02 Hz)"]);
        let lines = answer(true, "trumpet/in/Bb/B7").unwrap();
        assert_eq!(lines, ["B7 is written C#8 (3951.07 Hz)", "B7 as a chord is written C#7"]);
        assert_eq!(answer(false, "trumpet/in/Bb/F#7").unwrap(), ["F#7 sounds E7 (2637.02 Hz)"]);
    }

    #[test]
    fn what_is_wrong_is_said() {
        for wrong in ["trumpet/in/Bb", "C5", "trumpt/in/Bb/C5", "trumpet/in/Bb/C5/zz", "flute/C5"] {
            assert!(answer(false, wrong).is_err(), "{wrong}");
        }
        assert_eq!(answer(false, "trumpet/in/Bb/c5").unwrap_err(), "note letters are capitals: C5");
        assert!(answer(false, "trumpet/in/Bb/H4").unwrap_err().starts_with("\"H4\" is neither a note"));
    }
}
