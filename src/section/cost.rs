//! What taking over costs a player, point by point.

/// What a point of a cost is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// Range and register.
    Range,
    /// Breath and rest before and after.
    Rest,
    /// Mutes and what else is done to the sound.
    Mute,
    /// Another instrument than the one it was written for.
    Timbre,
    /// The way of slide or fingers.
    Path,
    /// Parts that would cross.
    Crossing,
    /// A player who is less far on than the one who has it.
    Level,
    /// What they would have to leave out or give away.
    Busy,
}

impl Why {
    /// The word in output for programs.
    pub fn word(self) -> &'static str {
        match self {
            Why::Range => "range",
            Why::Rest => "rest",
            Why::Mute => "mute",
            Why::Timbre => "timbre",
            Why::Path => "path",
            Why::Crossing => "crossing",
            Why::Level => "level",
            Why::Busy => "busy",
        }
    }
}

/// A reason and what it weighs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    pub why: Why,
    pub points: u32,
    /// In words, whether it speaks for the player or against: `inside its comfortable range`.
    pub said: String,
}

/// From so many points on something cannot be asked for.
pub const OUT_OF_THE_QUESTION: u32 = 10_000;

/// All of it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cost {
    pub parts: Vec<Part>,
}

impl Cost {
    /// Adds a reason.
    pub fn add(&mut self, why: Why, points: u32, said: impl Into<String>) {
        self.parts.push(Part { why, points, said: said.into() });
    }

    /// The sum.
    pub fn points(&self) -> u32 {
        self.parts.iter().fold(0, |sum, part| sum.saturating_add(part.points))
    }

    /// True if it can be asked for at all.
    pub fn is_possible(&self) -> bool {
        self.parts.iter().all(|part| part.points < OUT_OF_THE_QUESTION)
    }

    /// The reasons in a few words: what the range is, what weighs most, how much time there is.
    pub fn told(&self, most: usize) -> String {
        let mut order: Vec<&Part> = self.parts.iter().collect();
        // Range first, then what speaks against, then the rest as it comes.
        order.sort_by_key(|p| (p.why != Why::Range, std::cmp::Reverse(p.points), p.why));
        let said: Vec<&str> = order.iter().take(most).map(|p| p.said.as_str()).collect();
        said.join(", ")
    }
}
