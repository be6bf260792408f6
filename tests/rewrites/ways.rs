//! Everything that can be asked of a score.

use waterkey::assist::rewrite::{Rewrite, Selected};
use waterkey::music::Interval;
use waterkey::notation::Span;
use waterkey::notation::tree::{Basis, LineTree, RowKind, What};
use waterkey::rules::Desk;

pub const INTERVALS: [&str; 6] = ["m2", "M2", "m3", "P4", "A4", "P8"];

/// Intervals up and down.
pub fn intervals() -> Vec<Interval> {
    let up = INTERVALS.iter().map(|name| Interval::parse(name).unwrap());
    up.flat_map(|i| [i, i.inverse()]).collect()
}

/// Ways by name; each of a kind, for each place of the score where it could be meant.
pub fn all(desk: &Desk) -> Vec<(&'static str, Rewrite)> {
    let score = desk.score();
    let mut out = vec![
        ("pitch", Rewrite::Pitch(Basis::Written)),
        ("pitch", Rewrite::Pitch(Basis::Concert)),
        ("values", Rewrite::Values { double: true }),
        ("values", Rewrite::Values { double: false }),
        ("renumber", Rewrite::Renumber(None)),
        ("renumber", Rewrite::Renumber(Some(40))),
    ];
    out.extend(intervals().into_iter().map(|by| ("transpose", Rewrite::Transpose(by))));
    for (block, placed) in score.blocks.iter().enumerate() {
        let bars = placed.frame.bars;
        out.push(("join", Rewrite::Join(block)));
        out.extend((1..bars).map(|bar| ("split", Rewrite::Split(block, bar))));
        for by in intervals().into_iter().step_by(5) {
            out.push(("transpose block", Rewrite::TransposeBlocks(block, block, by)));
        }
        for bar in 0..bars {
            for last in [bar, (bar + 2).min(bars - 1)] {
                let Some(some) = Selected::bars(desk, block, (bar, last), None) else { continue };
                out.push(("share", Rewrite::SharedFigures(some.clone())));
                out.push(("own", Rewrite::OwnFigures(some.clone())));
                let by = intervals()[(bar as usize + block) % 12];
                out.push(("transpose bars", Rewrite::TransposeSelected(some.clone(), by)));
                for row in &some.rows {
                    let one = Selected { rows: vec![row.clone()], ..some.clone() };
                    out.push(("extract", Rewrite::Extract(one, "oar".to_owned())));
                }
            }
        }
        for (number, row) in placed.read.block.rows.iter().enumerate() {
            let line = placed.line + row.line;
            let text = &placed.read.block.text.lines[row.line as usize];
            let whole = Span::new(0, text.text.len() as u32);
            out.push(("expand", Rewrite::Expand(vec![(line, whole)])));
            if row.kind == RowKind::Rhythm {
                out.push(("all own", Rewrite::AllOwnFigures(block, number)));
            }
            let LineTree::Row(tree) = &text.tree else { continue };
            for (at, item) in tree.items.iter().enumerate() {
                if matches!(item.what, What::Play(_)) {
                    out.push(("inline", Rewrite::Inline(line, at)));
                }
            }
        }
    }
    for (at, line) in score.head.lines.iter().enumerate() {
        if matches!(line.tree, LineTree::Phrase(_)) {
            out.push(("inline all", Rewrite::InlineAll(at as u32)));
        }
    }
    for index in 0..score.head.players.len() {
        for name in ["cornet in Bb", "trumpet in C", "euphonium in Bb", "horn in F", "bass trombone"] {
            out.push(("instrument", Rewrite::Instrument(index, name.to_owned())));
        }
    }
    out
}
