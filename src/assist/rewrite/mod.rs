//! A score written another way, so that the same is heard, or the same in another key.
//!
//! [`rewritings`] says what makes sense where the cursor or the selection is, quickly and by title;
//! [`rewritten`] works the text out and holds it to what it promises: it reads without a new fault, and what is
//! played when, how and for how many seconds is what it was. What cannot be done is refused with the reason.

pub(in crate::assist) mod bar_text;
mod basis;
mod draft;
mod expand;
mod faults;
mod figures;
mod hands;
mod instrument;
mod join;
mod offers;
mod phrase;
mod pitch;
mod renumber;
mod scale;
mod selected;
mod sound;
mod split;
mod transpose;
mod words;

pub use offers::rewritings;
pub use phrase::free_name;
pub use selected::{Selected, SelectedRow};

use super::cure::case::RowHere;
use super::cure::{Trial, bytes_of};
use super::place::TextEdit;
use crate::music::Interval;
use crate::notation::Span;
use crate::notation::tree::Basis;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Severity};
use draft::Draft;
use sound::Expect;
use std::fmt;

/// A way to write a score anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rewrite {
    /// The whole score at concert or at written pitch.
    Pitch(Basis),
    /// The whole score by an interval, with its keys and chord symbols.
    Transpose(Interval),
    /// Blocks by an interval, from the first to the last, with their keys and chord symbols.
    TransposeBlocks(usize, usize, Interval),
    /// Bars or entries by an interval; the keys stay.
    TransposeSelected(Selected, Interval),
    /// Bars that a rhythm row rules get their own figures.
    OwnFigures(Selected),
    /// All rows under a rhythm row do: block and row of the block.
    AllOwnFigures(usize, usize),
    /// Figures that rows have in common go into a rhythm row.
    SharedFigures(Selected),
    /// Bars become a phrase of this name.
    Extract(Selected, String),
    /// A `play` is written out: line of the text and item of the row.
    Inline(u32, usize),
    /// A phrase is written out wherever it is played: line of the text.
    InlineAll(u32),
    /// `%` and `*n` are written out, where these stretches of these lines touch them.
    Expand(Vec<(u32, Span)>),
    /// A block is parted before one of its bars, from 0.
    Split(usize, u32),
    /// A block takes up the next.
    Join(usize),
    /// Bars are numbered on, from this number if there is one.
    Renumber(Option<i64>),
    /// A player, by index, gets another instrument.
    Instrument(usize, String),
    /// All values are doubled, or halved.
    Values { double: bool },
}

/// What an editor calls such a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RewriteKind {
    Rewrite,
    Extract,
    Inline,
}

/// A change that is offered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rewriting {
    /// What is shown: an imperative, with the number.
    pub title: String,
    pub kind: RewriteKind,
    pub what: Rewrite,
    /// Whether working it out takes as long as reading the whole score.
    pub long: bool,
}

/// Why something cannot be written so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    why: String,
    idle: bool,
}

impl Refusal {
    fn new(why: impl Into<String>) -> Refusal {
        Refusal { why: why.into(), idle: false }
    }

    /// The refusal where there is nothing to do.
    fn idle(why: impl Into<String>) -> Refusal {
        Refusal { why: why.into(), idle: true }
    }

    /// True if there is nothing to do, rather than something in the way.
    pub fn is_idle(&self) -> bool {
        self.idle
    }

    /// The same with the place.
    fn at(self, place: impl fmt::Display) -> Refusal {
        Refusal { why: format!("{place}: {}", self.why), ..self }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.why)
    }
}

/// The refusal with the number of the bar that holds a stretch of a row.
fn numbered(desk: &Desk, block: usize, below: u32, span: Span, why: Refusal) -> Refusal {
    let line = desk.score().blocks.get(block).map_or(0, |b| b.line + below);
    let number = RowHere::on(desk, line).and_then(|row| {
        let (source, _) = row.bar_at(span.start)?;
        Some(row.number_of(row.first_bar(source)))
    });
    match number {
        Some(number) => why.at(format!("bar {number}")),
        None => why.at(format!("line {}", line + 1)),
    }
}

/// The edits that write a score so, in the order of the text, none overlapping another.
pub fn rewritten(desk: &Desk, what: &Rewrite) -> Result<Vec<TextEdit>, Refusal> {
    if let Rewrite::Instrument(player, name) = what {
        let mut last = Refusal::idle("nothing would change");
        for without in instrument::Without::ALL {
            match proved(desk, instrument::draft(desk, *player, name, without)?, Expect::Same) {
                Ok(edits) => return Ok(edits),
                Err(why) => last = why,
            }
        }
        return Err(last);
    }
    proved(desk, draft_of(desk, what)?, expected(what))
}

fn draft_of<'a>(desk: &'a Desk, what: &Rewrite) -> Result<Draft<'a>, Refusal> {
    match what {
        Rewrite::Pitch(basis) => basis::draft(desk, *basis),
        Rewrite::Transpose(by) => transpose::score(desk, *by),
        Rewrite::TransposeBlocks(first, last, by) => transpose::blocks(desk, *first..=*last, *by),
        Rewrite::TransposeSelected(selected, by) => transpose::selection(desk, selected, *by),
        Rewrite::OwnFigures(selected) => figures::own(desk, selected),
        Rewrite::AllOwnFigures(block, row) => figures::own_all(desk, *block, *row),
        Rewrite::SharedFigures(selected) => figures::share(desk, selected),
        Rewrite::Extract(selected, name) => phrase::extract(desk, selected, name),
        Rewrite::Inline(line, item) => phrase::inline(desk, *line, *item),
        Rewrite::InlineAll(line) => phrase::inline_all(desk, *line),
        Rewrite::Expand(lines) => expand::draft(desk, lines),
        Rewrite::Split(block, bar) => split::draft(desk, *block, *bar),
        Rewrite::Join(block) => join::draft(desk, *block),
        Rewrite::Renumber(first) => renumber::draft(desk, *first),
        Rewrite::Instrument(player, name) => {
            instrument::draft(desk, *player, name, instrument::Without::default())
        }
        Rewrite::Values { double } => scale::draft(desk, *double),
    }
}

fn expected(what: &Rewrite) -> Expect {
    match what {
        Rewrite::Transpose(by) | Rewrite::TransposeBlocks(_, _, by) | Rewrite::TransposeSelected(_, by) => {
            Expect::Moved(by.semitones)
        }
        Rewrite::Values { double } => Expect::Scaled(scale::factor(*double)),
        _ => Expect::Same,
    }
}

/// The edits of a draft, once they have been tried out.
fn proved(desk: &Desk, draft: Draft<'_>, expect: Expect) -> Result<Vec<TextEdit>, Refusal> {
    let edits = draft.finish();
    if edits.is_empty() {
        return Err(Refusal::idle("nothing would change"));
    }
    let trial = Trial::of(desk, &edits).ok_or_else(|| Refusal::new("the text cannot be changed so"))?;
    let fault = trial.came().find(|f| is_reading_fault(f.rule) && f.severity >= Severity::Warning);
    if let Some(fault) = fault {
        return Err(Refusal::new(format!("the score would have a fault then: {}", fault.message)));
    }
    sound::compare(desk, trial.desk(), expect)?;
    Ok(edits)
}

/// The text with edits made, in the order of the text.
pub fn text_with(desk: &Desk, edits: &[TextEdit]) -> String {
    let mut document = desk.document().clone();
    for edit in edits.iter().rev() {
        if let Some(bytes) = bytes_of(desk.document(), edit) {
            document.edit(bytes, &edit.with);
        }
    }
    document.text()
}
