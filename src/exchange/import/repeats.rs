//! Repeats and endings as the notation has them: a stretch, and behind it an ending for every pass.

use super::loss::Losses;
use super::music::Bar;

/// What a bar begins.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sign {
    /// Played so many times, to the bar of this index.
    pub repeat: Option<(u32, usize)>,
    /// For these passes, to the bar of this index.
    pub ending: Option<(Vec<u32>, usize)>,
    /// Something ended with the bar before.
    pub breaks: bool,
}

/// By bar.
pub fn signs(bars: &[Bar], losses: &mut Losses) -> Vec<Sign> {
    let mut all = vec![Sign::default(); bars.len() + 1];
    let mut start = 0;
    let mut opened = false;
    let mut at = 0;
    while let Some(bar) = bars.get(at) {
        if bar.opens {
            if opened {
                losses.add("a repeat that begins inside another one", "", Some(start as i64));
            }
            (start, opened) = (at, true);
        }
        if bar.ending.is_some() {
            let endings = endings(bars, at);
            let end = endings.last().map_or(at, |(_, end, _)| *end);
            if let Some(passes) = fits(bars, &endings).filter(|_| start < at) {
                set(&mut all, start, |s| s.repeat = Some((passes, at - 1)));
                for (from, to, numbers) in endings {
                    set(&mut all, from, |s| (s.ending, s.breaks) = (Some((numbers, to)), true));
                }
                set(&mut all, end + 1, |s| s.breaks = true);
            } else {
                losses.add(
                    "endings that do not stand behind a repeat, one for every pass, each without a change inside",
                    "",
                    Some(at as i64),
                );
            }
            (start, opened, at) = (end + 1, false, end + 1);
            continue;
        }
        if let Some(times) = bar.closes {
            set(&mut all, start, |s| s.repeat = Some((times, at)));
            set(&mut all, at + 1, |s| s.breaks = true);
            (start, opened) = (at + 1, false);
        }
        at += 1;
    }
    if opened {
        losses.add("a repeat that ends nowhere", "", Some(start as i64));
    }
    all
}

fn set(all: &mut [Sign], at: usize, change: impl FnOnce(&mut Sign)) {
    if let Some(sign) = all.get_mut(at) {
        change(sign);
    }
}

/// Endings that follow each other: first bar, last bar, passes.
fn endings(bars: &[Bar], from: usize) -> Vec<(usize, usize, Vec<u32>)> {
    let mut all = Vec::new();
    let mut at = from;
    while let Some(numbers) = bars.get(at).and_then(|b| b.ending.clone()) {
        let ends = |i: &usize| bars.get(*i).is_some_and(|b| b.ending_stops || b.closes.is_some());
        let begins = |i: &usize| bars.get(*i).is_some_and(|b| b.ending.is_some() || b.opens);
        let next = (at + 1..bars.len()).find(begins).unwrap_or(bars.len());
        let end = (at..next).find(ends).unwrap_or(at);
        all.push((at, end, numbers));
        at = end + 1;
    }
    all
}

/// How many passes, if every one has its ending and all but the last go back.
fn fits(bars: &[Bar], endings: &[(usize, usize, Vec<u32>)]) -> Option<u32> {
    let mut named: Vec<u32> = endings.iter().flat_map(|(.., n)| n.clone()).collect();
    named.sort_unstable();
    let passes = *named.last()?;
    let whole = named == (1..=passes).collect::<Vec<_>>() && passes > 1;
    let goes_back = |end: usize| bars.get(end).is_some_and(|b| b.closes.is_some());
    let back = endings.iter().all(|(_, end, numbers)| numbers.contains(&passes) || goes_back(*end));
    let steady = endings.iter().all(|(from, to, _)| (from + 1..=*to).all(|at| goes_on(bars, at)));
    (whole && back && steady).then_some(passes)
}

/// True for a bar that begins nothing which stands over a block: an ending is one block.
fn goes_on(bars: &[Bar], at: usize) -> bool {
    let (Some(before), Some(bar)) = (bars.get(at.wrapping_sub(1)), bars.get(at)) else { return true };
    let same = bar.groups == before.groups && bar.beat == before.beat && bar.key == before.key;
    let plain = bar.length == bar.full() && before.length == before.full();
    same && plain && bar.mark.is_none() && bar.tempo.is_none()
}
