//! Marks as text, in the order in which they are easily read.

use crate::notation::tree::{Choice, Mark, Marks};

/// The signs behind a note.
pub fn text(marks: Marks) -> String {
    let mut out = choice(marks.choice);
    let late = |m: &Mark| matches!(m, Mark::Slur | Mark::Breath | Mark::Break);
    let break_follows = marks.has(Mark::Break);
    // Three commas in a row would be read otherwise: a breath goes before the other marks then.
    let mut rest = String::new();
    for mark in Mark::ALL.into_iter().filter(|m| marks.has(*m) && !late(m)) {
        rest.push_str(mark.sign());
        if let Some(pitch) = marks.trill.filter(|_| mark == Mark::Trill) {
            rest.push_str(&format!("={pitch}"));
        }
    }
    if marks.has(Mark::Slur) {
        rest.push('_');
    }
    // A breath is part of a break: with nothing to part their signs, the break stands for both.
    if marks.has(Mark::Breath) && break_follows && !rest.is_empty() {
        out.push(',');
    }
    out.push_str(&rest);
    match (marks.has(Mark::Breath), break_follows) {
        (_, true) => out.push_str(",,"),
        (true, false) => out.push(','),
        (false, false) => {}
    }
    out
}

/// `@12`, `@T3`, `@0`.
fn choice(choice: Option<Choice>) -> String {
    let Some(choice) = choice else { return String::new() };
    let mut out = "@".to_owned();
    if choice.thumb {
        out.push('T');
    }
    if choice.second {
        out.push('G');
    }
    let digits: String =
        (0u8..7).filter(|bit| choice.digits & (1 << bit) != 0).map(|bit| char::from(b'1' + bit)).collect();
    out.push_str(if digits.is_empty() { "0" } else { &digits });
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::line::{Ending, read_line};
    use crate::notation::tree::LineTree;
    use proptest::prelude::*;

    fn read(note: &str) -> Marks {
        let line = read_line(&format!("Tp1 | w : {note} |"), Ending::None);
        assert!(line.faults.is_empty(), "{note}: {:?}", line.faults);
        let LineTree::Row(row) = &line.tree else { panic!("{note}") };
        assert_eq!(row.items.len(), 1, "{note}");
        row.items[0].marks
    }

    proptest! {
        #[test]
        fn marks_read_back(
            chosen in prop::collection::vec(any::<bool>(), Mark::ALL.len()),
            trill in any::<bool>(),
            choice in prop::option::of((any::<bool>(), any::<bool>(), 0u8..128)),
        ) {
            let mut marks = Marks::default();
            for (mark, is) in Mark::ALL.into_iter().zip(chosen) {
                if is {
                    marks.add(mark);
                }
            }
            if trill && marks.has(Mark::Trill) {
                marks.trill = crate::music::Pitch::parse("Eb5");
            }
            marks.choice = choice.map(|(thumb, second, digits)| Choice { thumb, second, digits });
            let back = read(&format!("C5{}", text(marks)));
            if back != marks {
                // Only a breath may be taken into a break.
                marks.remove(Mark::Breath);
                prop_assert!(marks.has(Mark::Break));
                prop_assert_eq!(back, marks);
            }
        }
    }
}
