//! What the words of the notation mean, in trade words: `glossary.tsv`.

const TABLE: &str = include_str!("glossary.tsv");

/// Where a word stands, since some mean different things in different places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Class {
    /// First word of a line.
    Line,
    /// In a `bar` line.
    Setting,
    /// In a `player` line.
    Option,
    Level,
    Basis,
    Clef,
    Register,
    /// In an `instrument` line.
    Build,
    Mute,
    /// Sign or technique that touches a note, a technique with its colon.
    Mark,
    Dynamic,
    /// Letters of a length.
    Value,
    /// In square brackets.
    Instruction,
    /// What fills bars and places, besides notes.
    Bars,
}

impl Class {
    /// All of them.
    pub const ALL: [Class; 14] = [
        Class::Line,
        Class::Setting,
        Class::Option,
        Class::Level,
        Class::Basis,
        Class::Clef,
        Class::Register,
        Class::Build,
        Class::Mute,
        Class::Mark,
        Class::Dynamic,
        Class::Value,
        Class::Instruction,
        Class::Bars,
    ];

    /// The file's word for it.
    pub fn word(self) -> &'static str {
        match self {
            Class::Line => "line",
            Class::Setting => "setting",
            Class::Option => "option",
            Class::Level => "level",
            Class::Basis => "basis",
            Class::Clef => "clef",
            Class::Register => "register",
            Class::Build => "build",
            Class::Mute => "mute",
            Class::Mark => "mark",
            Class::Dynamic => "dynamic",
            Class::Value => "value",
            Class::Instruction => "instruction",
            Class::Bars => "bars",
        }
    }
}

/// All entries: class, word, meaning.
pub fn entries() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    TABLE.lines().filter(|l| !l.starts_with("# ")).filter_map(|line| {
        let mut fields = line.splitn(3, '\t');
        Some((fields.next()?, fields.next()?, fields.next()?))
    })
}

/// The meaning of a word, as Markdown of one line.
pub fn meaning(class: Class, word: &str) -> Option<&'static str> {
    entries().find(|(c, w, _)| *c == class.word() && *w == word).map(|(_, _, text)| text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brass::{Level, Mute, Register};
    use crate::music::{Clef, Dynamic};
    use crate::notation::line::LINE_WORDS;
    use crate::notation::tree::Mark;

    #[test]
    fn every_word_of_the_notation_is_explained() {
        let known = |class, word: &str| assert!(meaning(class, word).is_some(), "{class:?} {word}");
        LINE_WORDS.into_iter().for_each(|w| known(Class::Line, w));
        Mute::ALL.into_iter().for_each(|m| known(Class::Mute, m.word()));
        Mark::ALL.into_iter().for_each(|m| known(Class::Mark, m.sign()));
        Dynamic::ALL.into_iter().for_each(|d| known(Class::Dynamic, d.word()));
        Clef::ALL.into_iter().for_each(|c| known(Class::Clef, c.word()));
        Level::ALL.into_iter().for_each(|l| known(Class::Level, l.word()));
        Register::ALL.into_iter().for_each(|r| known(Class::Register, r.word()));
    }

    #[test]
    fn every_entry_has_a_class_and_one_meaning() {
        let all: Vec<_> = entries().collect();
        for (i, (class, word, text)) in all.iter().enumerate() {
            assert!(Class::ALL.iter().any(|c| c.word() == *class), "{class}");
            assert!(text.ends_with(['.', ')']), "{word}: {text}");
            assert!(!all[..i].iter().any(|(c, w, _)| c == class && w == word), "{class} {word} twice");
        }
    }
}
