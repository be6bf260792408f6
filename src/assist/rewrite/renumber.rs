//! The numbers of bars.

use super::Refusal;
use super::draft::Draft;
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{LineTree, SettingKind};
use crate::rules::Desk;

/// Largest number of a bar.
const MOST: i64 = 99_999;

/// Numbers every block, the first from `first` (or from where it is): a block that begins before the one in
/// front of it ends moves behind it with all that follow, and silent bars between blocks stay.
pub fn draft<'a>(desk: &'a Desk, first: Option<i64>) -> Result<Draft<'a>, Refusal> {
    let score = desk.score();
    let mut draft = Draft::of(desk);
    let mut shift = 0;
    // Where the next block may begin, as it was numbered and as it is.
    let mut free: Option<i64> = None;
    let mut moved: Vec<(i64, i64)> = Vec::new();
    let mut changed = false;
    for (at, placed) in score.blocks.iter().enumerate() {
        let block = &placed.read.block;
        let named = block.number.map(|(_, n)| i64::from(n));
        let old = named.unwrap_or(free.map_or(placed.frame.first_bar, |f| f - shift));
        if at == 0 {
            // A pickup is the bar before the first.
            let before = i64::from(block.pickup.is_some() && old == 0);
            shift = first.map_or(0, |first| first - before - old);
        }
        let mut new = old + shift;
        if let Some(free) = free.filter(|free| new < *free) {
            shift += free - new;
            new = free;
        }
        if !(0..=MOST).contains(&new) {
            return Err(Refusal::new(format!(
                "bar {old} would get the number {new}; bars are numbered 0 to {MOST}"
            )));
        }
        moved.push((old, shift));
        free = Some(new + i64::from(block.bars));
        match block.number {
            Some((span, n)) if i64::from(n) != new => {
                draft.put(placed.line, span, new.to_string());
                changed = true;
            }
            Some(_) => {}
            None => {
                let line = block.text.lines.first();
                let word = line.and_then(|l| l.tokens.iter().find(|t| t.kind == Kind::Word));
                if let Some(word) = word {
                    draft.put(placed.line, Span::new(word.span.end, word.span.end), format!(" {new}"));
                    changed = true;
                }
            }
        }
    }
    repeats(desk, &moved, &mut draft);
    if changed { Ok(draft) } else { Err(Refusal::idle("every bar has the number it would get")) }
}

/// The bars to which repeats go, under their new numbers.
fn repeats(desk: &Desk, moved: &[(i64, i64)], draft: &mut Draft<'_>) {
    for (at, placed) in desk.score().blocks.iter().enumerate() {
        let Some(line) = placed.read.block.text.lines.first() else { continue };
        let LineTree::Block(tree) = &line.tree else { continue };
        for setting in &tree.settings {
            let SettingKind::Repeat { to: Some(to), .. } = setting.what else { continue };
            let to = i64::from(to);
            let behind = moved.iter().skip(at).take_while(|(old, _)| *old <= to).last();
            let Some(shift) = behind.map(|(_, shift)| *shift).filter(|s| *s != 0) else { continue };
            let number = line.tokens.iter().rfind(|t| {
                t.kind == Kind::Number && setting.span.start <= t.span.start && t.span.end <= setting.span.end
            });
            if let Some(number) = number {
                draft.put(placed.line, number.span, (to + shift).to_string());
            }
        }
    }
}
