//! One row for several written out, several rows gathered on one.

use super::cure_laws::heard;
use super::cures::applied;
use super::generated;
use super::text::{desk, samples};
use proptest::prelude::*;
use waterkey::assist::{Dealing, Extent, Offer, OfferKind, Place, dealings};
use waterkey::notation::layout::tidied;
use waterkey::rules::Desk;

fn over(first: usize, last: usize) -> Extent {
    let at = |line: usize| Place { line: line as u32, byte: 0 };
    Extent { from: at(first), to: at(last) }
}

fn after(text: &str, dealing: &Dealing) -> String {
    let Dealing { title, edits } = dealing.clone();
    applied(text, &Offer { title, edits, kind: OfferKind::Move, preferred: false, safe: false })
}

fn only(text: &str, first: usize, last: usize) -> Dealing {
    let all = dealings(&desk(text), over(first, last));
    assert_eq!(all.len(), 1, "{all:?}");
    all.into_iter().next().unwrap()
}

const HEAD: &str = "brass 1\nplayer Hn1 = horn in F\nplayer Hn2 = horn in F\nplayer Tp = trumpet in Bb\n\
                    player Eu = euphonium, seats 2\ngroup Horns = Hn1 Hn2\n";

/// A block, tidy, and what it becomes, tidy too.
fn becomes(block: &str, lines: (usize, usize), title: &str, wanted: &str) {
    let tidy = |block: &str| {
        let text = format!("{HEAD}bar 1  tempo q = 72\n{block}");
        tidied(desk(&text).document().lines())
    };
    let before = HEAD.lines().count() + 1;
    let text = tidy(block);
    let dealing = only(&text, before + lines.0, before + lines.1);
    assert_eq!(dealing.title, title);
    assert_eq!(after(&text, &dealing), tidy(wanted));
}

#[test]
fn a_chord_is_dealt_and_marks_go_along() {
    becomes(
        "rhythm | q q h               |\nHorns  | p (C4. F4) D4 (- F4)_ | // calmly\n",
        (1, 1),
        "Write the row out for Hn1 and Hn2",
        "rhythm | q q h     |\nHn1    | p F4 D4 F4_ | // calmly\nHn2    | p C4. D4 -  |\n",
    );
}

#[test]
fn a_desk_of_two_keeps_its_own_chord() {
    becomes(
        "Tp Eu | h h : /(Bb3 C4) (D4 F4 Bb4):trill (F4 =)_ |\n",
        (0, 0),
        "Write the row out for Tp and Eu",
        "Tp | h h : /C4 Bb4:trill =_ |\nEu | h h : /(Bb3 C4) (D4 F4):trill (F4 =)_ |\n",
    );
}

#[test]
fn rows_that_move_together_are_gathered_under_the_name_of_their_group() {
    becomes(
        "rhythm | q q h      |\nHn2    | p C4 D4 =  |\nHn1    | p F4 D4 F4 |\n",
        (1, 2),
        "Gather 2 rows on one: Horns",
        "rhythm | q q h             |\nHorns  | p (C4 F4) D4 (= F4) |\n",
    );
}

#[test]
fn nothing_is_offered_where_it_would_change_something() {
    for (block, lines) in [
        // One player's row.
        ("Tp | w : Bb4 |\n", (0, 0)),
        // Other figures, other dynamics, a remark that would go.
        ("Hn1 | w : F4 |\nHn2 | h h : C4 C4 |\n", (0, 1)),
        ("Hn1 | w : p F4 |\nHn2 | w : f C4 |\n", (0, 1)),
        ("Hn1 | w : F4 |\nHn2 | w : C4 | // softly\n", (0, 1)),
        // Not rows.
        ("Hn1 | w : F4 |\n// between\nHn2 | w : C4 |\n", (0, 2)),
        // What cannot be read.
        ("Horns | w : (C4 H4) |\n", (0, 0)),
    ] {
        let text = format!("{HEAD}bar 1  tempo q = 72\n{block}");
        let before = HEAD.lines().count() + 1;
        let all = dealings(&desk(&text), over(before + lines.0, before + lines.1));
        assert_eq!(all, [], "{block}");
    }
}

/// Every row of a score that can be written out, with the lines it would become; how many.
fn there_and_back(text: &str, of: &Desk) -> Result<usize, TestCaseError> {
    let mut count = 0;
    for line in 0..of.document().lines().len() {
        for out in dealings(of, over(line, line)) {
            count += 1;
            let written = after(text, &out);
            let new = Desk::new(&written, of.settings().clone(), &waterkey::score::NoFiles);
            prop_assert!(heard(of) == heard(&new), "{} is heard in another way:\n{}", text, written);
            let rows = new.document().lines().len() - of.document().lines().len() + 1;
            let gathered = dealings(&new, over(line, line + rows - 1));
            let Some(back) = gathered.first() else { continue };
            let again = after(&written, back);
            let third = Desk::new(&again, of.settings().clone(), &waterkey::score::NoFiles);
            prop_assert!(heard(of) == heard(&third), "{} is heard in another way:\n{}", text, again);
            let twice = dealings(&third, over(line, line));
            prop_assert_eq!(twice.first().map(|d| after(&again, d)), Some(written), "{}", again);
        }
    }
    Ok(count)
}

#[test]
fn the_rows_of_the_samples_are_written_out_and_gathered_again() {
    let mut same = 0;
    for (name, of) in samples() {
        let text = of.document().text();
        if text.contains("\ninclude ") || tidied(of.document().lines()) != text {
            continue;
        }
        there_and_back(&text, &of).unwrap_or_else(|e| panic!("{name}: {e}"));
        for line in 0..of.document().lines().len() {
            for out in dealings(&of, over(line, line)) {
                let written = after(&text, &out);
                assert_eq!(
                    tidied(desk(&written).document().lines()),
                    written,
                    "{name}, line {line}: tidy stays tidy"
                );
                let rows = written.lines().count() - text.lines().count();
                let back = dealings(&desk(&written), over(line, line + rows));
                same += usize::from(back.first().is_some_and(|back| after(&written, back) == text));
            }
        }
    }
    assert!(same >= 5, "{same} rows came back as they were");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn written_out_and_gathered_is_written_out_the_same(seed in any::<u64>()) {
        let text = generated::score(seed);
        there_and_back(&text, &desk(&text))?;
    }
}

#[test]
fn generated_scores_have_rows_to_write_out() {
    let count: usize = (0..8)
        .map(|seed| {
            let text = generated::score(seed);
            there_and_back(&text, &desk(&text)).unwrap()
        })
        .sum();
    assert!(count >= 8, "{count}");
}

#[test]
fn a_hold_of_nothing_is_told_of_each_and_hinders_no_dealing() {
    let text = format!("{HEAD}bar 1  tempo q = 72\nHorns | h h : - = |\n");
    let line = HEAD.lines().count() + 1;
    let out = dealings(&desk(&text), over(line, line));
    let written = after(&text, &out[0]);
    assert!(written.ends_with("Hn1 | h h : - = |\nHn2 | h h : - = |\n"), "{written}");
    let back = dealings(&desk(&written), over(line, line + 1));
    assert_eq!(after(&written, &back[0]), text);
}
