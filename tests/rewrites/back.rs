//! There and back again: the text is the one it was.

use super::generated::score;
use super::judge::{applied, desk, tidy};
use super::laws::samples;
use super::ways::intervals;
use proptest::prelude::*;
use waterkey::assist::rewrite::{Rewrite, Selected, rewritten};
use waterkey::notation::tree::Basis;

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
    // A trill that had to be named stays named, and a letter beyond double accidentals is another one now.
    let trills = |text: &str| text.matches(":trill=").count();
    let exact = trills(&away) == trills(text) && !text.contains("x") && !text.contains("bb");
    if exact {
        assert_eq!(home, text, "by way of\n{away}");
    }
    Some(exact)
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
