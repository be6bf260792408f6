//! Who plays what: chords dealt by position, states handed on.

use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;
use waterkey::score::event::EventKind;
use waterkey::score::row::dealt;

/// Sounding notes of a player (seat 0) in a block, rests as `-`, holds as `=`.
fn line(desk: &Desk, player: &str, block: usize) -> String {
    let index = desk.score().head.players.iter().position(|p| p.id == player).unwrap();
    let events = desk.report().events(desk.score(), block, index);
    let told: Vec<String> = events
        .iter()
        .map(|e| match e.kind {
            EventKind::Note => e.sounding.to_string(),
            EventKind::Grace => format!("/{}", e.sounding),
            EventKind::Rest => "-".to_owned(),
            EventKind::Hold => "=".to_owned(),
            EventKind::Improvised => "~".to_owned(),
        })
        .collect();
    told.join(" ")
}

fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

#[test]
fn the_first_named_takes_the_top() {
    let text = "player A = horn in F\nplayer B = horn in F\nplayer C = horn in F\nplayer D = horn in F\n\
                group H = A C B D\nbar 1\nH | h : (F3 A3 C4 F4) (C4 F4) | h : E4 (F3 = - E4) |\n";
    let desk = desk(text);
    assert_eq!(line(&desk, "A", 0), "F4 F4 E4 E4");
    assert_eq!(line(&desk, "C", 0), "C4 F4 E4 -");
    assert_eq!(line(&desk, "B", 0), "A3 C4 E4 =");
    assert_eq!(line(&desk, "D", 0), "F3 C4 E4 F3");
}

#[test]
fn dealing_is_monotonous_and_uses_every_entry() {
    for people in 1..40usize {
        for entries in 1..=people {
            let all: Vec<usize> = (0..people).map(|i| dealt(i, people, entries).unwrap()).collect();
            assert_eq!(all[0], entries - 1, "the first takes the top");
            assert!(all.windows(2).all(|w| w[0] >= w[1]), "nobody crosses");
            let mut used = all.clone();
            used.dedup();
            assert_eq!(used.len(), entries, "no note is left out");
        }
    }
    assert_eq!(dealt(0, 2, 0), None);
    assert_eq!(dealt(2, 2, 2), None);
}

#[test]
fn phrases_sound_the_same_whoever_plays_them() {
    let text = "player T = trumpet in Bb\nplayer H = horn in F\nphrase call in Bb | h : D5 E5 |\n\
                bar 1\nT | play call |\nH | play call up m3 |\n";
    let desk = desk(text);
    assert_eq!(line(&desk, "T", 0), "C5 D5");
    assert_eq!(line(&desk, "H", 0), "Eb5 F5");
}

#[test]
fn a_written_score_sounds_lower_by_the_transposition_of_the_instrument_in_hand() {
    let text = "pitch written\nplayer T = trumpet in Bb, doubles cornet in Bb, doubles soprano cornet in Eb\n\
                bar 1\nT | q : C5 C5 [switch soprano cornet] C5 C5 |\nbar 2\nT | w : C5 |\n";
    let desk = desk(text);
    assert_eq!(line(&desk, "T", 0), "Bb4 Bb4 Eb5 Eb5");
    assert_eq!(line(&desk, "T", 1), "Eb5");
}

#[test]
fn holds_graces_repeats_and_blank_bars() {
    let text = "player T = trumpet in Bb\nplayer U = trumpet in Bb\n\
                bar 1\nrhythm | h q- q | h q= q | h h |\nT | C5 /B4 D5 | E5 F5 | % |\nU | C5 = | | w : G4 |\nT U | | w : - | |\n";
    let desk = desk(text);
    assert_eq!(
        line(&desk, "T", 0).split(' ').take(9).collect::<Vec<_>>().join(" "),
        "C5 - /B4 D5 E5 = F5 E5 ="
    );
    assert_eq!(line(&desk, "U", 0), "C5 - - - G4");
}

#[test]
fn a_fault_names_the_bar_it_stands_in() {
    let bars = |text: &str| desk(text).findings().iter().map(|f| f.bar).collect::<Vec<_>>();
    let player = "player T = trumpet in Bb\nphrase two | w : C5 | - |\n";
    assert_eq!(bars(&format!("{player}bar 1  tempo q = 72\nT | rest 8 | % |\n")), [Some(9)]);
    assert_eq!(bars(&format!("{player}bar 1  tempo q = 72\nT | play two*3 | q : C5 |\n")), [Some(7)]);
    assert_eq!(
        bars(&format!("{player}bar 1  tempo q = 72\nT | rest 9 |\nchords | rest 4 | q : C7 |\n")),
        [Some(5)]
    );
}

#[test]
fn cures_are_put_where_they_can_be_read() {
    let player = "player T = trumpet in Bb\n";
    for text in [
        format!("{player}bar 1  tempo q = 72\nT | p C5 D5 |\n"),
        format!("{player}bar 1  tempo q = 72\nT | /B4 C5 D5 |\n"),
        format!("{player}bar 1  meter 5/4  tempo q = 72\nT | h : C5 D5 |\n"),
        format!("{player}bar 1  meter 3/4  tempo q = 72\nT | h : C5 |\n"),
    ] {
        let found = desk(&text).findings();
        let [finding] = found.as_slice() else { panic!("{text}: {found:?}") };
        let [waterkey::rules::Cure::Replace { edits, .. }] = finding.cures.as_slice() else {
            panic!("{text}: no cure")
        };
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        for (span, with) in edits {
            lines[finding.line as usize].replace_range(span.start as usize..span.end as usize, with);
        }
        let cured = lines.join("\n");
        assert_eq!(desk(&cured).findings(), [], "{cured}");
    }
    // A rest for the figure has no place among the notes.
    let ruled = desk(&format!("{player}bar 1  meter 3/4  tempo q = 72\nrhythm | h |\nT | C5 |\n")).findings();
    assert!(ruled.iter().all(|f| f.cures.is_empty()), "{ruled:?}");
}

#[test]
fn a_few_copies_of_copies_do_not_fill_the_memory() {
    use waterkey::score::event::MOST_EVENTS;
    let text =
        format!("player T = trumpet in Bb\nbar 1\nT | q : {}|{}\n", "C5*64 ".repeat(500), "%*64|".repeat(20));
    let desk = desk(&text);
    assert!(desk.findings().iter().any(|f| f.rule == "bad-number"), "{:?}", desk.findings());
    assert!(desk.report().events(desk.score(), 0, 0).len() < 2 * MOST_EVENTS);
}

#[test]
fn the_notes_of_a_phrase_are_not_listed_one_by_one() {
    let text = "player T = trumpet in Bb, level school\nphrase hi | w : C6@3 |\nbar 1\nT | play hi*3 |\n";
    let found = desk(text).findings();
    let high = found.iter().find(|f| f.rule == "too-high").unwrap();
    assert!(high.related.is_empty());
    assert!(found.iter().all(|f| !f.message.contains(",:") && !f.message.contains(",,")), "{found:?}");
}
