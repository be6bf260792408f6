//! Layout as the smallest edits: of each line that changes, only what differs.

use super::answers::place;
use super::open_text::Snapshot;
use crate::assist::place::differing;
use crate::notation::Span;
use crate::notation::layout::{tidy, tidy_rows};
use crate::notation::token::Token;
use std::ops::RangeInclusive;
use tower_lsp::lsp_types::{Position, TextEdit};

/// The edits that make these lines tidy.
pub fn edits(snapshot: &Snapshot, lines: RangeInclusive<usize>) -> Vec<TextEdit> {
    let document = snapshot.desk.document();
    let wanted = tidy(document.lines()).into_iter().filter(|(line, _)| lines.contains(line));
    wanted
        .flat_map(|(line, new)| {
            let old = document.lines().get(line).map_or("", |l| &l.text);
            let range = |span| snapshot.encoding.range(document, line as u32, span);
            let all = differences(old, &new).into_iter();
            all.map(|(span, text)| TextEdit { range: range(span), new_text: text.to_owned() })
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The edits that align the rows of a block in which a barline was just typed. Only blanks change, on the
/// typed line none behind the barline; nothing where a row of the block cannot be read, since the others
/// would leave it behind.
pub fn on_type(snapshot: &Snapshot, position: Position) -> Vec<TextEdit> {
    let place = place(snapshot, position);
    let score = snapshot.desk.score();
    let block = score.block_at(place.line).and_then(|at| score.blocks.get(at));
    let Some(block) = block else { return Vec::new() };
    let lines = &block.read.block.text.lines;
    let typed = lines.get((place.line - block.line) as usize);
    let barline = |t: &Token| t.kind.is_barline() && t.span.end == place.byte;
    if !typed.is_some_and(|line| line.tokens.iter().any(barline)) {
        return Vec::new();
    }
    let mut edits = Vec::new();
    for (at, new) in tidy_rows(&score.head.lines, lines).unwrap_or_default() {
        let line = block.line + at as u32;
        let old = lines.get(at).map_or("", |l| &l.text);
        for (span, with) in differences(old, &new) {
            if blanks(span.of(old)) != span.of(old) || blanks(with) != with {
                return Vec::new();
            }
            if line != place.line || span.end < place.byte {
                let range = snapshot.encoding.range(snapshot.desk.document(), line, span);
                edits.push(TextEdit { range, new_text: with.to_owned() });
            }
        }
    }
    edits
}

/// The stretches of the old text that differ, and what stands there in the new one. Where only blanks
/// differ, as in all layout, each run of them is looked at alone.
fn differences<'n>(old: &str, new: &'n str) -> Vec<(Span, &'n str)> {
    let mut found = Vec::new();
    let (mut at, mut at_new) = (0, 0);
    loop {
        let (old_rest, new_rest) = (old.get(at..).unwrap_or(""), new.get(at_new..).unwrap_or(""));
        let (old_blanks, new_blanks) = (blanks(old_rest), blanks(new_rest));
        if old_blanks != new_blanks {
            let (span, text) = differing(old_blanks, new_blanks);
            found.push((Span::new(span.start + at as u32, span.end + at as u32), text));
        }
        let next = old_rest.get(old_blanks.len()..).and_then(|rest| rest.chars().next());
        if next != new_rest.get(new_blanks.len()..).and_then(|rest| rest.chars().next()) {
            return vec![differing(old, new)];
        }
        let Some(next) = next else { return found };
        at += old_blanks.len() + next.len_utf8();
        at_new += new_blanks.len() + next.len_utf8();
    }
}

/// The blanks that a text begins with.
fn blanks(text: &str) -> &str {
    text.get(..text.len() - text.trim_start_matches([' ', '\t']).len()).unwrap_or("")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn applied_they_make_the_new(old in "[ aé\u{1d11e}]{0,8}", new in "[ aé\u{1d11e}]{0,8}") {
            let mut made = old.clone();
            for (span, text) in differences(&old, &new).into_iter().rev() {
                made.replace_range(span.start as usize..span.end as usize, text);
            }
            prop_assert_eq!(made, new);
        }
    }

    #[test]
    fn they_are_small() {
        let told: Vec<_> =
            differences("  ab  =c d ", "ab = c d").into_iter().map(|(s, t)| (s.start, s.end, t)).collect();
        assert_eq!(told, [(0, 2, ""), (5, 6, ""), (7, 7, " "), (10, 11, "")]);
    }
}
