//! Completion: what may stand where somebody is typing, the best first.

mod about;
mod bars;
mod block_line;
mod chords;
mod declared;
mod fields;
mod figures;
mod instruction;
mod instruments;
mod item;
mod line_start;
mod marks;
mod names;
mod notes;
mod player_line;
mod row;
mod scale;
mod templates;
mod who;

pub use about::{About, Told, about};
pub use block_line::SETTINGS;
pub use instruction::open as open_instruction;
pub use item::{Completions, Item, ItemKind, escaped, without_places};

use super::place::Place;
use super::typing::Typing;
use crate::notation::Span;
use crate::rules::Desk;
use item::List;

/// What may stand at a place; `None` where nothing can be offered: in remarks, in quotes, in a name that
/// is only just being given.
pub fn completion(desk: &Desk, place: Place) -> Option<Completions> {
    let typing = Typing::new(desk, place)?;
    if typing.is_inside_text() {
        return None;
    }
    let list = offered(typing)?.finish();
    (!list.items.is_empty()).then_some(list)
}

/// The same right after a sign was typed: only what the sign begins.
pub fn completion_after(desk: &Desk, place: Place, sign: char) -> Option<Completions> {
    let found = completion(desk, place)?;
    let text = &Typing::new(desk, place)?.line.text;
    let word = found.typed.of(text);
    let before = Span::new(0, found.typed.start).of(text);
    let opens = sign == '[' && word.is_empty() && before.ends_with('[');
    (opens || word.starts_with(sign)).then_some(found)
}

fn offered(typing: Typing<'_>) -> Option<List<'_>> {
    let first = typing.first_word();
    let barred = typing.line.tokens.iter().any(|t| t.kind.is_barline());
    if typing.at <= first.end {
        // What follows must go on after this word whatever it becomes.
        return (typing.at >= first.start || first.is_empty()).then(|| line_start::offered(typing, first))?;
    }
    match typing.line_word() {
        "rhythm" | "chords" => row::offered(typing),
        "phrase" if typing.bar().is_some() => row::offered(typing),
        "bar" => block_line::offered(typing),
        "player" => player_line::player(typing),
        "instrument" => player_line::own(typing),
        "" if barred => row::offered(typing),
        "" => names::more(typing),
        word => fields::offered(typing, word),
    }
}
