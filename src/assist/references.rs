//! Where a name is used.

use super::name::{mentions, name_at};
use super::place::{Place, Stretch};
use crate::rules::Desk;

/// Every place of the file where the name at a place stands, in order; its declaration only if wished.
pub fn references(desk: &Desk, place: Place, declaration: bool) -> Vec<Stretch> {
    let Some((name, _)) = name_at(desk, place) else { return Vec::new() };
    mentions(desk, &name).into_iter().filter(|m| declaration || !m.declares).map(|m| m.at).collect()
}
