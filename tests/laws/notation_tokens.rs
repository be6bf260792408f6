//! Reading takes any text: nothing is lost, nothing stops it, and it costs in proportion.

use proptest::prelude::*;
use waterkey::notation::line::read_line_counted;
use waterkey::notation::token::{LINE_CAP, tokens};
use waterkey::notation::tree::LineTree;
use waterkey::notation::{Ending, FaultName, Line, read_line};

const SOUP: [&str; 74] = [
    "C5",
    "Bb4",
    "F#3",
    "Fx4",
    "Bbb3",
    "E♭5",
    "F♯4",
    "𝄪",
    "C𝄫4",
    "c5",
    "bb4",
    "F#",
    "B♭",
    "q",
    "e",
    "h.",
    "ww",
    "sss",
    "ssss",
    "(",
    ")",
    "{",
    "}",
    "[",
    "]",
    "{3:2",
    "|",
    "||",
    ":",
    " : ",
    "*",
    "*3",
    "*99999999999",
    "/",
    "//",
    " // ",
    ".",
    "-",
    ">",
    "<",
    "^",
    "_",
    ",",
    ",,",
    "=",
    "%",
    "@",
    "@12",
    "@T0",
    "+",
    ":trill",
    ":gliss",
    ":x",
    "\"",
    "\"dolce\"",
    "“x”",
    "”",
    " ",
    "  ",
    "\t",
    "\u{A0}",
    "\u{2028}",
    "é",
    "𝄞",
    "🎺",
    "e\u{301}",
    "rest 4",
    "play x up m3",
    "[mute cup]",
    "[tempo q = 60]",
    "p",
    "cresc",
    "1",
    "0",
];

const FIRST: [&str; 24] = [
    "",
    "Tp1 | ",
    "rhythm | ",
    "chords | ",
    "phrase x | ",
    "player X = ",
    "player X = horn in F, ",
    "group X = ",
    "instrument X = valved, ",
    "allow ",
    "roadmap ",
    "include ",
    "bar ",
    "bar 1 meter ",
    "bar 1 tempo ",
    "bar 1 key ",
    "title ",
    "tuning ",
    "brass ",
    "level ",
    "pitch ",
    "Tp1 | q : ",
    "Tp1 Tp2 | (",
    "\u{FEFF}",
];

fn soup() -> impl Strategy<Value = String> {
    let parts = prop::collection::vec(prop::sample::select(SOUP.to_vec()), 0..40);
    (prop::sample::select(FIRST.to_vec()), parts)
        .prop_map(|(first, parts)| format!("{first}{}", parts.concat()))
}

fn check(text: &str) -> Line {
    let line = read_line(text, Ending::Lf);
    let joined: String = line.tokens.iter().map(|t| t.of(text)).collect();
    assert_eq!(joined, text);
    if let LineTree::Row(row) = &line.tree {
        let faulty = row.bars.iter().any(|bar| bar.faulty);
        assert!(!faulty || !line.faults.is_empty(), "{text}: a faulty bar without a fault");
    }
    for fault in &line.faults {
        // What the grammar says only if it did not take all tokens.
        assert_ne!(fault.text, "This line cannot be read.", "{text}");
        assert!(fault.span.start <= fault.span.end && fault.span.end as usize <= text.len(), "{fault:?}");
        assert!(
            text.is_char_boundary(fault.span.start as usize)
                && text.is_char_boundary(fault.span.end as usize)
        );
        let Some(fix) = &fault.fix else { continue };
        let mut last = 0;
        for (span, _) in &fix.edits {
            assert!(
                last <= span.start && span.start <= span.end && span.end as usize <= text.len(),
                "{fault:?}"
            );
            last = span.end;
        }
    }
    line
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn token_soup_is_read_without_loss(text in soup()) {
        check(&text);
    }

    #[test]
    fn any_characters_are_read_without_loss(text in any::<String>()) {
        check(&text);
    }

    #[test]
    fn any_bytes_are_read_without_loss(bytes in prop::collection::vec(any::<u8>(), 0..120)) {
        check(&String::from_utf8_lossy(&bytes));
    }
}

proptest! {
    #[test]
    fn reading_costs_in_proportion(text in soup()) {
        // Twice the text costs at most twice as much, give or take what the ends cost.
        let bar = text.replace(['"', '“', '”'], "").replace("//", "/");
        let cost = |n: usize| read_line_counted(&format!("Tp1 | {}", format!("{bar} | ").repeat(n)), Ending::Lf).1;
        let (once, twice, four) = (cost(8), cost(16), cost(32));
        prop_assert!(twice <= 2 * once + 40, "{once} {twice}");
        prop_assert!(four <= 2 * twice + 40, "{twice} {four}");
    }
}

fn assert_linear(name: &str, text: impl Fn(usize) -> String) {
    let cost = |n| read_line_counted(&text(n), Ending::Lf).1;
    let (once, twice) = (cost(2_000), cost(4_000));
    assert!(twice <= 2 * once + 100, "{name}: {once} {twice}");
    let tokens = tokens(&text(4_000)).len() as u64;
    assert!(twice <= 30 * tokens + 100, "{name}: {twice} looks at {tokens} tokens");
}

#[test]
fn deep_nests_and_long_runs_cost_in_proportion() {
    for open in [
        "(",
        "{",
        "[",
        "{3:2 ",
        "((C4",
        "[mute ",
        "/(",
        "\"",
        "“",
        "@",
        "*",
        "C5_",
        "q.",
        "C5:trill=",
        "=",
        "-",
        ",",
        "|",
        "_",
        "q+",
    ] {
        assert_linear(open, |n| format!("Tp1 | {}", open.repeat(n)));
        assert_linear(open, |n| format!("rhythm | {}", open.repeat(n)));
        assert_linear(open, |n| format!("player X = {}", open.repeat(n)));
        assert_linear(open, |n| format!("bar 1 {}", open.repeat(n)));
        assert_linear(open, |n| format!("{} |", open.repeat(n)));
    }
}

#[test]
fn ten_thousand_nested_brackets_are_faults_and_nothing_more() {
    for (open, close) in [("(", ")"), ("{", "}"), ("[", "]"), ("{3:2 ", "}")] {
        let text = format!("Tp1 | {}C5{} | D5 |", open.repeat(10_000), close.repeat(10_000));
        let line = check(&text);
        assert!(!line.faults.is_empty());
        assert!(line.faults.len() < 40_000);
    }
}

#[test]
fn a_megabyte_line_is_kept_whole_and_read_up_to_the_cap() {
    for part in ["C5 ", "é", "x", "\"", "| ", "  ", "9", "C5|", "_", "\u{A0}", "// "] {
        let text = format!("Tp1 | {}", part.repeat(1_000_000 / part.len()));
        let line = check(&text);
        let fault = line.faults.iter().find(|f| f.name == FaultName::TooLong).unwrap();
        assert!(fault.span.start as usize <= LINE_CAP && fault.span.start as usize > LINE_CAP - 4);
        assert!(!line.faults.iter().any(|f| f.name == FaultName::Unclosed));
    }
}

#[test]
fn a_line_of_the_longest_length_is_read_whole() {
    let text = format!("Tp1 | {}|", "C5 ".repeat((LINE_CAP - 7) / 3));
    assert!(text.len() <= LINE_CAP);
    assert!(check(&text).faults.is_empty());
}

#[test]
fn no_token_crosses_a_line_end() {
    for sign in ["\r", "\n"] {
        for text in ["\"a^b\"", "C5^D5", "// a^b", "“a^b”", "  ^  ", "@1^2", "12^3"] {
            let text = text.replace('^', sign);
            for token in tokens(&text).iter().filter(|t| !text.starts_with("//") || t.span.start > 0) {
                let said = token.of(&text);
                assert!(said == sign || !said.contains(sign), "{said:?}");
            }
        }
    }
}
