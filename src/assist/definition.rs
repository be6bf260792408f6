//! Where a name is declared.

use super::name::{mentions, name_at};
use super::place::{Place, Stretch};
use crate::rules::Desk;

/// The declaration of the name at a place; `None` without a name there, or where it is declared nowhere
/// in this file. A name declared twice keeps its first meaning.
pub fn definition(desk: &Desk, place: Place) -> Option<Stretch> {
    let (name, _) = name_at(desk, place)?;
    mentions(desk, &name).into_iter().find(|m| m.declares).map(|m| m.at)
}
