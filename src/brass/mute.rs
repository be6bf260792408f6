//! Mutes, by the words of the trade.

/// A mute. Which instrument has which stands in the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mute {
    Straight,
    Cup,
    Harmon,
    HarmonStemless,
    Bucket,
    Plunger,
    Hat,
    SoloTone,
    Whisper,
    Practice,
    Stopping,
}

impl Mute {
    /// All of them, in the order of the language reference.
    pub const ALL: [Mute; 11] = [
        Mute::Straight,
        Mute::Cup,
        Mute::Harmon,
        Mute::HarmonStemless,
        Mute::Bucket,
        Mute::Plunger,
        Mute::Hat,
        Mute::SoloTone,
        Mute::Whisper,
        Mute::Practice,
        Mute::Stopping,
    ];

    /// The word for it in a score.
    pub fn word(self) -> &'static str {
        match self {
            Mute::Straight => "straight",
            Mute::Cup => "cup",
            Mute::Harmon => "harmon",
            Mute::HarmonStemless => "harmon-stemless",
            Mute::Bucket => "bucket",
            Mute::Plunger => "plunger",
            Mute::Hat => "hat",
            Mute::SoloTone => "solo-tone",
            Mute::Whisper => "whisper",
            Mute::Practice => "practice",
            Mute::Stopping => "stopping",
        }
    }

    /// Reads the word.
    pub fn from_word(word: &str) -> Option<Mute> {
        Mute::ALL.into_iter().find(|x| x.word() == word)
    }
}

/// A set of mutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Mutes(u16);

impl Mutes {
    /// No mute.
    pub const NONE: Mutes = Mutes(0);

    /// True if it is among them.
    pub fn has(self, mute: Mute) -> bool {
        self.0 & (1 << mute as u16) != 0
    }

    /// The same and one more.
    pub fn with(self, mute: Mute) -> Mutes {
        Mutes(self.0 | 1 << mute as u16)
    }

    /// Each of them, in the order of [`Mute::ALL`].
    pub fn iter(self) -> impl Iterator<Item = Mute> {
        Mute::ALL.into_iter().filter(move |mute| self.has(*mute))
    }

    /// True for none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }
}

impl FromIterator<Mute> for Mutes {
    fn from_iter<I: IntoIterator<Item = Mute>>(mutes: I) -> Mutes {
        mutes.into_iter().fold(Mutes::NONE, Mutes::with)
    }
}
