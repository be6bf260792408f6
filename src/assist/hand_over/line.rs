//! The stretch of a row that is worked on, or the row that has to be made.

use super::bar::{Bar, Content};
use super::units::{Unit, units};
use super::{Declined, window};
use crate::assist::counting::{beat_length, meter};
use crate::assist::cure::case::RowHere;
use crate::assist::cure::figure::ruling;
use crate::assist::cure::lines::{above, below, own_end};
use crate::assist::place::TextEdit;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::RowKind;
use crate::rules::Desk;
use crate::score::block::BlockRow;
use crate::score::event::Event;
use crate::score::row::{Cell, Content as Says};
use crate::section::Stretch;
use crate::section::stretch::{begins, ends, sounds};

/// One player's bars around a stretch.
#[derive(Clone)]
pub struct Line<'a> {
    pub player: usize,
    pub stretch: Stretch,
    /// Bar of the block that the first of `bars` is.
    pub first: u32,
    pub bars: Vec<Bar>,
    /// What the player does in the block.
    pub events: Vec<Event>,
    host: Host<'a>,
}

#[derive(Clone)]
enum Host<'a> {
    /// Bars of a row, from one to another (exclusive); what lies beyond its end is put behind it.
    Row { row: RowHere<'a>, from: usize, to: usize },
    /// A row to be made beside this one, ruled like it.
    New { beside: RowHere<'a>, above: bool },
}

impl<'a> Line<'a> {
    /// The line of somebody who plays the stretch from a row of their own.
    pub fn of(desk: &'a Desk, stretch: &Stretch, player: usize) -> Result<Line<'a>, Declined> {
        let rows = covering(desk, stretch, player)?;
        let row = match rows.as_slice() {
            [] => return Err(Declined::Unread),
            [only] => *only,
            _ => return Err(Declined::SeveralRows),
        };
        if row.row.people.len() != 1 {
            return Err(Declined::SharedRow);
        }
        Line::on(desk, stretch, player, row)
    }

    /// The line of somebody who rests then.
    pub fn for_taker(desk: &'a Desk, stretch: &Stretch, player: usize) -> Result<Line<'a>, Declined> {
        let score = desk.score();
        if score.head.players.get(player).is_none_or(|p| p.seats != 1) {
            return Err(Declined::Seats);
        }
        let events = desk.report().events(score, stretch.block, player);
        if events.iter().any(|e| sounds(e) && begins(e) < stretch.to && stretch.from < ends(e)) {
            return Err(Declined::TakerPlays);
        }
        let rows = covering(desk, stretch, player)?;
        if rows.iter().any(|r| r.row.people.len() != 1) {
            return Err(Declined::TakerShares);
        }
        match rows.as_slice() {
            [] => {}
            [only] => return Line::on(desk, stretch, player, *only),
            _ => return Err(Declined::SeveralRows),
        }
        // A row of their own that says nothing there, else a new one.
        let placed = score.blocks.get(stretch.block).ok_or(Declined::Unread)?;
        let alone = |r: &BlockRow| {
            r.sure && matches!(r.people.as_slice(), [one] if usize::from(one.player) == player)
        };
        match placed.read.block.rows.iter().position(alone) {
            Some(number) => {
                let row = RowHere::at(score, stretch.block, number).ok_or(Declined::Unread)?;
                Line::on(desk, stretch, player, row)
            }
            None => Line::new(desk, stretch, player, events),
        }
    }

    fn on(desk: &'a Desk, stretch: &Stretch, player: usize, row: RowHere<'a>) -> Result<Line<'a>, Declined> {
        let line = Line::with_chords(desk, stretch, player, row)?;
        let chord = |bar: &Bar| match &bar.what {
            Content::List { entries, .. } => entries.iter().any(|e| e.chord.is_some()),
            _ => false,
        };
        if line.bars.iter().any(chord) { Err(Declined::SharedRow) } else { Ok(line) }
    }

    /// The same, chords and all.
    pub fn with_chords(
        desk: &'a Desk,
        stretch: &Stretch,
        player: usize,
        row: RowHere<'a>,
    ) -> Result<Line<'a>, Declined> {
        let events = desk.report().events(desk.score(), stretch.block, player);
        let cells =
            &row.placed.read.rows.get(row.number).and_then(Option::as_ref).ok_or(Declined::Unread)?.cells;
        let count = row.tree.bars.len();
        let last_bar = stretch.last_bar();
        let starts: Vec<u32> = (0..=count).map(|s| row.first_bar(s)).collect();
        let start = |s: usize| starts.get(s).copied().unwrap_or(u32::MAX);
        // The source bars that the stretch touches, then copies of the last of them, and one more.
        let from =
            (0..count).rfind(|s| start(*s) <= stretch.from.bar).filter(|s| stretch.from.bar < start(s + 1));
        let from = from.unwrap_or(count);
        let mut to = (from..count).find(|s| start(*s) > last_bar).unwrap_or(count);
        while to < count && row.tree.bars.get(to).is_some_and(|b| repeats(&row, b)) {
            to += 1;
        }
        let plain = |c: &&Cell| matches!(c.content, Says::Entries { items, .. } if items == c.source);
        if to < count && cells.iter().filter(plain).any(|c| c.source as usize == to) {
            to += 1;
        }
        if !row.tree.closed {
            return Err(Declined::Unread);
        }
        let first = start(from);
        let mut bars = Vec::new();
        for bar in first..start(to) {
            bars.push(match cells.iter().find(|c| c.bar == bar) {
                Some(cell) => Bar::of(&row, cell)?,
                None => Bar::blank(row.length(bar).ok_or(Declined::Unread)?),
            });
        }
        // Beyond the row's end the block goes on.
        if last_bar >= start(count) {
            for bar in start(count)..row.placed.frame.bars {
                let length = row.length(bar).ok_or(Declined::Unread)?;
                bars.push(unsaid(desk, stretch.block, player, bar, length));
            }
        }
        let host = Host::Row { row, from, to };
        Ok(Line { player, stretch: *stretch, first, bars, events, host })
    }

    fn new(
        desk: &'a Desk,
        stretch: &Stretch,
        player: usize,
        events: Vec<Event>,
    ) -> Result<Line<'a>, Declined> {
        let giver = covering(desk, stretch, stretch.player)?;
        let beside = giver.first().ok_or(Declined::Unread)?;
        let rows = &beside.placed.read.block.rows;
        // Among the rows of the same rhythm, below whoever stands before in the score.
        let alike = rows.iter().enumerate().filter(|(_, r)| {
            r.kind == RowKind::Music && r.ruled_by == beside.row.ruled_by && !r.people.is_empty()
        });
        let before = |r: &BlockRow| r.people.first().is_some_and(|p| usize::from(p.player) < player);
        let mut above = true;
        let mut anchor = None;
        for (number, row) in alike {
            if before(row) {
                (anchor, above) = (Some(number), false);
            } else if anchor.is_none() {
                anchor = Some(number);
            }
        }
        let beside = RowHere::at(desk.score(), stretch.block, anchor.ok_or(Declined::Unread)?);
        let beside = beside.ok_or(Declined::Unread)?;
        let bars = (0..).zip(beside.placed.read.lengths.iter());
        let bars = bars.map(|(bar, length)| unsaid(desk, stretch.block, player, bar, *length)).collect();
        Ok(Line { player, stretch: *stretch, first: 0, bars, events, host: Host::New { beside, above } })
    }

    fn ruled_like(&self) -> &RowHere<'a> {
        match &self.host {
            Host::Row { row, .. } => row,
            Host::New { beside, .. } => beside,
        }
    }

    /// The bar of the block with this number.
    pub fn bar(&self, bar: u32) -> Option<&Bar> {
        self.bars.get(bar.checked_sub(self.first)? as usize)
    }

    /// The part of a bar that the stretch takes.
    pub fn window(&self, bar: u32, length: Fraction) -> Option<(Fraction, Fraction)> {
        window(&self.stretch, bar, length)
    }

    /// What the rhythm row has over a bar of the block.
    pub fn ruled(&self, bar: u32) -> Option<Vec<Unit>> {
        let row = self.ruled_like();
        let ruler = row.ruler()?;
        let (nodes, line) = ruling(&ruler, bar)?;
        let length = row.length(bar)?;
        let entries = match crate::score::rhythm::single_value(nodes) {
            Some(value) => {
                let count = length.over(value).filter(|n| n.is_whole())?;
                usize::try_from(count.numerator()).ok()?
            }
            None => 0,
        };
        units(nodes, line, entries)
    }

    /// The beat of a bar.
    pub fn beat(&self, bar: u32) -> Fraction {
        let quarter = Fraction::new(1, 4).unwrap_or(Fraction::ONE);
        meter(self.ruled_like().placed, bar).and_then(beat_length).unwrap_or(quarter)
    }

    /// The edits that make the bars these.
    pub fn edits(&self, desk: &Desk, bars: &[Bar]) -> Result<Vec<TextEdit>, Declined> {
        match &self.host {
            Host::New { beside, above: over } => {
                let id = desk.score().head.players.get(self.player).map_or("", |p| p.id.as_str());
                let cells = self.cells(bars, 0, bars.len())?;
                let column = beside.line.text.find('|').and_then(|at| beside.line.text.get(..at));
                let column = column.map_or(0, |before| before.chars().count());
                let wide = column.saturating_sub(1);
                let row: String = cells.iter().map(|c| cell(c)).collect();
                let text = format!("{id:wide$} |{row}");
                let at = beside.at_line();
                Ok(vec![if *over { above(desk, at, &text) } else { below(desk, at, &text) }])
            }
            Host::Row { row, from, to } => {
                let mut edits = Vec::new();
                let mut at = 0;
                for source in *from..*to {
                    let bar = row.tree.bars.get(source).ok_or(Declined::Unread)?;
                    let count = row.span_of(bar) as usize;
                    let end = at + count;
                    let same = self.bars.get(at..end) == bars.get(at..end);
                    let referent = at == 0 || self.bars.get(at - 1) == bars.get(at - 1);
                    if same && (referent || !repeats(row, bar)) {
                        at = end;
                        continue;
                    }
                    let cells = self.cells(bars, at, end)?;
                    at = end;
                    let mut with = cells.join(" | ");
                    let old = bar.span.of(&row.line.text).chars().count();
                    if cells.len() == 1 {
                        let missing = old.saturating_sub(with.chars().count() + 2);
                        with.push_str(&" ".repeat(missing));
                    }
                    let with = if with.is_empty() { " ".to_owned() } else { format!(" {with} ") };
                    edits.push(TextEdit { line: row.at_line(), span: bar.span, with });
                }
                if at < bars.len() {
                    let end = own_end(row.line);
                    let cells = self.cells(bars, at, bars.len())?;
                    let with: String = cells.iter().map(|c| cell(c)).collect();
                    edits.push(TextEdit { line: row.at_line(), span: Span::new(end, end), with });
                }
                Ok(edits)
            }
        }
    }

    /// Some of the bars as cells.
    fn cells(&self, bars: &[Bar], from: usize, to: usize) -> Result<Vec<String>, Declined> {
        let mut out = Vec::new();
        let mut at = from;
        while let Some(bar) = bars.get(at).filter(|_| at < to) {
            let rests = |b: &Bar| b.what == Content::Silent;
            let mut run = 1;
            if rests(bar) {
                let joins = |i: usize| {
                    let (Some(a), Some(b)) = (bars.get(i - 1), bars.get(i)) else { return false };
                    i < to
                        && rests(b)
                        && a.frees.iter().all(|f| f.onset < a.length)
                        && b.frees.iter().all(|f| f.onset >= b.length)
                };
                run += (at + 1..to).take_while(|i| joins(*i)).count();
            }
            if let Content::Whole { at: 0, of, .. } = bar.what {
                run = of as usize;
                let whole =
                    bars.get(at..at + run).filter(|_| at + run <= to).ok_or(Declined::PartOfPhrase)?;
                let follows = |(n, b): (u32, &Bar)| matches!(b.what, Content::Whole { at, .. } if at == n);
                if !(0..).zip(whole).all(follows) {
                    return Err(Declined::PartOfPhrase);
                }
            } else if matches!(bar.what, Content::Whole { .. }) {
                return Err(Declined::PartOfPhrase);
            }
            let ruled = self.ruled(self.first + at as u32);
            let mut text = bar.text(ruled.as_deref());
            if run > 1 {
                let mut all = bar.clone();
                if let Some(last) = bars.get(at + run - 1) {
                    let after = last.frees.iter().filter(|f| f.onset >= last.length).cloned();
                    let after = after.map(|f| super::entry::Free { onset: bar.length, ..f });
                    all.frees.extend(after);
                }
                if rests(bar) {
                    all.what = Content::Held(format!("rest {run}"));
                }
                text = all.text(None);
            }
            let earlier = at.checked_sub(1).filter(|e| *e >= from).and_then(|e| bars.get(e));
            let copies = bar.again
                && matches!(bar.what, Content::List { .. })
                && earlier.is_some_and(|e| {
                    e.length == bar.length && e.what == bar.what && e.text(None) == bar.text(None)
                });
            out.push(if copies { "%".to_owned() } else { text });
            at += run;
        }
        Ok(out)
    }
}

fn cell(text: &str) -> String {
    if text.is_empty() { " |".to_owned() } else { format!(" {text} |") }
}

/// True for `%`.
fn repeats(row: &RowHere<'_>, bar: &crate::notation::tree::Bar) -> bool {
    row.items(bar).iter().any(|i| matches!(i.what, crate::notation::tree::What::Again(_)))
}

/// A bar in which the player has no row of their own: blank where another row says what they do.
fn unsaid(desk: &Desk, block: usize, player: usize, bar: u32, length: Fraction) -> Bar {
    let pair = desk.score().blocks.get(block).and_then(|b| b.read.pair(player as u16));
    let said = pair.is_some_and(|p| p.cells().any(|(_, cell)| cell.bar == bar));
    let what = if said { Content::Blank } else { Content::Silent };
    Bar { what, ..Bar::blank(length) }
}

/// The rows from which a player has the bars of a stretch, each once.
fn covering<'a>(desk: &'a Desk, stretch: &Stretch, player: usize) -> Result<Vec<RowHere<'a>>, Declined> {
    let score = desk.score();
    if score.head.players.get(player).is_none_or(|p| p.seats != 1) {
        return Err(Declined::Seats);
    }
    let placed = score.blocks.get(stretch.block).ok_or(Declined::Unread)?;
    let Some(pair) = placed.read.pair(player as u16) else { return Ok(Vec::new()) };
    let checked = desk.report().tracks.get(player).and_then(|t| t.blocks.get(stretch.block)?.as_ref());
    if !pair.faults.is_empty() || checked.is_some_and(|c| !c.faults.is_empty()) {
        return Err(Declined::Unread);
    }
    let mut lines: Vec<u32> = Vec::new();
    for (row, cell) in pair.cells() {
        if (stretch.from.bar..=stretch.last_bar()).contains(&cell.bar) && !lines.contains(&row.line) {
            lines.push(row.line);
        }
    }
    lines.into_iter().map(|l| RowHere::on(desk, placed.line + l).ok_or(Declined::Unread)).collect()
}
