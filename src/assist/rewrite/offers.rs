//! What makes sense where the cursor or the selection is.

use super::expand::short;
use super::selected::Selected;
use super::words::{distance, way};
use super::{Rewrite, RewriteKind, Rewriting, draft_of, figures, free_name, instrument, join, transpose};
use crate::assist::cure::case::RowHere;
use crate::assist::place::Extent;
use crate::music::{Interval, Key};
use crate::notation::Span;
use crate::notation::tree::{Basis, LineTree, RowKind, What};
use crate::rules::Desk;

/// Distances that are offered: the neighbours, and what takes a part from one instrument's key to another's.
const DISTANCES: [Interval; 8] = [
    Interval::new(1, 1),
    Interval::new(-1, -1),
    Interval::new(1, 2),
    Interval::new(-1, -2),
    Interval::new(2, 3),
    Interval::new(-2, -3),
    Interval::new(3, 5),
    Interval::new(-3, -5),
];
const OCTAVES: [Interval; 2] = [Interval::new(7, 12), Interval::new(-7, -12)];

/// What may be done with the text under a stretch, best first. Whatever is quick to work out is known to be
/// possible; the rest may still be refused.
pub fn rewritings(desk: &Desk, by: Extent) -> Vec<Rewriting> {
    let score = desk.score();
    let mut all = Offers { desk, out: Vec::new() };
    let first = score.blocks.first().map_or(u32::MAX, |b| b.line);
    let Some(line) = desk.document().lines().get(by.from.line as usize) else { return Vec::new() };
    match &line.tree {
        _ if by.from.line != by.to.line => all.rows(by),
        LineTree::Block(_) => all.block(by.from.line),
        LineTree::Row(_) => all.row(by),
        LineTree::Player(_) => all.player(by.from.line),
        LineTree::Phrase(_) => all.phrase(by.from.line),
        LineTree::Group(_) | LineTree::Instrument(_) | LineTree::Allow(_) | LineTree::Include(_) => {}
        _ if by.from.line < first => all.score(),
        _ => {}
    }
    all.out
}

struct Offers<'a> {
    desk: &'a Desk,
    out: Vec<Rewriting>,
}

impl Offers<'_> {
    /// Offers what can be worked out quickly, if it can be done.
    fn quick(&mut self, kind: RewriteKind, title: impl Into<String>, what: Rewrite) {
        if draft_of(self.desk, &what).is_ok() {
            self.out.push(Rewriting { title: title.into(), kind, what, long: false });
        }
    }

    fn long(&mut self, kind: RewriteKind, title: impl Into<String>, what: Rewrite) {
        self.out.push(Rewriting { title: title.into(), kind, what, long: true });
    }

    fn score(&mut self) {
        let score = self.desk.score();
        if score.blocks.is_empty() {
            return;
        }
        let (to, title) = match score.head.basis {
            Basis::Concert => (Basis::Written, "Write the score as its players read it"),
            Basis::Written => (Basis::Concert, "Write the score at concert pitch"),
        };
        self.long(RewriteKind::Rewrite, title, Rewrite::Pitch(to));
        let key = score.blocks.first().and_then(|b| b.frame.key);
        for by in DISTANCES {
            let title = format!("Put the whole score {} {}{}", way(by), distance(by), becomes(key, by));
            self.long(RewriteKind::Rewrite, title, Rewrite::Transpose(by));
        }
        for (double, word, values) in
            [(true, "Double", "eighths become quarters"), (false, "Halve", "quarters become eighths")]
        {
            let title = format!("{word} all values: {values}, and the beat stays as quick");
            self.long(RewriteKind::Rewrite, title, Rewrite::Values { double });
        }
        self.renumber();
    }

    fn renumber(&mut self) {
        let (all, to) =
            (Rewrite::Renumber(None), self.desk.score().blocks.first().map(|b| b.frame.first_bar));
        self.quick(RewriteKind::Rewrite, "Number the bars on, block by block", all);
        if to.is_some_and(|to| to > 1) {
            self.quick(RewriteKind::Rewrite, "Number the bars from 1", Rewrite::Renumber(Some(1)));
        }
    }

    fn block(&mut self, line: u32) {
        let score = self.desk.score();
        let Some(block) = score.block_at(line) else { return };
        let Some(placed) = score.blocks.get(block) else { return };
        if let Some(next) = score.blocks.get(block + 1)
            && join::possible(self.desk, block, placed, next).is_ok()
        {
            let title = format!("Join the block of bar {} to this one", next.frame.first_bar);
            self.quick(RewriteKind::Rewrite, title, Rewrite::Join(block));
        }
        self.renumber();
        let last = placed.frame.bars.saturating_sub(1);
        if let Some(selected) = Selected::bars(self.desk, block, (0, last), None) {
            let title = "Share the figures that rows of this block have in common";
            self.quick(RewriteKind::Rewrite, title, Rewrite::SharedFigures(selected));
        }
        for by in DISTANCES {
            let title =
                format!("Put this block {} {}{}", way(by), distance(by), becomes(placed.frame.key, by));
            self.quick(RewriteKind::Rewrite, title, Rewrite::TransposeBlocks(block, block, by));
        }
    }

    fn player(&mut self, line: u32) {
        let players = &self.desk.score().head.players;
        let Some(own) = self.desk.score().head.lines.get(line as usize) else { return };
        let Some(index) = players.iter().position(|p| std::sync::Arc::ptr_eq(&p.line, own)) else { return };
        let Some(player) = players.get(index) else { return };
        for name in instrument::family(player) {
            let title = format!("Give {} a {name} to play the same", player.id);
            self.long(RewriteKind::Rewrite, title, Rewrite::Instrument(index, name));
        }
    }

    fn phrase(&mut self, line: u32) {
        let phrases = &self.desk.score().head.phrases;
        let Some(own) = self.desk.score().head.lines.get(line as usize) else { return };
        if let Some(phrase) = phrases.iter().find(|p| std::sync::Arc::ptr_eq(&p.line, own)) {
            let title = format!("Write {} out wherever it is played", phrase.name);
            self.long(RewriteKind::Inline, title, Rewrite::InlineAll(line));
        }
    }

    fn row(&mut self, by: Extent) {
        let Some(row) = RowHere::on(self.desk, by.from.line) else { return };
        match row.row.kind {
            RowKind::Music => self.music(by, &row),
            RowKind::Rhythm => {
                self.expand(by, &row);
                let title = "Give every row under this one its own figures";
                self.quick(RewriteKind::Rewrite, title, Rewrite::AllOwnFigures(row.block, row.number));
            }
            RowKind::Chords => self.expand(by, &row),
        }
        self.split(by, &row);
    }

    fn music(&mut self, by: Extent, row: &RowHere<'_>) {
        self.inline(by, row);
        self.expand(by, row);
        let Some((source, _)) = row.bar_at(by.from.byte) else { return };
        let end = row.bar_at(by.to.byte).map_or(source, |(end, _)| end);
        let first = row.first_bar(source);
        let last = row.first_bar(end + 1).max(first + 1) - 1;
        let Some(mut bars) = Selected::bars(self.desk, row.block, (first, last), None) else { return };
        let where_ = numbers(row.number_of(first), row.number_of(last));
        let sharing = Rewrite::SharedFigures(bars.clone());
        bars.rows.retain(|r| r.number == row.number);
        if (source..=end).any(|s| figures::is_list(row, s)) {
            let title = format!(
                "Give {where_} of this row {}",
                if first == last { "its own figure" } else { "their own figures" }
            );
            self.quick(RewriteKind::Rewrite, title, Rewrite::OwnFigures(bars.clone()));
        }
        let title = format!(
            "Share the figure{} that rows have in common in {where_}",
            if first == last { "" } else { "s" }
        );
        self.quick(RewriteKind::Rewrite, title, sharing);
        if by.from == by.to {
            return;
        }
        if !bars.rows.is_empty() {
            let name = free_name(self.desk.score());
            let what = Rewrite::Extract(bars, name.clone());
            if draft_of(self.desk, &what).is_ok() {
                self.long(RewriteKind::Extract, format!("Make {where_} of this row the phrase {name}"), what);
            }
        }
        if let Some(selected) = Selected::of(self.desk, by) {
            self.moves(&selected, "these notes");
        }
    }

    fn moves(&mut self, selected: &Selected, what: &str) {
        for by in DISTANCES.into_iter().chain(OCTAVES) {
            let title = format!("Put {what} {} {}", way(by), distance(by));
            self.quick(RewriteKind::Rewrite, title, Rewrite::TransposeSelected(selected.clone(), by));
        }
    }

    fn rows(&mut self, by: Extent) {
        let Some(selected) = Selected::of(self.desk, by) else { return };
        let Some(placed) = self.desk.score().blocks.get(selected.block) else { return };
        let number = |bar: u32| placed.frame.first_bar + i64::from(bar);
        let where_ = numbers(number(selected.bars.0), number(selected.bars.1));
        let figures = Rewrite::SharedFigures(selected.clone());
        self.quick(
            RewriteKind::Rewrite,
            format!("Share the figures that these rows have in common in {where_}"),
            figures,
        );
        let own = Rewrite::OwnFigures(selected.clone());
        self.quick(RewriteKind::Rewrite, format!("Give these rows their own figures in {where_}"), own);
        self.moves(&selected, &format!("these rows in {where_}"));
    }

    fn inline(&mut self, by: Extent, row: &RowHere<'_>) {
        let touched = |span: Span| span.start <= by.to.byte && by.from.byte <= span.end;
        for (at, item) in row.tree.items.iter().enumerate() {
            let What::Play(play) = item.what else { continue };
            if let Some(play) = row.tree.plays.get(play as usize).filter(|_| touched(item.span)) {
                let title = format!("Write the phrase {} out here", row.text(play.phrase));
                self.quick(RewriteKind::Inline, title, Rewrite::Inline(by.from.line, at));
            }
        }
    }

    fn expand(&mut self, by: Extent, row: &RowHere<'_>) {
        let span = Span::new(by.from.byte, by.to.byte);
        let found = short(self.desk, by.from.line, span);
        let title = match (found.bars, found.copies) {
            (0, 0) => return,
            (0, _) => "Write the copies out one by one".to_owned(),
            (1, 0) => "Write the repeated bar out".to_owned(),
            (n, 0) => format!("Write the {n} repeated bars out"),
            _ => "Write repeated bars and copies out".to_owned(),
        };
        self.quick(RewriteKind::Rewrite, title, Rewrite::Expand(vec![(by.from.line, span)]));
        let whole = Span::new(0, row.line.text.len() as u32);
        let all = short(self.desk, by.from.line, whole);
        if all != found {
            let what = Rewrite::Expand(vec![(by.from.line, whole)]);
            self.quick(RewriteKind::Rewrite, "Write out every % and * of this row", what);
        }
    }

    fn split(&mut self, by: Extent, row: &RowHere<'_>) {
        let Some((source, _)) = row.bar_at(by.from.byte) else { return };
        let bar = row.first_bar(source);
        if bar > 0 && row.bar_at(by.to.byte).is_some_and(|(end, _)| end == source) {
            let title = format!("Begin a new block at bar {}", row.number_of(bar));
            self.quick(RewriteKind::Rewrite, title, Rewrite::Split(row.block, bar));
        }
    }
}

/// `: Bb major becomes C major`, where there is a key.
fn becomes(key: Option<Key>, by: Interval) -> String {
    let moved = key.and_then(|key| Some((key, key.moved(transpose::within(by, Some(key)))?)));
    moved.map_or_else(String::new, |(old, new)| format!(": {old} becomes {new}"))
}

fn numbers(first: i64, last: i64) -> String {
    if first == last { format!("bar {first}") } else { format!("bars {first} to {last}") }
}
