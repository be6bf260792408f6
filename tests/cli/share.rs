//! `waterkey share`.

use super::answer::{folder, run, run_with};

const CHORDS: &str = "\
player Hn1 = horn in F
player Hn2 = horn in F
player Hn3 = horn in F
player Tb1 = trombone
player Tb2 = trombone
bar 11  meter 4/4  key F major  tempo q = 72
Tb1         | w : C4 | h h : mf (F3 A3) (F3 C4) | w : (A3 C4) |
Hn1 Hn2 Hn3 | w : F4 | w : (C4 A4) | w : (C4 F4 A4) |
";

#[test]
fn the_chords_of_a_bar_are_shared() {
    let dir = folder(&[("x.brass", CHORDS)]);
    let dry = run(dir.path(), &["share", "x.brass", "--bar", "12", "--dry-run"]);
    assert_eq!(dry.status, 1, "{}", dry.err);
    let lines: Vec<&str> = dry.out.lines().collect();
    assert!(
        lines[0].starts_with("x.brass:7 - Tb1 ") && lines.iter().any(|l| l.contains(" + Tb2 ")),
        "{lines:?}"
    );
    assert_eq!(std::fs::read_to_string(dir.path().join("x.brass")).unwrap(), CHORDS);
    let answer = run(dir.path(), &["share", "x.brass", "--bar", "12"]);
    assert_eq!(answer.status, 0, "{}", answer.err);
    assert_eq!(
        answer.out,
        "x.brass: Share 2 chords of bar 12 out: Tb1 A3 C4, Tb2 F3 F3\n\
         x.brass: Share the chord of bar 12 out: Hn1 A4, Hn2 C4, Hn3 C4; the fifth is doubled\n"
    );
    let after = std::fs::read_to_string(dir.path().join("x.brass")).unwrap();
    assert_eq!(
        after,
        "\
player Hn1 = horn in F
player Hn2 = horn in F
player Hn3 = horn in F
player Tb1 = trombone
player Tb2 = trombone
bar 11  meter 4/4  key F major  tempo q = 72
Tb1         | w : C4 | h h : mf A3 C4           | w : (A3 C4) |
Hn1 Hn2 Hn3 | w : F4 | w : (C4 C4 A4) | w : (C4 F4 A4) |
Tb2         | - | h : mf F3 F3 | - |
"
    );
    let again = run(dir.path(), &["share", "x.brass", "--bar", "12"]);
    assert_eq!((again.status, again.out.as_str()), (0, "x.brass: nothing would be better than it is\n"));
}

#[test]
fn one_row_or_some_players_alone() {
    let dir = folder(&[]);
    let one = run_with(
        dir.path(),
        &["share", "-", "--bar", "12", "--to", "13", "--player", "Tb1"],
        CHORDS.as_bytes(),
    );
    assert_eq!(one.status, 0, "{}", one.err);
    assert!(one.out.contains("Tb2         | - | h : mf F3 F3 | w : A3 |\n"), "{}", one.out);
    assert!(one.out.contains("Hn1 Hn2 Hn3 | w : F4 | w : (C4 A4) |"), "{}", one.out);
    let busy = ["share", "-", "--bar", "12", "--player", "Tb1", "--among", "Hn1"];
    let nobody = run_with(dir.path(), &busy, CHORDS.as_bytes());
    assert_eq!(nobody.status, 2);
    assert!(
        nobody.err.contains("line 7 cannot be shared out: not enough players are free"),
        "{}",
        nobody.err
    );
}

#[test]
fn what_is_not_there_is_told() {
    let dir = folder(&[("x.brass", CHORDS)]);
    for (arguments, why) in [
        (&["--bar", "11"][..], "no chord stands in bar 11"),
        (&["--bar", "12", "--player", "Tb2"], "no chord stands on a row of Tb2 in bar 12"),
        (&["--bar", "20"], "it has no bar 20"),
        (&["--bar", "12", "--to", "11"], "bar 11 comes before bar 12"),
        (&["--bar", "12", "--player", "Vla"], "Vla"),
    ] {
        let answer = run(dir.path(), &[&["share", "x.brass"], arguments].concat());
        assert!(answer.status == 2 && answer.err.contains(why), "{arguments:?}: {}", answer.err);
    }
}
