//! The grammar of one line, over its tokens.
//!
//! It cannot fail: what is no known form is read as a bad item with a fault, and reading goes on behind
//! it. It is flat and needs one token of look-ahead, because [`pairing`](super::pairing) has settled
//! brackets and figure colons before; so reading is linear in the tokens.
//!
//! What is read goes into a [`Sheet`] as soon as it is certain, never on a path that may be taken back.

pub mod bars;
pub mod block;
pub mod chords;
pub mod figure;
pub mod head;
pub mod instruction;
pub mod list;
pub mod marks;
pub mod player;
pub mod row;
pub mod sheet;
pub mod timing;
pub mod unread;
pub mod words;

use super::span::Span;
use super::token::Token;
use chumsky::error::EmptyErr;
use chumsky::extra;
use chumsky::prelude::*;
pub use sheet::Sheet;

/// What a parser reads: tokens of one line.
pub type In<'t> = &'t [Token];
/// Its errors carry nothing (faults are written where the bad item is read), its state is the sheet.
pub type Ex<'t> = extra::Full<EmptyErr, Sheet<'t>, ()>;

/// A parser of this grammar.
pub trait Reads<'t, O>: Parser<'t, In<'t>, O, Ex<'t>> + Clone {}
impl<'t, O, P: Parser<'t, In<'t>, O, Ex<'t>> + Clone> Reads<'t, O> for P {}

/// Runs a parser that takes all tokens of the line.
pub fn run<'t, O>(parser: impl Reads<'t, O>, sheet: &mut Sheet<'t>) -> Option<O> {
    parser.parse_with_state(sheet.tokens, sheet).into_output()
}

/// What a reading closure is given beside the value.
pub type Extra<'a, 't> = chumsky::input::MapExtra<'t, 'a, In<'t>, Ex<'t>>;

/// The stretch just read, in bytes.
#[inline]
pub fn here<'t>(e: &mut Extra<'_, 't>) -> Span {
    let range = e.span();
    e.state().bytes(range)
}

/// Text of a token.
#[inline]
pub fn text_of<'t>(token: Token, e: &mut Extra<'_, 't>) -> &'t str {
    token.span.of(e.state().text)
}
