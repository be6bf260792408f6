//! Notes given to another player and lines changed: what the text is afterwards.

use super::text::desk;
use waterkey::assist::hand_over::{Declined, give};
use waterkey::music::Fraction;
use waterkey::rules::Desk;
use waterkey::section::{At, Stretch};

fn player(desk: &Desk, id: &str) -> usize {
    desk.score().head.players.iter().position(|p| p.id == id).unwrap()
}

fn at(bar: u32, n: i64, d: i64) -> At {
    At { bar, onset: Fraction::new(n, d).unwrap() }
}

/// The text with one player's notes of a block's stretch in another's line.
fn given(text: &str, from: &str, to: &str, block: usize, a: At, b: At) -> Result<String, Declined> {
    let desk = desk(text);
    let stretch = Stretch { block, player: player(&desk, from), from: a, to: b };
    let stretch = stretch.closed(&desk).unwrap();
    let handed = give(&desk, &stretch, player(&desk, to))?;
    Ok(handed.trial.desk().document().text())
}

const HEAD: &str = "player Tp1 = trumpet in Bb, level school\nplayer Tp2 = trumpet in Bb\nplayer Hn1 = horn in F\ngroup All = Tp2 Hn1\n";

/// The last lines of the text, after one player's notes went to another.
fn rows(rows: &str, to: &str, a: At, b: At) -> Result<String, Declined> {
    let text = format!("{HEAD}bar 1  meter 4/4  tempo q = 72\n{rows}");
    let after = given(&text, "Tp1", to, 0, a, b)?;
    Ok(after.split_once("q = 72\n").unwrap().1.to_owned())
}

#[test]
fn whoever_has_no_row_gets_one_in_the_rhythm_of_the_giver() {
    let text = "rhythm | q q q q | h h |\nTp1    | p F4 G5. A5> G4 | F4 = |\nHn1    | C4 = = = | - |\n";
    assert_eq!(
        rows(text, "Tp2", at(0, 1, 4), at(0, 3, 4)).unwrap(),
        "rhythm | q q q q | h h |\nTp1    | p F4 - - G4     | F4 = |\nTp2    | - p G5. A5> - | - |\nHn1    | C4 = = = | - |\n"
    );
}

#[test]
fn dynamics_mutes_and_the_copies_behind_are_put_right() {
    // The giver's copy is written out, the taker's mute goes out again and its dynamic comes back.
    let text = "Tp1    | q : mf [mute cup] F4 G4 A4 F4 | % | % |\nTp2    | w : p C4 | rest 1 | w : C4 |\n";
    assert_eq!(
        rows(text, "Tp2", at(1, 0, 1), at(1, 1, 1)).unwrap(),
        "Tp1    | q : mf [mute cup] F4 G4 A4 F4 | [mute cup] - | q : mf [mute cup] F4 G4 A4 F4 |\nTp2    | w : p C4 | q : [mute cup] mf F4 G4 A4 F4 [open] | w : p C4 |\n"
    );
}

#[test]
fn rests_are_cut_and_rows_go_on_where_the_notes_need_it() {
    let text = "Tp1    | e e q h : C5 D5 E5 F5 | w : G4 | - | w : A4 |\nTp2    | q h. : G4 - |\n";
    assert_eq!(
        rows(text, "Tp2", at(0, 1, 4), at(0, 1, 1)).unwrap(),
        "Tp1    | e e q- h- : C5 D5     | w : G4 | - | w : A4 |\nTp2    | q q h : G4 E5 F5 |\n"
    );
    assert_eq!(
        rows(text, "Tp2", at(3, 0, 1), at(3, 1, 1)).unwrap(),
        "Tp1    | e e q h : C5 D5 E5 F5 | w : G4 | - | -      |\nTp2    | q h. : G4 - | rest 2 | w : A4 |\n"
    );
}

#[test]
fn a_row_of_several_is_written_out_first() {
    let tried = |text: &str, to: &str| rows(text, to, at(0, 0, 1), at(0, 1, 1));
    let after = tried("Tp1    | w : C5 |\nAll    | - |\n", "Tp2").unwrap();
    assert!(after.starts_with("Tp1    | -      |\nTp2 | w : C5 |\n"), "{after}");
    let after = tried("Tp1 Tp2 | w : p (G4 C5)> | // together\n", "Hn1").unwrap();
    let lines: Vec<String> =
        after.lines().map(|l| l.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    assert_eq!(lines, ["Tp1 | p - | // together", "Tp2 | w : p G4> |", "Hn1 | w : p C5> |"]);
    // Who is called to play alone cannot be written out by the text.
    assert_eq!(tried("Tp1 Tp2 | w : [solo] C5 |\n", "Hn1"), Err(Declined::Unread));
}

#[test]
fn what_cannot_go_is_declined_with_the_reason() {
    let whole = (at(0, 0, 1), at(0, 1, 1));
    let tried = |text: &str, to: &str| rows(text, to, whole.0, whole.1);
    assert_eq!(tried("Tp1    | w : C5 |\nTp2    | w : C4 |\n", "Tp2"), Err(Declined::TakerPlays));
    assert_eq!(tried("Tp1    | improvise 1 |\n", "Hn1"), Err(Declined::PartOfPhrase));
    assert_eq!(tried("Tp1    | w : C5 |\nTp2    | -:fermata |\n", "Tp2"), Err(Declined::Marked));
    for why in [Declined::Rhythm, Declined::Otherwise, Declined::Unread] {
        assert!(!why.said().is_empty() && !why.said().ends_with('.'));
    }
}

#[test]
fn in_a_written_score_the_taker_reads_their_own_pitch() {
    let text = format!(
        "pitch written\n{HEAD}bar 1  meter 4/4  key F major  tempo q = 72\nTp1 | w : C5:trill=D5 |\nHn1 | - |\n"
    );
    let after = given(&text, "Tp1", "Hn1", 0, at(0, 0, 1), at(0, 1, 1)).unwrap();
    assert!(after.ends_with("Hn1 | w : F5:trill=G5 |\n"), "{after}");
}
