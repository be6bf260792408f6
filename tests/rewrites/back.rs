//! There and back again: the text is the one it was.

use super::generated::score;
use super::judge::{applied, desk, tidy};
use super::laws::samples;
use super::ways::intervals;
use proptest::prelude::*;
use std::sync::Arc;
use waterkey::assist::rewrite::{Rewrite, Selected, rewritten};
use waterkey::music::Pitch;
use waterkey::notation::line::Line;
use waterkey::notation::token::{Kind, Token};
use waterkey::notation::tree::Basis;
use waterkey::notation::{Document, Span};

/// The text written so; `None` where that is refused.
fn done(text: &str, what: &Rewrite) -> Option<String> {
    rewritten(&desk(text), what).ok().map(|edits| applied(text, &edits))
}

fn there_and_back(text: &str, there: &Rewrite, back: &Rewrite) -> Option<(String, String)> {
    let away = done(text, there)?;
    let home = done(&away, back);
    let home = home.unwrap_or_else(|| panic!("no way back: {:?}\n{away}", rewritten(&desk(&away), back)));
    Some((away, home))
}

fn concert_and_back(text: &str) -> Option<bool> {
    let written = desk(text).score().head.basis == Basis::Written;
    let (to, from) =
        if written { (Basis::Concert, Basis::Written) } else { (Basis::Written, Basis::Concert) };
    let (away, home) = there_and_back(text, &Rewrite::Pitch(to), &Rewrite::Pitch(from))?;
    // A trill that had to be named stays named.
    let trills = |text: &str| text.matches(":trill=").count();
    if trills(&away) != trills(text) {
        return Some(false);
    }
    assert_eq!(home, tidy(&as_it_can_be_known(text, &away, &home)), "by way of\n{away}");
    Some(home == text)
}

/// The text with the letters that cannot be known on the way home as they came home. In F sharp major a cornet in
/// B flat reads A flat major: F# is its Ab, and Gb would be a triple flat, so it is written as Ab too. On the way
/// back nothing in the text tells the two apart.
fn as_it_can_be_known(text: &str, away: &str, home: &str) -> String {
    let (before, away, home) = (Document::new(text), Document::new(away), Document::new(home));
    let pitches = |of: &Document| -> Vec<(usize, Span, Pitch)> {
        let lines = of.lines().iter().enumerate();
        let tokens = lines.flat_map(|(at, line)| line.tokens.iter().map(move |token| (at, line, token)));
        let pitch = |(at, line, token): (usize, &Arc<Line>, &Token)| {
            Some((at, token.span, Pitch::parse(token.of(&line.text))?))
        };
        tokens.filter(|(_, _, token)| token.kind == Kind::Pitch).filter_map(pitch).collect()
    };
    let (was, away, home) = (pitches(&before), pitches(&away), pitches(&home));
    assert!(was.len() == away.len() && was.len() == home.len(), "{text}");
    let mut lines: Vec<String> =
        before.lines().iter().map(|l| format!("{}{}", l.text, l.ending.text())).collect();
    for (((line, span, was), (.., away)), (.., home)) in was.iter().zip(&away).zip(&home).rev() {
        // The letter that the way there should have led to has no name of at most two accidentals.
        let nameless = Pitch::at(was.staff() + away.staff() - home.staff(), away.midi()).is_none();
        if was.midi() == home.midi() && nameless {
            lines[*line].replace_range(span.start as usize..span.end as usize, &home.to_string());
        }
    }
    lines.concat()
}

#[test]
fn samples_go_to_written_pitch_and_back() {
    let gone: Vec<String> = samples()
        .into_iter()
        .filter(|(_, text)| tidy(text) == *text && concert_and_back(text) == Some(true))
        .map(|(name, _)| name)
        .collect();
    assert!(gone.len() >= 3, "{gone:?}");
}

#[test]
fn samples_go_to_another_key_and_back() {
    let mut gone = 0;
    for (name, text) in samples().into_iter().filter(|(_, text)| tidy(text) == *text) {
        if text.contains('@') {
            continue;
        }
        for by in intervals() {
            let back = Rewrite::Transpose(by.inverse());
            if let Some((away, home)) = there_and_back(&text, &Rewrite::Transpose(by), &back) {
                let notes = |text: &str| text.matches(":trill=").count();
                if notes(&away) == notes(&text) && !text.contains("E#") {
                    gone += usize::from(home == text);
                    if home != text {
                        println!("{name} {by}");
                    }
                }
            }
        }
    }
    assert!(gone > 20, "{gone}");
}

#[test]
fn samples_are_doubled_and_halved() {
    let mut gone = 0;
    for (_, text) in samples().into_iter().filter(|(_, text)| tidy(text) == *text) {
        for double in [true, false] {
            let (there, back) = (Rewrite::Values { double }, Rewrite::Values { double: !double });
            if let Some((_, home)) = there_and_back(&text, &there, &back) {
                assert_eq!(home, text);
                gone += 1;
            }
        }
    }
    assert!(gone >= 4, "{gone}");
}

const SHARED: &str = "\
brass 1
player Tp1 = trumpet in Bb
player Tp2 = trumpet in Bb
player Tb1 = trombone

bar 1  meter 4/4  key Bb major  tempo q = 72
rhythm | q.  e   h  | h   q  q  | w   |
Tp1    | Bb4 C5  D5 | Eb5 D5 C5 | Bb4 |
Tp2    | F4  Eb4 F4 | G4  F4 Eb4 | D4 |
Tb1    | h : Bb2 D3 | w : F2 | - |
";

#[test]
fn figures_go_to_the_rows_and_back() {
    let text = tidy(SHARED);
    let away = done(&text, &Rewrite::AllOwnFigures(0, 0)).unwrap();
    assert!(!away.contains("rhythm") && away.contains("| q. e h : Bb4 C5 D5 |"), "{away}");
    let all = Selected::bars(&desk(&away), 0, (0, 2), None).unwrap();
    assert_eq!(done(&away, &Rewrite::SharedFigures(all)), Some(text));
}

#[test]
fn a_phrase_is_made_and_written_out() {
    let text = tidy(SHARED);
    let bars = Selected::bars(&desk(&text), 0, (0, 1), Some("Tp1")).unwrap();
    let there = Rewrite::Extract(bars, "oars".into());
    let away = done(&text, &there).unwrap();
    assert!(away.contains("phrase oars | q. e h : Bb4 C5 D5 | h q q : Eb5 D5 C5 |"), "{away}");
    let line = away.lines().position(|l| l.starts_with("phrase")).unwrap();
    assert_eq!(done(&away, &Rewrite::InlineAll(line as u32)), Some(text));
}

#[test]
fn letters_come_back_where_the_written_pitch_tells_them_apart() {
    let score = |notes: &str| {
        tidy(&format!(
            "brass 1\nplayer Cor = cornet in Bb\n\nbar 1  key F# major  tempo q = 72\nCor | h h : {notes} |\n"
        ))
    };
    let home = |text: &str| {
        let away = done(text, &Rewrite::Pitch(Basis::Written)).unwrap();
        (away.clone(), done(&away, &Rewrite::Pitch(Basis::Concert)).unwrap())
    };
    for notes in ["F#5 E#5", "Db5 Ab4", "Fx4 Cx5"] {
        let text = score(notes);
        assert_eq!(home(&text).1, text);
    }
    let (away, back) = home(&score("F#5 Gb5"));
    assert!(away.contains("| h h : Ab5 Ab5 |"), "{away}");
    assert_eq!(back, score("F#5 F#5"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn a_generated_score_goes_to_written_pitch_and_back(seed in any::<u64>()) {
        concert_and_back(&tidy(&score(seed)));
    }

    #[test]
    fn a_block_is_parted_and_joined(seed in any::<u64>(), block in any::<prop::sample::Index>(), bar in any::<prop::sample::Index>()) {
        let text = tidy(&score(seed));
        let desk = desk(&text);
        let block = block.index(desk.score().blocks.len());
        let bars = desk.score().blocks[block].frame.bars;
        if bars > 1 {
            let there = Rewrite::Split(block, 1 + bar.index(bars as usize - 1) as u32);
            if let Some(away) = done(&text, &there)
                && let Some(home) = done(&away, &Rewrite::Join(block))
                && !text.contains('%') && !text.contains("rest ") && !text.contains("improvise") && !text.contains("chords")
                && !text.contains("rhythm |")
            {
                prop_assert_eq!(home, text, "by way of\n{}", away);
            }
        }
    }

    #[test]
    fn values_of_a_generated_score_are_doubled_and_halved(seed in any::<u64>(), double in any::<bool>()) {
        let text = tidy(&score(seed));
        if let Some((away, home)) = there_and_back(&text, &Rewrite::Values { double }, &Rewrite::Values { double: !double }) {
            prop_assert_eq!(home, text, "by way of\n{}", away);
        }
    }
}
