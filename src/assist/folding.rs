//! What can be folded away: the head, each block, runs of comments. Folds nest or stand apart.

use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::LineTree;
use crate::rules::Desk;

/// Why lines belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FoldKind {
    Head,
    Block,
    Comments,
}

/// Lines that fold into the first of them; at least two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fold {
    /// Lines of the file, from 0, both inside.
    pub first: u32,
    pub last: u32,
    pub kind: FoldKind,
}

/// All folds, by their first line, the larger first.
pub fn folding(desk: &Desk) -> Vec<Fold> {
    let score = desk.score();
    let mut all = Vec::new();
    // Comments and blank lines at either end stand apart, so that no run of comments crosses a fold.
    let head = &score.head.lines;
    let told = |l: &&std::sync::Arc<Line>| !matches!(l.tree, LineTree::Blank);
    if let (Some(first), Some(last)) =
        (head.iter().position(|l| told(&l)), head.iter().rposition(|l| told(&l)))
    {
        push(&mut all, first as u32, last as u32, FoldKind::Head);
    }
    for placed in &score.blocks {
        let last = placed.read.block.text.lines.iter().rposition(|l| told(&l)).unwrap_or(0);
        push(&mut all, placed.line, placed.line + last as u32, FoldKind::Block);
    }
    let mut run: Option<(u32, u32)> = None;
    for (at, line) in desk.document().lines().iter().enumerate() {
        let at = at as u32;
        run = match (run, is_comment(line)) {
            (Some((first, _)), true) => Some((first, at)),
            (None, true) => Some((at, at)),
            (open, false) => {
                if let Some((first, last)) = open {
                    push(&mut all, first, last, FoldKind::Comments);
                }
                None
            }
        };
    }
    if let Some((first, last)) = run {
        push(&mut all, first, last, FoldKind::Comments);
    }
    all.sort_by_key(|f| (f.first, std::cmp::Reverse(f.last)));
    all
}

fn push(all: &mut Vec<Fold>, first: u32, last: u32, kind: FoldKind) {
    if last > first {
        all.push(Fold { first, last, kind });
    }
}

fn is_comment(line: &Line) -> bool {
    matches!(line.tree, LineTree::Blank) && line.tokens.iter().any(|t| t.kind == Kind::Comment)
}
