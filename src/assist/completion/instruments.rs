//! Instruments: those of the trade, and those the score declares.

use super::about::About;
use super::declared::own_instruments;
use super::item::{Item, ItemKind, List};
use crate::assist::glossary::Class;
use crate::assist::interval_words::direction;
use crate::brass::Register;
use crate::brass::catalogue;
use crate::music::Interval;

/// Keys that parts are read in, the usual ones first.
const KEYS: [&str; 8] = ["Bb", "F", "Eb", "C", "D", "A", "G", "E"];

/// All instruments, with the key they are read in.
pub fn add(list: &mut List<'_>, tier: u8) {
    for (name, build) in own_instruments(&list.typing) {
        let item = Item::plain(ItemKind::Instrument, name.clone(), build);
        list.put(tier, item.about(About::Name(name)));
    }
    for entry in catalogue::entries() {
        let name = entry.full_name();
        let reads = match entry.reads() {
            Some(Interval::UNISON) | None => "reads concert pitch".to_owned(),
            Some(reads) => format!("sounds {}", direction(reads)),
        };
        // What people rarely play comes last.
        let rare = entry.name.starts_with("natural") || entry.register.is_some();
        let item = Item::plain(ItemKind::Instrument, name.clone(), reads);
        list.put(tier + u8::from(rare), item.about(About::Instrument(name)));
    }
}

/// Keys to be read in.
pub fn keys(list: &mut List<'_>, tier: u8) {
    for key in KEYS {
        list.add(tier, ItemKind::Setting, key, format!("written C sounds {key}"));
    }
}

/// The words behind a key that move it by an octave.
pub fn registers(list: &mut List<'_>, tier: u8) {
    for register in Register::ALL {
        super::fields::explained(list, tier, Class::Register, register.word());
    }
}
