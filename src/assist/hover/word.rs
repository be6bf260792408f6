//! What a word of the notation means.

use super::telling::Telling;
use super::{Asked, Hover};
use crate::assist::glossary::{Class, meaning};
use crate::notation::Span;
use crate::notation::token::Kind;

/// The meaning of the first of these classes that has the word.
pub fn told(asked: Asked<'_>, classes: &[Class], word: &str, span: Span) -> Option<Hover> {
    let text = classes.iter().find_map(|class| meaning(*class, word))?;
    let mut telling = Telling::new(word);
    telling.text(text);
    Some(telling.hover(asked.place.line, span))
}

/// The word under the cursor, hyphens that touch it included, and its stretch.
pub fn under_cursor(asked: Asked<'_>) -> Option<(&str, Span)> {
    let token = asked.token()?;
    if !token.kind.is_wordlike() && !matches!(token.kind, Kind::Minus | Kind::Number | Kind::Sharp) {
        return Some((asked.text(token.span), token.span));
    }
    let tokens = &asked.line.tokens;
    let at = tokens.iter().position(|t| t.span == token.span)?;
    let joined = |kind: Kind| kind.is_wordlike() || matches!(kind, Kind::Minus | Kind::Number);
    let before = tokens.get(..at)?.iter().rev().take_while(|t| joined(t.kind)).last();
    let after = tokens.get(at + 1..)?.iter().take_while(|t| joined(t.kind)).last();
    let span = before.map_or(token.span, |t| t.span).to(after.map_or(token.span, |t| t.span));
    Some((asked.text(span), span))
}
