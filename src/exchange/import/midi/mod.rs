//! Standard MIDI Files as music: what was played, laid on a grid.

mod file;
mod grid;
mod score;
mod spelling;

use super::loss::Losses;
use super::map::Map;
use super::music::Music;
use super::trouble::Trouble;

/// The most that is read, in bytes: a thousand times a long piece.
const LARGEST: u64 = 8 << 20;

pub fn read(bytes: &[u8], map: &Map, losses: &mut Losses) -> Result<Music, Trouble> {
    if bytes.len() as u64 > LARGEST {
        return Err(Trouble::TooLarge { limit: LARGEST });
    }
    let file = file::read(bytes)?;
    score::score(&file, map, losses)
}
