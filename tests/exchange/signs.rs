//! Every sign is written as the standard has it, for the player who reads it.

use super::desk;
use super::musicxml::{Node, read};
use waterkey::exchange::musicxml::{Pitches, part, score};

const SCORE: &str = "\
brass 1
title \"Harbour at First Light\"
player Tp1 = trumpet in Bb, mutes straight cup, doubles flugelhorn in Bb
player Tb1 = trombone
player Hn1 = horn in F, signature none, name \"First Horn\"
group Two = Tp1 Tb1
bar 1  mark A  meter 4/4  key Bb major  tempo \"Calm\" q. = 72  repeat 2
chords | Bb7(b9)/D       | C          |
Tp1 | h {3:2 e*3} q : p cresc C5_ D5 Eb5. F5>@12 /A4 G5:trill, | [mute cup] f w : Bb4:fermata |
Tb1 | h h : F3:gliss Bb3 | rest 1 |
bar 3  ending 1
Tp1 | [open] rest 1 |
bar 4  ending 2
Tp1 | e e s s e h : Bb4*5 = |
bar 5  meter 3/4
Tp1 | rest 3 |
Tb1 | improvise 3 |
bar 8  mark B
Tp1 | [switch flugelhorn] h. : C5 |
";

fn has(node: &Node, name: &str) -> usize {
    let mut all = Vec::new();
    node.deep(name, &mut all);
    all.len()
}

fn texts(node: &Node, name: &str) -> Vec<String> {
    let mut all = Vec::new();
    node.deep(name, &mut all);
    all.iter().map(|n| n.text.clone()).collect()
}

#[test]
fn a_score_has_what_is_written() {
    let desk = desk(SCORE);
    let root = read(&score(&desk, Pitches::Written));
    assert_eq!(texts(&root, "part-name"), ["Tp1", "Tb1", "First Horn"]);
    assert_eq!(has(&root, "part-group"), 2);
    let parts: Vec<&Node> = root.all("part").collect();
    let tp = parts[0];
    for (name, many) in [
        ("rehearsal", 2),
        ("metronome", 1),
        ("slur", 2),
        ("tuplet", 2),
        ("wedge", 2),
        ("trill-mark", 1),
        ("breath-mark", 1),
        ("fermata", 1),
        ("grace", 1),
        ("staccato", 1),
        ("accent", 1),
        ("repeat", 2),
        ("ending", 4),
        ("harmony", 2),
        ("tied", 2),
        ("multiple-rest", 0),
    ] {
        assert_eq!(has(tp, name), many, "{name}");
    }
    assert_eq!(texts(tp, "fingering"), ["12"]);
    assert_eq!(texts(tp, "mute"), ["cup", "off"]);
    assert_eq!(texts(tp, "fifths"), ["0"]);
    assert_eq!(texts(tp, "root-step"), ["C", "D"]);
    assert_eq!(texts(tp, "bass-step"), ["E"]);
    assert!(texts(tp, "words").contains(&"Calm".to_owned()));
    assert_eq!(texts(tp, "chromatic")[0], "-2");
    assert_eq!(has(tp, "instrument-change"), 1);
    assert_eq!(has(parts[1], "slide"), 2);
    assert_eq!(has(parts[1], "rehearsal"), 0);
    assert_eq!(texts(parts[2], "mode"), ["none"]);
    let beams: Vec<String> = texts(tp, "beam");
    assert_eq!(
        beams,
        ["begin", "continue", "end", "begin", "end", "begin", "begin", "continue", "end", "end"]
    );
    let concert = read(&score(&desk, Pitches::Concert));
    let first = concert.all("part").next().unwrap();
    assert_eq!((texts(first, "fifths")[0].as_str(), has(first, "transpose")), ("-2", 0));
    assert_eq!(has(&concert, "concert-score"), 1);
}

#[test]
fn a_part_gathers_rests_and_waits_with_the_others() {
    let desk = desk(SCORE);
    let horn = read(&part(&desk, 2));
    // Bars 1 and 2, then the endings, then three and one.
    assert_eq!(texts(&horn, "multiple-rest"), ["2", "3"]);
    assert_eq!(has(&horn, "fermata"), 0);
    let text = SCORE.replace("Tb1 | h h : F3:gliss Bb3 | rest 1 |", "Tb1 | h h : F3:gliss Bb3 | w : F3 |");
    let trombone = read(&part(&super::desk(&text), 1));
    assert_eq!(has(&trombone, "fermata"), 1, "the trumpet's");
    assert_eq!(has(&trombone, "rehearsal"), 2);
    assert_eq!(has(&trombone, "slash"), 2);
}

#[test]
fn a_high_trombone_is_read_in_tenor_clef_and_a_low_horn_in_bass_clef() {
    let high = "player Tb = trombone\nbar 1  tempo q = 60\nTb | q : F2 Bb1 F2 Bb1 | q : Bb4 C5 Bb4 A4 | q : Bb4 C5 Bb4 A4 |\n";
    assert_eq!(texts(&read(&part(&desk(high), 0)), "sign"), ["F", "C"]);
    let own = high.replace("trombone", "trombone, clef bass");
    assert_eq!(texts(&read(&part(&desk(&own), 0)), "sign"), ["F"]);
    let named = high.replace("q : Bb4 C5", "q : [clef alto] Bb4 C5");
    assert_eq!(texts(&read(&part(&desk(&named), 0)), "line"), ["4", "3"]);
    let low = "player Hn = horn in F\nbar 1  tempo q = 60\nHn | q : F4 C4 F4 C4 | q : F2 C2 F2 C2 | q : F2 C2 F2 C2 |\n";
    assert_eq!(texts(&read(&part(&desk(low), 0)), "sign"), ["G", "F"]);
}
