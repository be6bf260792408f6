//! The catalogue itself: complete, sourced, in order; and what it says to names it does not have.

use crate::reading::instrument;
use std::collections::BTreeSet;
use waterkey::brass::catalogue::{Entry, entries};
use waterkey::brass::{Build, CatalogueFault, Instrument, Level, Mute, Nature, Register, find};
use waterkey::music::{Clef, Pitch};

fn all() -> Vec<(Entry, Instrument)> {
    entries()
        .map(|entry| (entry, entry.instrument().unwrap_or_else(|| panic!("{}", entry.full_name()))))
        .collect()
}

/// Every instrument that the language reference names.
#[test]
fn every_instrument_of_the_language_is_there() {
    for (name, keys) in [
        ("trumpet", "Bb C D Eb F"),
        ("piccolo trumpet", "Bb A"),
        ("cornet", "Bb"),
        ("soprano cornet", "Eb"),
        ("flugelhorn", "Bb"),
        ("bass trumpet", "Bb Eb C"),
        ("horn", "F"),
        ("single horn", "F Bb"),
        ("natural horn", "C Bb B A Ab G F# F E Eb D Db"),
        ("natural trumpet", "C D Eb E F Bb A G"),
        ("bugle", "Bb G"),
        ("tenor horn", "Eb"),
        ("baritone horn", "- Bb"),
        ("euphonium", "- Bb"),
        ("trombone", "- Bb"),
        ("straight trombone", "- Bb"),
        ("alto trombone", "-"),
        ("bass trombone", "-"),
        ("contrabass trombone", "-"),
        ("F tuba", "-"),
        ("Eb tuba", "-"),
        ("CC tuba", "-"),
        ("BBb tuba", "-"),
        ("bass", "Eb Bb"),
        ("sousaphone", "-"),
        ("Wagner tuba", "Bb F"),
        ("mellophone", "F"),
        ("cimbasso", "-"),
        ("alphorn", "F"),
    ] {
        for key in keys.split(' ') {
            let key = Pitch::parse(&format!("{key}4"));
            assert!(find(name, key, None).is_ok(), "{name} {key:?}");
        }
    }
}

#[test]
fn every_line_says_where_its_values_come_from() {
    let text = include_str!("../../src/brass/catalogue.tsv");
    for (entry, _) in all() {
        for part in ["reading and tube: ", "build: ", "limits: ", "comfortable: ", "mutes: "] {
            let said = entry.sources.split(" | ").find_map(|p| p.strip_prefix(part));
            assert!(said.is_some_and(|said| !said.is_empty()), "{}: {part}", entry.full_name());
        }
        for code in entry.sources.split('[').skip(1).filter_map(|rest| rest.split(']').next()) {
            assert!(text.contains(&format!("\n# [{code}] ")), "{}: {code}", entry.full_name());
        }
    }
}

#[test]
fn names_are_unique_and_found() {
    let mut seen = BTreeSet::new();
    for (entry, made) in all() {
        assert!(seen.insert(entry.full_name()));
        assert_eq!(instrument(&entry.full_name()), made);
    }
    assert_eq!(seen.len(), 68);
}

/// Decision: every limit lies on its tube, and tiers rise with the level.
#[test]
fn limits_are_ordered_and_on_the_tube() {
    for (_, made) in all() {
        let name = &made.name;
        let [school, amateur, professional] = Level::ALL.map(|level| made.limits(level));
        for limits in [school, amateur, professional] {
            assert!(limits.low <= limits.comfortable, "{name}");
            assert!(limits.comfortable <= limits.usual, "{name}");
            assert!(limits.usual <= limits.reach, "{name}");
            assert!(made.lowest() <= limits.low, "{name}");
            assert!(limits.pedal_low.is_none_or(|pedal| pedal <= made.lowest()), "{name}");
            for midi in [limits.low, limits.comfortable, limits.usual, limits.reach, made.lowest()] {
                let nature = made.note(midi).nature;
                assert!(matches!(nature, Nature::Ordinary | Nature::Weak), "{name} {midi}: {nature:?}");
            }
            if let Some(pedal) = limits.pedal_low {
                assert!(made.note(pedal).usual.is_some_and(|way| way.is_pedal()), "{name}");
            }
        }
        for (less, more) in [(school, amateur), (amateur, professional)] {
            assert!(less.usual <= more.usual && less.comfortable <= more.comfortable, "{name}");
            assert!(less.low >= more.low && less.reach == more.reach, "{name}");
        }
    }
}

/// Fixed points: written C6, D6, G6 on the professional's B flat trumpet.
#[test]
fn the_tops_of_the_trumpet() {
    let limits = instrument("trumpet in Bb").limits(Level::Professional);
    let written = |midi: i32| Pitch::plain(midi + 2, true).to_string();
    assert_eq!([limits.comfortable, limits.usual, limits.reach].map(written), ["C6", "D6", "G6"]);
    let lead = limits.of_person(Some(93), Some(50));
    assert_eq!((lead.usual, lead.reach, lead.comfortable, lead.low), (93, 93, limits.comfortable, 50));
    let beginner = limits.of_person(Some(70), None);
    assert_eq!((beginner.comfortable, beginner.usual, beginner.reach), (70, 70, 70));
}

/// The same tube under two readings is the same instrument in sound.
#[test]
fn two_readings_of_one_tube_agree_in_sound() {
    for (concert, treble) in [
        ("euphonium", "euphonium in Bb"),
        ("baritone horn", "baritone horn in Bb"),
        ("trombone", "trombone in Bb"),
        ("straight trombone", "straight trombone in Bb"),
        ("Eb tuba", "bass in Eb"),
    ] {
        let (a, b) = (instrument(concert), instrument(treble));
        assert_eq!(a.compass(), b.compass(), "{concert}");
        assert_eq!((a.lowest(), a.mutes, a.kind), (b.lowest(), b.mutes, b.kind), "{concert}");
        assert_eq!((a.clef, b.clef), (Clef::Bass, Clef::Treble));
        for level in Level::ALL {
            assert_eq!(a.limits(level), b.limits(level), "{concert} {level:?}");
        }
    }
}

#[test]
fn a_natural_horn_without_a_register_takes_the_usual_crook() {
    let horn = |key: &str, register| find("natural horn", Pitch::parse(key), register);
    for (key, assumed) in [("C4", Register::Basso), ("Bb4", Register::Alto), ("B4", Register::Alto)] {
        let found = horn(key, None).unwrap();
        assert_eq!(found.assumed, Some(assumed));
        assert_eq!(found.instrument, horn(key, Some(assumed)).unwrap().instrument);
    }
    for key in ["A4", "Ab4", "G4"] {
        let found = horn(key, None).unwrap();
        assert_eq!(found.assumed, None);
        assert_eq!(horn(key, Some(Register::Alto)).unwrap(), found);
        let low = horn(key, Some(Register::Basso)).unwrap().instrument;
        assert_eq!(low.tube.fundamental + 12, found.instrument.tube.fundamental);
    }
    assert!(horn("F4", Some(Register::Basso)).is_err());
    assert!(horn("C4", Some(Register::Up)).is_err());
}

#[test]
fn a_single_horn_in_b_flat_reads_in_f() {
    let horn = instrument("single horn in Bb");
    assert_eq!((horn.reads.semitones, horn.tube.fundamental), (-7, 34));
}

#[test]
fn what_is_not_in_the_catalogue_is_answered_in_the_players_words() {
    let say = |name: &str, key: &str| find(name, Pitch::parse(key), None).unwrap_err().to_string();
    for (name, key, text) in [
        ("tumpet", "Bb4", "no instrument here is called \"tumpet\"; did you mean trumpet?"),
        ("Horn", "F4", "no instrument here is called \"Horn\"; did you mean horn?"),
        ("french horn", "F4", "no instrument here is called \"french horn\"; did you mean horn?"),
        ("alto horn", "Eb4", "no instrument here is called \"alto horn\"; did you mean tenor horn?"),
        (
            "zink",
            "",
            "no brass instrument here is called \"zink\"; `waterkey chart` lists all names, and an `instrument` line declares one of your own",
        ),
        ("trumpet", "", "say which trumpet: in Bb, C, D, Eb or F"),
        ("trumpet", "G4", "there is no trumpet in G here, only in Bb, C, D, Eb or F"),
        ("alto trombone", "Eb4", "the alto trombone is read at concert pitch; leave out \"in Eb\""),
        (
            "alto saxophone",
            "Eb4",
            "\"alto saxophone\" is no brass instrument: what makes brass is the lips, not the metal",
        ),
        ("flute", "", "\"flute\" is no brass instrument: what makes brass is the lips, not the metal"),
        (
            "English horn",
            "F4",
            "\"English horn\" is no brass instrument: what makes brass is the lips, not the metal",
        ),
    ] {
        assert_eq!(say(name, key), text);
    }
    assert!(matches!(find("", None, None), Err(CatalogueFault::Unknown { .. })));
    assert!(find("F  tuba ", None, None).is_ok());
}

#[test]
fn other_valves() {
    let euphonium = instrument("euphonium");
    assert_eq!(euphonium.with_valves(4, false).unwrap().build, euphonium.build);
    assert!(matches!(euphonium.with_valves(5, false).unwrap().build, Build::Valved(v) if v.count() == 5));
    assert!(euphonium.with_valves(6, false).is_err());
    assert!(instrument("trombone").with_valves(4, true).is_err());
    assert!(instrument("horn in F").with_valves(4, true).is_err());
    assert!(instrument("bugle in G").with_valves(3, false).is_err());
    let flugel = instrument("flugelhorn in Bb").with_valves(4, false).unwrap();
    assert!(flugel.lowest() < instrument("flugelhorn in Bb").lowest());
    for level in Level::ALL {
        assert!(flugel.limits(level).low >= flugel.lowest());
    }
}

#[test]
fn mutes_are_those_made_for_the_instrument() {
    let has = |name: &str, mute| instrument(name).mutes.has(mute);
    assert!(has("trumpet in Bb", Mute::Harmon) && has("trombone", Mute::SoloTone));
    assert!(has("horn in F", Mute::Stopping) && !has("horn in F", Mute::Plunger));
    assert!(!has("trumpet in Bb", Mute::Stopping) && instrument("alphorn in F").mutes.is_empty());
}
