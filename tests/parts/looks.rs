//! What parts look like, and who has one.

use std::path::Path;
use waterkey::exchange::part::{find_player, part};
use waterkey::host::FolderLoader;
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

fn of(text: &str, player: &str) -> String {
    let desk = desk(text);
    part(&desk, find_player(desk.score(), player).unwrap())
}

fn of_sample(sample: &str, player: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let text = std::fs::read_to_string(&path).unwrap();
    let desk = Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[]));
    part(&desk, find_player(desk.score(), player).unwrap())
}

/// The part's text from its first block on.
fn body(part: &str) -> &str {
    &part[part.find("bar ").unwrap()..]
}

#[test]
fn a_trumpet_that_doubles_in_an_orchestra() {
    insta::assert_snapshot!(of_sample("harbour.brass", "Tp3"));
}

#[test]
fn a_desk_of_four_cornets() {
    insta::assert_snapshot!(of_sample("breakwater-hymn.brass", "Solo Cornet"));
}

#[test]
fn a_trombone_that_improvises() {
    insta::assert_snapshot!(of_sample("quay-chorale.brass", "Tb"));
}

#[test]
fn an_instrument_of_its_own_and_phrases_written_out() {
    insta::assert_snapshot!(of_sample("slipway-study.brass", "Yd"));
}

const HEAD: &str = "player Tp1 = trumpet in Bb, name \"The pilot\"\nplayer Hn1 = horn in F\nplayer Hn2 = horn in F\n\
                    player Cor = cornet in Bb, seats 3\ngroup All = Hn1 Cor Hn2\n";

#[test]
fn rests_are_gathered_over_blocks_that_nothing_parts() {
    let text = format!(
        "{HEAD}bar 1  tempo q = 60\nTp1 | w : C5 | - |\nbar 3\nHn1 | rest 3 | w : C4 |\nbar 7\nTp1 | rest 2 | w : D5 |\nbar 10  mark A\nHn1 | rest 2 |\n"
    );
    let wanted = "bar 1  tempo q = 60\nTp1    | w : D5 | rest 7 |\n\nbar 9\nTp1    | w : E5 |\n\nbar 10  mark A\nTp1    | rest 2 |\n";
    assert_eq!(body(&of(&text, "Tp1")), wanted);
}

#[test]
fn chords_are_dealt() {
    let text = format!("{HEAD}bar 1\nAll | h : (C4 E4 G4 C5 E5) (C4. - - C5 =)> |\n");
    // Five entries for five people: the first horn on top, the second at the bottom, the cornets between.
    assert_eq!(body(&of(&text, "Hn2")), "bar 1\nHn2    | h : G4 G4.> |\n");
    assert_eq!(body(&of(&text, "Cor")), "bar 1\nCor    | h : (F#4 A4 D5) (- - D5)> |\n");
    assert_eq!(body(&of(&text, "Hn1")), "bar 1\nHn1    | h : B5 = |\n");
}

#[test]
fn fermatas_and_breaks_of_others_are_in_the_part() {
    let text = format!(
        "{HEAD}bar 1  tempo q = 60\nTp1 | h h : C5:fermata D5,, | w : E5 | w : E5:fermata |\nHn1 | w : C4 | - | q q h : C4 D4 E4 |\n"
    );
    assert_eq!(
        body(&of(&text, "Hn1")),
        "bar 1  tempo q = 60\nHn1    | h h : G4:fermata =,, | - | q q h : G4 A4 B4:fermata |\n"
    );
    assert_eq!(
        body(&of(&text, "Hn2")),
        "bar 1  tempo q = 60\nHn2    | h h : -:fermata -,, | - | -:fermata |\n"
    );
}

#[test]
fn hard_keys_are_read_in_the_enharmonic_key() {
    // Concert B major makes C sharp major, seven sharps, for a trumpet in B flat: it reads D flat major.
    let text = format!("{HEAD}bar 1  key B major\nTp1 | h : B4 D#5 |\n");
    assert_eq!(body(&of(&text, "Tp1")), "bar 1  key B major\nTp1    | h : Db5 F5 |\n");
}

#[test]
fn a_player_is_found_by_id_or_name_or_offered_the_nearest() {
    let desk = desk(HEAD);
    let score = desk.score();
    assert_eq!(find_player(score, "Tp1"), Ok(0));
    assert_eq!(find_player(score, "The pilot"), Ok(0));
    let why = find_player(score, "Tp2").unwrap_err().to_string();
    assert_eq!(why, "no player is called \"Tp2\"; did you mean Tp1?");
    let why = find_player(score, "the harbour master").unwrap_err().to_string();
    assert_eq!(why, "no player is called \"the harbour master\"; its players are Tp1, Hn1, Hn2, Cor");
    let two = self::desk("player A = horn in F, name \"X\"\nplayer B = horn in F, name \"X\"\n");
    let why = find_player(two.score(), "X").unwrap_err().to_string();
    assert_eq!(why, "several players are called \"X\"; say which: A, B");
}
