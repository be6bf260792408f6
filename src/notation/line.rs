//! One line of a score: its text, its tokens, its tree, its reading faults.

use super::fault::{Fault, FaultName};
use super::grammar::{Sheet, block, head, player, row};
use super::nearest::nearest;
use super::pairing::pair;
use super::span::Span;
use super::token::{Kind, LINE_CAP, Token, tokens};
use super::tree::{LineTree, RowKind, TextField};

/// How a line ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Ending {
    /// The end of the text.
    #[default]
    None,
    Lf,
    Cr,
    CrLf,
}

impl Ending {
    /// The characters.
    pub fn text(self) -> &'static str {
        match self {
            Ending::None => "",
            Ending::Lf => "\n",
            Ending::Cr => "\r",
            Ending::CrLf => "\r\n",
        }
    }
}

/// A line that has been read. Depends on nothing but its own text.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Without the terminator.
    pub text: Box<str>,
    pub ending: Ending,
    pub tokens: Box<[Token]>,
    pub tree: LineTree,
    /// In the order of the text.
    pub faults: Box<[Fault]>,
}

impl Line {
    /// Length in bytes, terminator included.
    pub fn bytes(&self) -> usize {
        self.text.len() + self.ending.text().len()
    }
}

/// Words that begin a kind of line.
pub const LINE_WORDS: [&str; 18] = [
    "brass",
    "title",
    "composer",
    "arranger",
    "rights",
    "level",
    "pitch",
    "tuning",
    "player",
    "group",
    "instrument",
    "phrase",
    "allow",
    "roadmap",
    "include",
    "bar",
    "rhythm",
    "chords",
];

/// Reads a line. Never fails: what cannot be read is among the faults.
pub fn read_line(text: &str, ending: Ending) -> Line {
    read_line_counted(text, ending).0
}

/// The same with the number of tokens the grammar looked at, those looked at again included.
pub fn read_line_counted(text: &str, ending: Ending) -> (Line, u64) {
    let mut tokens = tokens(text);
    let odd = blanks_for_odd_ones(&mut tokens);
    let barlines = tokens.iter().filter(|t| t.kind == Kind::Barline).count();
    let barred = barlines > 0;
    if barred {
        pair(&mut tokens);
    }
    let (tree, mut faults, steps) = {
        let mut sheet = Sheet::new(text, &tokens);
        sheet.faults = odd;
        if barred {
            sheet.bars.reserve(barlines);
            sheet.items.reserve(tokens.len() / 2);
            if tokens.iter().any(|t| t.kind == Kind::FigureBarline) {
                sheet.nodes.reserve(tokens.len() / 4);
            }
        }
        let tree = tree(barred, &mut sheet).unwrap_or_else(|| {
            // The grammar takes any tokens; should it ever not, the line is kept and says so.
            sheet.fault(FaultName::Unreadable, whole(text), "This line cannot be read.");
            LineTree::Bad
        });
        if let Some(beyond) = tokens.last().filter(|t| t.kind == Kind::Beyond) {
            sheet.push(too_long(beyond.span, text));
        }
        (tree, sheet.faults, sheet.steps)
    };
    faults.sort_by_key(|fault| fault.span.start);
    let line = Line { text: text.into(), ending, tokens: tokens.into(), tree, faults: faults.into() };
    (line, steps)
}

/// Odd blanks are faults wherever they stand, and the line is read as if they were ordinary ones.
fn blanks_for_odd_ones(tokens: &mut [Token]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for token in tokens.iter_mut().filter(|t| t.kind == Kind::OddBlank) {
        token.kind = Kind::Blank;
        faults.push(super::grammar::unread::odd_blank(*token));
    }
    faults
}

fn whole(text: &str) -> Span {
    Span::new(0, text.len() as u32)
}

fn too_long(beyond: Span, text: &str) -> Fault {
    let first = beyond.of(text).chars().next().map_or(0, |c| c.len_utf8() as u32);
    let span = Span::new(beyond.start, beyond.start + first);
    let said = format!(
        "A line is read up to {} KiB; from here on this one is not. Part the bars into several blocks.",
        LINE_CAP / 1024
    );
    Fault::new(FaultName::TooLong, span, said)
}

fn tree(barred: bool, sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let first = sheet.tokens.iter().find(|t| t.kind != Kind::Blank).copied();
    let Some(first) = first.filter(|t| t.kind != Kind::Comment) else { return Some(LineTree::Blank) };
    let word = if first.kind == Kind::Word { first.of(sheet.text) } else { "" };
    match word {
        "brass" => head::version(sheet),
        "title" => head::text_line(TextField::Title, "title", sheet),
        "composer" => head::text_line(TextField::Composer, "composer", sheet),
        "arranger" => head::text_line(TextField::Arranger, "arranger", sheet),
        "rights" => head::text_line(TextField::Rights, "rights", sheet),
        "level" => head::level(sheet),
        "pitch" => head::basis(sheet),
        "tuning" => head::tuning(sheet),
        "player" => player::player(sheet),
        "group" => head::group(sheet),
        "instrument" => player::instrument(sheet),
        "phrase" => row::read_phrase(sheet),
        "allow" => head::allow(sheet),
        "roadmap" => head::roadmap(sheet),
        "include" => head::include(sheet),
        "bar" => block::read(sheet),
        "rhythm" => row::read(RowKind::Rhythm, sheet),
        "chords" => row::read(RowKind::Chords, sheet),
        _ if barred => row::read(RowKind::Music, sheet),
        _ => Some(unknown(first, sheet)),
    }
}

/// A line that begins with no line word and has no barline.
fn unknown(first: Token, sheet: &mut Sheet<'_>) -> LineTree {
    let at = sheet.tokens.iter().position(|t| *t == first).unwrap_or(0);
    let touching = sheet.tokens.iter().skip(at).take_while(|t| !matches!(t.kind, Kind::Blank | Kind::Beyond));
    let span = touching.fold(first.span, |span, t| span.to(t.span));
    let said = span.of(sheet.text).to_owned();
    let shown = super::grammar::words::shown(&said);
    let fault = match first.kind {
        Kind::Slashes => Fault::new(
            FaultName::UnknownWord,
            first.span,
            "A remark begins with `//` and a blank.",
        )
        .fixed_by("Put a blank behind it", Span::new(first.span.end, first.span.end), " "),
        _ => {
            let text = format!(
                "No line begins with `{shown}`: it is no line word, such as `player` or `bar`, and a row of music has barlines."
            );
            match nearest(&said, LINE_WORDS) {
                Some(near) => {
                    Fault::new(FaultName::UnknownWord, span, format!("{text} Did you mean `{near}`?"))
                        .fixed_by(format!("Write {near}"), span, near)
                }
                None => Fault::new(FaultName::UnknownWord, span, text),
            }
        }
    };
    sheet.push(fault);
    LineTree::Bad
}
