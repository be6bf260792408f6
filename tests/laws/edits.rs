//! After any edits, the findings are those of a fresh reading, and an edit costs what it touches.

use proptest::prelude::*;
use waterkey::brass::Level;
use waterkey::rules::{Desk, Settings, Severity, check};
use waterkey::score::{LoadFault, Loaded, Loader, NoFiles};

/// A score with every kind of thing that hands something on from block to block.
const SCORE: &str = "\
brass 1
title \"Slack Water\"
player Hn1 = horn in F
player Hn2 = horn in F, level school
player Tp1 = trumpet in Bb, doubles flugelhorn in Bb, top C6
player Tb1 = straight trombone
player Cor = cornet in Bb, seats 3
group Horns = Hn1 Hn2
phrase riff | q : C5 D5 E5 F5 | h : G5 = |
allow too-high for Hn2

bar 1  meter 4/4  key Bb major  tempo q = 72  mark A
rhythm | q. e h | e*4 h | h h |
Horns  | (Bb3 D4) (C4 Eb4) F4 | F4*4 = | - - |
Tp1    | play riff | [switch flugelhorn] h : D6 C5 |
Tb1    | E2 Eb2 Bb1 | q : Bb2*4 | h : F3@4 D3@4 |
Cor    | w : (D4 F4 Bb4) | [solo] - | w : Bb4 |
bar 4  repeat 2
Hn1    | w : = |
Hn2    | w : A5 |
Tp1    | q : D5_ Ebb5:shake D5 C#5 |
Tb1    | h : [mute bucket] ff Bb2 Bb2._ |
bar 5  ending 1
Tp1    | w : = |
Hn1    | s*8 h : pp C5:stopped C5 C5:stopped Bb4:flutter_ C5:flutter cresc Bb4 ff C3 C3 - |
Tb1    | h : [open] ff Bb2 A2 |
bar 6  ending 2
Tp1    | [switch trumpet] w : D6 |
Hn1    | % |
bar 9  meter 3/4 2/4  key E major  mark B
rhythm | q q q | h | [tempo q = 120] h. |
allow tube-gap
Horns  | (G#3 B3) E4 B4 | E4 | h. : (= E#4) |
Tb1    | D2 C#2 B1 | % | rest 1 |
Cor    | (B4 E4 G#4) = - | [tutti] (E4 G#4 B4) |
bar 12  meter 4/4  key C major
Hn1    | h h : ff C3 G3, | w : C3 |
Hn2    | h h : ff G4 C4, | w : G4 |
Tb1    | h h : ff C3 C3, | w : C3 |
Tp1    | h h : ff G4 C5, | w : G4 |
";

/// What edits are made of: bits of notation, faults, line ends, characters of several bytes.
const BITS: [&str; 86] = [
    "",
    " ",
    "\n",
    "\r\n",
    "\r",
    "C5",
    "Bb1",
    "D6 ",
    "E#4",
    "|",
    " | ",
    "q :",
    "(",
    ")",
    "{3:2 e*3}",
    "=",
    "%",
    "-",
    "[mute cup]",
    "[switch trumpet]",
    "play riff",
    "rest 2",
    "𝄞",
    "é",
    "bar 3\n",
    "bar\n",
    "Tp1 | w : C5 |\n",
    "Horns | h : (C4 E4) = |\n",
    "rhythm | h h |\n",
    "// note\n",
    "player Hn3 = horn in F\n",
    "allow too-high\n",
    "repeat 2",
    "ending 1",
    "meter 3/4",
    "key none",
    "tempo e = 90",
    "@12",
    "_",
    "\u{feff}",
    "level school\n",
    "pitch written\n",
    "tuning A4 = 442\n",
    "roadmap A B*2 A\n",
    "include \"crew.brass\"\n",
    "phrase riff | w : (C5 E5) |\n",
    "group Horns = Hn2 Cor\n",
    "chords | C7 G7 | %*2 |\n",
    "[solo] ",
    "[tutti] ",
    "spot A",
    "play riff*2",
    "%*3",
    ", seats 2",
    "[rit] ",
    "[a-tempo] ",
    "[tempo h = 50] ",
    ":fermata",
    ",,",
    "- ",
    "tempo q = 200",
    ":gliss",
    ":trill",
    ":halfvalve",
    "[flutter] ",
    ":stopped",
    ":flutter_",
    "[mute bucket] ",
    "ff ",
    "pp ",
    "cresc ",
    "s*8 : Bb2 C3 D3 Eb3 F3 C3 E2 F3",
    "@1",
    "[mute straight] ",
    "[mute plunger] ",
    "[mute harmon] ",
    "[open] ",
    "[hand] ",
    "[clef tenor] ",
    "[clef treble] ",
    "\"con sord.\" ",
    "mark C",
    "rest 20 |",
    "=, | w : =",
    "w : -",
    "s*8 : Bb2 B2 Bb2 B2 F3 C3 E2 F3",
];

struct Edit {
    from: usize,
    to: usize,
    with: String,
}

fn apply(text: &mut String, edit: &Edit) {
    text.replace_range(edit.from..edit.to, &edit.with);
}

fn boundary(text: &str, mut at: usize) -> usize {
    at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Turns three random numbers into an edit of this text.
fn edit(text: &str, at: usize, length: usize, bit: usize) -> Edit {
    let from = boundary(text, at % (text.len() + 1));
    let to = boundary(text, from + length).max(from);
    // Now and then a stretch of the text itself is pasted.
    let with = if bit < BITS.len() {
        BITS[bit].to_owned()
    } else {
        let start = boundary(text, (at / 3) % (text.len() + 1));
        let end = boundary(text, start + length * 8).max(start);
        text[start..end].to_owned()
    };
    Edit { from, to, with }
}

fn steps() -> impl Strategy<Value = Vec<(usize, usize, usize)>> {
    let length = prop_oneof![8 => 0usize..4, 2 => 4usize..60, 1 => 60usize..400];
    prop::collection::vec((any::<usize>(), length, 0usize..BITS.len() + 8), 1..40)
}

/// Limits of passages so low that they are passed everywhere.
fn strict() -> Settings {
    let mut settings = Settings::default();
    for voice in ["trumpet", "horn", "trombone", "tuba"] {
        for level in Level::ALL {
            let key = format!("{voice}-{}", level.word());
            settings.limits.insert(("no-rest".to_owned(), key), 1.0 + f64::from(level as u8));
        }
    }
    for (rule, key, limit) in [
        ("no-rest", "rest", 1.5),
        ("no-breath", "litres-professional", 0.3),
        ("no-breath", "litres-school", 0.2),
        ("short-breath", "stale", 1.0),
        ("long-high", "high-professional", 0.5),
        ("long-high", "high-school", 0.5),
        ("long-high", "window", 9.0),
        ("heavy-load", "professional", 0.1),
        ("heavy-load", "school", 0.1),
        ("heavy-load", "window", 9.0),
        ("cold-entry", "warning", 1.0),
        ("cold-entry", "below", 30.0),
        ("hard-to-hear", "rest", 0.5),
        ("mute-time", "trumpet-comfortable", 60.0),
        ("mute-time", "horn-comfortable", 60.0),
        ("mute-low", "harmon", 40.0),
        ("mute-low", "straight-horn", 90.0),
        ("switch-time", "comfortable", 90.0),
        ("left-hand-busy", "held", 0.1),
        ("mute-pitch", "together", 0.1),
        ("clef-flips", "bars", 30.0),
        ("long-silence", "bars", 1.0),
        ("mark-gap", "bars", 2.0),
        ("low-and-close", "fifth", 60.0),
        ("low-and-close", "fourth", 60.0),
        ("low-and-close", "beats", 0.5),
        ("uneven-chord", "others", 0.0),
        ("uneven-chord", "beats", 0.5),
        ("crossed-parts", "beats", 0.2),
        ("gap-in-chord", "semitones", 2.0),
        ("gap-in-chord", "bars", 0.1),
        ("gap-in-chord", "notes", 2.0),
        ("bare-chord", "voices", 2.0),
        ("bare-chord", "beats", 0.5),
        ("bare-chord", "share", 1.0),
        ("horn-pairs", "bars", 0.1),
        ("part-order", "low-bars", 1.0),
        ("part-order", "shift", -8.0),
        ("transposition-doubt", "notes", 1.0),
        ("transposition-doubt", "bars", 1.0),
        ("hearing-load", "loud", 2.0),
        ("hearing-load", "quiet", 5.0),
        ("strain-caution", "press", 0.5),
        ("strain-caution", "blow", 2.0),
        ("strain-caution", "breath", 30.0),
        ("wide-leap", "wide", 2.0),
        ("wide-slur", "passed", 0.0),
        ("quick-and-high", "notes", 1.0),
        ("slide-too-far", "start-professional", 0.6),
        ("valve-tangle", "professional", 1.0),
        ("valve-tangle", "school", 0.5),
        ("sharp-combination", "held", 0.2),
        ("sharp-combination", "off", 3.0),
        ("tongue-speed", "trumpet-professional", 0.8),
        ("tongue-speed", "trombone-professional", 0.8),
        ("tongue-speed", "horn-professional", 0.8),
        ("tongue-speed", "horn-school", 0.8),
        ("tongue-speed", "multiple-professional", 1.0),
        ("tongue-speed", "seconds", 1.0),
        ("slow-to-speak", "cycles", 400.0),
        ("slow-to-speak", "horn-rate", 1.0),
        ("high-and-soft", "from", 1.0),
        ("high-and-soft", "shift", -40.0),
        ("low-and-loud", "shift", 60.0),
        ("flutter-limits", "seconds", 0.5),
        ("flutter-limits", "shift", -30.0),
        ("stopped-limits", "rate", 0.3),
        ("stopped-limits", "changes", 2.0),
        ("bend-limits", "shift", 6.0),
        ("effect-contradiction", "rate", 0.8),
        ("effect-contradiction", "notes", 2.0),
    ] {
        settings.limits.insert((rule.to_owned(), key.to_owned()), limit);
    }
    settings
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn what_is_found_after_edits_is_what_a_fresh_reading_finds(steps in steps(), strictly in any::<bool>()) {
        let mut text = SCORE.to_owned();
        let settings = if strictly { strict() } else { Settings::default() };
        let mut desk = Desk::new(&text, settings.clone(), &NoFiles);
        for (n, (at, length, bit)) in steps.into_iter().enumerate() {
            let edit = edit(&text, at, length, bit);
            apply(&mut text, &edit);
            if n % 9 == 8 {
                desk.replace_all(&text, &NoFiles);
            } else {
                desk.edit(edit.from..edit.to, &edit.with, &NoFiles);
            }
            prop_assert_eq!(&desk.document().text(), &text);
            let fresh = check(&text, &settings, &NoFiles);
            prop_assert_eq!(desk.findings(), fresh, "after step {} the text is\n{}", n, text);
        }
    }

    #[test]
    fn an_edit_that_is_taken_back_leaves_everything_as_it_was(
        at in any::<usize>(), length in 0usize..80, bit in 0usize..BITS.len()
    ) {
        let mut desk = Desk::new(SCORE, strict(), &NoFiles);
        let before = desk.findings();
        let edit = edit(SCORE, at, length, bit);
        let old = SCORE[edit.from..edit.to].to_owned();
        desk.edit(edit.from..edit.to, &edit.with, &NoFiles);
        desk.edit(edit.from..edit.from + edit.with.len(), &old, &NoFiles);
        prop_assert_eq!(desk.findings(), before);
    }

    #[test]
    fn other_files_and_settings_between_edits_leave_nothing_stale(steps in steps()) {
        let mut text = format!("include \"crew.brass\"\nlevel amateur\nroadmap start A A B\n{SCORE}");
        let mut files = Crew(CREWS[0]);
        let mut settings = strict();
        let mut desk = Desk::new(&text, settings.clone(), &files);
        for (n, (at, length, bit)) in steps.into_iter().enumerate() {
            match at % 7 {
                0 => {
                    files = Crew(CREWS[at / 7 % CREWS.len()]);
                    desk.files_changed(&files);
                }
                1 => {
                    settings = Settings { level: Level::ALL.get(at / 7 % 4).copied(), ..settings };
                    if at / 28 % 2 == 0 {
                        settings.severities.insert("too-high".to_owned(), Some(Severity::Error));
                    }
                    desk.set(settings.clone(), &files);
                }
                _ => {
                    let edit = edit(&text, at, length, bit);
                    apply(&mut text, &edit);
                    desk.edit(edit.from..edit.to, &edit.with, &files);
                }
            }
            let fresh = check(&text, &settings, &files);
            prop_assert_eq!(desk.findings(), fresh, "after step {} the text is\n{}", n, text);
        }
    }
}

/// What the included file may hold.
const CREWS: [&str; 4] = [
    "player Tu = F tuba\nphrase riff | w : C5 |\n",
    "player Tu = F tuba, level school\r\ngroup Low = Tu\r\nallow too-low\r\n",
    "",
    "include \"crew.brass\"\nplayer Hn1 = horn in F, top C5\nplayer Tu | oops",
];

/// A long score: so many blocks of four bars for eight players.
fn long(blocks: usize) -> String {
    let mut text = String::from("brass 1\n");
    for i in 1..=8 {
        text += &format!("player Hn{i} = horn in F\n");
    }
    for b in 0..blocks {
        text += &format!("bar {}  meter 4/4\nrhythm | q q h | h h | q q q q | w |\n", b * 4 + 1);
        for i in 1..=8 {
            text += &format!("Hn{i} | C4 D4 E4 | F4 G4 | C4 D4 E4 F4 | G4 |\n");
        }
    }
    text
}

#[test]
fn an_edit_costs_what_it_touches_whatever_the_length_of_the_score() {
    for blocks in [10, 100, 400] {
        let text = long(blocks);
        let mut desk = Desk::new(&text, Settings::default(), &NoFiles);
        let row = text.find("Hn5 | C4").unwrap();
        let (lines, work, checked) = (desk.document().lines_read(), desk.score().work, desk.report().checked);
        desk.edit(row + 6..row + 8, "E4", &NoFiles);
        assert_eq!(desk.document().lines_read() - lines, 1, "lines read");
        assert_eq!(desk.score().work.blocks - work.blocks, 1, "blocks read");
        assert_eq!(desk.score().work.rows - work.rows, 1, "rows read");
        assert_eq!(desk.score().work.pairs - work.pairs, 1, "pairs made");
        assert_eq!(desk.report().checked - checked, 1, "pairs checked");
    }
}

/// Eight players of whom each has a rest of four seconds in every tenth block.
fn with_rests(blocks: usize) -> String {
    let mut text = String::from("brass 1\n");
    for i in 1..=8 {
        text += &format!("player Hn{i} = horn in F\n");
    }
    for b in 0..blocks {
        text += &format!("bar {}  meter 4/4{}\n", b + 1, if b == 0 { "  tempo q = 60" } else { "" });
        for i in 1..=8 {
            text += &format!("Hn{i} | w : {} |\n", if b % 10 == i { "-" } else { "C4" });
        }
    }
    text
}

#[test]
fn a_line_is_heard_again_from_the_edit_to_the_next_rest() {
    for blocks in [50, 500] {
        let text = with_rests(blocks);
        let mut desk = Desk::new(&text, Settings::default(), &NoFiles);
        assert_eq!(desk.report().heard, 8 * blocks as u64);
        let at = text.find("bar 25").unwrap();
        let row = at + text[at..].find("Hn3 | w : C4").unwrap();
        let heard = desk.report().heard;
        desk.edit(row + 10..row + 12, "D4", &NoFiles);
        // Another note in bar 25: the bars up to the rest in bar 34 are reached with another state.
        assert!(desk.report().heard - heard <= 10, "{}", desk.report().heard - heard);
        let heard = desk.report().heard;
        desk.edit(row + 10..row + 12, "-", &NoFiles);
        // Bar 25 is silent now, which counts for five minutes, 75 bars of four seconds, and to the next rest.
        assert!(desk.report().heard - heard <= 85, "{}", desk.report().heard - heard);
        assert_eq!(desk.findings(), check(&desk.document().text(), &Settings::default(), &NoFiles));
        // A remark moves every line and nothing else.
        let heard = desk.report().heard;
        desk.edit(0..0, "// after the regatta\n", &NoFiles);
        assert_eq!(desk.report().heard, heard);
        // A bar more in front is heard, and everything after it only where the state is another.
        let first = desk.document().text().find("bar 1  meter").unwrap();
        desk.edit(first..first, "bar 0  pickup q\nHn1 | q : C4 |\n", &NoFiles);
        assert!(desk.report().heard - heard < 8 * 25, "{}", desk.report().heard - heard);
        assert_eq!(desk.findings(), check(&desk.document().text(), &Settings::default(), &NoFiles));
    }
}

/// Another note in a line without a single rest, where a player breathes between notes: soon it is the line
/// that it was, since nothing is counted without an end.
#[test]
fn a_line_that_never_rests_is_heard_again_for_a_few_blocks_only() {
    for (instrument, note, others) in [
        ("trumpet in Bb", "G4", ["C4", "A5"]),
        ("F tuba", "C3", ["C2", "F4"]),
        ("trombone", "D4", ["E2", "C5"]),
    ] {
        let mut text = format!("brass 1\nplayer One = {instrument}\n");
        for block in 0..800 {
            let tempo = if block == 0 { "  tempo q = 90" } else { "" };
            text +=
                &format!("bar {}  meter 4/4{tempo}\nOne | q : {note} {note} {note} {note} |\n", block + 1);
        }
        let mut desk = Desk::new(&text, Settings::default(), &NoFiles);
        let row =
            text.find("bar 700").unwrap() + text[text.find("bar 700").unwrap()..].find(": ").unwrap() + 2;
        for with in others.iter().chain([&note]) {
            let heard = desk.report().heard;
            desk.edit(row..row + 2, with, &NoFiles);
            let heard = desk.report().heard - heard;
            // A minute is the longest that a rule looks back at pitches: 23 bars.
            assert!(heard <= 24, "{instrument}, {with}: {heard}");
            assert_eq!(desk.findings(), check(&desk.document().text(), &Settings::default(), &NoFiles));
        }
    }
}

#[test]
fn a_changed_rhythm_touches_its_block_and_a_new_line_above_touches_nothing() {
    let text = long(50);
    let mut desk = Desk::new(&text, Settings::default(), &NoFiles);
    let rhythm = text[text.len() / 2..].find("rhythm | q q h").unwrap() + text.len() / 2;
    let (work, checked) = (desk.score().work, desk.report().checked);
    desk.edit(rhythm + 9..rhythm + 14, "h q q", &NoFiles);
    assert_eq!(desk.score().work.rows - work.rows, 9, "the rhythm row and eight rows under it");
    assert_eq!(desk.report().checked - checked, 8);
    let (work, checked) = (desk.score().work, desk.report().checked);
    desk.edit(0..0, "// for the autumn concert\n", &NoFiles);
    assert_eq!(desk.score().work.rows, work.rows);
    assert_eq!(desk.report().checked, checked);
}

#[test]
fn a_switch_is_followed_to_the_next_switch_and_no_further() {
    let mut text =
        String::from("player Tp1 = trumpet in Bb, doubles flugelhorn in Bb, doubles cornet in Bb\n");
    for b in 0..60 {
        let switch = if b == 20 { "[switch cornet] " } else { "" };
        text += &format!("bar {}\nTp1 | w : {switch}C5 |\n", b + 1);
    }
    let mut desk = Desk::new(&text, Settings::default(), &NoFiles);
    let at = text.find("bar 6\nTp1 | w : ").unwrap() + "bar 6\nTp1 | w : ".len();
    let checked = desk.report().checked;
    desk.edit(at..at, "[switch flugelhorn] ", &NoFiles);
    // Bar 6 itself, and bars 7 to 21, whose instrument in hand has changed on arrival.
    assert_eq!(desk.report().checked - checked, 16);
}

struct Crew(&'static str);

impl Loader for Crew {
    fn load(&self, _from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        Ok(Loaded { name: relative.to_owned(), text: self.0.to_owned() })
    }
}

#[test]
fn an_included_file_that_changes_is_read_again_when_that_is_said() {
    let text = "include \"crew.brass\"\nbar 1  tempo q = 72\nTp1 | w : D6 |\n";
    let professional = Crew("player Tp1 = trumpet in Bb, level professional\n");
    let school = Crew("player Tp1 = trumpet in Bb, level school\n");
    let mut desk = Desk::new(text, Settings::default(), &professional);
    let rules = |desk: &Desk| desk.findings().iter().map(|f| f.rule).collect::<Vec<_>>();
    assert_eq!(rules(&desk), ["too-high"]);
    assert_eq!(desk.findings()[0].grade, 1);
    desk.files_changed(&school);
    assert_eq!(desk.findings(), check(text, &Settings::default(), &school));
    assert!(desk.findings()[0].message.contains("school"));
}

#[test]
fn work_is_linear_in_the_length_of_the_score() {
    let work = |blocks| {
        let desk = Desk::new(&long(blocks), Settings::default(), &NoFiles);
        (desk.document().lines_read(), desk.score().work.rows, desk.report().checked)
    };
    let (one, two) = (work(100), work(200));
    assert_eq!(two.1, 2 * one.1);
    assert_eq!(two.2, 2 * one.2);
    assert!(two.0 < 2 * one.0);
}

/// After the edit, the desk finds what a fresh reading finds, and that is not what it found before.
fn must_change(text: &str, old: &str, new: &str) {
    let mut desk = Desk::new(text, Settings::default(), &NoFiles);
    let before = desk.findings();
    let at = text.find(old).unwrap();
    desk.edit(at..at + old.len(), new, &NoFiles);
    let fresh = check(&desk.document().text(), &Settings::default(), &NoFiles);
    assert_eq!(desk.findings(), fresh);
    assert_ne!(desk.findings(), before, "this edit was to change what is found");
}

#[test]
fn what_a_block_inherits_reaches_the_blocks_that_were_not_edited() {
    // E# is in the key of F# major and not in that of F major: only the header of bar 1 changes.
    must_change(
        "player Tb1 = trombone\nbar 1  key F# major\nTb1 | w : F#3 |\nbar 2\nTb1 | w : E#3 |\n",
        "key F# major",
        "key F major",
    );
    // A pedal is too quick at the new tempo.
    must_change(
        "player Tb1 = trombone\nbar 1  tempo q = 60\nTb1 | w : F3 |\nbar 2\nTb1 | h. q : C3 Bb1 |\n",
        "q = 60",
        "q = 180",
    );
    // Bars of another length.
    must_change(
        "player Tb1 = trombone\nbar 1  meter 4/4\nTb1 | w : F3 |\nbar 2\nTb1 | w : F3 |\n",
        "4/4",
        "2/4",
    );
    // Other numbers, nothing else: the finding in bar 2 becomes one in bar 12.
    must_change("player Tb1 = trombone\nbar 1\nTb1 | w : F3 |\nbar\nTb1 | w : F#1 |\n", "bar 1", "bar 11");
    // The order of play: a switch in the second ending now comes before the repeat.
    must_change(
        "roadmap A B\nplayer Tp1 = trumpet in Bb, doubles bass trumpet in Bb\nbar 1  mark A\nTp1 | w : D6 |\nbar 2  mark B\nTp1 | w : [switch bass trumpet] D4 |\n",
        "roadmap A B\n",
        "roadmap B A\n",
    );
}

#[test]
fn what_one_player_does_reaches_the_findings_about_others() {
    let head = "level amateur\nplayer Tp1 = trumpet in Bb\nplayer Hn1 = horn in F\nplayer Hn2 = horn in F\n";
    // The entry is led to by what the trumpet plays in the block before, or is not.
    let entry = format!(
        "{head}bar 1  meter 4/4  tempo q = 60\nTp1 | w : C5 | w : A4 | w : C5 |\nbar 4\nTp1 | w : D5 | w : = |\nHn1 | w : - | w : C#4 |\n"
    );
    must_change(
        &entry,
        "C5 | w : A4 | w : C5 |\nbar 4\nTp1 | w : D5",
        "C5 | w : A4 | w : C5 |\nbar 4\nTp1 | w : C#5",
    );
    let entry =
        entry.replace("Hn1 | w : - | w : C#4", "Hn1 | h : - C#4").replace("w : D5 | w : =", "h : D5 D5");
    must_change(&entry, "w : C5 |\nbar 4", "h : C5 C#5 |\nbar 4");
    // A breath in one block is a hole, by what another does in the next, and at the tempo of the third.
    let held = format!(
        "{head}bar 1  meter 4/4  tempo q = 50\nHn1 | w : f C4 | =, |\nHn2 | w : f G3 | =, |\nbar 3\nHn1 | w : = |\nHn2 | w : = |\nbar 4  tempo q = 70\nHn1 | h. : = - |\nHn2 | h. : = - |\n"
    );
    let held = held.replace("h. : = -", "h. q : = -");
    must_change(&held, "G3 | =, |", "G3 | = |");
    must_change(&held, "=, |\nbar 3", "= |\nTp1 | w : C5 | = |\nbar 3");
    must_change(&held.replace("q = 70", "q = 200").replace("q = 50", "q = 90"), "q = 200", "q = 20");
    must_change(&held, "Hn2 | w : = |\nbar 4", "Hn2 | w : - |\nbar 4");
}

#[test]
fn what_one_player_does_reaches_the_findings_about_a_section() {
    let head = "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb\nplayer Hn1 = horn in F\nplayer Hn2 = horn in F\nplayer Hn3 = horn in F\nplayer Tb1 = trombone\n";
    let crossed = format!("{head}bar 1  meter 4/4  tempo q = 60\nTp1 | w : Bb4 |\nTp2 | w : D5 |\n");
    must_change(&crossed, "w : D5", "w : G4");
    must_change(&crossed, "w : D5", "w : ff D5");
    must_change(&crossed, "player Tp2", "player Cor2");
    let pairs = format!("{head}bar 1  meter 4/4  tempo q = 60\nHn1 | w : F4 | = |\nHn3 | w : C4 | = |\n");
    must_change(&pairs, "C4 | = |\n", "C4 | = |\nHn2 | w : A3 | = |\n");
    let chord = format!(
        "{head}bar 1  meter 4/4  key Bb major  tempo q = 60\nTp1 | w : F5 | w : D5 |\nTp2 | w : C5 | w : Bb4 |\nHn1 | w : A4 | w : F4 |\nTb1 | w : F3 | w : Bb3 |\n"
    );
    // Two bars of four without a third are meant, one is not.
    must_change(
        &chord
            .replace("F4 |", "F4 | w : F4 | w : F4 |")
            .replace("D5 |", "D5 | w : D5 | w : D5 |")
            .replace("w : Bb4 |", "w : Bb4 | w : Bb4 | w : Bb4 |")
            .replace("w : Bb3 |", "w : Bb3 | w : Bb3 | w : Bb3 |"),
        "A4",
        "C4",
    );
    // A hole that is a bar long, or two.
    must_change(
        &chord,
        "C5 | w : Bb4 |\nHn1 | w : A4 | w : F4 |\nTb1 | w : F3 | w : Bb3",
        "Ab3 | w : Ab3 |\nHn1 | w : F3 | w : F3 |\nTb1 | w : C3 | w : C3",
    );
}

#[test]
fn players_together_cost_what_an_edit_touches() {
    for blocks in [10, 100, 400] {
        let text = long(blocks);
        let mut desk = Desk::new(&text, Settings::default(), &NoFiles);
        assert_eq!(desk.report().together, blocks as u64);
        let row = text.find("Hn5 | C4").unwrap();
        desk.edit(row + 6..row + 8, "E4", &NoFiles);
        assert_eq!(desk.report().together, blocks as u64 + 1);
        // A block more in front: all others move.
        let first = desk.document().text().find("bar 1  meter").unwrap();
        desk.edit(first..first, "bar 0  pickup q\nHn1 | q : C4 |\nHn2 | q : C4 |\n", &NoFiles);
        assert!(desk.report().together <= blocks as u64 + 3, "{}", desk.report().together);
    }
}

#[test]
fn time_reaches_the_blocks_that_were_not_edited() {
    let head = "player Tp1 = trumpet in Bb, level school\nplayer Tp2 = trumpet in Bb, level school\n";
    let text = format!(
        "{head}bar 1  tempo q = 60\nTp1 | w : C5 |\nbar 2\nTp1 | w : C5 | w : D5 | w : C5 | w : C5 |\n"
    );
    // Slower, it is too long; and so it is with a pause that somebody else has.
    must_change(&text, "q = 60", "q = 48");
    must_change(
        &format!("{text}Tp2 | w : C5 | w : D5 | w : C5 | w : C5 |\n"),
        "Tp2 | w : C5 | w : D5 | w : C5",
        "Tp2 | w : C5 | w : D5:fermata | w : C5",
    );
    // A repeat; a road map; a slowing down that leads to the next block.
    must_change(&text, "bar 2\n", "bar 2  repeat 2\n");
    must_change(
        &format!("roadmap A B\n{}", text.replace("bar 1", "bar 1  mark A").replace("bar 2", "bar 2  mark B")),
        "A B\n",
        "A B A\n",
    );
    must_change(
        &format!(
            "{head}bar 1  tempo q = 60\nrhythm | w | w | w | w | w |\nTp1 | C5 | C5 | C5 | C5 | C5 |\nbar 6  tempo q = 30\nTp1 | w : - |\n"
        ),
        "| w |\nTp1",
        "| [rit] w |\nTp1",
    );
}

#[test]
fn what_the_head_says_reaches_every_block() {
    let text = "level professional\npitch concert\nplayer Tp1 = trumpet in Bb\nbar 1\nTp1 | w : C6 |\nbar 2\nTp1 | w : C6 |\n";
    must_change(text, "level professional", "level school");
    must_change(
        "pitch concert\nplayer Tp1 = trumpet in Bb\nbar 1\nTp1 | w : D6 |\n",
        "pitch concert",
        "pitch written",
    );
    must_change(
        "phrase a | w : C5 |\nplayer Tp1 = trumpet in Bb\nbar 1\nTp1 | play a |\n",
        "w : C5",
        "w : C7",
    );
    must_change(
        "allow too-high\nplayer Tp1 = trumpet in Bb\nbar 1\nTp1 | w : C7 |\n",
        "allow too-high\n",
        "",
    );
    must_change(
        "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb\ngroup All = Tp1 Tp2\nbar 1\nAll | w : (C5 E5) |\n",
        "All = Tp1 Tp2",
        "All = Tp1",
    );
}

#[test]
fn the_strict_limits_of_these_laws_are_passed() {
    let found = check(SCORE, &strict(), &NoFiles);
    let passages = found.iter().filter(|f| f.rule == "no-rest").count();
    assert!(passages > 4, "only {passages}");
    for rule in [
        "crossed-parts",
        "bare-chord",
        "part-order",
        "hearing-load",
        "tongue-speed",
        "slow-to-speak",
        "high-and-soft",
        "low-and-loud",
        "muffled-loud",
        "flutter-limits",
        "stopped-limits",
        "bend-limits",
        "effect-contradiction",
    ] {
        assert!(found.iter().any(|f| f.rule == rule), "{rule} is not passed");
    }
}

#[test]
fn settings_that_change_are_heeded_at_once() {
    let text = "player Tp1 = trumpet in Bb\nbar 1  tempo q = 60\nTp1 | w : C6 |\n";
    let mut desk = Desk::new(text, Settings::default(), &NoFiles);
    assert!(desk.findings().is_empty());
    let school = Settings { level: Some(Level::School), ..Settings::default() };
    desk.set(school.clone(), &NoFiles);
    assert_eq!(desk.findings(), check(text, &school, &NoFiles));
    assert_eq!(desk.findings().len(), 1);
    let mut off = school;
    off.severities.insert("too-high".to_owned(), None);
    desk.set(off, &NoFiles);
    assert!(desk.findings().is_empty());
}
