//! Dynamics as steps of breath.

use crate::music::Dynamic;

/// How hard a player blows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Loudness {
    /// And softer.
    Pp,
    P,
    /// mp and mf; also where nothing is written.
    Mf,
    F,
    Ff,
    /// And louder.
    Fff,
}

impl Loudness {
    /// All of them, softest first.
    pub const ALL: [Loudness; 6] =
        [Loudness::Pp, Loudness::P, Loudness::Mf, Loudness::F, Loudness::Ff, Loudness::Fff];

    /// The step of a dynamic; accents that are dynamics count as f.
    pub fn of(dynamic: Option<Dynamic>) -> Loudness {
        match dynamic {
            Some(Dynamic::Pppp | Dynamic::Ppp | Dynamic::Pp) => Loudness::Pp,
            Some(Dynamic::P) => Loudness::P,
            Some(Dynamic::Mp | Dynamic::Mf) | None => Loudness::Mf,
            Some(
                Dynamic::F
                | Dynamic::Fp
                | Dynamic::Sfp
                | Dynamic::Sf
                | Dynamic::Sfz
                | Dynamic::Fz
                | Dynamic::Rfz,
            ) => Loudness::F,
            Some(Dynamic::Ff) => Loudness::Ff,
            Some(Dynamic::Fff | Dynamic::Ffff) => Loudness::Fff,
        }
    }
}
