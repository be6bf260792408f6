//! Which lines of two texts differ, and the edits that make one the other.

use super::cure::lines::{below, without};
use super::place::{TextEdit, differing};
use crate::rules::Desk;
use std::ops::Range;

/// Pairs of lines that are compared; beyond that everything between the first and the last difference differs.
const MOST_PAIRS: usize = 4_000_000;

/// Lines that go and those that come in their place; either may be none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hunk {
    pub old: Range<usize>,
    pub new: Range<usize>,
}

/// The fewest lines in which two texts differ.
pub fn hunks(old: &[&str], new: &[&str]) -> Vec<Hunk> {
    let same = |(a, b): &(&&str, &&str)| a == b;
    let head = old.iter().zip(new).take_while(same).count();
    let (old_rest, new_rest) = (old.get(head..).unwrap_or_default(), new.get(head..).unwrap_or_default());
    let tail = old_rest.iter().rev().zip(new_rest.iter().rev()).take_while(same).count();
    let old_rest = old_rest.get(..old_rest.len() - tail).unwrap_or_default();
    let new_rest = new_rest.get(..new_rest.len() - tail).unwrap_or_default();
    if old_rest.len().saturating_mul(new_rest.len()) > MOST_PAIRS {
        let whole = |rest: &[&str]| head..head + rest.len();
        return vec![Hunk { old: whole(old_rest), new: whole(new_rest) }];
    }
    let wide = new_rest.len() + 1;
    // How many lines two ends have in common.
    let mut common = vec![0u32; (old_rest.len() + 1) * wide];
    let of = |common: &[u32], i: usize, j: usize| common.get(i * wide + j).copied().unwrap_or(0);
    for (i, a) in old_rest.iter().enumerate().rev() {
        for (j, b) in new_rest.iter().enumerate().rev() {
            let best = match a == b {
                true => of(&common, i + 1, j + 1) + 1,
                false => of(&common, i + 1, j).max(of(&common, i, j + 1)),
            };
            if let Some(place) = common.get_mut(i * wide + j) {
                *place = best;
            }
        }
    }
    let mut out: Vec<Hunk> = Vec::new();
    let (mut i, mut j) = (0, 0);
    let mut open = false;
    while i < old_rest.len() || j < new_rest.len() {
        let both = old_rest.get(i).zip(new_rest.get(j));
        if both.is_some_and(|(a, b)| a == b) {
            (i, j, open) = (i + 1, j + 1, false);
            continue;
        }
        if !std::mem::replace(&mut open, true) {
            out.push(Hunk { old: head + i..head + i, new: head + j..head + j });
        }
        if both.is_none() && i < old_rest.len()
            || both.is_some() && of(&common, i + 1, j) >= of(&common, i, j + 1)
        {
            i += 1;
        } else {
            j += 1;
        }
        if let Some(last) = out.last_mut() {
            (last.old.end, last.new.end) = (head + i, head + j);
        }
    }
    out
}

/// The edits of some lines of a text, from `first` on, that make them others. Lines of which as many come as go are
/// edited one by one. `None` if a line would come before the first of the text.
pub fn edits(desk: &Desk, first: u32, old: &[&str], new: &[&str]) -> Option<Vec<TextEdit>> {
    let lines = desk.document().lines();
    let mut out = Vec::new();
    for hunk in hunks(old, new) {
        let come = new.get(hunk.new.clone())?;
        let line = |at: usize| first + at as u32;
        let kept = hunk.old.len().min(come.len());
        for (at, with) in hunk.old.clone().zip(come) {
            // What is more than goes comes below the last of them.
            let (span, with) = differing(&lines.get(line(at) as usize)?.text, with);
            out.push(TextEdit { line: line(at), span, with: with.to_owned() });
        }
        let more = come.get(kept..)?;
        if !more.is_empty() {
            let anchor = line(hunk.old.start + kept).checked_sub(1)?;
            let edit = more
                .iter()
                .map(|with| below(desk, anchor, with))
                .reduce(|a, b| TextEdit { with: a.with + &b.with, ..a });
            match (out.last_mut(), edit) {
                (Some(last), Some(edit)) if last.line == edit.line && last.span.end == edit.span.start => {
                    last.with.push_str(&edit.with);
                }
                (_, edit) => out.extend(edit),
            }
        }
        out.extend(hunk.old.clone().skip(kept).map(|at| without(desk, line(at))));
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fewest_lines_differ() {
        let hunk = |old: Range<usize>, new: Range<usize>| Hunk { old, new };
        assert_eq!(hunks(&["a", "b"], &["a", "b"]), []);
        assert_eq!(hunks(&["a", "b", "c"], &["a", "x", "b", "y"]), [hunk(1..1, 1..2), hunk(2..3, 3..4)]);
        assert_eq!(hunks(&[], &["a"]), [hunk(0..0, 0..1)]);
        assert_eq!(hunks(&["a", "b"], &["c"]), [hunk(0..2, 0..1)]);
    }
}
