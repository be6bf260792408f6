//! A line of facts above each player and each block.

use super::place::Stretch;
use super::playing::{Use, Uses};
use super::playing_time::PlayingTimes;
use super::symbols::bar_numbers;
use crate::music::Pitch;
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use crate::score::clock::Clock;
use std::sync::Arc;

/// Facts and the line they stand above.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lens {
    /// The name of the player, or the header of the block up to its number.
    pub at: Stretch,
    pub text: String,
}

/// All of a text: span and share of bars on the lines of players, bars and times on those of blocks.
pub fn lenses(desk: &Desk, clock: &Clock, uses: &mut Uses) -> Vec<Lens> {
    let mut all = players(desk, uses);
    all.extend(blocks(desk, clock));
    all
}

fn players(desk: &Desk, uses: &mut Uses) -> Vec<Lens> {
    let head = &desk.score().head;
    let mut told = vec![false; head.players.len()];
    let mut all = Vec::new();
    for (at, line) in head.lines.iter().enumerate() {
        let LineTree::Player(tree) = &line.tree else { continue };
        let Some(id) = tree.id else { continue };
        // A name that is declared again means the first; two lines of one text may be one line.
        let Some(index) = head.players.iter().position(|p| Arc::ptr_eq(&p.line, line)) else { continue };
        if told.get(index) != Some(&false) {
            continue;
        }
        told.iter_mut().skip(index).take(1).for_each(|t| *t = true);
        let at = Stretch { line: at as u32, span: id };
        all.push(Lens { at, text: plays(&uses.of(desk, index)) });
    }
    all
}

/// `F#3–C6 written, E3–Bb5 concert; plays 46 of 60 bars (77 %)`.
fn plays(used: &Use) -> String {
    let share = (used.playing * 100 + used.bars / 2).checked_div(used.bars);
    let Some(share) = share.filter(|_| used.playing > 0) else { return "does not play".to_owned() };
    let bars = format!("plays {} of {} bars ({share} %)", used.playing, used.bars);
    let Some((low, high)) = used.lowest.zip(used.highest) else { return bars };
    let concert = span(low.sounding, high.sounding);
    if low.sounding == low.written && high.sounding == high.written {
        return format!("{concert}; {bars}");
    }
    format!("{} written, {concert} concert; {bars}", span(low.written, high.written))
}

fn span(low: Pitch, high: Pitch) -> String {
    if low == high { low.to_string() } else { format!("{low}–{high}") }
}

fn blocks(desk: &Desk, clock: &Clock) -> Vec<Lens> {
    let times = PlayingTimes::of(desk.score(), clock);
    let mut all = Vec::new();
    for (index, placed) in desk.score().blocks.iter().enumerate() {
        if placed.frame.bars == 0 {
            continue;
        }
        let mut span = placed.read.block.header_word();
        if let Some((number, _)) = placed.read.block.number {
            span.end = number.end;
        }
        let mut text = bar_numbers(placed);
        if let Some(time) = times.block(index) {
            text += &format!("; {}", time.words());
        }
        all.push(Lens { at: Stretch { line: placed.line, span }, text });
    }
    all
}
