//! Breaths of players who hold a chord together, each in another bar.

use super::breath::end_of_entry;
use super::case::{Case, RowHere};
use super::draft::Draft;
use super::fit::fit;
use crate::assist::place::TextEdit;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::Mark;
use crate::score::event::{Event, EventKind, Origin};

/// One player's tone, entry by entry.
struct Tone<'a> {
    row: RowHere<'a>,
    id: &'a str,
    entries: Vec<Event>,
    /// The entry that the finding points at.
    at: usize,
}

/// Where a tone is broken off.
type Place = (usize, u32, Fraction);

/// Breath marks moved, or put in, so that no two of them stand at one place.
pub fn draft(case: &Case<'_>) -> Option<Draft> {
    let first = (case.finding.line, case.finding.span);
    let others = case.finding.related.iter().map(|place| (place.line, place.span));
    let tones: Option<Vec<Tone<'_>>> =
        std::iter::once(first).chain(others).map(|(line, span)| Tone::of(case, line, span)).collect();
    let tones = tones?;
    let mut taken: Vec<Place> = Vec::new();
    let mut told: Vec<String> = Vec::new();
    let mut edits: Vec<TextEdit> = Vec::new();
    for (k, tone) in tones.iter().enumerate() {
        let marked = tone.entries.get(tone.at)?.marks.has(Mark::Breath);
        let wanted =
            if marked { tone.at } else { ((k + 1) * tone.entries.len() / (tones.len() + 1)).max(1) - 1 };
        let to = tone.nearest(wanted, &taken)?;
        let entry = tone.entries.get(to)?;
        taken.push(tone.place(entry)?);
        let (after, bar) = (tone.row.text(entry.span), tone.row.number_of(entry.bar));
        told.push(format!("{} after {} in bar {bar}", tone.id, after.trim_end_matches(',')));
        if marked && to == tone.at {
            continue;
        }
        let at = end_of_entry(tone.row.line, entry.span)?;
        let mut here = vec![(Span::new(at, at), ",".to_owned())];
        if marked {
            here.push((tone.comma()?, String::new()));
        }
        here.sort_by_key(|(span, _)| *span);
        let line = tone.row.at_line();
        let here = fit(tone.row.line, tone.row.tree, here);
        edits.extend(here.into_iter().map(|(span, with)| TextEdit { line, span, with }));
    }
    let draft = Draft::new(format!("Breathe in turn: {}", told.join(", ")), edits);
    (!draft.edits.is_empty()).then_some(draft)
}

impl<'a> Tone<'a> {
    /// `None` where several play the row, or where the tone is a copy or stands in a phrase.
    fn of(case: &Case<'a>, line: u32, span: Span) -> Option<Tone<'a>> {
        let row = RowHere::on(case.desk, line)?;
        let [person] = row.row.people.as_slice() else { return None };
        let player = usize::from(person.player);
        let events = case.desk.report().events(row.score, row.block, player);
        let events: Vec<Event> = events.into_iter().filter(|e| e.line == row.row.line).collect();
        let found = events.iter().position(|e| e.span.start == span.start && e.origin == Origin::Here)?;
        let first = (0..=found).rev().find(|i| events.get(*i).is_some_and(|e| e.kind != EventKind::Hold))?;
        let held = events.iter().skip(first + 1).take_while(|e| e.kind == EventKind::Hold).count();
        let entries: Vec<Event> = events.into_iter().skip(first).take(held + 1).collect();
        let here = entries.iter().all(|e| e.origin == Origin::Here);
        let id = row.score.head.players.get(player)?.id.as_str();
        here.then_some(Tone { row, id, entries, at: found - first })
    }

    fn place(&self, entry: &Event) -> Option<Place> {
        let end = entry.onset.plus(entry.length)?;
        let whole = self.row.length(entry.bar) == Some(end);
        let (bar, end) = if whole { (entry.bar + 1, Fraction::ZERO) } else { (entry.bar, end) };
        Some((self.row.block, bar, end))
    }

    /// The entry nearest to the one wanted after which a breath is free. After the last the tone is over.
    fn nearest(&self, wanted: usize, taken: &[Place]) -> Option<usize> {
        let free = |at: &usize| {
            let entry = self.entries.get(*at).filter(|e| *at == self.at || !e.marks.has(Mark::Breath));
            entry.and_then(|e| self.place(e)).is_some_and(|place| !taken.contains(&place))
        };
        (0..self.entries.len().saturating_sub(1)).filter(free).min_by_key(|at| at.abs_diff(wanted))
    }

    /// The mark that stands after the entry that the finding points at.
    fn comma(&self) -> Option<Span> {
        let entry = self.entries.get(self.at)?;
        let mut tokens = self.row.line.tokens.iter().skip_while(|t| t.span.start < entry.span.start);
        tokens.find(|t| t.kind == Kind::Comma && t.span.end <= entry.span.end).map(|t| t.span)
    }
}
