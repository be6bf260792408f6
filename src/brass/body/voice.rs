//! The six voices of brass for which players' limits are known.

use crate::brass::instrument::Instrument;
use crate::brass::kind::Kind;

/// An instrument as its player's breath, lips and tongue feel it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Voice {
    /// Cornets, flugelhorns and bugles too.
    Trumpet,
    /// Tenor horns, mellophones, Wagner tubas and alphorns too (estimate).
    Horn,
    /// Alto and tenor trombones, baritones, bass trumpets.
    Trombone,
    BassTrombone,
    Euphonium,
    Tuba,
}

/// Lowest fundamental, sounding, of an own instrument that is blown like a trumpet (estimate: F2).
const TRUMPET_FROM: i32 = 41;
/// The same for one like a trombone (estimate: A1); below it is blown like a tuba.
const TROMBONE_FROM: i32 = 33;

impl Voice {
    /// All of them.
    pub const ALL: [Voice; 6] =
        [Voice::Trumpet, Voice::Horn, Voice::Trombone, Voice::BassTrombone, Voice::Euphonium, Voice::Tuba];

    /// The voice of an instrument; an own one is judged by its tube.
    pub fn of(instrument: &Instrument) -> Voice {
        match instrument.kind {
            Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn | Kind::Bugle | Kind::NaturalTrumpet => {
                Voice::Trumpet
            }
            Kind::Horn
            | Kind::NaturalHorn
            | Kind::TenorHorn
            | Kind::Mellophone
            | Kind::WagnerTuba
            | Kind::Alphorn => Voice::Horn,
            Kind::Trombone | Kind::Baritone | Kind::BassTrumpet => Voice::Trombone,
            Kind::BassTrombone | Kind::Cimbasso => Voice::BassTrombone,
            Kind::Euphonium => Voice::Euphonium,
            Kind::Tuba => Voice::Tuba,
            Kind::Own => match instrument.tube.fundamental {
                TRUMPET_FROM.. => Voice::Trumpet,
                TROMBONE_FROM.. => Voice::Trombone,
                _ => Voice::Tuba,
            },
        }
    }

    /// One of the six values of a table in the order of [`Voice::ALL`].
    pub const fn pick<T: Copy>(self, [trumpet, horn, trombone, bass, euphonium, tuba]: [T; 6]) -> T {
        match self {
            Voice::Trumpet => trumpet,
            Voice::Horn => horn,
            Voice::Trombone => trombone,
            Voice::BassTrombone => bass,
            Voice::Euphonium => euphonium,
            Voice::Tuba => tuba,
        }
    }
}
