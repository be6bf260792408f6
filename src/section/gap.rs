//! How long a player is silent before and after a stretch.

use super::stretch::begins;
use super::stretch::{At, Stretch, ends, sounds};
use crate::rules::Desk;

/// Longer silence than this is not looked through for its end, in seconds.
pub const LONG_SECONDS: f64 = 60.0;

/// Seconds of silence around a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    pub before_seconds: f64,
    pub after_seconds: f64,
}

/// The shortest silence of another player before and after a stretch over all the times it is played; `None`
/// without a tempo. Nothing is heard before the beginning and after the end: that counts as long.
pub fn around(desk: &Desk, stretch: &Stretch, player: usize) -> Option<Gap> {
    let score = desk.score();
    let visits = score.order.visits.iter().enumerate();
    let here = visits.filter(|(_, v)| v.block as usize == stretch.block).map(|(i, _)| i);
    let mut shortest: Option<Gap> = None;
    for visit in here {
        let gap = Gap {
            before_seconds: before(desk, stretch, player, visit)?,
            after_seconds: after(desk, stretch, player, visit)?,
        };
        shortest = Some(shortest.map_or(gap, |s| Gap {
            before_seconds: s.before_seconds.min(gap.before_seconds),
            after_seconds: s.after_seconds.min(gap.after_seconds),
        }));
    }
    shortest
}

fn before(desk: &Desk, stretch: &Stretch, player: usize, visit: usize) -> Option<f64> {
    let clock = &desk.report().clock;
    let mut silent = clock.in_block(stretch.block, stretch.from.bar, stretch.from.onset)?;
    let mine = desk.report().events(desk.score(), stretch.block, player);
    let last = mine.iter().rfind(|e| sounds(e) && ends(e) <= stretch.from && !e.length.is_zero());
    if let Some(last) = last {
        return Some((silent - second_of(desk, stretch.block, ends(last))?).max(0.0));
    }
    let mut at = visit;
    loop {
        let now = desk.score().order.visits.get(at)?;
        if now.pass == 1 {
            silent += clock.of_block(now.block as usize)?.gap_seconds?;
        }
        let Some(earlier) = at.checked_sub(1) else { return Some(silent.max(LONG_SECONDS)) };
        if silent >= LONG_SECONDS {
            return Some(silent);
        }
        at = earlier;
        let block = desk.score().order.visits.get(at)?.block as usize;
        let whole = clock.block(block)?;
        let theirs = desk.report().events(desk.score(), block, player);
        match theirs.iter().rfind(|e| sounds(e) && !e.length.is_zero()) {
            Some(last) => return Some(silent + (whole - second_of(desk, block, ends(last))?).max(0.0)),
            None => silent += whole,
        }
    }
}

fn after(desk: &Desk, stretch: &Stretch, player: usize, visit: usize) -> Option<f64> {
    let clock = &desk.report().clock;
    let from = second_of(desk, stretch.block, stretch.to)?;
    let mine = desk.report().events(desk.score(), stretch.block, player);
    if let Some(next) = mine.iter().find(|e| sounds(e) && begins(e) >= stretch.to) {
        return Some((second_of(desk, stretch.block, begins(next))? - from).max(0.0));
    }
    let mut silent = (clock.block(stretch.block)? - from).max(0.0);
    let mut at = visit + 1;
    loop {
        let Some(now) = desk.score().order.visits.get(at) else { return Some(silent.max(LONG_SECONDS)) };
        if silent >= LONG_SECONDS {
            return Some(silent);
        }
        let block = now.block as usize;
        if now.pass == 1 {
            silent += clock.of_block(block)?.gap_seconds?;
        }
        let theirs = desk.report().events(desk.score(), block, player);
        match theirs.iter().find(|e| sounds(e)) {
            Some(next) => return Some(silent + second_of(desk, block, begins(next))?),
            None => silent += clock.block(block)?,
        }
        at += 1;
    }
}

fn second_of(desk: &Desk, block: usize, at: At) -> Option<f64> {
    desk.report().clock.in_block(block, at.bar, at.onset)
}
