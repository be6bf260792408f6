//! A block and the next made one.

use super::Refusal;
use super::draft::Draft;
use super::faults::sound_in;
use crate::assist::cure::case::RowHere;
use crate::notation::Span;
use crate::notation::tree::{LineTree, RowKind, SettingKind};
use crate::rules::Desk;
use crate::score::score::Placed;
use std::collections::HashMap;

/// A block with the one behind it, taken up into it.
pub fn draft<'a>(desk: &'a Desk, block: usize) -> Result<Draft<'a>, Refusal> {
    let score = desk.score();
    let first = score.blocks.get(block).ok_or_else(|| Refusal::new("there is no such block"))?;
    let Some(next) = score.blocks.get(block + 1) else {
        return Err(Refusal::new("no block follows that could be joined to this one"));
    };
    possible(desk, block, first, next)?;
    sound_in(desk, &[block, block + 1])?;
    let mut draft = Draft::of(desk);
    header(first, next, &mut draft);
    Joining { desk, block, first, next, draft: &mut draft, taken: HashMap::new() }.rows();
    let below = first.read.block.text.lines.len() as u32;
    draft.remove(next.line);
    for row in &next.read.block.rows {
        draft.remove(next.line + row.line);
    }
    // Blank lines that parted the two, and the same `allow` twice.
    let lines = &first.read.block.text.lines;
    for at in (1..below).rev() {
        let blank = lines.get(at as usize).is_some_and(|l| l.text.trim().is_empty());
        if !blank {
            break;
        }
        draft.remove(first.line + at);
    }
    let said =
        |p: &Placed, at: &u32| p.read.block.text.lines.get(*at as usize).map(|l| l.text.trim().to_owned());
    for at in &next.read.block.allows {
        if first.read.block.allows.iter().any(|other| said(first, other) == said(next, at)) {
            draft.remove(next.line + at);
        }
    }
    Ok(draft)
}

/// Refused where the second block begins something of its own.
pub fn possible(desk: &Desk, block: usize, first: &Placed, next: &Placed) -> Result<(), Refusal> {
    let number = next.frame.first_bar;
    let refuse = |why: &str| Err(Refusal::new(format!("bar {number} {why}")));
    let (a, b) = (&first.read.block, &next.read.block);
    if next.frame.gap > 0 {
        return refuse("does not follow directly: between the two blocks all are silent");
    }
    if a.bars == 0 || b.bars == 0 {
        return refuse("begins or ends a block without bars");
    }
    if !b.sections.is_empty() {
        return refuse("has a mark, at which a block begins");
    }
    if a.close.is_some() || b.pickup.is_some() {
        return refuse("stands between a bar cut short and the next, which only blocks can do");
    }
    if a.ending.is_some() || b.ending.is_some() || b.repeat.is_some() {
        return refuse("begins or follows a repeat or an ending");
    }
    if b.meters.as_ref().is_some_and(|m| **m != *first.frame.meters || m.len() > 1) {
        return refuse("has a meter of its own");
    }
    if b.key.is_some_and(|key| key != first.frame.key) {
        return refuse("has a key of its own");
    }
    // A tempo that is named ends what [rit] began.
    if b.tempo.is_some() {
        return refuse("has a tempo of its own");
    }
    let last = number - 1;
    let ends = |placed: &Placed| {
        let repeat = placed.read.block.repeat.as_ref();
        repeat.is_some_and(|r| match r.to {
            Some(to) => i64::from(to) == last,
            None => placed.frame.first_bar + i64::from(placed.frame.bars) - 1 == last,
        })
    };
    if desk.score().blocks.iter().take(block + 1).any(ends) {
        return refuse("follows the end of a repeat");
    }
    Ok(())
}

/// A repeat that says where it ends says nothing where that is the end of its block.
fn header(first: &Placed, next: &Placed, draft: &mut Draft<'_>) {
    let Some(line) = first.read.block.text.lines.first() else { return };
    let LineTree::Block(tree) = &line.tree else { return };
    let last = next.frame.first_bar + i64::from(next.frame.bars) - 1;
    for setting in &tree.settings {
        if let SettingKind::Repeat { to: Some(to), .. } = setting.what
            && i64::from(to) == last
            && let Some(at) = setting.span.of(&line.text).find(" to")
        {
            draft.put(first.line, Span::new(setting.span.start + at as u32, setting.span.end), "");
        }
    }
    let close = next.read.block.text.lines.first().and_then(|line| match &line.tree {
        LineTree::Block(tree) => {
            let close = tree.settings.iter().find(|s| matches!(s.what, SettingKind::Close(_)))?;
            Some(close.span.of(&line.text).to_owned())
        }
        _ => None,
    });
    if let Some(close) = close {
        let end = crate::assist::cure::lines::own_end(line);
        draft.put(first.line, Span::new(end, end), format!("  {close}"));
    }
}

struct Joining<'a, 'd> {
    desk: &'a Desk,
    block: usize,
    first: &'a Placed,
    next: &'a Placed,
    draft: &'d mut Draft<'a>,
    /// By row of the first block: the row of the next that goes on with it.
    taken: HashMap<usize, usize>,
}

impl<'a> Joining<'a, '_> {
    fn row(&self, block: usize, number: usize) -> Option<RowHere<'a>> {
        RowHere::at(self.desk.score(), block, number)
    }

    /// The words in front of a row's first barline, with single blanks.
    fn name(&self, row: &RowHere<'_>) -> String {
        let start = row.tree.bars.first().map_or(row.line.text.len() as u32, |b| b.span.start);
        let text = Span::new(0, start).of(&row.line.text);
        text.trim_end().trim_end_matches('|').split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn rows(mut self) {
        let rows = &self.next.read.block.rows;
        let groups: Vec<Option<usize>> = {
            let mut all: Vec<Option<usize>> = vec![None];
            all.extend(
                (0..rows.len()).filter(|n| rows.get(*n).is_some_and(|r| r.kind == RowKind::Rhythm)).map(Some),
            );
            all
        };
        for group in groups {
            let members: Vec<usize> = (0..rows.len())
                .filter(|n| {
                    let row = rows.get(*n);
                    row.is_some_and(|r| match r.kind {
                        RowKind::Music => r.ruled_by.map(|r| r as usize) == group,
                        // Chord symbols are ruled by nothing.
                        RowKind::Chords => group.is_none(),
                        RowKind::Rhythm => false,
                    })
                })
                .collect();
            match group {
                None => members.into_iter().for_each(|n| self.loose(n)),
                Some(ruler) => self.ruled(ruler, &members),
            }
        }
    }

    /// A row of the first block of this name that nothing goes on with yet.
    fn partner(&self, of: &RowHere<'_>, ruled_by: Option<Option<usize>>) -> Option<usize> {
        let name = self.name(of);
        (0..self.first.read.block.rows.len()).find(|n| {
            let Some(row) = self.row(self.block, *n) else { return false };
            row.row.kind == of.row.kind
                && !self.taken.contains_key(n)
                && self.name(&row) == name
                && ruled_by.is_none_or(|r| row.row.ruled_by.map(|r| r as usize) == r)
        })
    }

    /// A row that brings all its figures goes on with any row of its name.
    fn loose(&mut self, number: usize) {
        let Some(row) = self.row(self.block + 1, number) else { return };
        match self.partner(&row, None) {
            Some(partner) => self.append(partner, number),
            None => self.fresh(number, self.last_line()),
        }
    }

    /// Rows under a rhythm row go on with rows under one rhythm row.
    fn ruled(&mut self, ruler: usize, members: &[usize]) {
        let rows = &self.first.read.block.rows;
        let found = members.iter().find_map(|n| {
            let row = self.row(self.block + 1, *n)?;
            let partner = self.partner(&row, None)?;
            let ruled_by = rows.get(partner)?.ruled_by.map(|r| r as usize);
            ruled_by.is_none_or(|r| !self.taken.contains_key(&r)).then_some((partner, ruled_by))
        });
        match found {
            Some((_, Some(target))) => {
                self.append(target, ruler);
                self.members(members, Some(target));
            }
            // Nothing rules in the first block: the new rhythm row, blank so far, rules no bar of it.
            Some((_, None)) if !rows.iter().any(|r| r.kind == RowKind::Rhythm) => {
                let top = rows.iter().find(|r| r.kind == RowKind::Music).map_or(0, |r| r.line);
                if let Some(row) = self.row(self.block + 1, ruler) {
                    let text = self.behind_blanks(&row);
                    self.draft.above(self.first.line + top, text);
                }
                self.members(members, None);
            }
            _ => {
                let last = self.last_line();
                self.fresh(ruler, last);
                members.iter().for_each(|n| self.fresh(*n, last));
            }
        }
    }

    fn members(&mut self, members: &[usize], target: Option<usize>) {
        let rows = &self.first.read.block.rows;
        let ruled = |n: &usize| rows.get(*n).is_some_and(|r| r.ruled_by.map(|r| r as usize) == target);
        let last = (0..rows.len()).rfind(ruled);
        let last = last.and_then(|n| rows.get(n)).map_or_else(|| self.last_line(), |r| r.line);
        for number in members {
            let Some(row) = self.row(self.block + 1, *number) else { continue };
            match self.partner(&row, Some(target)) {
                Some(partner) => self.append(partner, *number),
                None => self.fresh(*number, last),
            }
        }
    }

    /// The bars of a row of the next block behind those of a row of the first.
    fn append(&mut self, partner: usize, number: usize) {
        self.taken.insert(partner, number);
        let (Some(row), Some(more)) = (self.row(self.block, partner), self.row(self.block + 1, number))
        else {
            return;
        };
        let short = self.first.frame.bars.saturating_sub(row.row.bars);
        let closing = if row.tree.closed { "" } else { "|" };
        let end = row.tree.bars.last().map_or(row.line.text.len() as u32, |b| b.span.end);
        let end = end + u32::from(row.tree.closed);
        let text = format!("{closing}{}{}", " |".repeat(short as usize), bars(&more));
        self.draft.put(self.first.line + row.row.line, Span::new(end, end), text);
    }

    /// A row of the next block as a row of its own, silent so far.
    fn fresh(&mut self, number: usize, below: u32) {
        let Some(row) = self.row(self.block + 1, number) else { return };
        let text = self.behind_blanks(&row);
        self.draft.below(self.first.line + below, text);
    }

    fn behind_blanks(&self, row: &RowHere<'_>) -> String {
        let blank = " |".repeat(self.first.frame.bars as usize);
        format!("{} |{blank}{}", self.name(row), bars(row))
    }

    fn last_line(&self) -> u32 {
        self.first.read.block.rows.last().map_or(0, |r| r.line)
    }
}

/// The bars of a row as they stand, each with its barline, and the row's remark.
fn bars(row: &RowHere<'_>) -> String {
    let start = row.tree.bars.first().map_or(0, |b| b.span.start);
    let end = row.tree.bars.last().map_or(0, |b| b.span.end);
    let mut out = Span::new(start, end).of(&row.line.text).to_owned();
    out.push('|');
    if let Some(remark) = row.line.tokens.last().filter(|t| t.kind == crate::notation::token::Kind::Comment) {
        out.push_str("  ");
        out.push_str(remark.of(&row.line.text).trim_end());
    }
    out
}
