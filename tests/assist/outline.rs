//! The outline, folds and growing selections.

use super::text::{desk, place, sample, samples};
use std::fmt::Write as _;
use waterkey::assist::{Extent, FoldKind, Symbol, folding, selection, symbols};
use waterkey::rules::Desk;

fn drawn(all: &[Symbol], depth: usize, out: &mut String) {
    for s in all {
        writeln!(out, "{}{:?} {} [{}]", "  ".repeat(depth), s.kind, s.name, s.detail).unwrap();
        drawn(&s.children, depth + 1, out);
    }
}

#[test]
fn the_outline_of_a_score() {
    let mut out = String::new();
    drawn(&symbols(&sample("quay-chorale.brass")), 0, &mut out);
    insta::assert_snapshot!(out);
}

fn sound(all: &[Symbol], around: Option<&Extent>) {
    for s in all {
        assert!(s.extent.holds(&Extent::from(s.selection)), "{s:?}");
        assert!(around.is_none_or(|a| a.holds(&s.extent)), "{s:?} outside {around:?}");
        assert!(!s.name.trim().is_empty(), "{s:?}");
        sound(&s.children, Some(&s.extent));
    }
}

pub fn outline_is_sound(desk: &Desk) {
    sound(&symbols(desk), None);
    let folds = folding(desk);
    for (i, a) in folds.iter().enumerate() {
        assert!(a.first < a.last && (a.last as usize) < desk.document().lines().len(), "{a:?}");
        for b in &folds[i + 1..] {
            let apart = a.last < b.first || b.last < a.first;
            let nested = (a.first <= b.first && b.last <= a.last) || (b.first <= a.first && a.last <= b.last);
            assert!(apart || nested, "{a:?} and {b:?}");
        }
    }
}

#[test]
fn outlines_are_sound_and_folds_nest() {
    for (_, desk) in samples() {
        outline_is_sound(&desk);
    }
}

#[test]
fn comments_between_blocks_fold_apart() {
    let text = "// one\n// two\nbrass 1\n\nplayer Tp1 = trumpet in Bb\n\n// three\n// four\nbar 1\nTp1 | w : C5 |\n// five\n// six\nTp1 | |\n// seven\n";
    let folds: Vec<_> = folding(&desk(text)).into_iter().map(|f| (f.first, f.last, f.kind)).collect();
    assert_eq!(
        folds,
        [
            (0, 1, FoldKind::Comments),
            (2, 4, FoldKind::Head),
            (6, 7, FoldKind::Comments),
            (8, 12, FoldKind::Block),
            (10, 11, FoldKind::Comments),
        ]
    );
}

#[test]
fn a_selection_grows_from_the_note_to_the_score() {
    let text = "player Tp1 = trumpet in Bb\nbar 1  meter 4/4\nTp1 | e e q h : Bb4_ C5 D5 Eb5 | w : C5 |\n";
    let desk = desk(text);
    let told = |e: &Extent| {
        let start = desk.document().lines().start_of_line(e.from.line as usize) + e.from.byte as usize;
        let end = desk.document().lines().start_of_line(e.to.line as usize) + e.to.byte as usize;
        text[start..end].to_owned()
    };
    let grown: Vec<String> =
        selection(&desk, place(&desk, ("Tp1", 0), ("Bb4", 0))).iter().map(told).collect();
    assert_eq!(
        grown,
        [
            "Bb4",
            "Bb4_",
            "Bb4_ C5",
            " e e q h : Bb4_ C5 D5 Eb5 ",
            "Tp1 | e e q h : Bb4_ C5 D5 Eb5 | w : C5 |",
            "bar 1  meter 4/4\nTp1 | e e q h : Bb4_ C5 D5 Eb5 | w : C5 |\n",
            text,
        ]
    );
}
