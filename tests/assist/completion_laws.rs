//! What holds for everything that is offered, whatever the text and wherever the cursor.

use super::laws::soup;
use super::text::{desk, samples};
use proptest::prelude::*;
use waterkey::assist::completion::{About, about, escaped, without_places};
use waterkey::assist::{Completions, ItemKind, Place, completion};
use waterkey::brass::catalogue;
use waterkey::notation::{Ending, FaultName, read_line};
use waterkey::rules::Desk;
use waterkey::rules::finding::Severity;
use waterkey::score::NoFiles;

/// What could not be read on a line, apart from what is only not there yet or does not add up.
fn unread(text: &str) -> usize {
    let counts = |name: FaultName| {
        matches!(
            name,
            FaultName::Unreadable
                | FaultName::UnknownWord
                | FaultName::UnknownName
                | FaultName::UnknownInstrument
                | FaultName::BadNumber
        )
    };
    read_line(text, Ending::Lf).faults.iter().filter(|f| counts(f.name)).count()
}

/// The line with an item in the place of the word.
fn with(line: &str, offered: &Completions, text: &str) -> String {
    let word = offered.word;
    format!("{}{text}{}", &line[..word.start as usize], &line[word.end as usize..])
}

/// Checks everything about one place, adding what reads worse than before; how much was offered.
fn check(desk: &Desk, place: Place, worse: &mut Vec<String>) -> usize {
    let Some(offered) = completion(desk, place) else { return 0 };
    let line = &desk.document().lines().get(place.line as usize).unwrap().text;
    let at = place.byte.min(line.len() as u32);
    assert_eq!(offered.line, place.line);
    let (typed, word) = (offered.typed, offered.word);
    assert!(
        word.start == typed.start && typed.end <= at && at <= word.end,
        "{place:?} {typed:?} {word:?} {line}"
    );
    assert!(line.get(word.start as usize..word.end as usize).is_some());
    assert!(line.get(typed.start as usize..typed.end as usize).is_some());
    assert!(!offered.items.is_empty());
    assert!(offered.items.is_sorted_by(|a, b| a.sort < b.sort), "labels are in the order of their sort text");
    assert_eq!(completion(desk, place).as_ref(), Some(&offered), "twice the same");
    let before = unread(line);
    for item in &offered.items {
        assert!(!item.label.is_empty() && !item.filter.is_empty() && !item.text.is_empty(), "{item:?}");
        if let Some(snippet) = &item.snippet {
            assert_eq!(without_places(snippet), item.text);
        }
        assert!(item.about == About::Nothing || About::parse(&item.about.key()) == Some(item.about.clone()));
        let new = with(line, &offered, &item.text);
        let after: usize = new.split('\n').map(unread).sum();
        // In a figure that is not finished, what finishes it is still to come.
        let finished =
            [" :", "} :", "}"].map(|end| unread(&with(line, &offered, &format!("{}{end}", item.text))));
        let after =
            if item.kind == ItemKind::Value { finished.into_iter().fold(after, usize::min) } else { after };
        if after > before {
            worse.push(format!("`{}` at {place:?} of\n{line}\nreads worse:\n{new}", item.label));
            break;
        }
    }
    offered.items.len()
}

#[test]
fn everything_offered_in_the_samples_reads() {
    let (mut items, mut worse) = (0, Vec::new());
    for (_, desk) in samples() {
        for (number, line) in desk.document().lines().iter().enumerate() {
            let ends = line.tokens.iter().map(|t| t.span.end);
            // Every line somewhere, every place in some line.
            for byte in std::iter::once(0).chain(ends).skip(number % 11).step_by(11) {
                items += check(&desk, Place { line: number as u32, byte }, &mut worse);
            }
        }
    }
    assert!(worse.is_empty(), "{}", worse.join("\n"));
    assert!(items > 5_000, "{items}");
}

/// One line of each kind, as somebody types it: cut after every character.
#[test]
fn everything_offered_while_a_line_is_typed_reads() {
    let score = include_str!("typed.brass");
    let (mut items, mut worse) = (0, Vec::new());
    let lines: Vec<&str> = score.lines().collect();
    for (number, line) in lines.iter().enumerate() {
        for cut in (1..=line.len()).filter(|i| line.is_char_boundary(*i)) {
            let mut text: Vec<&str> = lines.clone();
            text[number] = &line[..cut];
            let desk = desk(&text.join("\n"));
            items += check(&desk, Place { line: number as u32, byte: cut as u32 }, &mut worse);
        }
    }
    assert!(worse.is_empty(), "{}", worse.join("\n"));
    assert!(items > 15_000, "{items}");
}

/// Rules that say that a note cannot be played, or not by this player.
const REACH: [&str; 5] = ["too-high", "too-low", "tube-gap", "off-series", "pedal-care"];

/// The rules that object to what stands at a byte of a line.
fn objections(desk: &Desk, line: u32, byte: u32) -> Vec<&'static str> {
    let found = desk.findings();
    // What is only told as worth knowing is no objection.
    let here =
        found.iter().filter(|f| f.line == line && f.span.contains(byte) && f.severity >= Severity::Warning);
    here.filter_map(|f| REACH.into_iter().find(|r| *r == f.rule)).collect()
}

/// Players with instruments, levels and limits of all kinds.
fn player() -> impl Strategy<Value = String> {
    let instruments: Vec<String> = catalogue::entries().map(|e| e.full_name()).collect();
    let level = prop::sample::select(vec!["school", "amateur", "professional"]);
    (prop::sample::select(instruments), level, 1u32..4, any::<bool>()).prop_map(
        |(name, level, seats, plain)| {
            let mut line = format!("{name}, level {level}");
            if seats > 1 {
                line += &format!(", seats {seats}");
            }
            if plain {
                line += ", mutes none";
            }
            line
        },
    )
}

/// Bars that somebody is in the middle of.
const BEGUN: [&str; 5] = ["q : ", "q : C4 ", "w : (", "h : (F2 ", "q q h : = - "];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    #[test]
    fn every_note_offered_can_be_played_by_everybody_who_gets_it(
        players in prop::collection::vec(player(), 1..4),
        written in any::<bool>(),
        fifths in -6i32..7,
        minor in any::<bool>(),
        begun in prop::sample::select(BEGUN.to_vec()),
    ) {
        use waterkey::music::{Key, Mode};
        let mode = if minor { Mode::Minor } else { Mode::Major };
        let key = Key::from_fifths(fifths, mode).unwrap();
        let mut text = if written { "pitch written\n".to_owned() } else { String::new() };
        for (i, player) in players.iter().enumerate() {
            text += &format!("player P{i} = {player}\n");
        }
        let names: Vec<String> = (0..players.len()).map(|i| format!("P{i}")).collect();
        text += &format!("group All = {}\nbar 1  meter 4/4  key {key}\nAll | {begun}", names.join(" "));
        let desk_before = desk(&text);
        let line = desk_before.document().lines().len() as u32 - 1;
        let byte = desk_before.document().lines().get(line as usize).unwrap().text.len() as u32;
        let Some(offered) = completion(&desk_before, Place { line, byte }) else { return Ok(()) };
        for item in offered.items.iter().filter(|i| i.kind == ItemKind::Note) {
            let rest = match begun.find('(') {
                Some(open) if begun[open + 1..].is_empty() => format!("{} {0})", item.text),
                Some(_) => format!("{})", item.text),
                None => item.text.clone(),
            };
            for rule in objections(&desk(&format!("{text}{rest} |")), line, byte) {
                // The hand in the bell of a natural horn is told of, and is one way to play.
                let by_hand = rule == "off-series" && item.detail.contains("hand in the bell");
                prop_assert!(by_hand, "{rule}: {} in\n{text}\n{:?}", item.label, item.detail);
            }
        }
    }

    #[test]
    fn nothing_can_be_typed_that_cannot_be_completed(text in soup()) {
        let desk = desk(&text);
        for (number, line) in desk.document().lines().iter().enumerate() {
            for byte in 0..line.text.len() as u32 + 2 {
                let place = Place { line: number as u32, byte };
                if let Some(offered) = completion(&desk, place) {
                    for item in offered.items.iter().step_by(7) {
                        let _ = about(&desk, &item.about);
                    }
                }
            }
        }
        let beyond = Place { line: 9999, byte: 0 };
        prop_assert!(completion(&desk, beyond).is_none());
    }

    #[test]
    fn the_same_text_is_offered_the_same(text in soup(), line in 0u32..20, byte in 0u32..60) {
        let place = Place { line, byte };
        let (a, b) = (completion(&desk(&text), place), completion(&desk(&text), place));
        prop_assert_eq!(a, b);
    }

    #[test]
    fn text_in_a_snippet_is_itself(text in "[a-c$}\\\\{1|,]{0,12}") {
        prop_assert_eq!(without_places(&escaped(&text)), text);
    }
}

#[test]
fn an_edited_text_still_tells_of_what_was_offered() {
    let mut desk = desk("player Tp1 = trumpet in Bb\nbar 1  key Bb major\nTp1 | q : Bb4 ");
    let offered = completion(&desk, Place { line: 2, byte: 14 }).unwrap();
    let note = offered.items.iter().find(|i| i.label == "C5").unwrap().clone();
    assert!(about(&desk, &note.about).unwrap().plain.contains("written D5"));
    desk.replace_all("player Tp1 = trumpet in C\nbar 1\nTp1 | w : Bb4 |\n", &NoFiles);
    let told = about(&desk, &note.about).unwrap();
    assert!(told.plain.starts_with("C5\n") && told.plain.contains("trumpet in C"), "{}", told.plain);
    desk.replace_all("nothing of the kind", &NoFiles);
    assert_eq!(about(&desk, &note.about), None);
}

#[test]
fn names_that_are_included_are_offered() {
    let mut desk = super::text::sample("quay-chorale.brass");
    assert!(!desk.score().head.included.is_empty());
    let brought = desk.score().head.players[0].id.clone();
    let text = format!("{}\n\nbar 400\n", desk.document().text());
    let loader = waterkey::host::FolderLoader::for_score(
        &std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/quay-chorale.brass"),
        &[],
    );
    desk.replace_all(&text, &loader);
    let line = desk.document().lines().len() as u32 - 1;
    let offered = completion(&desk, Place { line, byte: 0 }).unwrap();
    assert!(offered.items.iter().any(|i| i.label == brought && !i.detail.is_empty()), "{offered:?}");
}

#[test]
fn a_list_that_is_too_long_is_cut_to_what_was_begun() {
    let mut text: String = (0..500).map(|i| format!("player P{i} = trombone\n")).collect();
    text += "player Q = trombone\nbar 1\nQ";
    let desk = desk(&text);
    let all = completion(&desk, Place { line: 502, byte: 0 }).unwrap();
    assert!(!all.complete && all.items.len() <= 400);
    let begun = completion(&desk, Place { line: 502, byte: 1 }).unwrap();
    assert!(!begun.complete);
    assert_eq!(begun.items.iter().map(|i| i.label.as_str()).collect::<Vec<_>>(), ["Q"]);
}
