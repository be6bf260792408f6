//! Layout as the smallest edits: of each line that changes, only what differs.

use super::open_text::Snapshot;
use crate::notation::Span;
use crate::notation::layout::tidy;
use std::ops::RangeInclusive;
use tower_lsp::lsp_types::TextEdit;

/// The edits that make these lines tidy.
pub fn edits(snapshot: &Snapshot, lines: RangeInclusive<usize>) -> Vec<TextEdit> {
    let document = snapshot.desk.document();
    let wanted = tidy(document.lines()).into_iter().filter(|(line, _)| lines.contains(line));
    let edit = |(line, new): (usize, String)| {
        let old = &document.lines().get(line)?.text;
        let (span, text) = difference(old, &new);
        Some(TextEdit {
            range: snapshot.encoding.range(document, line as u32, span),
            new_text: text.to_owned(),
        })
    };
    wanted.filter_map(edit).collect()
}

/// The stretch of the old text that differs, and what stands there in the new one.
fn difference<'n>(old: &str, new: &'n str) -> (Span, &'n str) {
    let pairs = old.char_indices().zip(new.chars());
    let head = pairs.take_while(|((_, a), b)| a == b).map(|((_, c), _)| c.len_utf8()).sum::<usize>();
    let (old_rest, new_rest) = (old.get(head..).unwrap_or(""), new.get(head..).unwrap_or(""));
    let pairs = old_rest.chars().rev().zip(new_rest.chars().rev());
    let tail = pairs.take_while(|(a, b)| a == b).map(|(c, _)| c.len_utf8()).sum::<usize>();
    let span = Span::new(head as u32, (old.len() - tail) as u32);
    (span, new_rest.get(..new_rest.len() - tail).unwrap_or(""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn applied_it_makes_the_new(old in "[ aé\u{1d11e}]{0,8}", new in "[ aé\u{1d11e}]{0,8}") {
            let (span, text) = difference(&old, &new);
            let mut made = old.clone();
            made.replace_range(span.start as usize..span.end as usize, text);
            prop_assert_eq!(made, new);
        }
    }

    #[test]
    fn it_is_small() {
        assert_eq!(difference("a  b", "a b"), (Span::new(2, 3), ""));
    }
}
