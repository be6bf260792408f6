//! The chord symbols over bars that the player improvises.

use super::figure;
use crate::notation::tree::{LineTree, RowKind, SymbolKind};
use crate::score::score::Placed;

/// By bar of the block: its chord symbols, empty where the last chord goes on. The first row of chord
/// symbols counts.
pub fn cells(placed: &Placed) -> Vec<String> {
    let bars = placed.read.lengths.len();
    let mut all: Vec<String> = Vec::new();
    let row = placed.read.block.rows.iter().find(|r| r.kind == RowKind::Chords);
    let line = row.and_then(|row| placed.read.block.text.lines.get(row.line as usize));
    if let Some(line) = line
        && let LineTree::Row(tree) = &line.tree
    {
        for bar in &tree.bars {
            let symbols = bar.items.of(&tree.symbols);
            let many = symbols.iter().find_map(|s| match s.what {
                SymbolKind::Rests(n) => Some((n, "rest 1".to_owned())),
                SymbolKind::Again(n) => Some((n, all.last().cloned().unwrap_or_default())),
                _ => None,
            });
            let room = bars.saturating_sub(all.len());
            match many {
                Some((n, text)) => all.extend(std::iter::repeat_n(text, usize::from(n.max(1)).min(room))),
                None => {
                    let said: Vec<&str> = symbols.iter().map(|s| s.span.of(&line.text)).collect();
                    let said = said.join(" ");
                    all.push(if bar.has_figure && !said.is_empty() {
                        format!("{} : {said}", figure::of_nodes(bar.nodes.of(&tree.nodes), &line.text))
                    } else {
                        said
                    });
                }
            }
        }
    }
    all.resize(bars, String::new());
    all
}
