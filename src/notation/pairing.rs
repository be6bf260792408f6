//! Brackets and figure colons, settled before the grammar looks: one pass a bar, linear in its tokens.
//!
//! The grammar then needs neither recursion nor backtracking: every bracket it meets as such has its
//! partner in the same bar, and a bar with a figure says so at its barline.

use super::token::{Kind, Token};
use std::ops::Range;

/// How deep tuplets may stand in each other.
pub const TUPLET_DEPTH: usize = 3;

/// Marks lone and nested brackets, figure colons and the barlines of bars with a figure.
pub fn pair(tokens: &mut [Token]) {
    let mut stack = Vec::new();
    let mut bar = Found::default();
    let mut from = 0;
    while let Some(token) = tokens.get(from + bar.length) {
        let at = from + bar.length;
        match token.kind {
            Kind::Barline => {
                settle(tokens, from, &bar, &mut stack);
                (from, bar) = (at + 1, Found { opened: true, ..Found::default() });
                continue;
            }
            Kind::Comment | Kind::Beyond => break,
            Kind::Colon if bar.colon.is_none() && ends_figure(tokens, at) => bar.colon = Some(at),
            kind => bar.brackets |= shape(kind).is_some(),
        }
        bar.length += 1;
    }
    settle(tokens, from, &bar, &mut stack);
}

/// What one look over a bar has found.
#[derive(Debug, Default)]
struct Found {
    length: usize,
    /// True if a barline stands before it.
    opened: bool,
    brackets: bool,
    /// The figure's colon, if there are no brackets.
    colon: Option<usize>,
}

/// A figure's colon is the first that a blank or another separator follows.
fn ends_figure(tokens: &[Token], at: usize) -> bool {
    tokens.get(at + 1).is_none_or(|next| separates(next.kind))
}

/// The same where there are brackets: none inside an instruction counts, or the instruction would take it.
fn colon_outside(tokens: &[Token], bar: Range<usize>) -> Option<usize> {
    let mut inside = false;
    for at in bar {
        match tokens.get(at)?.kind {
            Kind::SquareOpen => inside = true,
            Kind::SquareClose => inside = false,
            Kind::Colon if !inside && ends_figure(tokens, at) => return Some(at),
            _ => {}
        }
    }
    None
}

fn settle(tokens: &mut [Token], from: usize, found: &Found, stack: &mut Vec<Open>) {
    let mut colon = found.colon;
    if found.brackets {
        let range = from..from + found.length;
        let bar = tokens.get_mut(range.clone()).unwrap_or(&mut []);
        match_brackets(bar, stack);
        mark_nested(bar, stack);
        colon = colon_outside(tokens, range);
    }
    if let Some(colon) = colon.filter(|_| found.opened) {
        if let Some(token) = tokens.get_mut(colon) {
            token.kind = Kind::FigureColon;
        }
        if let Some(token) = from.checked_sub(1).and_then(|barline| tokens.get_mut(barline)) {
            token.kind = Kind::FigureBarline;
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Shape {
    Paren,
    Brace,
    Square,
}

/// Shape of a bracket, and true for an opening one.
fn shape(kind: Kind) -> Option<(Shape, bool)> {
    match kind {
        Kind::ParenOpen => Some((Shape::Paren, true)),
        Kind::ParenClose => Some((Shape::Paren, false)),
        Kind::BraceOpen => Some((Shape::Brace, true)),
        Kind::BraceClose => Some((Shape::Brace, false)),
        Kind::SquareOpen => Some((Shape::Square, true)),
        Kind::SquareClose => Some((Shape::Square, false)),
        _ => None,
    }
}

/// Where an opening bracket stands and of which shape it is, and whether it stands inside others.
type Open = (usize, Shape, bool);

fn match_brackets(bar: &mut [Token], stack: &mut Vec<Open>) {
    let mut open = [0usize; 3];
    let mut lone = Vec::new();
    stack.clear();
    for (at, token) in bar.iter_mut().enumerate() {
        let Some((shape, opens)) = shape(token.kind) else { continue };
        let Some(count) = open.get_mut(shape as usize) else { continue };
        if opens {
            *count += 1;
            stack.push((at, shape, false));
        } else if *count == 0 {
            token.kind = Kind::Lone;
        } else {
            // What was opened in between and never closed has no partner.
            while let Some((inner, other, _)) = stack.pop() {
                if let Some(count) = open.get_mut(other as usize) {
                    *count -= 1;
                }
                if other == shape {
                    break;
                }
                lone.push(inner);
            }
        }
    }
    for at in lone.into_iter().chain(stack.drain(..).map(|(at, ..)| at)) {
        if let Some(token) = bar.get_mut(at) {
            token.kind = Kind::Lone;
        }
    }
}

/// Chords and instructions hold no brackets, tuplets hold tuplets to a depth.
fn mark_nested(bar: &mut [Token], stack: &mut Vec<Open>) {
    let mut outside_braces = 0usize;
    stack.clear();
    for (at, token) in bar.iter_mut().enumerate() {
        let Some((shape, opens)) = shape(token.kind) else { continue };
        let nested = if opens {
            let deep = if shape == Shape::Brace { stack.len() >= TUPLET_DEPTH } else { !stack.is_empty() };
            let nested = deep || outside_braces > 0;
            stack.push((at, shape, nested));
            outside_braces += usize::from(shape != Shape::Brace);
            nested
        } else {
            outside_braces = outside_braces.saturating_sub(usize::from(shape != Shape::Brace));
            stack.pop().is_some_and(|(.., nested)| nested)
        };
        if nested {
            token.kind = Kind::Nested;
        }
    }
}

/// Blanks, barlines, brackets and quotes separate.
pub fn separates(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Blank
            | Kind::Comment
            | Kind::Beyond
            | Kind::Barline
            | Kind::FigureBarline
            | Kind::FigureColon
            | Kind::ParenOpen
            | Kind::ParenClose
            | Kind::SquareOpen
            | Kind::SquareClose
            | Kind::BraceOpen
            | Kind::BraceClose
            | Kind::Lone
            | Kind::Nested
            | Kind::Quoted
            | Kind::OpenQuote
            | Kind::Curly
    )
}
