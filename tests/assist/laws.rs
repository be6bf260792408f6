//! What holds for every text and every place in it.

use super::beside::what_stands_beside_is_sound;
use super::colours::colours_are_sound;
use super::outline::outline_is_sound;
use super::text::{desk, samples};
use proptest::prelude::*;
use waterkey::assist::{Extent, Place, definition, highlight, hover, prepare, references, rename, selection};
use waterkey::brass::reading_interval;
use waterkey::brass::written::written;
use waterkey::music::Pitch;
use waterkey::rules::Desk;
use waterkey::score::clock::Clock;
use waterkey::score::event::{EventKind, Origin};

/// Asks everything about a place.
fn ask(desk: &Desk, place: Place) {
    let told = hover(desk, place);
    if let Some(told) = &told {
        assert_eq!(told.line, place.line);
        assert!(told.span.contains(place.byte), "{place:?} {told:?}");
        assert!(!told.plain.trim().is_empty() && !told.markdown.trim().is_empty());
        assert!(!told.plain.lines().any(|l| l.ends_with(": ")), "{}", told.plain);
    }
    let grown = selection(desk, place);
    for pair in grown.windows(2) {
        assert!(pair[1].holds(&pair[0]) && pair[0] != pair[1]);
    }
    assert!(grown.iter().all(|e| e.holds(&Extent { from: place, to: place })));
}

fn ask_names(desk: &Desk, place: Place) {
    let lit = highlight(desk, place);
    if let Some(declared) = definition(desk, place) {
        assert!(lit.iter().any(|m| m.at == declared && m.declares));
    }
    assert_eq!(references(desk, place, true).len(), lit.len());
    if prepare(desk, place).is_ok() {
        let _ = rename(desk, place, "Zz9");
    }
}

#[test]
fn every_place_of_every_sample_can_be_asked_about() {
    for (_, desk) in samples() {
        for (number, line) in desk.document().lines().iter().enumerate() {
            for token in &line.tokens {
                for byte in [token.span.start, token.span.end - 1] {
                    ask(&desk, Place { line: number as u32, byte });
                }
            }
        }
    }
}

#[test]
fn what_is_told_as_written_and_as_concert_is_one_note() {
    let mut seen = 0;
    for (_, desk) in samples() {
        let score = desk.score();
        for (block, placed) in score.blocks.iter().enumerate() {
            for (index, player) in score.head.players.iter().enumerate() {
                for event in desk.report().events(score, block, index) {
                    let Some(instrument) = player.instrument(event.played.instrument) else { continue };
                    if event.kind != EventKind::Note || event.origin != Origin::Here {
                        continue;
                    }
                    let place = Place { line: placed.line + event.line, byte: event.span.start };
                    let told = hover(&desk, place).unwrap();
                    if !told.plain.contains(&format!("Player: {}", player.id)) {
                        continue;
                    }
                    let title = told.plain.lines().next().unwrap();
                    let reads = reading_interval(instrument.instrument.reads, placed.frame.key);
                    let (concert, read) = match title.split_once(" concert, written ") {
                        Some((concert, read)) => (concert, Pitch::parse(read).unwrap()),
                        None => (title, Pitch::parse(title).unwrap()),
                    };
                    assert_eq!(written(Pitch::parse(concert).unwrap(), reads), read, "{title}");
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 500, "{seen}");
}

pub fn soup() -> impl Strategy<Value = String> {
    let parts = prop::sample::select(vec![
        "player Tp1 = trumpet in Bb\n",
        "player Hn = horn in F, seats 3, top C6, mutes cup\n",
        "player Tb = trombone, doubles alphorn in F\n",
        "instrument Own = slide, fundamental Bb1\n",
        "group All = Tp1 Hn Tb\n",
        "phrase riff in Bb | q : C5 /D5 E5*3 | play riff | % |\n",
        "allow too-high for Tp1 All\n",
        "roadmap A A*2 start\n",
        "pitch written\n",
        "bar 1  meter 3+2/8 6/8  key Eb major  tempo q. = 60  mark A  pickup e  repeat 2\n",
        "bar\n",
        "bar 99  close q  ending 1\n",
        "chords | Bb6 F#m7b5 | % | rest 2 | N.C. |\n",
        "rhythm | q. e {3:2 e*3}*2 q= | [rit] h h:fermata | % |\n",
        "Tp1 | p C5_ D5@12 = - | play riff up m3*2 | %*3 |\n",
        "All | (C4 E4 G4).  (= - Bb4)*3 | rest 3 | improvise 2 |\n",
        "Hn | q : [stopped] C4:trill=D4 B9:gliss Cbb0*64 | = |\n",
        "Tb | [switch alphorn] {5:4 s*5} e- : C4*5 [mute cup] |\n",
        "Tp1",
        " | ",
        "C5",
        " : ",
        "é𝄞",
        "\"",
        "// x",
        "\n",
        "q",
        "@",
        "*9",
        "(",
        "[mute ",
        "=",
        "%",
        "\r",
        "bar ",
        "𝄫4",
        " ",
    ]);
    prop::collection::vec(parts, 0..24).prop_map(|v| v.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn nothing_can_be_asked_that_cannot_be_answered(text in soup()) {
        let desk = desk(&text);
        let clock = Clock::of(desk.score());
        outline_is_sound(&desk);
        colours_are_sound(&desk);
        what_stands_beside_is_sound(&desk, &clock);
        for (number, line) in desk.document().lines().iter().enumerate() {
            for byte in 0..line.text.len() as u32 + 2 {
                let place = Place { line: number as u32, byte };
                let told = hover(&desk, place);
                if let Some(told) = told {
                    prop_assert!(told.span.contains(byte));
                    prop_assert!((told.span.end as usize) <= line.text.len());
                }
                if byte % 3 == 0 && byte <= line.text.len() as u32 {
                    ask(&desk, place);
                    ask_names(&desk, place);
                }
            }
        }
        let beyond = Place { line: 9999, byte: 0 };
        prop_assert!(hover(&desk, beyond).is_none());
    }
}
