//! Kinds of instruments, as far as players handle them differently.

/// What an instrument is, by the way it is held, muted and blown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Piccolo trumpets too.
    Trumpet,
    BassTrumpet,
    Cornet,
    Flugelhorn,
    Horn,
    TenorHorn,
    Mellophone,
    Baritone,
    Euphonium,
    /// Alto and tenor.
    Trombone,
    /// Bass and contrabass.
    BassTrombone,
    WagnerTuba,
    /// Sousaphone and the basses of a brass band too.
    Tuba,
    Cimbasso,
    NaturalHorn,
    NaturalTrumpet,
    Bugle,
    Alphorn,
    /// Declared in a score.
    Own,
}

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 19] = [
        Kind::Trumpet,
        Kind::BassTrumpet,
        Kind::Cornet,
        Kind::Flugelhorn,
        Kind::Horn,
        Kind::TenorHorn,
        Kind::Mellophone,
        Kind::Baritone,
        Kind::Euphonium,
        Kind::Trombone,
        Kind::BassTrombone,
        Kind::WagnerTuba,
        Kind::Tuba,
        Kind::Cimbasso,
        Kind::NaturalHorn,
        Kind::NaturalTrumpet,
        Kind::Bugle,
        Kind::Alphorn,
        Kind::Own,
    ];

    /// The catalogue's word for it.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Trumpet => "trumpet",
            Kind::BassTrumpet => "bass-trumpet",
            Kind::Cornet => "cornet",
            Kind::Flugelhorn => "flugelhorn",
            Kind::Horn => "horn",
            Kind::TenorHorn => "tenor-horn",
            Kind::Mellophone => "mellophone",
            Kind::Baritone => "baritone",
            Kind::Euphonium => "euphonium",
            Kind::Trombone => "trombone",
            Kind::BassTrombone => "bass-trombone",
            Kind::WagnerTuba => "wagner-tuba",
            Kind::Tuba => "tuba",
            Kind::Cimbasso => "cimbasso",
            Kind::NaturalHorn => "natural-horn",
            Kind::NaturalTrumpet => "natural-trumpet",
            Kind::Bugle => "bugle",
            Kind::Alphorn => "alphorn",
            Kind::Own => "own",
        }
    }

    /// Reads the catalogue's word.
    pub fn from_word(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|k| k.word() == word)
    }
}

/// How the tube widens on its way to the bell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Bore {
    Cylindrical,
    Conical,
    Mixed,
}

impl Bore {
    /// Reads the catalogue's word.
    pub fn from_word(word: &str) -> Option<Bore> {
        match word {
            "cylindrical" => Some(Bore::Cylindrical),
            "conical" => Some(Bore::Conical),
            "mixed" => Some(Bore::Mixed),
            _ => None,
        }
    }
}
