//! The blocks of a part: those of the score, with rests put together across blocks that nothing parts,
//! and long rows broken.

use super::bar::Bar;
use super::cell::cells;
use super::pauses::{Pause, goes_out, put};
use super::{allow, chords, rhythm, translate};
use crate::notation::tree::SettingKind;
use crate::rules::Desk;
use crate::score::clock::Clock;
use crate::score::score::{Placed, Score};

/// Rows wider than this are broken where they can be.
const WIDEST: usize = 120;

/// Bars that stand under one `bar` line.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Number of its first bar.
    pub number: i64,
    /// Meter, key, tempo, marks, repeats, as they stand.
    pub settings: Vec<String>,
    /// Rules that are allowed here.
    pub allows: Vec<String>,
    pub bars: Vec<Bar>,
    /// Bars of the rhythm row.
    pub shared: Vec<String>,
    /// Bars of a rhythm row for fermatas that fall while the player improvises.
    pub waits: Vec<String>,
    /// Bars of the row of chord symbols.
    pub chords: Vec<String>,
    /// The `close` among the settings, if there is one.
    close: Option<String>,
    /// True if nothing parts it from the stretch before.
    joins: bool,
    /// True if another speed begins inside.
    tempo: bool,
    /// True if it must stay in one piece.
    whole: bool,
    /// True if its first bar is a pickup.
    pickup: bool,
}

/// All stretches of a part.
pub fn stretches(desk: &Desk, clock: &Clock, player: usize, name: usize) -> Vec<Stretch> {
    let score = desk.score();
    let ends = repeat_ends(score);
    let mut played = vec![false; score.blocks.len()];
    for visit in &score.order.visits {
        if let Some(here) = played.get_mut(visit.block as usize) {
            *here = true;
        }
    }
    let mut out: Vec<Stretch> = Vec::new();
    for (at, placed) in score.blocks.iter().enumerate() {
        let joins = at > 0
            && placed.read.block.text.header().is_some_and(|h| h.settings.is_empty())
            && placed.frame.gap == 0
            && !ends.get(at - 1).copied().unwrap_or(false);
        let mut stretch = read(desk, clock, at, placed, player);
        // What the road map leaves out hands no instrument or mute on from block to block.
        stretch.whole |= !played.get(at).copied().unwrap_or(false);
        stretch.joins = joins
            && stretch.allows.is_empty()
            && !stretch.tempo
            && !stretch.bars.is_empty()
            && out.last().is_some_and(|last| last.allows.is_empty() && !last.bars.is_empty());
        if let Some(last) = out.last_mut().filter(|_| stretch.joins) {
            take_rests(last, &mut stretch);
            if stretch.bars.is_empty() {
                continue;
            }
        }
        out.push(stretch);
    }
    out.into_iter().flat_map(|stretch| broken(stretch, name)).collect()
}

/// By block: true if something ends with it, so that nothing may be added to it.
fn repeat_ends(score: &Score) -> Vec<bool> {
    let mut ends: Vec<bool> =
        score.blocks.iter().map(|b| b.read.block.ending.is_some() || b.read.block.close.is_some()).collect();
    for (at, placed) in score.blocks.iter().enumerate() {
        let Some(repeat) = placed.read.block.repeat else { continue };
        let to = repeat.to.map_or(i64::MIN, i64::from);
        let inside = score.blocks.iter().skip(at).take_while(|b| b.frame.first_bar <= to).count();
        if let Some(end) = ends.get_mut(at + inside.saturating_sub(1)) {
            *end = true;
        }
    }
    ends
}

fn read(desk: &Desk, clock: &Clock, at: usize, placed: &Placed, player: usize) -> Stretch {
    let mut bars = translate::bars(desk, at, player);
    let mut wanted: Vec<Vec<Pause>> = vec![Vec::new(); bars.len()];
    for (bar, after, seconds) in clock.pauses(at) {
        if let Some(here) = wanted.get_mut(bar as usize) {
            here.push(Pause { after, seconds });
        }
    }
    // What finds no place in an improvised bar stands in the rhythm row, which knows fermatas only.
    let mut waits: Vec<String> = Vec::new();
    let mut before = translate::goes_into(desk, at, player);
    for (bar, pauses) in bars.iter_mut().zip(&wanted) {
        let after = goes_out(bar, &before);
        let left: Vec<Pause> = put(bar, pauses, &before).into_iter().filter(Pause::is_fermata).collect();
        waits.push(rhythm::fermatas(bar.length, &left));
        before = after;
    }
    let shared = rhythm::cells(placed);
    let block = &placed.read.block;
    Stretch {
        number: placed.frame.first_bar,
        settings: settings(placed),
        allows: allow::block_rules(desk, at, player),
        tempo: shared.iter().any(|(_, tempo)| *tempo),
        shared: shared.into_iter().map(|(text, _)| text).collect(),
        waits,
        chords: chords::cells(placed),
        joins: false,
        close: close(placed),
        whole: block.ending.is_some() || block.repeat.is_some_and(|r| r.to.is_none()),
        pickup: block.pickup.is_some(),
        bars,
    }
}

/// The settings of the block's line, as they stand.
fn settings(placed: &Placed) -> Vec<String> {
    let Some(line) = placed.read.block.text.lines.first() else { return Vec::new() };
    let header = placed.read.block.text.header();
    let all = header.map_or(&[][..], |h| &h.settings);
    let good = all.iter().filter(|s| s.what != SettingKind::Bad);
    good.map(|s| s.span.of(&line.text).to_owned()).collect()
}

/// The setting that tells how long the last bar is.
fn close(placed: &Placed) -> Option<String> {
    let line = placed.read.block.text.lines.first()?;
    let all = &placed.read.block.text.header()?.settings;
    let found = all.iter().find(|s| matches!(s.what, SettingKind::Close(_)))?;
    Some(found.span.of(&line.text).to_owned())
}

impl Stretch {
    /// By bar: true if it must begin a cell of its own.
    fn parted(&self) -> Vec<bool> {
        let said = self.shared.iter().zip(&self.waits).map(|(a, b)| !(a.is_empty() && b.is_empty()));
        said.enumerate().map(|(i, said)| said || (i == 1 && self.pickup)).collect()
    }

    /// The cells of the player's row.
    pub fn cells(&self) -> Vec<super::cell::Cell> {
        cells(&self.bars, &self.parted())
    }

    /// Takes the bars from one on away.
    fn split_off(&mut self, at: usize) -> Stretch {
        // Only the last bar is closed.
        let close = self.close.take();
        self.settings.retain(|s| Some(s) != close.as_ref());
        Stretch {
            number: self.number + at as i64,
            settings: close.iter().cloned().collect(),
            allows: self.allows.clone(),
            bars: self.bars.split_off(at),
            shared: self.shared.split_off(at),
            waits: self.waits.split_off(at),
            chords: later_chords(&mut self.chords, at),
            close,
            joins: true,
            tempo: self.tempo,
            whole: self.whole,
            pickup: false,
        }
    }
}

/// The chord symbols from a bar on; the one in force there is said again.
fn later_chords(all: &mut Vec<String>, at: usize) -> Vec<String> {
    let mut later = all.split_off(at.min(all.len()));
    if let (Some(first), Some(last)) =
        (later.first_mut().filter(|f| f.is_empty()), all.iter().rev().find(|c| !c.is_empty()))
    {
        let word = last.split_whitespace().last().unwrap_or_default();
        let rests = last.starts_with("rest ");
        *first = if rests { String::new() } else { word.to_owned() };
    }
    later
}

/// Rests at the beginning of a stretch belong to those at the end of the stretch before.
fn take_rests(last: &mut Stretch, next: &mut Stretch) {
    let joins = |last: &Stretch, next: &Stretch, i: usize| {
        let (Some(before), Some(bar)) =
            (if i == 0 { last.bars.last() } else { next.bars.get(i - 1) }, next.bars.get(i))
        else {
            return false;
        };
        let pickup = i == 0 && last.pickup && last.bars.len() == 1;
        let said = next.shared.get(i).is_some_and(|text| !text.is_empty());
        before.is_rest()
            && bar.is_rest()
            && before.after.is_empty()
            && bar.before.is_empty()
            && !said
            && !pickup
    };
    let taken = (0..next.bars.len()).take_while(|i| joins(last, next, *i)).count();
    let rest = next.split_off(taken);
    last.bars.append(&mut next.bars);
    last.shared.append(&mut next.shared);
    last.waits.append(&mut next.waits);
    last.chords.append(&mut next.chords);
    let joins = next.joins;
    *next = Stretch { joins, ..rest };
}

/// A stretch in pieces that are not too wide, where it may be broken.
fn broken(mut stretch: Stretch, name: usize) -> Vec<Stretch> {
    let mut out = Vec::new();
    if stretch.whole || stretch.tempo || !stretch.allows.is_empty() {
        return vec![stretch];
    }
    // From behind, so that each bar is moved once.
    for at in breaks(&stretch, name).into_iter().rev() {
        out.push(stretch.split_off(at));
    }
    out.push(stretch);
    out.reverse();
    out
}

/// The bars before which a row that is too wide is broken.
fn breaks(stretch: &Stretch, name: usize) -> Vec<usize> {
    let empty = name.max("rhythm".len()) + 2;
    let mut all = Vec::new();
    let (mut at, mut wide, mut waits) = (0, empty, false);
    for cell in stretch.cells() {
        let above = |row: &[String]| {
            let bars = row.iter().skip(at).take(cell.bars);
            bars.map(|text| text.chars().count() + 3).sum::<usize>()
        };
        let own = (cell.text.chars().count() + 3).max(above(&stretch.shared)).max(above(&stretch.waits));
        wide += own;
        // A block hands no dynamic for a single note on to the next.
        if wide > WIDEST && wide > empty + own && !cell.copies && !waits {
            all.push(at);
            wide = empty + own;
        }
        let bars = stretch.bars.iter().skip(at).take(cell.bars);
        waits = bars.fold(waits, |waits, bar| bar.leaves_waiting(waits));
        at += cell.bars;
    }
    all
}
