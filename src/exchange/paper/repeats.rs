//! Which blocks a repeat sign opens and closes, and which are its endings.

use crate::score::score::Score;

/// What stands at the barlines round a block.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Signs {
    /// A repeat begins with it.
    pub opens: bool,
    /// A repeat ends with it, played so many times in all; 2 for an ending, which names its passes.
    pub closes: Option<u32>,
    /// The passes it is an ending for.
    pub ending: Option<Vec<u32>>,
}

/// By block of the score. Blocks without bars carry no signs.
pub fn signs(score: &Score) -> Vec<Signs> {
    let mut all = vec![Signs::default(); score.blocks.len()];
    let barred = |i: usize| score.blocks.get(i).is_some_and(|b| b.frame.bars > 0);
    let mut at = 0;
    while let Some(placed) = score.blocks.get(at) {
        let Some(repeat) = placed.read.block.repeat.filter(|r| r.times > 1) else {
            at += 1;
            continue;
        };
        let reaches = |i: &usize| {
            let to = repeat.to.map(i64::from);
            score.blocks.get(*i).is_some_and(|b| to.is_some_and(|to| b.frame.first_bar <= to))
        };
        let last = (at..score.blocks.len()).take_while(reaches).last().unwrap_or(at);
        let is_ending = |i: &usize| {
            score
                .blocks
                .get(*i)
                .is_some_and(|b| b.read.block.ending.is_some() && b.read.block.repeat.is_none())
        };
        let end = (last + 1..score.blocks.len()).take_while(is_ending).last().unwrap_or(last);
        if let Some(first) = (at..=last).find(|i| barred(*i)).and_then(|i| all.get_mut(i)) {
            first.opens = true;
        }
        let closing = (at..=last).rev().find(|i| end == last && barred(*i));
        if let Some(sign) = closing.and_then(|i| all.get_mut(i)) {
            sign.closes = Some(repeat.times);
        }
        for i in last + 1..=end {
            let passes = score.blocks.get(i).and_then(|b| b.read.block.ending.clone()).unwrap_or_default();
            if let Some(sign) = all.get_mut(i).filter(|_| barred(i)) {
                // Behind the last pass the music goes on.
                let goes_back = passes.iter().any(|pass| *pass < repeat.times);
                sign.closes = goes_back.then_some(2);
                sign.ending = Some(passes);
            }
        }
        at = end + 1;
    }
    all
}
