//! What a file says, before it is a text: bars with what concerns everybody, and parts with their voices.

use crate::music::{Fraction, Key, Pitch};

/// A piece.
#[derive(Debug, Default)]
pub struct Music {
    pub title: Option<String>,
    pub composer: Option<String>,
    pub arranger: Option<String>,
    pub rights: Option<String>,
    /// Number of the first bar.
    pub first: i64,
    pub bars: Vec<Bar>,
    pub parts: Vec<Part>,
    /// How much doubt there is about its rhythms, if it was played and not written.
    pub doubt: Option<Doubt>,
}

/// How far what was played lies from the grid it was laid on.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Doubt {
    /// Notes in all, and those that were moved by more than a quarter of the grid's step.
    pub notes: usize,
    pub moved: usize,
    /// The farthest a beginning was moved, in quarters.
    pub farthest: f64,
    /// In words: `sixteenths, and triplets of eighths`.
    pub grid: String,
}

impl std::fmt::Display for Doubt {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "what was played is laid on {}: ", self.grid)?;
        match self.moved {
            0 => write!(f, "all {} notes lie near it", self.notes),
            moved => write!(
                f,
                "{moved} of {} notes lie more than a quarter of a step away, the farthest by {:.2} quarters; look at them",
                self.notes, self.farthest
            ),
        }
    }
}

/// A bar, and what concerns everybody in it.
#[derive(Debug, Clone, Default)]
pub struct Bar {
    /// In whole notes; never zero.
    pub length: Fraction,
    /// Groups and beat: 3+2/8.
    pub groups: Vec<u32>,
    pub beat: u32,
    /// Concert key; `None` is no key.
    pub key: Option<Key>,
    pub mark: Option<String>,
    /// Its words and what is counted, as the notation writes them: `"Calm" q = 72`.
    pub tempo: Option<String>,
    /// `[rit]` and the like, with their places.
    pub inside: Vec<(Fraction, String)>,
    /// Chord symbols at concert pitch.
    pub chords: Vec<(Fraction, String)>,
    pub opens: bool,
    /// Played so many times in all.
    pub closes: Option<u32>,
    pub ending: Option<Vec<u32>>,
    pub ending_stops: bool,
}

impl Bar {
    /// The meter's length.
    pub fn full(&self) -> Fraction {
        let beats: u32 = self.groups.iter().sum();
        Fraction::new(i64::from(beats.max(1)), i64::from(self.beat.max(1))).unwrap_or(Fraction::ONE)
    }
}

/// A part for brass.
#[derive(Debug, Default)]
pub struct Part {
    /// As the file has it.
    pub name: String,
    pub abbreviation: String,
    /// Names of the catalogue, with keys.
    pub instruments: Vec<String>,
    pub clef: Option<&'static str>,
    /// The clef is said even where it is the usual one: no other is wanted for notes that lie far out.
    pub clef_stays: bool,
    pub no_signature: bool,
    /// People of one part, if the file says so.
    pub seats: u32,
    /// By bar.
    pub measures: Vec<Measure>,
}

/// What a part has in a bar.
#[derive(Debug, Default)]
pub struct Measure {
    pub voices: Vec<Voice>,
    /// Dynamics, words, instructions, with their places.
    pub free: Vec<(Fraction, Free)>,
    /// Improvised.
    pub slashes: bool,
}

/// What takes no time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Free {
    /// As the notation writes it.
    Said(String),
    /// A dynamic, `cresc` or `dim`.
    Level(&'static str),
    /// A hairpin ends.
    LevelEnds,
    /// To an instrument of the part.
    Switch(usize),
    /// Another clef.
    Clef(&'static str),
}

/// One voice of a bar, in the order of time.
#[derive(Debug, Default)]
pub struct Voice {
    /// As the file calls it.
    pub name: String,
    pub entries: Vec<Entry>,
}

/// A tuplet: so many in the time of so many. Entries of the same one have the same `id`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tuplet {
    pub id: u32,
    pub count: u32,
    pub normal: u32,
}

/// A note, a chord or a rest.
#[derive(Debug, Clone, Default)]
pub struct Entry {
    pub onset: Fraction,
    pub length: Fraction,
    /// Written values stand to lengths as these: count, normal.
    pub ratio: (u32, u32),
    /// The outermost first.
    pub inside: Vec<Tuplet>,
    /// Sounding, from the highest; a rest has none.
    pub tones: Vec<Tone>,
    pub graces: Vec<Grace>,
    pub signs: Signs,
}

/// A pitch of a chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    pub pitch: Pitch,
    /// Tied to the note before.
    pub tied: bool,
}

/// What comes before a note and takes no time.
#[derive(Debug, Clone, Default)]
pub struct Grace {
    /// From the highest.
    pub pitches: Vec<Pitch>,
    pub signs: Signs,
}

/// What stands at a note.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Signs {
    /// As the notation writes them, `_` and `:gliss` aside.
    pub marks: Vec<String>,
    pub slur_starts: u32,
    pub slur_stops: u32,
    pub glides: bool,
    /// A trill's note and its upper one, sounding; named where the key does not say it.
    pub trill: Option<(Pitch, Pitch)>,
}
