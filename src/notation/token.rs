//! The tokens of one line.
//!
//! Nothing is skipped and nothing is joined across a line end: the texts of the tokens, one after the
//! other, are the line. What a token means is decided by where it stands; a name may look like a pitch.

use super::span::Span;
use logos::Logos;
use unicode_normalization::char::is_combining_mark;

/// What a token looks like.
#[derive(Logos, Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Spaces and tabs; also a byte-order mark at the start of a line.
    #[regex(r"[ \t]+")]
    Blank,
    /// Blanks that are neither space nor tab: no-break spaces, form feeds, the odd line separators. A line
    /// that has been read has none: they are blanks in it, with a fault.
    OddBlank,
    /// `//` and what follows.
    Comment,
    /// Letters and digits of any script, `_` inside; anything beyond ASCII but curly quotes, to be looked at
    /// again.
    #[regex(
        r"[A-Za-z\u{80}-\u{201B}\u{2020}-\u{10FFFF}](_*[A-Za-z0-9\u{80}-\u{201B}\u{2020}-\u{10FFFF}])*",
        priority = 2
    )]
    Word,
    /// A letter A to G, at most one accidental, one octave digit.
    #[regex(r"[A-G](#|x|bb|b|♯|♭|𝄪|𝄫)?[0-9]", priority = 9)]
    Pitch,
    /// The same with a small letter; reserved.
    #[regex(r"[a-g](#|x|bb|b|♯|♭|𝄪|𝄫)?[0-9]", priority = 9)]
    SmallPitch,
    /// A capital or small letter with sharps and no octave: `F#`.
    #[regex(r"[A-Ga-g]##?", priority = 9)]
    Sharp,
    /// Digits, with decimals or without.
    #[regex(r"[0-9]+(\.[0-9]+)?")]
    Number,
    /// From a quote to the next.
    #[regex(r#""[^"\r\n]*""#)]
    Quoted,
    /// A quote that never closes, up to the next barline.
    #[regex(r#""[^"|\r\n]*"#)]
    OpenQuote,
    /// Words in curly quotes, up to the closing one or the next barline.
    #[regex("[“”„‟][^“”„‟\"|\\r\\n]*[“”‟\"]?")]
    Curly,
    /// One barline, or several that touch.
    #[regex(r"\|+")]
    Barline,
    /// A barline whose bar has a figure; set by pairing.
    FigureBarline,
    #[token("(")]
    ParenOpen,
    #[token(")")]
    ParenClose,
    #[token("{")]
    BraceOpen,
    #[token("}")]
    BraceClose,
    #[token("[")]
    SquareOpen,
    #[token("]")]
    SquareClose,
    /// A bracket without its partner in the same bar; set by pairing.
    Lone,
    /// A bracket inside others where none may stand; set by pairing.
    Nested,
    #[token(":")]
    Colon,
    /// The colon after a figure; set by pairing.
    FigureColon,
    /// A colon and a word.
    #[regex(r":[A-Za-z]+")]
    Technique,
    /// `*` and a number.
    #[regex(r"\*[0-9]+")]
    Times,
    #[token("*")]
    Star,
    #[token("/")]
    Slash,
    /// `//` where it opens no comment.
    #[token("//")]
    Slashes,
    #[token(".")]
    Dot,
    #[token("-")]
    Minus,
    #[token(">")]
    Greater,
    #[token("<")]
    Less,
    #[token("^")]
    Caret,
    #[token("_")]
    Low,
    #[token(",")]
    Comma,
    #[token(",,")]
    Commas,
    #[token("=")]
    Equals,
    #[token("%")]
    Percent,
    /// `@` and what touches it.
    #[regex(r"@[A-Za-z0-9]*")]
    Choice,
    #[token("+")]
    Plus,
    /// Any other sign.
    #[regex(r"[\x00-\x08\x0A-\x1F!#$&';?\\~`\x7F]")]
    Other,
    /// What lies beyond the longest line that is read.
    Beyond,
}

impl Kind {
    /// True for what may be a name: position decides.
    pub fn is_wordlike(self) -> bool {
        matches!(self, Kind::Word | Kind::Pitch | Kind::SmallPitch)
    }

    /// True for either kind of barline.
    pub fn is_barline(self) -> bool {
        matches!(self, Kind::Barline | Kind::FigureBarline)
    }
}

/// A token and where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Token {
    pub kind: Kind,
    pub span: Span,
}

impl Token {
    /// Its text.
    pub fn of(self, text: &str) -> &str {
        self.span.of(text)
    }
}

/// Longest stretch of a line that is read, in bytes.
pub const LINE_CAP: usize = 64 * 1024;

/// The tokens of a line, without its terminator.
pub fn tokens(text: &str) -> Vec<Token> {
    let mut cap = text.len().min(LINE_CAP);
    while !text.is_char_boundary(cap) {
        cap -= 1;
    }
    let read = text.get(..cap).unwrap_or("");
    let mut out = Vec::with_capacity(read.len() / 2 + 4);
    let mark = if read.starts_with('\u{FEFF}') { '\u{FEFF}'.len_utf8() } else { 0 };
    if mark > 0 {
        out.push(token(Kind::Blank, 0, mark));
    }
    let mut lexer = Kind::lexer(read.get(mark..).unwrap_or(""));
    while let Some(kind) = lexer.next() {
        let range = lexer.span();
        let (start, end) = (range.start + mark, range.end + mark);
        match kind.unwrap_or(Kind::Other) {
            Kind::Slashes if opens_comment(out.last(), lexer.remainder()) => {
                out.push(token(Kind::Comment, start, cap));
                break;
            }
            Kind::Word if !lexer.slice().is_ascii() => split(lexer.slice(), start, &mut out),
            kind => out.push(token(kind, start, end)),
        }
    }
    if cap < text.len() {
        out.push(token(Kind::Beyond, cap, text.len()));
    }
    out
}

fn token(kind: Kind, start: usize, end: usize) -> Token {
    Token { kind, span: Span::new(start as u32, end as u32) }
}

/// A comment stands at the start of a line or after a blank, and a blank or the line end follows its sign.
fn opens_comment(before: Option<&Token>, after: &str) -> bool {
    before.is_none_or(|t| t.kind == Kind::Blank) && (after.is_empty() || after.starts_with([' ', '\t']))
}

/// Parts of a word with characters beyond ASCII: letters, odd blanks, other signs.
fn split(word: &str, start: usize, out: &mut Vec<Token>) {
    let mut parts: Option<(Kind, usize, usize)> = None;
    for (at, c) in word.char_indices() {
        let kind = class(c);
        let (from, to) = (start + at, start + at + c.len_utf8());
        match &mut parts {
            Some((last, _, end)) if *last == kind => *end = to,
            _ => {
                if let Some((kind, from, to)) = parts {
                    push_part(word, start, (kind, from, to), out);
                }
                parts = Some((kind, from, to));
            }
        }
    }
    if let Some(part) = parts {
        push_part(word, start, part, out);
    }
}

/// A word that is left after other characters were taken out of it may begin with digits or end with `_`.
fn push_part(word: &str, start: usize, (kind, from, to): (Kind, usize, usize), out: &mut Vec<Token>) {
    let text = word.get(from - start..to - start).unwrap_or("");
    if kind != Kind::Word || (text.len() == word.len() && !text.is_ascii()) {
        out.push(token(kind, from, to));
        return;
    }
    let mut lexer = Kind::lexer(text);
    while let Some(kind) = lexer.next() {
        let range = lexer.span();
        out.push(token(kind.unwrap_or(Kind::Other), from + range.start, from + range.end));
    }
}

fn class(c: char) -> Kind {
    // The signs of accidentals belong to note names.
    let accidental = matches!(c, '♯' | '♭' | '♮' | '𝄪' | '𝄫');
    if c == '_' || accidental || c.is_alphanumeric() || is_combining_mark(c) {
        Kind::Word
    } else if c.is_whitespace() || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2060}' | '\u{FEFF}' | '\u{AD}') {
        Kind::OddBlank
    } else {
        Kind::Other
    }
}
