//! A block read against the time it has: rhythms, rows, and the pairs of player and block.

use super::block::Block;
use super::chords::{ChordsRead, read_chords};
use super::pair::{Pair, PairRow};
use super::phrase::Phrases;
use super::player::Player;
use super::rhythm::{RhythmRead, read_rhythm};
use super::row::{RowContext, RowRead, chord_faults, read_row, who};
use crate::music::Fraction;
use crate::notation::line::Line;
use crate::notation::nearest::nearest;
use crate::notation::tree::{LineTree, Row, RowKind, What};
use crate::notation::{Fault, FaultName, Span, fault::Weight};
use std::collections::HashMap;
use std::sync::Arc;

/// A block read.
#[derive(Debug, Clone)]
pub struct BlockRead {
    pub block: Arc<Block>,
    /// Lengths of its bars.
    pub lengths: Arc<[Fraction]>,
    /// By row of the block.
    pub rhythms: Vec<Option<Arc<RhythmRead>>>,
    /// By row of the block.
    pub chords: Vec<Option<Arc<ChordsRead>>>,
    /// By row of the block.
    pub rows: Vec<Option<Arc<RowRead>>>,
    /// By player, ascending; players without a row are not among them.
    pub pairs: Vec<Arc<Pair>>,
    /// By line below the header: reading faults of the lines, and what does not add up.
    pub faults: Vec<(u32, Fault)>,
}

/// How much work reading did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Work {
    pub blocks: u64,
    pub rows: u64,
    pub pairs: u64,
}

impl BlockRead {
    /// What this player does here.
    pub fn pair(&self, player: u16) -> Option<&Arc<Pair>> {
        self.pairs.binary_search_by_key(&player, |p| p.player).ok().and_then(|i| self.pairs.get(i))
    }
}

/// What a block is read with.
pub struct ReadContext<'a> {
    pub players: &'a [Arc<Player>],
    pub phrases: &'a Phrases,
    /// The reading of the same block before the edit, or of one like it.
    pub before: Option<&'a BlockRead>,
}

/// Reads a block; rows and pairs that are the same as before are taken over.
pub fn read_block(
    block: &Arc<Block>,
    lengths: &Arc<[Fraction]>,
    context: &ReadContext<'_>,
    work: &mut Work,
) -> BlockRead {
    work.blocks += 1;
    let mut read = BlockRead {
        block: Arc::clone(block),
        lengths: Arc::clone(lengths),
        rhythms: vec![None; block.rows.len()],
        chords: vec![None; block.rows.len()],
        rows: vec![None; block.rows.len()],
        pairs: Vec::new(),
        faults: block.faults.clone(),
    };
    for (i, line) in block.text.lines.iter().enumerate() {
        read.faults.extend(line.faults.iter().map(|f| (i as u32, with_player(f, line, context))));
    }
    read.read_rows(context, work);
    read.put_together(context, work);
    read.short_rows();
    read.faults.sort_by_key(|(line, fault)| (*line, fault.span, fault.name));
    read.faults.dedup();
    read
}

/// A line that begins with no line word may be a row whose barlines are missing: then its player is named.
fn with_player(fault: &Fault, line: &Line, context: &ReadContext<'_>) -> Fault {
    if fault.name != FaultName::UnknownWord || fault.fix.is_some() || !matches!(line.tree, LineTree::Bad) {
        return fault.clone();
    }
    let word = fault.span.of(&line.text);
    let Some(near) = nearest(word, context.players.iter().map(|p| p.id.as_str())) else {
        return fault.clone();
    };
    let text = if near == word {
        format!("A row has barlines: `{near} | … |`.")
    } else {
        format!("{} If it is meant for {near}, a row has barlines: `{near} | … |`.", fault.text)
    };
    Fault { text, ..fault.clone() }
}

fn row_of(line: &Line) -> Option<&Row> {
    match &line.tree {
        LineTree::Row(row) => Some(row),
        _ => None,
    }
}

impl BlockRead {
    fn read_rows(&mut self, context: &ReadContext<'_>, work: &mut Work) {
        let block = Arc::clone(&self.block);
        for (i, row) in block.rows.iter().enumerate() {
            let Some(line) = block.text.lines.get(row.line as usize) else { continue };
            let Some(tree) = row_of(line) else { continue };
            match row.kind {
                RowKind::Rhythm => {
                    let read = self.old_rhythm(context, line, i).unwrap_or_else(|| {
                        work.rows += 1;
                        Arc::new(read_rhythm(tree, &self.lengths))
                    });
                    self.faults.extend(read.faults.iter().map(|f| (row.line, f.clone())));
                    if let Some(slot) = self.rhythms.get_mut(i) {
                        *slot = Some(read);
                    }
                }
                RowKind::Music => {
                    let rhythm = self.ruler(row.ruled_by);
                    let read = self.old_row(context, line, i, rhythm.as_ref()).unwrap_or_else(|| {
                        work.rows += 1;
                        Arc::new(read_row(&RowContext {
                            text: &line.text,
                            row: tree,
                            rhythm: rhythm.as_deref(),
                            lengths: &self.lengths,
                            phrases: context.phrases,
                        }))
                    });
                    self.faults.extend(read.faults.iter().map(|f| (row.line, f.clone())));
                    if row.sure {
                        self.row_faults(row.line, tree, &line.text, row.people.len(), context.phrases);
                    }
                    if let Some(slot) = self.rows.get_mut(i) {
                        *slot = Some(read);
                    }
                }
                RowKind::Chords => {
                    let old = context
                        .before
                        .filter(|b| self.same_ground(b))
                        .and_then(|before| before.chords.get(Self::old_index(before, line, i)?)?.clone());
                    let read = old.unwrap_or_else(|| {
                        work.rows += 1;
                        Arc::new(read_chords(tree, &line.text, &self.lengths))
                    });
                    self.faults.extend(read.faults.iter().map(|f| (row.line, f.clone())));
                    if let Some(slot) = self.chords.get_mut(i) {
                        *slot = Some(read);
                    }
                }
            }
        }
    }

    fn ruler(&self, ruled_by: Option<u32>) -> Option<Arc<RhythmRead>> {
        self.rhythms.get(ruled_by? as usize)?.clone()
    }

    fn same_ground(&self, before: &BlockRead) -> bool {
        Arc::ptr_eq(&self.lengths, &before.lengths)
    }

    /// Index of the row of the reading before that stands on the same line.
    fn old_index(before: &BlockRead, line: &Arc<Line>, near: usize) -> Option<usize> {
        let is = |i: usize| {
            before
                .block
                .rows
                .get(i)
                .and_then(|r| before.block.text.lines.get(r.line as usize))
                .is_some_and(|l| Arc::ptr_eq(l, line))
        };
        if is(near) { Some(near) } else { (0..before.block.rows.len()).find(|i| is(*i)) }
    }

    fn old_rhythm(
        &self,
        context: &ReadContext<'_>,
        line: &Arc<Line>,
        near: usize,
    ) -> Option<Arc<RhythmRead>> {
        let before = context.before.filter(|b| self.same_ground(b))?;
        before.rhythms.get(Self::old_index(before, line, near)?)?.clone()
    }

    fn old_row(
        &self,
        context: &ReadContext<'_>,
        line: &Arc<Line>,
        near: usize,
        rhythm: Option<&Arc<RhythmRead>>,
    ) -> Option<Arc<RowRead>> {
        let before = context.before.filter(|b| self.same_ground(b))?;
        let old = Self::old_index(before, line, near)?;
        let ruled = before.block.rows.get(old).and_then(|r| before.ruler(r.ruled_by));
        let same = match (&ruled, rhythm) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        if same { before.rows.get(old)?.clone() } else { None }
    }

    fn row_faults(&mut self, line: u32, row: &Row, text: &str, people: usize, phrases: &Phrases) {
        if people > 0 {
            let mut found = Vec::new();
            for bar in row.bars.iter() {
                chord_faults(row, text, people, bar, &mut found);
            }
            for item in &row.items {
                let What::Play(i) = item.what else { continue };
                let Some(name) = row.plays.get(i as usize).map(|p| p.phrase.of(text)) else { continue };
                if let Some(phrase) = phrases.find(name).filter(|p| p.largest > people) {
                    let text = format!(
                        "`{name}` has chords of {} notes for {}: play it on a row of more players.",
                        phrase.largest,
                        who(people)
                    );
                    found.push(Fault::new(FaultName::TooManyEntries, item.span, text));
                }
            }
            self.faults.extend(found.into_iter().map(|f| (line, f)));
        }
    }

    /// Music rows that end before the block does, unless other rows go on for their players.
    fn short_rows(&mut self) {
        let block = Arc::clone(&self.block);
        let mut ends: Option<HashMap<u16, u32>> = None;
        for (i, row) in block.rows.iter().enumerate() {
            let Some(read) = self.rows.get(i).and_then(|r| r.as_ref()) else { continue };
            let Some(tree) = block.text.lines.get(row.line as usize).and_then(|l| row_of(l)) else {
                continue;
            };
            let bars = read.bars;
            let missing = block.bars.saturating_sub(bars);
            if missing == 0 || !tree.closed {
                continue;
            }
            let ends = ends.get_or_insert_with(|| self.last_bars());
            if row.people.iter().any(|p| ends.get(&p.player).is_some_and(|last| *last >= bars)) {
                continue;
            }
            let end = tree.bars.last().map_or(0, |b| b.span.end);
            let span = Span::new(end, end + 1);
            let (weight, text) = if missing == 1 {
                (
                    Weight::Information,
                    "This row is one bar shorter than the longest row of the block. A forgotten bar shifts all that follow; if it is meant, write the last bar as `-`.".to_owned(),
                )
            } else {
                (
                    Weight::Hint,
                    format!(
                        "This row ends {missing} bars before the block does; the player is silent from here."
                    ),
                )
            };
            self.faults.push((row.line, Fault::new(FaultName::RowShort, span, text).weighing(weight)));
        }
    }

    /// The last bar that each player's rows write.
    fn last_bars(&self) -> HashMap<u16, u32> {
        let last = |pair: &Pair| pair.rows.iter().filter_map(|r| Some(r.read.cells.last()?.bar)).max();
        self.pairs.iter().filter_map(|pair| Some((pair.player, last(pair)?))).collect()
    }

    fn put_together(&mut self, context: &ReadContext<'_>, work: &mut Work) {
        let mut rows_of: Vec<(u16, Vec<PairRow>)> = Vec::new();
        for (i, row) in self.block.rows.iter().enumerate() {
            let Some(read) = self.rows.get(i).and_then(|r| r.as_ref()) else { continue };
            let Some(text) = self.block.text.lines.get(row.line as usize) else { continue };
            let mut last = None;
            for (place, person) in row.people.iter().enumerate() {
                if last == Some(person.player) {
                    continue;
                }
                last = Some(person.player);
                let pair_row = PairRow {
                    line: row.line,
                    first: place as u16,
                    people: row.people.len() as u16,
                    text: Arc::clone(text),
                    read: Arc::clone(read),
                    rhythm: self.ruler(row.ruled_by),
                };
                match rows_of.binary_search_by_key(&person.player, |(p, _)| *p) {
                    Ok(at) => {
                        if let Some((_, rows)) = rows_of.get_mut(at) {
                            rows.push(pair_row);
                        }
                    }
                    Err(at) => rows_of.insert(at, (person.player, vec![pair_row])),
                }
            }
        }
        for (index, rows) in rows_of {
            let Some(player) = context.players.get(usize::from(index)) else { continue };
            let old = context.before.and_then(|b| b.pair(index)).filter(|old| {
                old.bars == self.block.bars
                    && Arc::ptr_eq(&old.made_for, player)
                    && old.rows.len() == rows.len()
                    && old.rows.iter().zip(&rows).all(|(a, b)| a.same(b))
            });
            let pair = match old {
                Some(old) => Arc::clone(old),
                None => {
                    work.pairs += 1;
                    Arc::new(Pair::new(player, index, rows, self.block.bars))
                }
            };
            self.faults.extend(pair.faults.iter().cloned());
            self.pairs.push(pair);
        }
    }
}
