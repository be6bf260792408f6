//! The bar of a note as its player reads it: their share of chords, in the pitch of their part, with the rhythm
//! that stands over it.

use super::Asked;
use super::telling::Telling;
use crate::assist::cure::case::RowHere;
use crate::assist::cure::notes::mapped;
use crate::assist::rewrite::bar_text::{bar, figure, inside, squeezed};
use crate::assist::sounding::{Seat, events};
use crate::music::Interval;
use crate::notation::Span;
use crate::notation::tree::{Basis, Item, Member, Row, What};
use crate::score::event::{Event, EventKind, Origin};

/// Adds the bar that holds the entry under the cursor; nothing where the row has the same words.
pub fn told(asked: Asked<'_>, row: &Row, at: Seat, event: &Event, telling: &mut Telling) {
    let Some(source) = row.bars.iter().find(|b| asked.here(b.span)) else { return };
    let Some(here) = RowHere::on(asked.desk, asked.place.line) else { return };
    let Some(player) = asked.score().head.players.get(at.player) else { return };
    let line = event.line;
    let own: Vec<Event> = (0..player.seats.max(1))
        .flat_map(|seat| events(asked.desk, Seat { seat, ..at }))
        .filter(|e| e.line == line && e.bar == event.bar && e.origin == Origin::Here)
        .collect();
    let reader = Reader { asked, row, own };
    let list: Option<Vec<String>> = source.items.of(&row.items).iter().map(|i| reader.item(i)).collect();
    let Some(list) = list else { return };
    let read = bar(figure(&here, source, event.bar).as_deref(), "", &list.join(" "), "");
    if read != squeezed(asked.line, inside(asked.line, source)) {
        telling.fact("Reads the bar", read);
    }
}

struct Reader<'a> {
    asked: Asked<'a>,
    row: &'a Row,
    /// What the player's seats do in the bar.
    own: Vec<Event>,
}

impl Reader<'_> {
    /// `None` if a pitch would leave the octaves that can be written.
    fn item(&self, item: &Item) -> Option<String> {
        let text = self.asked.text(item.span);
        let members = match item.what {
            What::Note(_) | What::GraceNote(_) => return self.moved(item.span, item.span),
            What::Chord(slice) | What::GraceChord(slice) => slice.of(&self.row.members),
            _ => return Some(text.to_owned()),
        };
        let mine = |m: &&Member| self.own.iter().any(|e| e.span == m.span);
        let share: Option<Vec<String>> =
            members.iter().filter(mine).map(|m| self.moved(m.span, m.span)).collect();
        let share = share?;
        let open = match share.as_slice() {
            [] => return Some("-".to_owned()),
            [one] => one.clone(),
            several => format!("({})", several.join(" ")),
        };
        let grace = if text.starts_with('/') { "/" } else { "" };
        let last = members.last()?.span.end;
        let behind = Span::new(last, item.span.end);
        // The bracket, and what blanks stand before it.
        let close = self.asked.text(behind).find(')').map_or(0, |at| at as u32 + 1);
        let marks = Span::new(last + close, item.span.end);
        let sounds = members.iter().find(|m| self.sounding(m.span).is_some());
        let marks = self.moved(marks, sounds.map_or(item.span, |m| m.span))?;
        Some(format!("{grace}{open}{marks}"))
    }

    /// The note of this stretch, if it is one of this player's.
    fn sounding(&self, of: Span) -> Option<&Event> {
        let sounds = |e: &Event| matches!(e.kind, EventKind::Note | EventKind::Grace);
        self.own.iter().find(|e| e.span == of && sounds(e))
    }

    /// A stretch with its pitches as the note at `of` is read.
    fn moved(&self, span: Span, of: Span) -> Option<String> {
        let interval = match self.sounding(of) {
            Some(e) if self.asked.score().head.basis == Basis::Concert => {
                Interval::between(e.sounding, e.written)
            }
            _ => Interval::UNISON,
        };
        mapped(self.asked.line, span, |pitch| Some(interval.apply_respelled(pitch)))
    }
}
