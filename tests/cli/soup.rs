//! Nothing that anybody hands in upsets the command, and every format holds together.

use super::answer::{folder, run_with};
use proptest::prelude::*;

/// Pieces that a score is made of, in no order that makes one.
fn soup() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "brass 1\n",
        "player Tp1 = trumpet in Bb",
        "player Tb1 = trombone, level school",
        "group All = Tp1 Tb1",
        "bar 1",
        "bar",
        "  meter 4/4",
        "  key Bb major",
        "  tempo q = 72",
        "\nTp1 | ",
        "\nAll | ",
        "\nrhythm | ",
        "\n",
        "\r",
        "\r\n",
        " | ",
        "|",
        "q : ",
        "h h : ",
        "e*4 ",
        "{3:2 e*3} ",
        "C5",
        "D5 ",
        "(C4 E4) ",
        "= ",
        "- ",
        "% ",
        "_",
        ",",
        ">",
        ":gliss",
        "@12",
        "[mute cup] ",
        "[",
        "]",
        "(",
        ")",
        "\"",
        "{",
        "}",
        "p ",
        "cresc ",
        "rest 8 ",
        "play riff up m3 ",
        "phrase riff | q : C4 D4 E4 F4 |",
        "include \"x.brass\"\n",
        "allow too-high\n",
        "𝄞",
        "é",
        "\u{feff}",
        "\0",
        "roadmap A B*2\n",
        "repeat 2 to 4 ",
        "ending 1 ",
        "// words",
        "instrument X = valved, ",
    ]);
    prop::collection::vec(pieces, 0..80).prop_map(|pieces| pieces.concat())
}

fn reported(input: &[u8]) -> Result<(), TestCaseError> {
    let dir = folder(&[]);
    let answer = run_with(dir.path(), &["check", "--format", "json", "-"], input);
    prop_assert!((0..=2).contains(&answer.status), "{answer:?}");
    prop_assert!(!answer.err.contains("panicked"), "{answer:?}");
    let json = answer.json();
    let Ok(text) = std::str::from_utf8(input) else {
        prop_assert_eq!(answer.status, 2);
        return Ok(());
    };
    // The same lines as the command counts: LF, CR or both together end one.
    let lines: Vec<usize> =
        text.replace("\r\n", "\n").replace('\r', "\n").split('\n').map(|line| line.chars().count()).collect();
    for finding in json["files"][0]["findings"].as_array().unwrap() {
        let number = |name: &str| finding[name].as_u64().unwrap() as usize;
        prop_assert_eq!(number("line"), number("endLine"));
        let length = lines[number("line") - 1];
        prop_assert!(number("column") >= 1 && number("column") <= number("endColumn"), "{}", finding);
        prop_assert!(number("endColumn") <= length + 1, "{} in a line of {}", finding, length);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(input in prop::collection::vec(any::<u8>(), 0..400)) {
        reported(&input)?;
    }

    #[test]
    fn scores_in_pieces(text in soup()) {
        reported(text.as_bytes())?;
    }

    #[test]
    fn tidying_pieces_twice_is_tidying_once(text in soup()) {
        let dir = folder(&[]);
        let once = run_with(dir.path(), &["tidy", "-"], text.as_bytes());
        let twice = run_with(dir.path(), &["tidy", "-"], once.out.as_bytes());
        prop_assert_eq!(once.status, 0);
        prop_assert_eq!(&once.out, &twice.out);
    }
}
