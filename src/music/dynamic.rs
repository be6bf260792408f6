//! Dynamics: how loud, and for how long.

/// A dynamic as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dynamic {
    Pppp,
    Ppp,
    Pp,
    P,
    Mp,
    Mf,
    F,
    Ff,
    Fff,
    Ffff,
    Fp,
    Sfp,
    Sf,
    Sfz,
    Fz,
    Rfz,
}

impl Dynamic {
    /// All of them, in the order of the language reference.
    pub const ALL: [Dynamic; 16] = [
        Dynamic::Pppp,
        Dynamic::Ppp,
        Dynamic::Pp,
        Dynamic::P,
        Dynamic::Mp,
        Dynamic::Mf,
        Dynamic::F,
        Dynamic::Ff,
        Dynamic::Fff,
        Dynamic::Ffff,
        Dynamic::Fp,
        Dynamic::Sfp,
        Dynamic::Sf,
        Dynamic::Sfz,
        Dynamic::Fz,
        Dynamic::Rfz,
    ];

    /// The word for it in a score.
    pub fn word(self) -> &'static str {
        match self {
            Dynamic::Pppp => "pppp",
            Dynamic::Ppp => "ppp",
            Dynamic::Pp => "pp",
            Dynamic::P => "p",
            Dynamic::Mp => "mp",
            Dynamic::Mf => "mf",
            Dynamic::F => "f",
            Dynamic::Ff => "ff",
            Dynamic::Fff => "fff",
            Dynamic::Ffff => "ffff",
            Dynamic::Fp => "fp",
            Dynamic::Sfp => "sfp",
            Dynamic::Sf => "sf",
            Dynamic::Sfz => "sfz",
            Dynamic::Fz => "fz",
            Dynamic::Rfz => "rfz",
        }
    }

    /// Reads the word.
    pub fn from_word(word: &str) -> Option<Dynamic> {
        Dynamic::ALL.into_iter().find(|x| x.word() == word)
    }

    /// The dynamic in force after it: `fp` and `sfp` leave `p`; one-note dynamics change nothing.
    pub fn leaves(self) -> Option<Dynamic> {
        match self {
            Dynamic::Fp | Dynamic::Sfp => Some(Dynamic::P),
            Dynamic::Sf | Dynamic::Sfz | Dynamic::Fz | Dynamic::Rfz => None,
            other => Some(other),
        }
    }
}
