//! Dynamics as velocities.

use crate::music::Dynamic;

/// Key velocity of a note with this dynamic (estimate: even steps, mezzo-forte a little above the middle).
pub fn velocity(dynamic: Dynamic) -> u8 {
    match dynamic {
        Dynamic::Pppp => 16,
        Dynamic::Ppp => 26,
        Dynamic::Pp => 38,
        Dynamic::P => 50,
        Dynamic::Mp => 62,
        Dynamic::Mf => 76,
        Dynamic::F => 90,
        Dynamic::Ff => 104,
        Dynamic::Fff => 116,
        Dynamic::Ffff => 127,
        Dynamic::Fp => 90,
        Dynamic::Sfp | Dynamic::Sf | Dynamic::Fz | Dynamic::Rfz => 100,
        Dynamic::Sfz => 110,
    }
}
