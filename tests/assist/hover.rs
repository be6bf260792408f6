//! Long hovers, whole.

use super::text::{place, sample};
use waterkey::assist::hover;

fn told(sample_name: &str, line: (&str, usize), what: (&str, usize)) -> String {
    let desk = sample(sample_name);
    let hover = hover(&desk, place(&desk, line, what)).unwrap();
    format!("{}\n———\n{}", hover.markdown, hover.plain)
}

#[test]
fn a_trumpets_note() {
    insta::assert_snapshot!(told("harbour.brass", ("Tp1 ", 0), ("Eb5_", 0)));
}

#[test]
fn a_chord_shared_out_among_horns() {
    insta::assert_snapshot!(told("harbour.brass", ("Horns ", 0), ("(D3", 0)));
}

#[test]
fn a_trombone_player() {
    insta::assert_snapshot!(told("harbour.brass", ("player Tb1", 0), ("Tb1", 0)));
}

#[test]
fn an_instrument() {
    insta::assert_snapshot!(told("harbour.brass", ("player BTb", 0), ("trombone", 0)));
}

#[test]
fn a_chord_symbol() {
    insta::assert_snapshot!(told("quay-chorale.brass", ("chords ", 0), ("G7(b9)", 0)));
}

#[test]
fn a_place_of_the_rhythm() {
    insta::assert_snapshot!(told("quay-chorale.brass", ("rhythm ", 0), ("q:fermata", 0)));
}

#[test]
fn a_trombones_note() {
    insta::assert_snapshot!(told("slipway-study.brass", ("Tb  ", 1), ("C3@T1", 0)));
}
