//! Every form of the notation is read, and what it is read as.

use super::line::{Ending, Line, read_line};
use super::print::print;
use super::tree::{Basis, LineTree, OptionKind, SettingKind, What};
use crate::music::Fraction;

fn read(text: &str) -> Line {
    read_line(text, Ending::Lf)
}

/// The printed tree without the lines on bars' places.
fn tree(text: &str) -> String {
    let line = read(text);
    assert!(line.faults.is_empty(), "{text}: {:#?}", line.faults);
    let lines = print(&line)
        .lines()
        .filter(|l| !l.starts_with("  bar "))
        .map(|l| l.trim().to_owned())
        .collect::<Vec<_>>();
    lines.get(1..).unwrap_or(&[]).join("\n")
}

/// The tree of one bar of a music row.
fn bar(text: &str) -> String {
    tree(&format!("Tp1 | {text} |"))
}

fn sound(text: &str) {
    let line = read(text);
    assert!(line.faults.is_empty(), "{text}: {:#?}", line.faults);
}

#[test]
fn every_spelling_of_a_note() {
    for (written, pitch) in [
        ("Bb4", "Bb4"),
        ("F#3", "F#3"),
        ("Fx4", "Fx4"),
        ("Bbb3", "Bbb3"),
        ("C4", "C4"),
        ("E♭5", "Eb5"),
        ("F♯4", "F#4"),
        ("G𝄪4", "Gx4"),
        ("A𝄫4", "Abb4"),
        ("B0", "B0"),
        ("C9", "C9"),
    ] {
        assert_eq!(bar(written), format!("{written} note {pitch}"));
    }
}

#[test]
fn entries_of_a_list() {
    assert_eq!(bar("-"), "- rest");
    assert_eq!(bar("="), "= hold");
    assert_eq!(bar("(D4 F4 Bb4)"), "(D4 F4 Bb4) chord D4, F4, Bb4");
    assert_eq!(bar("(- C4 = E4.)^"), "(- C4 = E4.)^ chord rest, C4, hold, E4 Staccato Marcato");
    assert_eq!(bar("/B4 C5"), "/B4 grace B4\nC5 note C5");
    assert_eq!(
        bar("/(B3 D4).@0 /E4>_ C5"),
        "/(B3 D4).@0 grace chord B3, D4 Staccato Choice { thumb: false, second: false, digits: 0 }\n/E4>_ grace E4 Accent Slur\nC5 note C5"
    );
    assert_eq!(bar("C5*3 =*3 -*64"), "C5*3 note C5 *3\n=*3 hold *3\n-*64 rest *64");
    assert_eq!(bar("(C4 E4)(D4 F4)"), "(C4 E4) chord C4, E4\n(D4 F4) chord D4, F4");
    assert_eq!(
        bar("p\"dolce\"C5[open]D5"),
        "p dynamic(p)\n\"dolce\" words\nC5 note C5\n[open] instruction(open)\nD5 note D5"
    );
}

#[test]
fn bars_of_one_thing() {
    assert_eq!(bar("rest 8"), "rest 8 rests(8)");
    assert_eq!(bar("%"), "% again(1)");
    assert_eq!(bar("%*3"), "%*3 again(3)");
    assert_eq!(bar("improvise 8"), "improvise 8 improvise(8)");
    assert_eq!(bar("play riff"), "play riff play riff by P1 *1");
    assert_eq!(bar("play riff up m3*2"), "play riff up m3*2 play riff by m3 *2");
    assert_eq!(bar("play A4 down A4"), "play A4 down A4 play A4 by -A4 *1");
    assert_eq!(bar("play x_*2"), "play x_*2 play x_ by P1 *2");
    assert_eq!(
        bar("[mute cup] rest 8 [open]"),
        "[mute cup] instruction(mute(cup))\nrest 8 rests(8)\n[open] instruction(open)"
    );
    assert_eq!(bar("p \"x\" -,"), "p dynamic(p)\n\"x\" words\n-, rest Breath");
}

#[test]
fn every_mark() {
    for (written, read) in [
        ("C5.", "Staccato"),
        ("C5-", "Tenuto"),
        ("C5>", "Accent"),
        ("C5^", "Marcato"),
        ("C5_", "Slur"),
        ("C5,", "Breath"),
        ("C5,,", "Break"),
        ("C5->_,", "Tenuto Accent Slur Breath"),
        ("C5:trill", "Trill"),
        ("C5:trill=Eb5", "Trill trill with Eb5"),
        ("C5:trill=D5_", "Slur Trill trill with D5"),
        ("C5:gliss_", "Slur Gliss"),
        ("C5:fermata:wedge", "Wedge Fermata"),
        ("C5@12", "Choice { thumb: false, second: false, digits: 3 }"),
        ("C5@0", "Choice { thumb: false, second: false, digits: 0 }"),
        ("C5@T13", "Choice { thumb: true, second: false, digits: 5 }"),
        ("C5@T2", "Choice { thumb: true, second: false, digits: 2 }"),
        ("C5@G2", "Choice { thumb: false, second: true, digits: 2 }"),
        ("C5@TG3", "Choice { thumb: true, second: true, digits: 4 }"),
        ("C5@7", "Choice { thumb: false, second: false, digits: 64 }"),
    ] {
        assert_eq!(bar(written), format!("{written} note C5 {read}"));
    }
    let techniques = "trill turn flutter growl stopped halfvalve gliss fall doit scoop rip shake bend ghost lip wedge fermata closed open wah";
    for word in techniques.split(' ') {
        sound(&format!("Tp1 | C5:{word} |"));
    }
    for mark in [".", ",", ",,", "_", ":fermata", ":gliss", ":fall", ":doit", ":shake", ":trill", ":flutter"]
    {
        sound(&format!("Tp1 | ={mark} |"));
    }
    for mark in [",", ",,", ":fermata"] {
        sound(&format!("Tp1 | -{mark} |"));
    }
    for mark in [".", ">", "_", "@12"] {
        sound(&format!("Tp1 | /C5{mark} D5 |"));
    }
}

#[test]
fn every_free_thing() {
    for word in "pppp ppp pp p mp mf f ff fff ffff fp sfp sf sfz fz rfz".split(' ') {
        assert_eq!(bar(&format!("{word} C5")), format!("{word} dynamic({word})\nC5 note C5"));
    }
    assert_eq!(bar("cresc C5 dim D5"), "cresc crescendo\nC5 note C5\ndim diminuendo\nD5 note D5");
    for word in "open stopped hand flutter plain solo tutti".split(' ') {
        assert_eq!(bar(&format!("[{word}] C5")), format!("[{word}] instruction({word})\nC5 note C5"));
    }
    for mute in "straight cup harmon harmon-stemless bucket plunger hat solo-tone whisper practice stopping"
        .split(' ')
    {
        let name = mute.replace('-', "");
        assert_eq!(
            bar(&format!("[mute {mute}] C5")),
            format!("[mute {mute}] instruction(mute({name}))\nC5 note C5")
        );
    }
    assert_eq!(bar("[switch flugelhorn] C5"), "[switch flugelhorn] switch to flugelhorn\nC5 note C5");
    assert_eq!(
        bar("[ switch trumpet in C ] C5"),
        "[ switch trumpet in C ] switch to trumpet in C\nC5 note C5"
    );
    for clef in "treble bass tenor alto".split(' ') {
        assert_eq!(
            bar(&format!("[clef {clef}] C5")),
            format!("[clef {clef}] instruction(clef({clef}))\nC5 note C5")
        );
    }
}

#[test]
fn figures_of_bars() {
    let text = "Tp1 | ww w h q e s ss sss : C5 |";
    let line = read(text);
    let LineTree::Row(row) = &line.tree else { panic!("a row") };
    let lengths: Vec<String> = row
        .nodes
        .iter()
        .map(|node| match node {
            super::tree::FigureNode::Place(place) => place.value.to_string(),
            _ => "?".to_owned(),
        })
        .collect();
    assert_eq!(lengths, ["2", "1", "1/2", "1/4", "1/8", "1/16", "1/32", "1/64"]);
    assert_eq!(bar("q: C5"), "figure q\nplace 1/4 entry *1 plain\nC5 note C5");
    assert_eq!(bar("h.. : C5"), "figure h..\nplace 7/8 entry *1\nC5 note C5");
    assert_eq!(bar("h+e. : C5"), "figure h+e.\nplace 11/16 entry *1\nC5 note C5");
    assert_eq!(
        bar("q= q- e*4 : C5 D5"),
        "figure q= q- e*4\nplace 1/4 hold *1 plain\nplace 1/4 silence *1 plain\nplace 1/8 entry *4 plain\nC5 note C5\nD5 note D5"
    );
    assert_eq!(
        bar("q-:fermata*2 : C5"),
        "figure q-:fermata*2\nplace 1/4 silence *2 plain fermata\nC5 note C5"
    );
    assert_eq!(
        bar("{3:2 e*3}*2 {3:2 q {5:4 s*5} e} : C5"),
        "figure {3:2 e*3}*2 {3:2 q {5:4 s*5} e}\nopen 3:2\nplace 1/8 entry *3 plain\nclose *2\nopen 3:2\nplace 1/4 entry *1 plain\nopen 5:4\nplace 1/16 entry *5 plain\nclose *1\nplace 1/8 entry *1 plain\nclose *1\nC5 note C5"
    );
    assert_eq!(bar("h : -"), "figure h\nplace 1/2 entry *1 plain\n- rest");
    assert_eq!(bar(""), "");
}

#[test]
fn rhythm_rows() {
    assert_eq!(
        tree("rhythm | q. e | % | | w:fermata |"),
        "figure q. e\nplace 3/8 entry *1\nplace 1/8 entry *1 plain\n% again(1) after 0\nfigure w:fermata\nplace 1 entry *1 plain fermata"
    );
    assert_eq!(
        tree("rhythm | [tempo \"Lively\" q = 76] h \"x\" h [rit] | [accel] h [a-tempo] h |"),
        "figure h \"x\" h\nplace 1/2 entry *1 plain\nplace 1/2 entry *1 plain\n[tempo \"Lively\" q = 76] tempo 1/4 = 7600 after 0\n\"x\" words after 1\n[rit] instruction(rit) after 2\nfigure h [a-tempo] h\nplace 1/2 entry *1 plain\nplace 1/2 entry *1 plain\n[accel] instruction(accel) after 0\n[a-tempo] instruction(atempo) after 1"
    );
}

#[test]
fn chord_rows() {
    assert_eq!(
        tree("chords | Bb6 F#m7b5 | h h : E7 Cmaj7/G | N.C. | C7(b9) | % | rest 4 | |"),
        "Bb6 chord\nF#m7b5 chord\nfigure h h\nplace 1/2 entry *1 plain\nplace 1/2 entry *1 plain\nE7 chord\nCmaj7/G chord\nN.C. None\nC7(b9) chord\n% Again(1)\nrest 4 Rests(4)"
    );
}

#[test]
fn lines_of_the_head() {
    assert_eq!(read("brass 1").tree, LineTree::Version(Some(1)));
    assert_eq!(read("  pitch written // x").tree, LineTree::Basis(Some(Basis::Written)));
    assert_eq!(read("tuning A4 = 442.5").tree, LineTree::Tuning(Some(44_250)));
    for text in [
        "\u{FEFF}brass 1",
        "title \"x | // y\"",
        "composer \"\"",
        "arranger \"x\" // remark",
        "rights \"x\"",
        "level school",
        "level amateur",
        "level professional",
        "pitch concert",
        "group Horns = Hn1 Hn2",
        "group e\u{301}t\u{e9} = C1 w 小号 a__b_",
        "allow too-high off-series",
        "allow too-high for Tp1 Horns",
        "roadmap A A*2 \"Old tail\" start 12",
        "include \"relative/file.brass\"",
        "phrase riff in Bb | q q h : C5 D5 E5 | - | rest 2 |",
        "phrase riff in F basso | play other |",
        "",
        " \t ",
        "// anything \"at all",
        "//",
        "Tp1 Tp2 | C5 | // end",
        "C1 w | C5 |",
    ] {
        sound(text);
    }
}

#[test]
fn players_and_instruments() {
    let text = "player Tp1 = piccolo trumpet in A, level school, top G5, bottom F#3, mutes straight solo-tone, valves 4 plain, doubles natural horn in Eb basso, top C6, clef tenor, seats 3, name \"Solo, first\", signature none";
    let line = read(text);
    assert!(line.faults.is_empty(), "{:?}", line.faults);
    let LineTree::Player(player) = &line.tree else { panic!("a player") };
    assert_eq!(player.instrument.unwrap().of(text), "piccolo trumpet");
    assert_eq!(player.read_in.unwrap().span.of(text), "A");
    assert_eq!(player.options.len(), 11);
    assert!(matches!(player.options[4].what, OptionKind::Valves { count: 4, plain: true }));
    sound("player X = F tuba, mutes none");
    sound("player X = BBb tuba");
    sound(
        "instrument Odd = valved, fundamental Bb1, in Bb up, valves 2 1 3 5, range E2..Bb4, comfortable Bb2..F4",
    );
    sound("instrument Odd = slide, fundamental Bb1");
    sound("instrument Odd = natural, fundamental F#1, in F# basso");
}

#[test]
fn settings_of_a_block() {
    for text in [
        "bar",
        "bar 12",
        "bar 0 pickup q.",
        "bar 1 meter 6/8 key none",
        "bar 1 meter 3+2/8 2/4 tempo \"Broad\" q. = 52.5 mark \"Trio\" spot x_1",
        "bar key F# minor tempo q=60 mark 12 close h+e repeat 2 to 24",
        "bar repeat 2 ending 1 2",
        "bar tempo e+s = 90",
    ] {
        sound(text);
    }
    let LineTree::Block(block) = read("bar 1 close h.").tree else { panic!("a block") };
    assert_eq!(block.settings[0].what, SettingKind::Close(Fraction::new(3, 4).unwrap()));
}

#[test]
fn a_row_without_its_last_barline_is_read_as_if_it_had_it() {
    for (text, bars, closed) in [
        ("Tp1 | C5 | D5", 2, false),
        ("Tp1 | C5 | D5 |", 2, true),
        ("Tp1 |", 1, false),
        ("Tp1 | |", 1, true),
        ("Tp1 | C5 | // D5", 1, true),
    ] {
        let LineTree::Row(row) = read(text).tree else { panic!("a row") };
        assert_eq!((row.bars.len(), row.closed), (bars, closed), "{text}");
    }
}

#[test]
fn blanks_and_brackets_part_and_marks_touch() {
    let line = read("Tp1|C5- -|D5.(C4 E4)|");
    assert!(line.faults.is_empty(), "{:?}", line.faults);
    let LineTree::Row(row) = &line.tree else { panic!("a row") };
    assert_eq!(row.items.len(), 4);
    assert!(matches!(row.items[1].what, What::Rest));
}
