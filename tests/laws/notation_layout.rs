//! The canonical layout: what it looks like, and that it changes blanks only.

use proptest::prelude::*;
use waterkey::notation::layout::tidied;
use waterkey::notation::token::Kind;
use waterkey::notation::{Document, print};

fn tidy(text: &str) -> String {
    tidied(Document::new(text).lines())
}

const CANONICAL: &str = r#"brass 1
title    "Harbour at First Light"
pitch    concert

player Hn1  = horn in F
player Hn2  = horn in F
player Tp1  = trumpet in Bb, level professional, mutes straight cup
player Tp2  = trumpet in Bb
player Tb1  = trombone
player Tu   = F tuba
group  Horns = Hn1 Hn2

bar 1  meter 4/4  key Bb major  tempo "Calm" q = 72  mark A
rhythm | q.                 e         q         q         | h          h         |
Tp1    | p cresc Bb4        C5        D5        Eb5       | mf F5      D5        |
Tp2    | p cresc F4         F4        F4        G4        | mf A4      Bb4       |
Horns  | p cresc (Bb3 D4)   (Bb3 C4)  (Bb3 D4)  (Bb3 Eb4) | mf (C4 F4) (Bb3 F4)  |
Tu     | w : p Bb1                                        | h : F2 Bb1           |

bar 3
Tp1    | e e q h : D5. Eb5. F5> Bb5_ | q q h : = A5 G5, |
Tb1    | [mute cup] -                | h : p D4_ C4     |
"#;

/// Every run of blanks as one; blanks at the start and end of lines gone.
fn crushed(text: &str) -> String {
    let lines = text.lines().map(|l| l.split_whitespace().collect::<Vec<_>>().join(" "));
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

#[test]
fn the_canonical_score_stays_as_it_is() {
    assert_eq!(tidy(CANONICAL), CANONICAL);
}

#[test]
fn the_canonical_score_comes_out_of_its_words() {
    assert_eq!(tidy(&crushed(CANONICAL)), CANONICAL);
    assert_eq!(
        tidy(
            &CANONICAL.replace(' ', "   ").replace("Harbour   at   First   Light", "Harbour at First Light")
        ),
        CANONICAL
    );
}
