//! Where on a line somebody is typing. Works on the line's tokens, since half a line has no tree yet.

use super::place::Place;
use crate::notation::Span;
use crate::notation::line::{LINE_WORDS, Line};
use crate::notation::pairing::separates;
use crate::notation::token::{Kind, Token};
use crate::rules::Desk;
use crate::score::score::{Placed, Score};

/// A cursor in a line.
#[derive(Clone, Copy)]
pub struct Typing<'a> {
    pub desk: &'a Desk,
    pub line: &'a Line,
    /// Line of the file, from 0.
    pub number: u32,
    /// Byte of the line, between two characters.
    pub at: u32,
}

/// Stretches of a line with blanks between them, and which of them the cursor is in.
#[derive(Debug, Clone, Default)]
pub struct Words {
    pub all: Vec<Span>,
    /// The one that is being typed; as many as end before the cursor if that stands between two.
    pub current: usize,
    /// Its stretch; empty between two.
    pub span: Span,
}

impl Words {
    /// Those that stand before the cursor.
    pub fn before(&self) -> &[Span] {
        self.all.get(..self.current).unwrap_or(&[])
    }

    /// All but the one being typed.
    pub fn others(&self) -> impl Iterator<Item = Span> {
        self.all.iter().copied().filter(|s| *s != self.span)
    }
}

/// A bar of a row: what stands between two barlines.
#[derive(Debug, Clone, Copy)]
pub struct OpenBar {
    pub span: Span,
    /// Bars of the row before it.
    pub index: usize,
    /// The figure's colon.
    pub colon: Option<Span>,
}

impl<'a> Typing<'a> {
    /// `None` beyond the last line. A byte beyond the line is its end.
    pub fn new(desk: &'a Desk, place: Place) -> Option<Typing<'a>> {
        let line = desk.document().lines().get(place.line as usize)?;
        let mut at = (place.byte as usize).min(line.text.len());
        while !line.text.is_char_boundary(at) {
            at -= 1;
        }
        Some(Typing { desk, line, number: place.line, at: at as u32 })
    }

    pub fn score(&self) -> &'a Score {
        self.desk.score()
    }

    pub fn text(&self, span: Span) -> &'a str {
        span.of(&self.line.text)
    }

    /// True inside a remark, inside quotes, and where the line is no longer read.
    pub fn is_inside_text(&self) -> bool {
        self.line.tokens.iter().any(|t| {
            let inside = t.span.start < self.at && self.at < t.span.end;
            let open = inside || (t.span.start < self.at && self.at == t.span.end);
            let at_start = self.at == t.span.start;
            match t.kind {
                Kind::Quoted => inside,
                // What is put in right before a remark would make it none.
                Kind::Comment => open || at_start,
                Kind::OpenQuote | Kind::Beyond => open,
                Kind::Curly => inside || (open && !self.text(t.span).ends_with(['”', '“', '‟', '"'])),
                _ => false,
            }
        })
    }

    /// The block of the line, its number and the lines below its header.
    pub fn block(&self) -> Option<(usize, &'a Placed, u32)> {
        let index = self.score().block_at(self.number)?;
        let placed = self.score().blocks.get(index)?;
        Some((index, placed, self.number - placed.line))
    }

    /// Tokens that begin before the cursor.
    pub fn before(&self) -> &'a [Token] {
        let end = self.line.tokens.partition_point(|t| t.span.start < self.at);
        self.line.tokens.get(..end).unwrap_or(&[])
    }

    /// Tokens that begin at the cursor or after it.
    pub fn after(&self) -> &'a [Token] {
        let start = self.line.tokens.partition_point(|t| t.span.start < self.at);
        self.line.tokens.get(start..).unwrap_or(&[])
    }

    /// The first word of the line, whatever touches it included; empty on a blank line.
    pub fn first_word(&self) -> Span {
        let mut inked = self.line.tokens.iter().filter(|t| t.kind != Kind::Blank);
        let Some(first) = inked.next().filter(|t| !matches!(t.kind, Kind::Comment | Kind::Beyond)) else {
            return Span::new(self.at, self.at);
        };
        self.line
            .tokens
            .iter()
            .skip_while(|t| t.span.start <= first.span.start)
            .take_while(|t| !separates(t.kind))
            .fold(first.span, |span, t| span.to(t.span))
    }

    /// The line word that the line begins with.
    pub fn line_word(&self) -> &'static str {
        let first = self.text(self.first_word());
        LINE_WORDS.into_iter().find(|w| *w == first).unwrap_or("")
    }

    /// Blank-separated stretches from a byte up to the first token that `ends`, remarks left out.
    pub fn words(&self, from: u32, ends: impl Fn(&Token) -> bool) -> Words {
        let mut words = Words { span: Span::new(self.at, self.at), ..Words::default() };
        let tokens = self.line.tokens.iter().skip_while(|t| t.span.start < from);
        let mut open: Option<Span> = None;
        for token in tokens {
            let over = matches!(token.kind, Kind::Comment | Kind::Beyond) || ends(token);
            if over || token.kind == Kind::Blank {
                words.all.extend(open.take());
                if over {
                    break;
                }
                continue;
            }
            open = Some(open.map_or(token.span, |span| span.to(token.span)));
        }
        words.all.extend(open);
        words.current = words.all.iter().take_while(|s| s.end < self.at).count();
        if let Some(span) = words.all.get(words.current).filter(|s| s.start <= self.at) {
            words.span = *span;
        }
        words
    }

    /// The bar the cursor stands in; `None` before the first barline.
    pub fn bar(&self) -> Option<OpenBar> {
        let barlines = || self.line.tokens.iter().filter(|t| t.kind.is_barline());
        // Between barlines that touch stands nobody: they are read as one.
        let before = barlines().filter(|t| t.span.end <= self.at).count();
        let start = barlines().nth(before.checked_sub(1)?)?.span.end;
        let stop = |t: &&Token| {
            t.span.start >= self.at && (t.kind.is_barline() || matches!(t.kind, Kind::Comment | Kind::Beyond))
        };
        let end = self.line.tokens.iter().find(stop).map_or(self.line.text.len() as u32, |t| t.span.start);
        let span = Span::new(start, end.max(start));
        let colon = self.tokens_in(span).find(|t| t.kind == Kind::FigureColon && !self.touches_note(t.span));
        Some(OpenBar { span, index: before - 1, colon: colon.map(|t| t.span) })
    }

    /// Tokens inside a stretch.
    pub fn tokens_in(&self, span: Span) -> impl Iterator<Item = &'a Token> {
        let from = self.line.tokens.partition_point(|t| t.span.start < span.start);
        self.line.tokens.iter().skip(from).take_while(move |t| t.span.end <= span.end)
    }

    /// True for a colon that touches a note: somebody begins to type a technique.
    fn touches_note(&self, colon: Span) -> bool {
        let touching = self.touching(colon.start);
        touching.first().is_some_and(|t| {
            matches!(t.kind, Kind::Pitch | Kind::SmallPitch | Kind::Equals | Kind::Slash | Kind::ParenClose)
        }) && !self.text(Span::new(colon.end, colon.end + 1)).starts_with(char::is_alphabetic)
    }

    /// True if something touches the end of a word, a barline or a bracket aside.
    pub fn is_touched(&self, word: Span) -> bool {
        let next = self.line.tokens.iter().find(|t| t.span.start >= word.end);
        next.is_some_and(|t| !separates(t.kind))
    }

    /// Tokens that touch each other and end at a byte, back to a blank or another separator; a closing
    /// bracket counts as the first of them.
    pub fn touching(&self, end: u32) -> &'a [Token] {
        let to = self.line.tokens.partition_point(|t| t.span.end <= end);
        let all = self.line.tokens.get(..to).unwrap_or(&[]);
        if all.last().is_none_or(|t| t.span.end != end) {
            return &[];
        }
        let from = all.iter().rposition(|t| separates(t.kind)).map_or(0, |i| {
            let closes = all.get(i).is_some_and(|t| t.kind == Kind::ParenClose);
            if closes { i } else { i + 1 }
        });
        all.get(from..).unwrap_or(&[])
    }
}
