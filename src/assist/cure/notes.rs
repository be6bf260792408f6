//! Notes of a row, and their text at another octave or pitch.

use super::case::RowHere;
use crate::music::{Interval, Pitch};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Item, Play, Row, What};
use crate::rules::Desk;
use crate::score::event::{Event, EventKind, Origin};

/// One person's note of a row.
#[derive(Debug, Clone, Copy)]
pub struct Sung {
    /// Index of the player.
    pub player: u16,
    pub seat: u16,
    pub event: Event,
}

/// What everybody of a row plays there, rests and holds left out, in the order of people and then of time.
pub fn of_row(desk: &Desk, row: &RowHere<'_>) -> Vec<Sung> {
    let mut all = Vec::new();
    for person in &row.row.people {
        let events = desk.report().events_of_seat(
            desk.score(),
            row.block,
            usize::from(person.player),
            u32::from(person.seat),
        );
        let here = events.into_iter().filter(|e| {
            e.line == row.row.line
                && e.origin != Origin::Again
                && matches!(e.kind, EventKind::Note | EventKind::Grace)
        });
        all.extend(here.map(|event| Sung { player: person.player, seat: person.seat, event }));
    }
    all
}

/// The tokens of a stretch.
pub fn tokens(line: &Line, span: Span) -> impl Iterator<Item = Token> {
    let from = line.tokens.partition_point(|t| t.span.start < span.start);
    line.tokens.iter().skip(from).take_while(move |t| t.span.end <= span.end).copied()
}

/// The pitches that a stretch names, trills' upper notes too.
pub fn pitches(line: &Line, span: Span) -> Vec<(Span, Pitch)> {
    let pitch = |t: Token| Some((t.span, Pitch::parse(t.of(&line.text))?));
    tokens(line, span).filter(|t| t.kind == Kind::Pitch).filter_map(pitch).collect()
}

/// The text of a stretch with every pitch of it changed; `None` if one of them cannot be.
pub fn mapped(line: &Line, span: Span, map: impl Fn(Pitch) -> Option<Pitch>) -> Option<String> {
    let mut out = String::new();
    let mut at = span.start;
    for (place, pitch) in pitches(line, span) {
        out.push_str(Span::new(at, place.start).of(&line.text));
        out.push_str(&written(map(pitch)?)?);
        at = place.end;
    }
    out.push_str(Span::new(at, span.end).of(&line.text));
    Some(out)
}

/// A pitch as the notation has it; `None` outside its octaves.
pub fn written(pitch: Pitch) -> Option<String> {
    (0..=9).contains(&pitch.octave).then(|| pitch.to_string())
}

/// The edits that move these notes by octaves, up positive; `None` where one cannot be. Each span is that
/// of an entry, of a member of a chord or of a `play`.
pub fn at_octave(line: &Line, row: &Row, spans: &[Span], octaves: i32) -> Option<Vec<(Span, String)>> {
    let mut spans = spans.to_vec();
    spans.sort_unstable();
    spans.dedup();
    let mut edits = Vec::new();
    for span in &spans {
        let item = item_of(row, *span)?;
        match item.what {
            What::Play(at) => edits.push(transposed(line, item, row.plays.get(at as usize)?, octaves)?),
            What::Chord(slice) | What::GraceChord(slice) => {
                // An upper note of a trill behind the bracket is everybody's.
                let all = slice.of(&row.members).iter().all(|m| spans.contains(&m.span));
                if item.marks.trill.is_some() && !all {
                    return None;
                }
                edits.extend(digits(line, *span, octaves)?);
                if slice.of(&row.members).last().is_some_and(|m| m.span == *span) {
                    edits.extend(digits(line, Span::new(span.end, item.span.end), octaves)?);
                }
            }
            _ => edits.extend(digits(line, *span, octaves)?),
        }
    }
    Some(edits)
}

/// The item that has this stretch, or a member with it.
fn item_of(row: &Row, span: Span) -> Option<&Item> {
    row.items.iter().find(|i| i.span.start <= span.start && span.end <= i.span.end)
}

/// Every octave digit of a stretch changed.
fn digits(line: &Line, span: Span, octaves: i32) -> Option<Vec<(Span, String)>> {
    let change = |(place, pitch): (Span, Pitch)| {
        let octave = i32::from(pitch.octave) + octaves;
        let digit = Span::new(place.end - 1, place.end);
        (0..=9).contains(&octave).then(|| (digit, octave.to_string()))
    };
    pitches(line, span).into_iter().map(change).collect()
}

/// A `play` at another octave.
fn transposed(line: &Line, item: &Item, play: &Play, octaves: i32) -> Option<(Span, String)> {
    let shift = play.shift.then(Interval::new(7 * octaves, 12 * octaves));
    let words = if shift == Interval::UNISON {
        String::new()
    } else {
        let down = shift.steps < 0 || (shift.steps == 0 && shift.semitones < 0);
        let size = if down { shift.inverse() } else { shift };
        let said = size.to_string();
        if Interval::parse(&said) != Some(size) {
            return None;
        }
        format!(" {} {said}", if down { "down" } else { "up" })
    };
    let times = tokens(line, item.span).find(|t| t.kind == Kind::Times);
    let end = times.map_or(item.span.end, |t| t.span.start);
    Some((Span::new(play.phrase.end, end), words))
}
