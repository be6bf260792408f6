//! The score: head, blocks and their order, brought up to date after every edit by one code path.

use super::block::{Block, BlockText};
use super::frame::{Frame, Walk};
use super::head::{Head, read_head};
use super::order::{At, Order, Stop, order};
use super::read::{BlockRead, ReadContext, Work, read_block};
use super::source::Loader;
use crate::brass::Level;
use crate::notation::fault::Weight;
use crate::notation::line::Line;
use crate::notation::line_table::LineTable;
use crate::notation::tree::{Instruction, LineTree, TempoMark, What};
use crate::notation::{Fault, FaultName, Span};
use std::collections::HashMap;
use std::sync::Arc;

/// A block in its place.
#[derive(Debug, Clone)]
pub struct Placed {
    /// Line of its header in the file, from 0.
    pub line: u32,
    /// Index in the score before the edit of the block it was or came from.
    pub came_from: Option<u32>,
    pub standing: Arc<Standing>,
}

/// A block with all it inherits from the blocks before it; kept while neither changes.
#[derive(Debug)]
pub struct Standing {
    pub read: Arc<BlockRead>,
    pub frame: Frame,
    /// Faults of the header line that depend on the blocks before it.
    pub faults: Vec<Fault>,
    stop: Stop,
    /// The walk on arrival and on leaving.
    arriving: Walk,
    leaving: Walk,
}

impl std::ops::Deref for Placed {
    type Target = Standing;

    fn deref(&self) -> &Standing {
        &self.standing
    }
}

/// A score.
#[derive(Debug, Clone)]
pub struct Score {
    pub head: Arc<Head>,
    pub blocks: Vec<Placed>,
    pub order: Arc<Order>,
    /// Faults of repeats, endings and the road map, by line of the file.
    pub order_faults: Vec<(u32, Fault)>,
    /// What bringing it up to date has cost since the beginning.
    pub work: Work,
}

/// What a score is read with, besides its lines.
pub struct Sources<'a> {
    pub level: Option<Level>,
    pub loader: &'a dyn Loader,
    /// Another number whenever an included file may have changed.
    pub files: u64,
}

impl Score {
    /// Reads the lines; what did not change is taken from the score before.
    pub fn read(lines: &LineTable, before: Option<&Score>, sources: &Sources<'_>) -> Score {
        let mut table = lines.iter().peekable();
        let head_lines = take_head(&mut table, before);
        let head = match before {
            Some(old) if old.head.still(&head_lines, sources) => Arc::clone(&old.head),
            _ => Arc::new(read_head(head_lines, before.map(|b| &*b.head), sources)),
        };
        let mut score = Score {
            blocks: Vec::new(),
            order: Arc::default(),
            order_faults: Vec::new(),
            work: before.map(|b| b.work).unwrap_or_default(),
            head,
        };
        score.read_blocks(table, before);
        score.put_in_order(before);
        score.ask_for_tempo();
        score
    }

    fn read_blocks<'l>(
        &mut self,
        mut table: std::iter::Peekable<impl Iterator<Item = &'l Arc<Line>>>,
        before: Option<&Score>,
    ) {
        let head = Arc::clone(&self.head);
        let same_names = before.is_some_and(|b| {
            Arc::ptr_eq(&b.head.names, &head.names) && Arc::ptr_eq(&b.head.phrases, &head.phrases)
        });
        let same_players = before.is_some_and(|b| {
            b.head.players.len() == head.players.len()
                && b.head.players.iter().zip(&head.players).all(|(a, b)| Arc::ptr_eq(a, b))
        });
        let mut finder = Finder::new(before);
        let mut line = head.lines.len() as u32;
        let beginning = Walk::default();
        while table.peek().is_some() {
            let old = finder.next(&mut table);
            let came_from = old.found.map(|i| i as u32);
            let placed_before = old.found.and_then(|i| before?.blocks.get(i));
            let height = old.text.lines.len() as u32;
            let last = self.blocks.last().map(|b| Arc::clone(&b.standing));
            let walk = last.as_ref().map_or(&beginning, |s| &s.leaving);
            let standing = match placed_before {
                Some(placed) if old.unchanged && same_names && same_players && placed.arriving == *walk => {
                    Arc::clone(&placed.standing)
                }
                _ => {
                    let block = match placed_before {
                        Some(placed) if old.unchanged && same_names => Arc::clone(&placed.read.block),
                        _ => Arc::new(Block::gather(old.text, &head.names, &head.phrases)),
                    };
                    Arc::new(self.stand(&block, walk, placed_before, same_names, same_players))
                }
            };
            self.blocks.push(Placed { line, came_from, standing });
            line += height;
        }
    }

    fn stand(
        &mut self,
        block: &Arc<Block>,
        arriving: &Walk,
        before: Option<&Placed>,
        same_names: bool,
        same_players: bool,
    ) -> Standing {
        let mut leaving = arriving.clone();
        let mut faults = Vec::new();
        let frame = leaving.step(block, before.map(|p| &p.frame), &mut faults);
        let same_read = before.filter(|placed| {
            same_players
                && Arc::ptr_eq(&placed.read.block, block)
                && Arc::ptr_eq(&placed.read.lengths, &frame.lengths)
        });
        let read = match same_read {
            Some(placed) => Arc::clone(&placed.read),
            None => {
                let context = ReadContext {
                    players: &self.head.players,
                    phrases: &self.head.phrases,
                    before: before.map(|p| &*p.read).filter(|_| same_names),
                };
                Arc::new(read_block(block, &frame.lengths, &context, &mut self.work))
            }
        };
        if let Some(tempo) = last_tempo(&read) {
            leaving.leave_tempo(tempo);
        }
        let stop = Stop {
            first_bar: frame.first_bar,
            bars: frame.bars,
            repeat: block.repeat,
            ending: block.ending.clone(),
            section: block.sections.clone(),
        };
        Standing { read, frame, faults, stop, arriving: arriving.clone(), leaving }
    }

    /// One hint where the music begins without a tempo.
    fn ask_for_tempo(&mut self) {
        let first = self.blocks.iter().find(|b| b.frame.bars > 0);
        let Some(first) = first.filter(|b| b.frame.tempo.is_none() && last_tempo(&b.read).is_none()) else {
            return;
        };
        let text =
            "No tempo is named here, so nothing that takes time can be checked. Add one: `tempo q = 72`.";
        let fault =
            Fault::new(FaultName::NoTempo, first.read.block.header_word(), text).weighing(Weight::Hint);
        self.order_faults.push((first.line, fault));
    }

    fn put_in_order(&mut self, before: Option<&Score>) {
        let map = self.head.roadmap.as_ref();
        let same = |a: &Placed, b: &Placed| Arc::ptr_eq(&a.standing, &b.standing) || a.stop == b.stop;
        let old = before.filter(|old| {
            old.blocks.len() == self.blocks.len()
                && old.blocks.iter().zip(&self.blocks).all(|(a, b)| same(a, b))
                && (Arc::ptr_eq(&old.head, &self.head) || old.head.roadmap.as_ref() == map)
        });
        self.order = match old {
            Some(old) => Arc::clone(&old.order),
            None => {
                let stops: Vec<Stop> = self.blocks.iter().map(|placed| placed.stop.clone()).collect();
                let stations: Option<Vec<_>> =
                    map.map(|(_, all)| all.iter().map(|(_, s)| s.clone()).collect());
                Arc::new(order(&stops, stations.as_deref()))
            }
        };
        for (at, fault) in &self.order.faults {
            match at {
                At::Repeat(i) | At::Ending(i) => {
                    let Some(placed) = self.blocks.get(*i) else { continue };
                    let span = placed.read.block.repeat_span(matches!(at, At::Ending(_)));
                    self.order_faults.push((placed.line, Fault { span, ..fault.clone() }));
                }
                At::Station(n) => {
                    let Some((line, stations)) = &self.head.roadmap else { continue };
                    let span = stations.get(*n).map_or(Span::default(), |(span, _)| *span);
                    self.order_faults.push((*line, Fault { span, ..fault.clone() }));
                }
            }
        }
    }

    /// Index of the block that holds this line of the file.
    pub fn block_at(&self, line: u32) -> Option<usize> {
        self.blocks.partition_point(|b| b.line <= line).checked_sub(1)
    }
}

/// The lines before the first `bar`.
fn take_head<'l>(
    table: &mut std::iter::Peekable<impl Iterator<Item = &'l Arc<Line>>>,
    before: Option<&Score>,
) -> Vec<Arc<Line>> {
    let mut lines = Vec::with_capacity(before.map_or(0, |b| b.head.lines.len()));
    while let Some(line) = table.next_if(|line| !matches!(line.tree, LineTree::Block(_))) {
        lines.push(Arc::clone(line));
    }
    lines
}

/// The last tempo written in the block's rhythm rows.
fn last_tempo(read: &BlockRead) -> Option<TempoMark> {
    let mut last: Option<((u32, crate::music::Fraction), TempoMark)> = None;
    for (row, rhythm) in read.block.rows.iter().zip(&read.rhythms) {
        let Some(rhythm) = rhythm else { continue };
        if rhythm.things.is_empty() {
            continue;
        }
        let Some(LineTree::Row(tree)) = read.block.text.lines.get(row.line as usize).map(|l| &l.tree) else {
            continue;
        };
        for thing in &rhythm.things {
            if let Some(What::Instruction(Instruction::Tempo(i))) =
                tree.items.get(thing.item as usize).map(|i| i.what)
                && let Some(tempo) = tree.tempos.get(i as usize)
                && last.as_ref().is_none_or(|(at, _)| *at <= (thing.bar, thing.onset))
            {
                last = Some(((thing.bar, thing.onset), *tempo));
            }
        }
    }
    last.map(|(_, tempo)| tempo)
}

/// A block's lines, and the block before the edit that they are, or come from.
struct Candidate {
    text: Arc<BlockText>,
    found: Option<usize>,
    /// True if every line is the same.
    unchanged: bool,
}

/// Matches the blocks of the new text with those of the old, in order.
struct Finder<'s> {
    before: Option<&'s Score>,
    next: usize,
    /// Where each old header stands; made when a block is not near where it was.
    headers: Option<HashMap<*const Line, usize>>,
}

impl<'s> Finder<'s> {
    fn new(before: Option<&'s Score>) -> Finder<'s> {
        Finder { before, next: 0, headers: None }
    }

    /// The old block with this header.
    fn find(&mut self, header: &Arc<Line>) -> Option<usize> {
        let starts =
            |i: usize| self.old(i).and_then(|t| t.lines.first()).is_some_and(|l| Arc::ptr_eq(l, header));
        if let Some(near) = (self.next..self.next + 4).find(|i| starts(*i)) {
            return Some(near);
        }
        let before = self.before?;
        let headers = self.headers.get_or_insert_with(|| {
            let header = |p: &Placed| p.read.block.text.lines.first().map(Arc::as_ptr);
            before.blocks.iter().enumerate().filter_map(|(i, p)| Some((header(p)?, i))).collect()
        });
        headers.get(&Arc::as_ptr(header)).copied()
    }

    fn old(&self, i: usize) -> Option<&'s Arc<BlockText>> {
        self.before.and_then(|b| b.blocks.get(i)).map(|p| &p.read.block.text)
    }

    /// The next block: the old one's lines are compared by identity, which reads none of them.
    fn next<'l>(
        &mut self,
        table: &mut std::iter::Peekable<impl Iterator<Item = &'l Arc<Line>>>,
    ) -> Candidate {
        let Some(header) = table.next() else {
            return Candidate {
                text: Arc::new(BlockText { lines: Vec::new() }),
                found: None,
                unchanged: false,
            };
        };
        // A header that was edited itself stands for the one expected here.
        let found = self.find(header);
        let at = found.unwrap_or(self.next);
        let old = self.old(at);
        self.next = found.map_or(self.next, |i| i + 1);
        let mut same = found.is_some();
        let mut taken = 1;
        if let Some(old) = old.filter(|_| same) {
            for expected in old.lines.iter().skip(1) {
                if table.next_if(|line| Arc::ptr_eq(line, expected)).is_none() {
                    same = false;
                    break;
                }
                taken += 1;
            }
        }
        let ends_here = table.peek().is_none_or(|line| matches!(line.tree, LineTree::Block(_)));
        if let Some(old) = old
            && same
            && ends_here
        {
            return Candidate { text: Arc::clone(old), found: Some(at), unchanged: true };
        }
        let mut lines = vec![Arc::clone(header)];
        if let Some(old) = old.filter(|_| found.is_some()) {
            lines.extend(old.lines.iter().skip(1).take(taken - 1).cloned());
        }
        while let Some(line) = table.next_if(|line| !matches!(line.tree, LineTree::Block(_))) {
            lines.push(Arc::clone(line));
        }
        let found = old.map(|_| at);
        Candidate { text: Arc::new(BlockText { lines }), found, unchanged: false }
    }
}
