//! Text with blanks where they belong and nowhere else.

use crate::notation::line::Line;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use unicode_normalization::char::is_combining_mark;

/// How far apart a remark stands from what it follows.
const BEFORE_REMARK: &str = "  ";

/// How wide a text is on the screen: characters, without the marks that stand above others.
pub fn width(text: &str) -> usize {
    if text.is_ascii() { text.len() } else { text.chars().filter(|c| !is_combining_mark(*c)).count() }
}

/// Adds blanks up to a width.
pub fn pad(text: &mut String, to: usize) {
    let now = width(text);
    text.extend(std::iter::repeat_n(' ', to.saturating_sub(now)));
}

/// The line's text without blanks at its end.
pub fn without_trailing_blanks(line: &Line) -> &str {
    let mut end = line.text.len() as u32;
    for token in line.tokens.iter().rev() {
        match token.kind {
            // An odd blank stays with its fault: without it the line would be another one to lay out.
            Kind::Blank if token.of(&line.text).starts_with([' ', '\t']) => end = token.span.start,
            Kind::Comment => return line.text.trim_end_matches([' ', '\t']),
            _ => break,
        }
    }
    line.text.get(..end as usize).unwrap_or(&line.text)
}

/// The byte-order mark, where the line begins with one.
pub fn mark(line: &Line) -> &str {
    if line.text.starts_with('\u{FEFF}') { "\u{FEFF}" } else { "" }
}

/// The remark at the end of the line with the blanks before it; empty if there is none.
pub fn remark(line: &Line) -> String {
    match line.tokens.last().filter(|t| t.kind == Kind::Comment) {
        Some(comment) => format!("{BEFORE_REMARK}{}", comment.of(&line.text).trim_end_matches([' ', '\t'])),
        None => String::new(),
    }
}

/// Tokens of a stretch.
pub fn tokens_in(line: &Line, span: Span) -> &[Token] {
    let from = line.tokens.partition_point(|t| t.span.start < span.start);
    let to = line.tokens.partition_point(|t| t.span.end <= span.end);
    line.tokens.get(from..to).unwrap_or(&[])
}

/// A stretch with single blanks; none inside brackets' edges and before commas, one after commas, one on
/// either side of `=` where the stretch is not a note with its marks.
pub fn squeeze(line: &Line, span: Span, equals_apart: bool) -> String {
    let text = line.text.get(span.start as usize..span.end as usize).unwrap_or("");
    if !equals_apart && !text.contains([' ', '\t']) {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut last: Option<Kind> = None;
    let mut blank = false;
    for token in tokens_in(line, span) {
        if token.kind == Kind::Blank {
            blank = last.is_some();
            continue;
        }
        if let Some(last) = last {
            let opened = matches!(last, Kind::ParenOpen | Kind::SquareOpen | Kind::BraceOpen);
            let closes = matches!(token.kind, Kind::ParenClose | Kind::SquareClose | Kind::BraceClose);
            let equals = equals_apart && (last == Kind::Equals || token.kind == Kind::Equals);
            let comma = equals_apart && token.kind == Kind::Comma;
            let after_comma = equals_apart && last == Kind::Comma;
            // A blank before `//` would make a remark of it.
            let apart = blank || ((equals || after_comma) && token.kind != Kind::Slashes);
            if !(opened || closes || comma) && apart {
                out.push(' ');
            }
        }
        out.push_str(token.of(&line.text));
        last = Some(token.kind);
        blank = false;
    }
    out
}
