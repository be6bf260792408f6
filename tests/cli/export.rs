//! `waterkey export`.

use super::answer::{folder, run, run_with};
use super::scores::{CLEAN, FAULTY};

#[test]
fn the_form_is_named_or_said_by_the_files_ending() {
    let dir = folder(&[("x.brass", CLEAN)]);
    let text = run(dir.path(), &["export", "x.brass", "--to", "musicxml"]);
    assert_eq!((text.status, text.err.as_str()), (0, ""));
    assert!(text.out.starts_with("<?xml") && text.out.contains("<part-name>Tp1</part-name>"), "{}", text.out);
    assert_eq!(run_with(dir.path(), &["export", "-", "--to", "musicxml"], CLEAN.as_bytes()).out, text.out);
    for (file, begins) in
        [("a.musicxml", &b"<?xml"[..]), ("a.mxl", b"PK"), ("a.mid", b"MThd"), ("a.json", b"{\"title\"")]
    {
        let answer = run(dir.path(), &["export", "x.brass", "-o", file]);
        assert_eq!((answer.status, answer.out), (0, format!("{file} is written\n")));
        let bytes = std::fs::read(dir.path().join(file)).unwrap();
        assert!(bytes.starts_with(begins), "{file}");
    }
    assert_eq!(run(dir.path(), &["export", "x.brass", "--to", "midi", "-o", "song"]).status, 0);
    assert!(std::fs::read(dir.path().join("song")).unwrap().starts_with(b"MThd"));
}

#[test]
fn every_player_gets_a_file() {
    let dir = folder(&[("x.brass", CLEAN)]);
    let answer = run(dir.path(), &["export", "x.brass", "--to", "musicxml", "--parts", "parts"]);
    assert_eq!((answer.status, answer.out.lines().count()), (0, 2), "{answer:?}");
    let part = std::fs::read_to_string(dir.path().join("parts/x-Tp1.musicxml")).unwrap();
    assert_eq!(part.matches("<part id=").count(), 1);
}

#[test]
fn what_cannot_be_done_is_said() {
    let dir = folder(&[("x.brass", CLEAN), ("empty.brass", "")]);
    for (wrong, told) in [
        (&["export", "x.brass"][..], "--to musicxml"),
        (&["export", "x.brass", "-o", "x.pdf"], "says no form"),
        (&["export", "x.brass", "--to", "pdf"], "musicxml"),
        (&["export", "x.brass", "--to", "midi"], "-o FILE"),
        (&["export", "x.brass", "--to", "midi", "--parts", "p"], "MusicXML"),
        (&["export", "x.brass", "--to", "midi", "-o", "a.mid", "--concert"], "--concert"),
        (&["export", "x.brass", "--to", "musicxml", "--parts", "p", "-o", "q"], "--parts"),
        (&["export", "x.brass", "--to", "musicxml", "-o", "./x.brass"], "the score itself"),
        (&["export", "x.brass", "-o", "no/where.mid"], "could not be written"),
        (&["export", "nobody.brass", "-o", "a.mid"], "nobody.brass"),
        (&["export", "empty.brass", "--to", "musicxml", "--parts", "p"], "no players"),
    ] {
        let answer = run(dir.path(), wrong);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{wrong:?} {answer:?}");
        assert!(answer.err.contains(told), "{wrong:?} {answer:?}");
    }
    assert_eq!(std::fs::read_to_string(dir.path().join("x.brass")).unwrap(), CLEAN);
}

#[test]
fn faults_of_reading_are_told_and_the_rest_is_written() {
    let dir = folder(&[("x.brass", FAULTY)]);
    let answer = run(dir.path(), &["export", "x.brass", "-o", "a.mid"]);
    assert_eq!(answer.status, 1);
    assert!(answer.err.contains("waterkey check x.brass"), "{answer:?}");
    assert!(dir.path().join("a.mid").exists());
}

#[test]
fn parts_have_cues_unless_they_are_not_wanted() {
    let score = "player Tp1 = trumpet in Bb\nplayer Tb = trombone\nbar 1  meter 4/4  tempo q = 90\n\
                 Tp1 | rest 16 | w : C5 |\nTb | w : F3 | %*16 |\n";
    let dir = folder(&[("x.brass", score)]);
    let part = |more: &[&str]| {
        let base = ["export", "x.brass", "--to", "musicxml", "--parts", "parts"];
        let answer = run(dir.path(), &[&base, more].concat());
        assert_eq!(answer.status, 0, "{}", answer.err);
        std::fs::read_to_string(dir.path().join("parts/x-Tp1.musicxml")).unwrap()
    };
    assert_eq!(part(&[]).matches("<cue/>").count(), 4);
    assert_eq!(part(&["--no-cues"]).matches("<cue/>").count(), 0);
    assert_ne!(run(dir.path(), &["export", "x.brass", "--to", "musicxml", "--no-cues"]).status, 0);
}
