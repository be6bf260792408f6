//! Entries of a list, one for each place, and the free things around them.

use super::Declined;
use crate::assist::cure::notes::{tokens, written};
use crate::music::{Dynamic, Fraction, Pitch};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Instruction, Item, What};

/// Which entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EntryKind {
    Note,
    Rest,
    Hold,
}

/// What takes a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub onset: Fraction,
    pub kind: EntryKind,
    /// With blanks between them.
    pub graces: Vec<Text>,
    pub text: Text,
    /// Where the chord stands in its line, if it is one, and whether this is the last of its copies.
    pub chord: Option<(Span, bool)>,
}

impl Entry {
    /// A rest without marks.
    pub fn rest(onset: Fraction) -> Entry {
        Entry { onset, kind: EntryKind::Rest, graces: Vec::new(), text: Text::plain("-"), chord: None }
    }
}

/// A piece of text whose pitches may be changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, PartialEq)]
enum Piece {
    As(String),
    Pitch(String, Pitch),
    /// `@…`.
    Choice(String),
}

impl Text {
    /// Without pitches.
    pub fn plain(text: &str) -> Text {
        Text { pieces: vec![Piece::As(text.to_owned())] }
    }

    /// Of a stretch of a line, `*n` left out; of copies that are not the last, what only the last one has too.
    fn of(line: &Line, span: Span, last: bool) -> Text {
        Text::of_tokens(line, tokens(line, span), last)
    }

    /// The same of some tokens of a line.
    pub fn of_tokens(line: &Line, tokens: impl Iterator<Item = Token>, last: bool) -> Text {
        let mut pieces = Vec::new();
        for token in tokens {
            let text = token.of(&line.text);
            match token.kind {
                Kind::Times => {}
                Kind::Low | Kind::Comma | Kind::Commas if !last => {}
                Kind::Pitch => match Pitch::parse(text) {
                    Some(pitch) => pieces.push(Piece::Pitch(text.to_owned(), pitch)),
                    None => pieces.push(Piece::As(text.to_owned())),
                },
                Kind::Choice => pieces.push(Piece::Choice(text.to_owned())),
                _ => pieces.push(Piece::As(text.to_owned())),
            }
        }
        Text { pieces }
    }

    /// As it stands.
    pub fn as_it_is(&self) -> String {
        let piece = |p: &Piece| match p {
            Piece::As(text) | Piece::Pitch(text, _) | Piece::Choice(text) => text.clone(),
        };
        self.pieces.iter().map(piece).collect()
    }

    /// For another player: other pitches, no choice of fingering.
    pub fn moved(&self, to: &dyn Fn(Pitch) -> Pitch) -> Result<Text, Declined> {
        let mut pieces = Vec::new();
        for piece in &self.pieces {
            match piece {
                Piece::Choice(_) => {}
                Piece::As(text) => pieces.push(Piece::As(text.clone())),
                Piece::Pitch(text, pitch) => {
                    let other = to(*pitch);
                    let said =
                        if other == *pitch { text.clone() } else { written(other).ok_or(Declined::Pitch)? };
                    pieces.push(Piece::Pitch(said, other));
                }
            }
        }
        Ok(Text { pieces })
    }

    /// Without a sign that would lead somewhere.
    pub fn without(&mut self, sign: &str) {
        self.pieces.retain(|p| !matches!(p, Piece::As(text) if text == sign));
    }

    /// True if it is a rest or hold with nothing on it.
    pub fn is_bare(&self) -> bool {
        matches!(self.as_it_is().as_str(), "-" | "=")
    }
}

/// A free thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Free {
    /// Of the entry that it stands before; the length of the bar behind the last.
    pub onset: Fraction,
    pub what: FreeKind,
    pub text: String,
}

/// What it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FreeKind {
    Dynamic(Dynamic),
    Hairpin,
    Words,
    Instruction(Instruction),
}

impl Free {
    /// One that takes effect at a place.
    pub fn of(item: &Item, line: &Line, onset: Fraction) -> Option<Free> {
        let what = match item.what {
            What::Dynamic(d) => FreeKind::Dynamic(d),
            What::Crescendo | What::Diminuendo => FreeKind::Hairpin,
            What::Words => FreeKind::Words,
            What::Instruction(i) => FreeKind::Instruction(i),
            _ => return None,
        };
        Some(Free { onset, what, text: item.span.of(&line.text).to_owned() })
    }

    /// The dynamic it leaves in force.
    pub fn leaves(&self) -> Option<Dynamic> {
        match self.what {
            FreeKind::Dynamic(d) => d.leaves(),
            _ => None,
        }
    }
}

/// The entries of a bar at their places, and the free things. `places` are the onsets of those that take one.
pub fn list(
    items: &[Item],
    line: &Line,
    places: &[Fraction],
    length: Fraction,
) -> Result<(Vec<Entry>, Vec<Free>), Declined> {
    let mut entries: Vec<Entry> = Vec::new();
    let mut frees: Vec<Free> = Vec::new();
    let mut graces: Vec<Text> = Vec::new();
    for item in items {
        let onset = places.get(entries.len()).copied().unwrap_or(length);
        let kind = match item.what {
            What::Note(_) => EntryKind::Note,
            What::Rest => EntryKind::Rest,
            What::Hold => EntryKind::Hold,
            What::GraceNote(_) => {
                graces.push(Text::of(line, item.span, true));
                continue;
            }
            What::Chord(_) => EntryKind::Note,
            What::GraceChord(_) => return Err(Declined::SharedRow),
            _ if item.what.is_free() => {
                frees.extend(Free::of(item, line, onset));
                continue;
            }
            _ => return Err(Declined::Unread),
        };
        let times = item.times.max(1);
        for copy in 1..=times {
            let onset = places.get(entries.len()).copied().ok_or(Declined::Unread)?;
            let text = Text::of(line, item.span, copy == times);
            let chord = matches!(item.what, What::Chord(_)).then_some((item.span, copy == times));
            entries.push(Entry { onset, kind, graces: std::mem::take(&mut graces), text, chord });
        }
    }
    if entries.len() != places.len() || !graces.is_empty() {
        return Err(Declined::Unread);
    }
    Ok((entries, frees))
}
