//! What one more player takes of the row: its bars with one note of each chord, and rests for the rest.

use super::task::{Task, Unit};
use crate::assist::cure::notes::tokens;
use crate::assist::hand_over::Declined;
use crate::assist::hand_over::bar::{Bar, Content};
use crate::assist::hand_over::entry::{Entry, EntryKind, Text};
use crate::assist::hand_over::line::Line;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::line::Line as TextLine;
use crate::notation::token::Kind;
use crate::notation::tree::PlaceKind;
use crate::score::event::EventKind;
use crate::section::At;

/// The row's line as one voice has it; `tones` says which note of each chord, into its tones.
pub fn voice<'a>(task: &Task<'a>, whole: &Line<'a>, tones: &[Option<usize>]) -> Result<Line<'a>, Declined> {
    let mut out = Voice { task, tones, sounding: false, steps: Vec::new(), heard: Vec::new() };
    let mut bars = whole.bars.clone();
    for (at, bar) in bars.iter_mut().enumerate() {
        out.bar(bar, at, whole.first + at as u32)?;
    }
    let (steps, heard) = (out.steps, out.heard);
    cut(&mut bars, &steps);
    let mut line = whole.clone();
    line.bars = bars;
    line.events.retain(|e| {
        let here = At { bar: e.bar, onset: e.onset };
        matches!(e.kind, EventKind::Note | EventKind::Hold) && heard.contains(&here)
    });
    Ok(line)
}

/// What the voice does: bar, and entry in it.
#[derive(Clone, Copy)]
enum Step {
    Note(usize, usize),
    Hold(usize, usize),
    Rest,
}

struct Voice<'a, 't> {
    task: &'a Task<'t>,
    tones: &'a [Option<usize>],
    sounding: bool,
    steps: Vec<Step>,
    heard: Vec<At>,
}

impl Voice<'_, '_> {
    fn bar(&mut self, bar: &mut Bar, at: usize, number: u32) -> Result<(), Declined> {
        match &mut bar.what {
            Content::Held(_) if self.sounding => self.heard.push(At { bar: number, onset: Fraction::ZERO }),
            Content::Blank => self.rest(),
            Content::List { units, entries } => {
                let mut next = entries.iter_mut().enumerate();
                for place in units.iter().flat_map(|u| &u.places) {
                    let here = At { bar: number, onset: place.onset };
                    match place.kind {
                        PlaceKind::Silence => self.rest(),
                        PlaceKind::Hold if self.sounding => self.heard.push(here),
                        PlaceKind::Hold => {}
                        PlaceKind::Entry => {
                            let Some((number, entry)) = next.next() else { break };
                            self.entry(entry, here, (at, number))?;
                        }
                    }
                }
            }
            _ => {
                self.rest();
                bar.what = Content::Silent;
            }
        }
        Ok(())
    }

    fn entry(&mut self, entry: &mut Entry, here: At, (bar, number): (usize, usize)) -> Result<(), Declined> {
        entry.graces.clear();
        let unit = entry.chord.and_then(|(span, last)| {
            let at = self.task.units.iter().position(|unit| unit.item.span == span)?;
            Some((self.task.units.get(at)?, (*self.tones.get(at)?)?, last))
        });
        match (entry.kind, unit) {
            (EntryKind::Note, Some((unit, tone, last))) => {
                let (_, member) = *unit.tones.get(tone).ok_or(Declined::Unread)?;
                entry.text = text(self.task.row.line, unit, member, last).ok_or(Declined::Unread)?;
                entry.chord = None;
                self.sounding = true;
                self.steps.push(Step::Note(bar, number));
                self.heard.push(here);
            }
            (EntryKind::Hold, _) if self.sounding => {
                self.steps.push(Step::Hold(bar, number));
                self.heard.push(here);
            }
            _ => {
                *entry = Entry::rest(entry.onset);
                self.rest();
            }
        }
        Ok(())
    }

    fn rest(&mut self) {
        self.sounding = false;
        self.steps.push(Step::Rest);
    }
}

/// Takes slurs away that lead into a rest.
fn cut(bars: &mut [Bar], steps: &[Step]) {
    let mut leads = false;
    for step in steps.iter().rev() {
        let (Step::Note(bar, number) | Step::Hold(bar, number)) = *step else {
            leads = false;
            continue;
        };
        if !leads
            && let Some(Content::List { entries, .. }) = bars.get_mut(bar).map(|b| &mut b.what)
            && let Some(entry) = entries.get_mut(number)
        {
            entry.text.without("_");
        }
        leads |= matches!(step, Step::Note(..));
    }
}

/// One note of a chord with the chord's marks; without those of the last copy where it is not the last.
fn text(line: &TextLine, unit: &Unit<'_>, member: usize, last: bool) -> Option<Text> {
    let member = unit.members.get(member)?;
    let is_end = |t: &&crate::notation::token::Token| {
        t.kind == Kind::ParenClose && t.span.end <= unit.item.span.end && t.span.start >= member.span.end
    };
    let close = line.tokens.iter().find(is_end)?.span.end;
    let own: Vec<_> = tokens(line, member.span).collect();
    let said = |text: &str| own.iter().any(|t| t.kind != Kind::Pitch && t.of(&line.text) == text);
    let mut behind = Vec::new();
    let mut rest = tokens(line, Span::new(close, unit.item.span.end)).peekable();
    while let Some(token) = rest.next() {
        let mut mark = vec![token];
        // `:trill=Eb5` is one.
        if token.kind == Kind::Technique
            && let Some(equals) = rest.next_if(|t| t.kind == Kind::Equals)
        {
            mark.push(equals);
            mark.extend(rest.next());
        }
        if !said(token.of(&line.text)) {
            behind.extend(mark);
        }
    }
    Some(Text::of_tokens(line, own.iter().copied().chain(behind), last))
}
