//! Signature help: the form of the line that is being typed, with the part that comes now.

mod bars;
mod form;
mod lines;

pub use form::{Parameter, Signature};

use super::place::Place;
use super::typing::Typing;
use crate::rules::Desk;

/// What was typed last, if that is why it is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Occasion {
    /// Somebody asked: the form of whatever stands there.
    Asked,
    /// Something was typed: only what has a form that nobody remembers.
    Typed,
}

/// The forms of what is being typed at a place, the narrowest first; none where there is nothing to say.
pub fn signature(desk: &Desk, place: Place, occasion: Occasion) -> Vec<Signature> {
    let Some(typing) = Typing::new(desk, place) else { return Vec::new() };
    if typing.is_inside_text() && !is_argument(&typing) {
        return Vec::new();
    }
    let first = typing.first_word();
    let barred = typing.line.tokens.iter().any(|t| t.kind.is_barline());
    if typing.at <= first.end {
        return Vec::new();
    }
    match typing.line_word() {
        "rhythm" | "chords" => bars::told(&typing, occasion),
        "phrase" if typing.bar().is_some() => bars::told(&typing, occasion),
        "" if barred => bars::told(&typing, occasion),
        "" => Vec::new(),
        word => lines::told(&typing, word),
    }
}

/// Quotes that a line of the head or a block's header asks for.
fn is_argument(typing: &Typing<'_>) -> bool {
    let quotes = typing.line.tokens.iter().any(|t| {
        let here = t.span.start < typing.at && typing.at <= t.span.end;
        here && matches!(
            t.kind,
            crate::notation::token::Kind::Quoted | crate::notation::token::Kind::OpenQuote
        )
    });
    quotes && typing.bar().is_none()
}
