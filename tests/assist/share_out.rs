//! Chords shared out, case by case.

use super::text::desk;
use waterkey::assist::hand_over::Declined;
use waterkey::assist::share_out::on_row;
use waterkey::assist::{Cures, Extent, Place};
use waterkey::rules::Desk;

const HEAD: &str = "\
player Tp1 = trumpet in Bb
player Tp2 = trumpet in Bb
player Hn1 = horn in F
player Hn2 = horn in F
player Hn3 = horn in F
player Hn4 = horn in F
player Cor = cornet in Bb, seats 3
player Tb1 = trombone
group Horns = Hn1 Hn2 Hn3 Hn4
";

fn line(desk: &Desk, id: &str) -> u32 {
    let text = desk.document().text();
    text.lines().position(|l| l.starts_with(id) && l.contains('|')).unwrap() as u32
}

/// The title and the block afterwards.
fn shared(text: &str, id: &str, named: Option<&[&str]>) -> Result<(String, Vec<String>), Declined> {
    let desk = desk(&format!("{HEAD}{text}"));
    let players = &desk.score().head.players;
    let named: Option<Vec<usize>> =
        named.map(|all| all.iter().map(|n| players.iter().position(|p| p.id == *n).unwrap()).collect());
    let shared = on_row(&desk, line(&desk, id), &|_| true, named.as_deref())?;
    let after = shared.trial.desk().document().text();
    let lines = after.lines().skip(HEAD.lines().count() + 1).map(str::to_owned).collect();
    Ok((shared.title, lines))
}

fn row(text: &str, id: &str) -> String {
    let (_, lines) = shared(text, id, None).unwrap();
    lines.into_iter().find(|l| l.starts_with(id)).unwrap()
}

#[test]
fn four_horns_double_the_root_and_never_the_leading_note() {
    let (title, lines) =
        shared("bar 1  key F major  tempo q = 72\nHorns | w : p (C4 F4 A4)> |\n", "Horns", None).unwrap();
    assert_eq!(lines, ["Horns | w : p (C4 F4 F4 A4)> |"]);
    assert_eq!(title, "Share the chord of bar 1 out: Hn1 A4, Hn2 F4, Hn3 F4, Hn4 C4; the root is doubled");
    // By position the first two would have the leading note.
    assert_eq!(
        row("bar 1  key C major  tempo q = 72\nHorns | w : (D4 F4 B4) |\n", "Horns"),
        "Horns | w : (D4 F4 F4 B4) |"
    );
    assert_eq!(
        row("bar 1  key C major  tempo q = 72\nHorns | w : (D4 G4 B4) |\n", "Horns"),
        "Horns | w : (D4 G4 G4 B4) |"
    );
    // The seventh rather than the third, the fifth rather than either.
    assert_eq!(
        row("bar 1  key C major  tempo q = 72\nHorns Tp1 | w : (G3 B3 D4 F4) |\n", "Horns"),
        "Horns Tp1 | w : (G3 G3 B3 D4 F4) |"
    );
}

#[test]
fn what_the_others_play_says_what_the_chord_is() {
    // A and C alone might be A minor; over F in the trombone they are its third and fifth.
    let major = shared(
        "bar 1  key F major  tempo q = 72\nHn1 Hn2 Hn3 | w : (A3 C4) |\nTb1 | w : F3 |\n",
        "Hn1",
        None,
    );
    assert_eq!(major.unwrap_err(), Declined::NoBetter);
    let minor =
        shared("bar 1  key A minor  tempo q = 72\nHn1 Hn2 Hn3 | w : (A3 C4) |\n", "Hn1", None).unwrap();
    assert_eq!(minor.1, ["Hn1 Hn2 Hn3 | w : (A3 A3 C4) |"]);
}

#[test]
fn a_chord_that_is_dealt_well_stays() {
    for (text, id) in [
        ("bar 1  key F major  tempo q = 72\nHorns | w : (F3 C4 F4 A4) |\n", "Horns"),
        ("bar 1  key F major  tempo q = 72\nHn1 Hn2 | w : (F4 A4) |\n", "Hn1"),
    ] {
        assert_eq!(shared(text, id, None).unwrap_err(), Declined::NoBetter);
    }
}

#[test]
fn seats_of_one_part_are_dealt_too() {
    let (title, lines) =
        shared("bar 1  key Bb major  tempo q = 72\nCor | w : (Bb4 D5) |\n", "Cor", None).unwrap();
    assert_eq!(lines, ["Cor | w : (Bb4 Bb4 D5) |"]);
    assert_eq!(
        title,
        "Share the chord of bar 1 out: Cor seat 1 D5, Cor seat 2 Bb4, Cor seat 3 Bb4; the root is doubled"
    );
}

#[test]
fn whoever_is_named_takes_the_notes() {
    let text = "bar 1  key F major  tempo q = 72\nTb1 | w : (F3 A3 C4) |\n";
    let (title, _) = shared(text, "Tb1", Some(&["Hn1", "Hn2"])).unwrap();
    assert_eq!(title, "Share the chord of bar 1 out: Tb1 C4, Hn1 A3, Hn2 F3");
    assert_eq!(shared(text, "Tb1", Some(&["Hn1"])).unwrap_err(), Declined::Nobody);
}

#[test]
fn a_chord_that_its_player_has_no_note_of_goes_to_others() {
    // Below any trumpet.
    let text = "bar 1  tempo q = 72\nTp1 | h h : f (Bb2 D3)-,*2 |\n";
    let (title, lines) = shared(text, "Tp1", Some(&["Hn1", "Tb1"])).unwrap();
    assert_eq!(lines[0], "Tp1 | h h : f -,*2         |", "{lines:?}");
    assert_eq!(lines[1..], ["Hn1 | h : f D3- D3-, |", "Tb1 | h : f Bb2- Bb2-, |"]);
    assert_eq!(title, "Share the chord of bar 1 out: Hn1 D3, Tb1 Bb2");
}

#[test]
fn what_cannot_be_shared_is_declined_with_the_reason() {
    let tried = |rows: &str, id: &str| {
        shared(&format!("bar 1  key F major  tempo q = 72\n{rows}"), id, None).map(|s| s.1.join("\n"))
    };
    assert_eq!(tried("Tb1 | h h : (F3 A3):gliss F3 |\n", "Tb1"), Err(Declined::Technique));
    assert_eq!(tried("Tb1 | w : (F3 A3) |\nbar 2\nTb1 | = |\n", "Tb1"), Err(Declined::HeldOn));
    assert_eq!(tried("Tb1 | w : C4 |\n", "Tb1"), Err(Declined::Unread));
    // Holds in a chord belong to who had which note.
    assert_eq!(tried("Horns | h h : (C4 F4 A4) (= = = Bb4) |\n", "Horns"), Err(Declined::Otherwise));
    // How a note of the chord is played would depend on whose hands it is in.
    for before in ["Hn1 | w : p C4 |\n", "Hn2 | w : [flutter] C4 |\n", "Hn1 | w : [mute straight] C4 |\n"] {
        let rows = |say: &str| format!("{before}bar 2\nHorns | w : {say}(C3 F3 C4 F4 A4) |\n");
        assert_eq!(tried(&rows(""), "Horns"), Err(Declined::Unlike), "{before}");
        assert!(tried(&rows("mf [plain] [open] "), "Horns").is_ok(), "{before}");
    }
    let busy: String =
        ["Tp1", "Tp2", "Hn1", "Hn2", "Hn3", "Hn4"].map(|p| format!("{p} | w : C4 |\n")).concat();
    assert_eq!(tried(&format!("Tb1 | w : (F3 A3) |\n{busy}"), "Tb1"), Err(Declined::Nobody));
    for why in [Declined::Nobody, Declined::NoBetter, Declined::HeldOn, Declined::Unlike] {
        assert!(!why.said().is_empty() && !why.said().ends_with('.'));
    }
}

#[test]
fn in_a_written_score_each_reads_their_own_pitch() {
    let text = format!(
        "pitch written\n{HEAD}bar 1  meter 4/4  key F major  tempo q = 72\nTp1 | w : mf (B4 D5)^ |\n"
    );
    let desk = desk(&text);
    let horn = desk.score().head.players.iter().position(|p| p.id == "Hn1").unwrap();
    let shared = on_row(&desk, line(&desk, "Tp1"), &|_| true, Some(&[horn])).unwrap();
    let after = shared.trial.desk().document().text();
    assert!(after.ends_with("Tp1 | w : mf D5^      |\nHn1 | w : mf E5^ |\n"), "{after}");
}

#[test]
fn a_selection_is_offered_a_share_of_the_chords_that_it_touches() {
    let text = format!("{HEAD}bar 1  key F major  tempo q = 72\nHorns | h h : (C4 F4 A4) (C4 E4 G4) |\n");
    let desk = desk(&text);
    let row = line(&desk, "Horns");
    let at = |byte| Place { line: row, byte };
    let offers = |from: u32, to: u32| Cures::of(&desk).shares(Extent { from: at(from), to: at(to) });
    let titles: Vec<String> = offers(16, 17).into_iter().map(|o| o.title).collect();
    assert_eq!(titles, ["Share the chord of bar 1 out: Hn1 A4, Hn2 F4, Hn3 F4, Hn4 C4; the root is doubled"]);
    assert_eq!(offers(0, 4), []);
    // Both: the third horn had rather stay where it is.
    let both = offers(16, 30);
    assert_eq!(both[0].title, "Share 2 chords of bar 1 out: Hn1 A4 G4, Hn2 F4 E4, Hn3 C4 C4, Hn4 C4 C4");
}
