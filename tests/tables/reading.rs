//! Short cuts into the catalogue for the other tests.

use waterkey::brass::{Instrument, Way, find};
use waterkey::music::Pitch;

/// `horn`, `horn in F`, `natural horn in C basso`.
pub fn instrument(name: &str) -> Instrument {
    let (name, rest) = name.split_once(" in ").unwrap_or((name, ""));
    let mut words = rest.split(' ');
    let key = words.next().filter(|key| !key.is_empty()).map(|key| Pitch::parse(&format!("{key}4")).unwrap());
    let register = words.next().map(|word| waterkey::brass::Register::from_word(word).unwrap());
    find(name, key, register).unwrap_or_else(|fault| panic!("{fault}")).instrument
}

/// The ways that fingering charts list: none flat by more than 35 cents, none on harmonics 7, 11, 13, 14.
pub fn listed(ways: &[Way]) -> impl Iterator<Item = &Way> {
    ways.iter().filter(|way| way.cents > -35.0 && !way.is_poor())
}
