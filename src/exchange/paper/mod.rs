//! A score as it would stand on paper: its bars in the order they are written, with what stands over them,
//! and what one player has in each of them. What is written to other formats is made from this.

mod bars;
mod figure;
mod line;
mod repeats;
pub mod values;

pub use bars::{Over, OverKind, SheetBar, bars};
pub use figure::{Ratio, Written};
pub use line::{Free, FreeAt, Line, LineBar, Slot, line};

use crate::score::player::Player;

/// What a player is called on paper: the name on their line, else their ID.
pub fn player_name(player: &Player) -> &str {
    player.name.as_deref().unwrap_or(&player.id)
}
