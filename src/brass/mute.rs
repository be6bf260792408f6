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
