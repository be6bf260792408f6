//! Where a name is declared.

use super::name::{mentions, name_at, spelled};
use super::place::{Place, Stretch};
use crate::rules::Desk;

/// The declaration of the name at a place; `None` without a name there, or where it is declared nowhere
/// in this file. A name declared twice keeps its first meaning.
pub fn definition(desk: &Desk, place: Place) -> Option<Stretch> {
    let (name, _) = name_at(desk, place)?;
    mentions(desk, &name).into_iter().find(|m| m.declares).map(|m| m.at)
}

/// A place in an included text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Elsewhere {
    /// The loader's name of the file.
    pub file: String,
    pub at: Stretch,
}

/// The declaration of the name at a place, where an included text declares it and this file does not.
pub fn included_definition(desk: &Desk, place: Place) -> Option<Elsewhere> {
    let (name, _) = name_at(desk, place)?;
    if definition(desk, place).is_some() {
        return None;
    }
    desk.score().head.included.iter().find_map(|included| {
        let declared = |line: &crate::notation::Line| spelled(line, &name).into_iter().find(|(_, d)| *d);
        let (line, span) =
            included.lines.iter().enumerate().find_map(|(i, line)| Some((i as u32, declared(line)?.0)))?;
        Some(Elsewhere { file: included.name.clone(), at: Stretch { line, span } })
    })
}
