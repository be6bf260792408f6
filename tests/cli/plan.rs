//! `waterkey plan`.

use super::answer::{folder, members, run, run_with};

const SCORE: &str = "\
player Tb1 = straight trombone, name \"Quay\"
player Tp1 = trumpet in Bb
player Nat = natural horn in F
bar 1  meter 4/4  key Bb major  tempo q = 120
Tb1 | q : Bb2 C3_ D3_ F3@6 | s*4 q h : Bb2 G2 Bb2 B2 F3:gliss C3 |
Tp1 | q : Bb4_ C5_ D5 Eb5 | - |
Nat | w : F3 | - |
";

#[test]
fn bar_by_bar_with_shifts_and_slurs() {
    let dir = folder(&[("a.brass", SCORE)]);
    let answer = run(dir.path(), &["plan", "a.brass", "Tb1"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    insta::assert_snapshot!(answer.out);
    assert_eq!(run(dir.path(), &["plan", "a.brass", "Quay"]).out, answer.out);
    assert_eq!(run_with(dir.path(), &["plan", "-", "Tb1"], SCORE.as_bytes()).out, answer.out);
    let second = run(dir.path(), &["plan", "a.brass", "Tb1", "--bars", "2"]).out;
    assert!(second.contains("bar 2") && !second.contains("bar 1\n"), "{second}");
    let trumpet = run(dir.path(), &["plan", "a.brass", "Tp1"]).out;
    assert!(trumpet.contains("  D5     1     1 move; natural slur, by the valve"), "{trumpet}");
    assert!(trumpet.ends_with("4 notes, 3 finger moves, 2 of 2 slurs natural.\n"), "{trumpet}");
}

#[test]
fn json_has_its_shape() {
    let dir = folder(&[("a.brass", SCORE)]);
    let plan = run(dir.path(), &["plan", "a.brass", "Tb1", "--format", "json"]).json();
    assert_eq!(members(&plan), ["level", "notes", "player", "version"]);
    let notes = plan["notes"].as_array().unwrap();
    assert_eq!(notes.len(), 10);
    let wanted = [
        "bar",
        "chosen",
        "column",
        "endColumn",
        "fingerMoves",
        "hasSeconds",
        "how",
        "instrument",
        "joined",
        "late",
        "line",
        "needsSeconds",
        "outCm",
        "partial",
        "pass",
        "slur",
        "sounding",
        "travelCm",
        "written",
    ];
    assert_eq!(members(&notes[0]), wanted);
    assert!(notes[0]["travelCm"].is_null() && notes[0]["joined"].is_null());
    assert_eq!((&notes[3]["how"], &notes[3]["chosen"]), (&"6".into(), &true.into()));
    assert_eq!(
        (&notes[3]["line"], &notes[3]["column"], &notes[3]["endColumn"]),
        (&5.into(), &23.into(), &27.into())
    );
    // First to fourth position takes a professional 0.134 s; a sixteenth at 120 is 0.125 s.
    assert_eq!((&notes[5]["late"], &notes[5]["hasSeconds"]), (&"late".into(), &0.125.into()));
    assert_eq!(notes[9]["joined"], "glissando");
    let trumpet = run(dir.path(), &["plan", "a.brass", "Tp1", "--format", "json"]).json();
    let second = &trumpet["notes"][1];
    assert_eq!((&second["written"], &second["sounding"]), (&"D5".into(), &"C5".into()));
    assert_eq!((&second["fingerMoves"], &second["slur"]), (&1.0.into(), &"valve".into()));
    assert!(second["outCm"].is_null() && second["travelCm"].is_null());
}

#[test]
fn what_cannot_be_done_is_said() {
    let dir = folder(&[("a.brass", SCORE), ("b.brass", "player Tb1 = trombone\nbar 1\nTb1 | w : F3 |\n")]);
    let untimed = run(dir.path(), &["plan", "b.brass", "Tb1"]);
    assert_eq!(untimed.status, 0);
    assert!(untimed.out.contains("Nothing to plan"), "{}", untimed.out);
    for wrong in [
        &["plan", "a.brass", "Tb9"][..],
        &["plan", "no.brass", "Tb1"],
        &["plan", "a.brass", "Tb1", "--bars", "x"],
        &["plan", "a.brass"],
    ] {
        let answer = run(dir.path(), wrong);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{wrong:?}");
        assert!(!answer.err.is_empty(), "{wrong:?}");
    }
}
