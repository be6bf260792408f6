//! What a player's chart is drawn from.

use super::act::Act;
use super::axis::Axis;
use super::changes::bell_word;
use super::hard::{Load, weight};
use crate::brass::Level;
use crate::brass::body::Bell;
use crate::music::Pitch;
use crate::rules::Desk;
use crate::score::passage::SoundKind;

/// Notes that are drawn one by one; of more only the cells are drawn, so that a chart stays small.
const MOST_NOTES: usize = 600;
/// Cells of a chart at most: one a bar, or one for several bars where there are more.
const MOST_CELLS: u64 = 72;
/// Instruments and mutes in turn that are drawn.
const MOST_SPANS: usize = 60;

/// A bar, or several.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// On the axis.
    pub from: f64,
    pub to: f64,
    /// Numbers of its first and last bar.
    pub first_bar: i64,
    pub last_bar: i64,
    pub lowest_written: Option<Pitch>,
    pub highest_written: Option<Pitch>,
    /// Units of the axis that sound in it, and those of them that are high.
    pub playing: f64,
    pub high: f64,
    /// Units in which a known pitch sounds.
    pub pitched: f64,
    pub notes: u32,
    pub improvised: bool,
    /// The mean height of what sounds, in letters as [`Pitch::staff`] counts them, weighed by its length.
    pub mean_staff: Option<f64>,
    /// What sounds, high and loud notes weighed for the lips.
    pub weighed: f64,
}

impl Cell {
    /// What the player does in it, for an axis of seconds.
    pub fn load(&self) -> Load {
        let lasts = (self.to - self.from).max(f64::MIN_POSITIVE);
        Load { lips: self.weighed / lasts, notes_per_second: f64::from(self.notes) / lasts }
    }
}

/// A note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    pub from: f64,
    pub to: f64,
    /// Nothing for what is improvised.
    pub written: Option<Pitch>,
    pub high: bool,
}

/// A stretch of the axis with something the whole time.
#[derive(Debug, Clone, PartialEq)]
pub struct Span<T> {
    pub from: f64,
    pub to: f64,
    pub what: T,
}

/// The chart of one player.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chart {
    /// Cells in which something sounds.
    pub cells: Vec<Cell>,
    /// `None` where there are too many to be drawn.
    pub notes: Option<Vec<Drawn>>,
    /// Numbers of the player's instruments as they are in hand, from the first note of each to that of the
    /// next; the first from the beginning.
    pub hands: Vec<Span<u8>>,
    /// Mutes and the stopped bell, from the first note with it to the last.
    pub bells: Vec<Span<String>>,
}

/// Draws it.
pub struct Pen<'a> {
    desk: &'a Desk,
    axis: &'a Axis,
    level: Level,
    bars_a_cell: u64,
    /// By number; made when something sounds in them.
    cells: Vec<Option<Cell>>,
    notes: Option<Vec<Drawn>>,
    hands: Vec<Span<u8>>,
    bell: Bell,
    bells: Vec<Span<String>>,
}

impl<'a> Pen<'a> {
    /// On this axis, for a player of a level.
    pub fn new(desk: &'a Desk, axis: &'a Axis, level: Level) -> Pen<'a> {
        let bars_a_cell = axis.played_bars.div_ceil(MOST_CELLS).max(1);
        let cells = vec![None; axis.played_bars.div_ceil(bars_a_cell) as usize];
        let hands = vec![Span { from: 0.0, to: axis.length, what: 0 }];
        let (notes, bells) = (Some(Vec::new()), Vec::new());
        Pen { desk, axis, level, bars_a_cell, cells, notes, hands, bell: Bell::Open, bells }
    }

    /// Draws what sounds next.
    pub fn draw(&mut self, act: &Act<'_>, high: bool) {
        self.note(act, high);
        self.hand(act);
        let last = act.last_played.max(act.first_played) / self.bars_a_cell;
        for number in act.first_played / self.bars_a_cell..=last {
            self.fill(number, act, high);
        }
    }

    fn note(&mut self, act: &Act<'_>, high: bool) {
        let Some(notes) = &mut self.notes else { return };
        if notes.len() >= MOST_NOTES {
            self.notes = None;
            return;
        }
        notes.push(Drawn { from: act.from, to: act.to, written: act.written, high });
    }

    fn hand(&mut self, act: &Act<'_>) {
        let here = act.event.played.instrument;
        let room = self.hands.len() < MOST_SPANS;
        if let Some(last) = self.hands.last_mut()
            && last.what != here
            && room
        {
            if last.from < act.from {
                last.to = act.from;
                self.hands.push(Span { from: act.from, to: self.axis.length, what: here });
            } else {
                last.what = here;
            }
        }
        if act.bell != Bell::Open {
            let goes_on = act.bell == self.bell;
            let room = self.bells.len() < MOST_SPANS;
            match self.bells.last_mut() {
                Some(last) if goes_on => last.to = act.to,
                _ if room => {
                    self.bells.push(Span { from: act.from, to: act.to, what: bell_word(act.bell) });
                }
                _ => {}
            }
        }
        self.bell = act.bell;
    }

    fn fill(&mut self, number: u64, act: &Act<'_>, high: bool) {
        let (desk, axis) = (self.desk, self.axis);
        let Some(place) = self.cells.get_mut(number as usize) else { return };
        let cell = place.get_or_insert_with(|| {
            let first = number * self.bars_a_cell;
            let behind = (first + self.bars_a_cell).min(axis.played_bars);
            Cell {
                from: axis.bar_begins(desk, first),
                to: axis.bar_begins(desk, behind),
                first_bar: axis.bar_number(desk, first).unwrap_or(act.first_bar),
                last_bar: axis.bar_number(desk, behind.saturating_sub(1)).unwrap_or(act.last_bar),
                lowest_written: None,
                highest_written: None,
                playing: 0.0,
                high: 0.0,
                pitched: 0.0,
                notes: 0,
                improvised: false,
                mean_staff: None,
                weighed: 0.0,
            }
        });
        let inside = (act.to.min(cell.to) - act.from.max(cell.from)).max(0.0);
        if let Some(written) = act.written.filter(|_| inside > 0.0) {
            let here = f64::from(written.staff()) + f64::from(written.alter) / 2.0;
            let mean = cell.mean_staff.get_or_insert(here);
            *mean += (here - *mean) * inside / (cell.pitched + inside);
            cell.pitched += inside;
        }
        cell.playing += inside;
        cell.weighed += inside * weight(act, self.level);
        if high {
            cell.high += inside;
        }
        if act.kind == SoundKind::Note && act.first_played / self.bars_a_cell == number {
            cell.notes += 1;
        }
        cell.improvised |= act.kind == SoundKind::Improvised;
        let Some(written) = act.written else { return };
        let height = |pitch: Pitch| (pitch.staff(), pitch.alter);
        if cell.lowest_written.is_none_or(|known| height(written) < height(known)) {
            cell.lowest_written = Some(written);
        }
        if cell.highest_written.is_none_or(|known| height(written) > height(known)) {
            cell.highest_written = Some(written);
        }
    }

    /// What is drawn.
    pub fn chart(self) -> Chart {
        let cells = self.cells.into_iter().flatten().collect();
        Chart { cells, notes: self.notes, hands: self.hands, bells: self.bells }
    }
}
