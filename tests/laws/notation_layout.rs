//! The canonical layout: what it looks like, and that it changes blanks only.

use proptest::prelude::*;
use waterkey::notation::layout::{tidied, tidy_rows};
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

#[test]
fn the_rows_of_one_block_come_out_as_in_the_whole_text() {
    let crushed = crushed(CANONICAL);
    let desk = waterkey::rules::Desk::new(&crushed, Default::default(), &waterkey::score::NoFiles);
    let score = desk.score();
    for block in &score.blocks {
        let lines = &block.read.block.text.lines;
        let changed = tidy_rows(&score.head.lines, lines).unwrap();
        assert_eq!(changed.len(), lines.iter().filter(|l| l.text.contains('|')).count());
        for (at, text) in changed {
            let wanted = CANONICAL.lines().nth(block.line as usize + at);
            assert_eq!(Some(text.as_str()), wanted);
        }
    }
    let faulty = Document::new("Tp1 | w : C5 |\nTb1 | w : c5 |\n");
    let lines: Vec<_> = faulty.lines().iter().cloned().collect();
    assert_eq!(tidy_rows(&[], &lines), None);
}

/// The tokens of each line without blanks, and the tree without places in the line.
fn meaning(text: &str) -> Vec<(Vec<String>, String)> {
    let document = Document::new(text);
    let of_line = |line: &std::sync::Arc<waterkey::notation::Line>| {
        let tokens = line.tokens.iter().filter(|t| t.kind != Kind::Blank || t.of(&line.text) == "\u{FEFF}");
        let tokens = tokens.map(|t| {
            let said = t.of(&line.text);
            // Blanks at the end of a remark go, as at the end of any line.
            if t.kind == Kind::Comment { said.trim_end_matches([' ', '\t']) } else { said }.to_owned()
        });
        let tree: Vec<String> = print::print(line)
            .lines()
            .filter(|l| !l.trim_start().starts_with("fault") && !l.trim_start().starts_with("fix"))
            .map(|l| if l.trim_start().starts_with("bar ") { "bar".to_owned() } else { l.to_owned() })
            .map(|l| without_spans(&l))
            .collect();
        (tokens.collect(), tree.join("\n"))
    };
    document.lines().iter().map(of_line).collect()
}

fn without_spans(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("Span {") {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        rest = &rest[rest.find('}').unwrap() + 1..];
    }
    out.push_str(rest);
    out.chars().filter(|c| !c.is_whitespace()).collect()
}

fn blanks() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![" ", " ", "  ", "   ", "\t", "      "])
}

fn joined(parts: Vec<&'static str>, most: usize) -> impl Strategy<Value = String> {
    prop::collection::vec((prop::sample::select(parts), blanks()), 1..most)
        .prop_map(|parts| parts.into_iter().map(|(part, blank)| format!("{part}{blank}")).collect())
}

/// Bars of music as somebody might write them, right or wrong.
fn bar() -> impl Strategy<Value = String> {
    let entries = vec![
        "C5",
        "Bb4_",
        "F#3>.",
        "(C4 E4)",
        "( Bb3   D4- )^",
        "=",
        "-",
        "=*3",
        "C5*4",
        "-*2",
        "p",
        "cresc",
        "\"dolce  e bello\"",
        "/D5",
        "/(C4  E4).",
        "[mute  cup]",
        "[switch piccolo trumpet  in A]",
        "D5:trill=Eb5",
        "G5@12,",
        "fp",
        "\"words that are longer than most columns\"",
    ];
    prop_oneof![
        6 => joined(entries.clone(), 7),
        2 => (joined(vec!["q", "e.", "h+e", "q-", "q=", "e*4", "{3:2 e*3}", "{3:2  q {3:2 s*3 }}*2", "w:fermata"], 5), joined(entries, 6))
            .prop_map(|(figure, list)| format!("{figure}: {list}")),
        1 => joined(vec!["rest 3", "%*2", "%", "play riff", "play riff down P5*2", "improvise 2"], 2),
        1 => Just(" ".to_owned()),
        1 => joined(vec!["C5", "!", "c5", "(", "q", "*3"], 4),
    ]
}

fn row() -> impl Strategy<Value = String> {
    let rhythm = prop_oneof![
        4 => joined(vec!["q", "e.", "h+e", "q-", "q=", "e*4", "{3:2 e*3}", "{3:2  q {3:2 s*3 }}*2", "w:fermata", "[tempo  q=60]", "\"rall\"", "[rit]"], 6),
        1 => Just("q".to_owned()),
        1 => Just("%".to_owned()),
        1 => Just("".to_owned()),
    ];
    let bars = |name: &'static str, bar: BoxedStrategy<String>| {
        prop::collection::vec(bar, 1..5).prop_map(move |bars| format!("{name} |{} |", bars.join("|")))
    };
    let symbols = joined(vec!["Bb6", "C7(b9)", "N.C.", "F#m7b5"], 3);
    prop_oneof![
        4 => bars("Tp1", bar().boxed()),
        2 => bars("  Hn1   Hn2", bar().boxed()),
        1 => bars("Åsa", bar().boxed()),
        2 => bars("rhythm", rhythm.boxed()),
        1 => bars("chords", prop_oneof![symbols, Just("h  h : Bb6 F7".to_owned()), Just("rest 2".to_owned()), Just("%".to_owned())].boxed()),
    ]
}

fn line() -> impl Strategy<Value = String> {
    let head = prop::sample::select(vec![
        "brass 1",
        "title   \"A  b\"",
        "tuning A4=442",
        "player Tp1=trumpet in Bb,level school , mutes cup  straight",
        "player LongName   =  horn in F",
        "group G =Tp1   LongName",
        "allow  too-high for  Tp1",
        "roadmap A  A*2 \"b  c\"",
        "instrument X=valved,fundamental Bb1,range E2..Bb4",
        "phrase riff in  Bb | q q h : C5  D5 E5|-|rest 2 |",
        "include \"x\"",
        "bar 4   meter 3+2/8  2/4 tempo \"Calm\" q=72",
        "bar",
        "  bar  pickup  q",
        "// remark  ",
        "",
        "  ",
        "nonsense  here  ",
        "\u{FEFF}brass   1",
        "player Bad  = horn in  H",
        "title \"open  ",
    ]);
    prop_oneof![3 => head.prop_map(str::to_owned), 5 => row()]
}

fn score() -> impl Strategy<Value = String> {
    let line = (
        line(),
        prop::sample::select(vec!["", " ", "  // remark ", " //", "\u{A0}", " \u{A0} "]),
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
    );
    prop::collection::vec(line.prop_map(|(line, tail, end)| format!("{line}{tail}{end}")), 0..14)
        .prop_map(|v| v.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn twice_is_once_and_only_blanks_change(text in score()) {
        let once = tidy(&text);
        prop_assert_eq!(&tidy(&once), &once);
        prop_assert_eq!(meaning(&once), meaning(&text));
    }

    #[test]
    fn wider_blanks_come_out_the_same(text in score()) {
        let document = Document::new(&text);
        let wide: String = document.lines().iter().map(|line| {
            let tokens = line.tokens.iter().map(|t| {
                let said = t.of(&line.text);
                if t.kind == Kind::Blank && said != "\u{FEFF}" { format!("{said} \t") } else { said.to_owned() }
            });
            let comment_alone = line.tokens.iter().any(|t| t.kind == Kind::Comment)
                && line.tree == waterkey::notation::tree::LineTree::Blank;
            let tokens: String = if comment_alone || !line.faults.is_empty() { line.text.to_string() } else { tokens.collect() };
            format!("{tokens}{}", line.ending.text())
        }).collect();
        prop_assert_eq!(tidy(&wide), tidy(&text));
    }
}

#[test]
fn a_long_rest_spans_the_columns_of_its_bars() {
    let text = "bar 1\nTp1 | q : C5 | rest 3 |\nHn | w : C4 | w : D4 | w : E4 | w : F4 |\n";
    assert_eq!(
        tidy(text),
        "bar 1\nTp1    | q : C5 | rest 3                   |\nHn     | w : C4 | w : D4 | w : E4 | w : F4 |\n"
    );
}

#[test]
fn a_phrase_that_is_played_spans_its_bars() {
    let text = "phrase riff | w : C4 | rest 2 |\nbar 1\nTp1 | play riff | - |\nHn | w : C4 | w : D4 | w : E4 | w : F4 |\n";
    assert_eq!(
        tidy(text),
        "phrase riff | w : C4 | rest 2 |\nbar 1\nTp1    | play riff                | -      |\nHn     | w : C4 | w : D4 | w : E4 | w : F4 |\n"
    );
}

#[test]
fn a_wide_cell_runs_on_and_the_next_bar_is_in_its_column_again() {
    let text = "bar 1\nrhythm | h h | w |\nTp1 | \"as if from very far away over the water\" C5 D5 | E5 |\nHn | C4 D4 | E4 |\n";
    let tidied = tidy(text);
    assert_eq!(
        tidied,
        "bar 1\nrhythm | h     h  | w  |\nTp1    | \"as if from very far away over the water\" C5 D5 | E5 |\nHn     | C4    D4 | E4 |\n"
    );
}

#[test]
fn a_line_that_cannot_be_read_keeps_its_words_and_blanks() {
    let text = "Tp1   |  C5 !   D5 |   \nTp1 |C5   D5|\n";
    assert_eq!(tidy(text), "Tp1   |  C5 !   D5 |\nTp1    | C5 D5 |\n");
}
