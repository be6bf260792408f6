//! Standard MIDI Files as music.

use super::loss::Losses;
use super::map::Map;
use super::music::Music;
use super::trouble::Trouble;

pub fn read(_bytes: &[u8], _map: &Map, _losses: &mut Losses) -> Result<Music, Trouble> {
    Err(Trouble::Midi("not yet".into()))
}
