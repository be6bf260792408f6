//! Clefs of brass parts.

/// Clefs of brass parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Clef {
    Treble,
    Bass,
    Tenor,
    Alto,
}

impl Clef {
    /// All of them, in the order of the language reference.
    pub const ALL: [Clef; 4] = [Clef::Treble, Clef::Bass, Clef::Tenor, Clef::Alto];

    /// The word for it in a score.
    pub fn word(self) -> &'static str {
        match self {
            Clef::Treble => "treble",
            Clef::Bass => "bass",
            Clef::Tenor => "tenor",
            Clef::Alto => "alto",
        }
    }

    /// Reads the word.
    pub fn from_word(word: &str) -> Option<Clef> {
        Clef::ALL.into_iter().find(|x| x.word() == word)
    }
}
