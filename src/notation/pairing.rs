//! Brackets and figure colons, settled before the grammar looks: one pass a bar, linear in its tokens.
//!
//! The grammar then needs neither recursion nor backtracking: every bracket it meets as such has its
//! partner in the same bar, and a bar with a figure says so at its barline.

use super::token::{Kind, Token};

/// How deep tuplets may stand in each other.
pub const TUPLET_DEPTH: usize = 3;

/// Marks lone and nested brackets, figure colons and the barlines of bars with a figure.
pub fn pair(tokens: &mut [Token]) {
    let mut stack = Vec::new();
    let mut start = 0;
    let mut barline: Option<usize> = None;
    let mut brackets = false;
    for at in 0..=tokens.len() {
        let kind = tokens.get(at).map(|t| t.kind);
        match kind {
            None | Some(Kind::Barline | Kind::Comment | Kind::Beyond) => {
                let bar = tokens.get_mut(start..at).unwrap_or(&mut []);
                if brackets {
                    match_brackets(bar, &mut stack);
                    mark_nested(bar, &mut stack);
                }
                if let Some(barline) = barline
                    && find_colon(bar, kind)
                    && let Some(token) = tokens.get_mut(barline)
                {
                    token.kind = Kind::FigureBarline;
                }
                if kind != Some(Kind::Barline) {
                    break;
                }
                (start, barline, brackets) = (at + 1, Some(at), false);
            }
            Some(kind) => brackets |= shape(kind).is_some(),
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

/// Finds the figure's colon: the first that a blank or another separator follows. `after` is what
/// follows the bar.
fn find_colon(bar: &mut [Token], after: Option<Kind>) -> bool {
    let mut inside = false;
    for at in 0..bar.len() {
        let next = bar.get(at + 1).map(|t| t.kind).or(after);
        let Some(token) = bar.get_mut(at) else { break };
        match token.kind {
            Kind::SquareOpen => inside = true,
            Kind::SquareClose => inside = false,
            Kind::Colon if !inside && next.is_none_or(separates) => {
                token.kind = Kind::FigureColon;
                return true;
            }
            _ => {}
        }
    }
    false
}

/// Blanks, barlines, brackets and quotes separate.
pub fn separates(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Blank
            | Kind::OddBlank
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
