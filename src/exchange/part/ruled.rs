//! Which bar of a rhythm row stands over each bar of the block.

use crate::notation::tree::{Bar, Row, What};

/// By bar of the block: the bar of the row that has the figure, and true if it is repeated here by `%`.
pub fn sources(row: &Row, bars: usize) -> Vec<(usize, bool)> {
    let mut all = Vec::new();
    let mut figure = 0;
    for (at, bar) in row.bars.iter().enumerate() {
        match copies(row, bar) {
            Some(n) => {
                let room = bars.saturating_sub(all.len()).min(n);
                all.extend(std::iter::repeat_n((figure, true), room));
            }
            None => {
                figure = at;
                all.push((at, false));
            }
        }
    }
    all
}

fn copies(row: &Row, bar: &Bar) -> Option<usize> {
    bar.items.of(&row.items).iter().find_map(|item| match item.what {
        What::Again(n) => Some(usize::from(n.max(1))),
        _ => None,
    })
}
