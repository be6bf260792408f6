//! Levels of players.

/// What a player can be relied on for; nobody is above professional, a lead player says so with `top`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    School,
    Amateur,
    Professional,
}

impl Level {
    /// All of them, in the order of the language reference.
    pub const ALL: [Level; 3] = [Level::School, Level::Amateur, Level::Professional];

    /// The word for it in a score.
    pub fn word(self) -> &'static str {
        match self {
            Level::School => "school",
            Level::Amateur => "amateur",
            Level::Professional => "professional",
        }
    }

    /// Reads the word.
    pub fn from_word(word: &str) -> Option<Level> {
        Level::ALL.into_iter().find(|x| x.word() == word)
    }

    /// One of three values for school, amateur and professional players.
    pub const fn pick<T: Copy>(self, [school, amateur, professional]: [T; 3]) -> T {
        match self {
            Level::School => school,
            Level::Amateur => amateur,
            Level::Professional => professional,
        }
    }
}
