//! What stands where on a line, so that an editor can give each kind of thing its colour.
//!
//! A line's colours depend on the line and on the [`Ground`]: what the names of the score mean. A name that
//! nobody has declared gets no colour, and neither does what could not be read.

mod bars;
mod block;
mod head;

use crate::brass::catalogue;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use crate::score::head::{Named, Names};
use std::collections::{BTreeSet, HashSet};
use std::sync::Arc;

/// What a stretch of a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Colour {
    /// A word of the notation: a line word, a setting, an option, `rest`, `play`.
    Word,
    /// One of the few words that may stand there: `major`, `cup`, `treble`, the name of a rule.
    Term,
    Player,
    Group,
    Phrase,
    /// A rehearsal mark or a spot.
    Mark,
    /// An instrument that the score itself declares.
    OwnInstrument,
    /// An instrument of the catalogue.
    Instrument,
    /// A pitch.
    Note,
    ChordSymbol,
    /// How long: `q.`, `h+e`.
    Value,
    Number,
    Dynamic,
    /// `[mute …]` and its kin.
    Instruction,
    /// `:gliss` and its kin.
    Technique,
    /// `@12`.
    Choice,
    /// Barlines, brackets, rests, holds, marks that are signs.
    Sign,
    /// Between quotes.
    Text,
    Comment,
}

impl Colour {
    /// All of them.
    pub const ALL: [Colour; 19] = [
        Colour::Word,
        Colour::Term,
        Colour::Player,
        Colour::Group,
        Colour::Phrase,
        Colour::Mark,
        Colour::OwnInstrument,
        Colour::Instrument,
        Colour::Note,
        Colour::ChordSymbol,
        Colour::Value,
        Colour::Number,
        Colour::Dynamic,
        Colour::Instruction,
        Colour::Technique,
        Colour::Choice,
        Colour::Sign,
        Colour::Text,
        Colour::Comment,
    ];
}

/// A stretch with its colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coloured {
    pub span: Span,
    pub colour: Colour,
    /// True for a name where it is declared.
    pub declares: bool,
}

/// What the colours of a line depend on besides the line.
#[derive(Debug, Clone)]
pub struct Ground {
    names: Arc<Names>,
    instruments: HashSet<&'static str>,
    /// What a road map may name; empty without a road map.
    sections: BTreeSet<String>,
}

impl Ground {
    /// That of a score.
    pub fn of(desk: &Desk) -> Ground {
        let score = desk.score();
        let mut sections = BTreeSet::new();
        if score.head.roadmap.is_some() {
            sections.insert("start".to_owned());
            sections.extend(score.blocks.iter().flat_map(|b| b.read.block.sections.iter().cloned()));
        }
        let instruments = catalogue::entries().map(|entry| entry.name).collect();
        Ground { names: Arc::clone(&score.head.names), instruments, sections }
    }

    /// True if every line has the same colours on both.
    pub fn same(&self, other: &Ground) -> bool {
        let names = Arc::ptr_eq(&self.names, &other.names) || self.names == other.names;
        names && self.sections == other.sections
    }

    /// A name where players and groups are named.
    fn person(&self, name: &str) -> Option<Colour> {
        match self.names.get(name)? {
            Named::Player(_) => Some(Colour::Player),
            Named::Group(_) => Some(Colour::Group),
            Named::Phrase | Named::Instrument => None,
        }
    }

    fn phrase(&self, name: &str) -> Option<Colour> {
        matches!(self.names.get(name), Some(Named::Phrase)).then_some(Colour::Phrase)
    }

    /// The words of an instrument's name, without its key.
    fn instrument(&self, words: &str) -> Option<Colour> {
        if matches!(self.names.get(words), Some(Named::Instrument)) {
            return Some(Colour::OwnInstrument);
        }
        let known = self.instruments.contains(words)
            || self.instruments.contains(words.split_whitespace().collect::<Vec<_>>().join(" ").as_str());
        known.then_some(Colour::Instrument)
    }

    fn section(&self, name: &str) -> Option<Colour> {
        self.sections.contains(name).then_some(Colour::Mark)
    }
}

/// Adds the colours of a line: sorted, none empty, none over another.
pub fn colours(ground: &Ground, line: &Line, out: &mut Vec<Coloured>) {
    let mut brush = Brush { ground, line, first: out.len(), out };
    match &line.tree {
        LineTree::Row(row) => bars::row(&mut brush, row),
        LineTree::Phrase(phrase) => head::phrase(&mut brush, phrase),
        LineTree::Block(block) => block::header(&mut brush, block),
        LineTree::Blank | LineTree::Bad => brush.comment(),
        _ => head::line(&mut brush),
    }
}

/// Puts down one line's colours.
struct Brush<'a> {
    ground: &'a Ground,
    line: &'a Line,
    /// Where this line's colours begin.
    first: usize,
    out: &'a mut Vec<Coloured>,
}

impl<'a> Brush<'a> {
    fn text(&self, span: Span) -> &'a str {
        span.of(&self.line.text)
    }

    /// Puts a colour down. What touches something of the same colour becomes one with it.
    fn put(&mut self, span: Span, colour: Colour) {
        if span.is_empty() {
            return;
        }
        if let Some(last) = self.out.get_mut(self.first..).and_then(|here| here.last_mut())
            && last.span.end == span.start
            && last.colour == colour
            && !last.declares
        {
            last.span.end = span.end;
            return;
        }
        self.out.push(Coloured { span, colour, declares: false });
    }

    fn put_if(&mut self, span: Span, colour: Option<Colour>) {
        if let Some(colour) = colour {
            self.put(span, colour);
        }
    }

    /// A name where it is declared.
    fn declare(&mut self, span: Span, colour: Colour) {
        if !span.is_empty() {
            self.out.push(Coloured { span, colour, declares: true });
        }
    }

    fn comment(&mut self) {
        if let Some(comment) = self.line.tokens.iter().find(|t| t.kind == Kind::Comment) {
            self.put(comment.span, Colour::Comment);
        }
    }

    /// What a token is wherever it stands on a line of words.
    fn plain(&mut self, token: &Token) {
        match token.kind {
            Kind::Comment => self.put(token.span, Colour::Comment),
            Kind::Quoted => self.put(token.span, Colour::Text),
            Kind::Number => self.put(token.span, Colour::Number),
            Kind::Pitch => self.put(token.span, Colour::Note),
            Kind::Equals => self.put(token.span, Colour::Sign),
            _ => {}
        }
    }

    /// `"Calm" q. = 72`.
    fn tempo(&mut self, token: &Token) {
        match token.kind {
            Kind::Word | Kind::Dot | Kind::Plus => self.put(token.span, Colour::Value),
            _ => self.plain(token),
        }
    }
}
