//! What to light up when the cursor stands on a name.

use super::name::{Mention, mentions, name_at};
use super::place::Place;
use crate::rules::Desk;

/// Every place of the file where the name at a place stands, and whether it is declared there.
pub fn highlight(desk: &Desk, place: Place) -> Vec<Mention> {
    name_at(desk, place).map(|(name, _)| mentions(desk, &name)).unwrap_or_default()
}
