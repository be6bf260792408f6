//! Instruments that a score declares.

use crate::rows::pitch;
use waterkey::brass::register::own_reading;
use waterkey::brass::{Level, Nature, OwnFault, OwnInstrument, OwnKind, Register};
use waterkey::music::Pitch;

fn declared() -> OwnInstrument<'static> {
    OwnInstrument {
        name: "harbour horn",
        kind: OwnKind::Valved,
        fundamental: Some(pitch("Bb1")),
        read_in: Some((pitch("Bb4"), None)),
        valves: Some(&[2, 1, 3, 5]),
        range: Some((pitch("E2"), pitch("Bb4"))),
        comfortable: Some((pitch("Bb2"), pitch("F4"))),
    }
}

#[test]
fn it_has_what_the_catalogues_have() {
    let made = declared().build().unwrap();
    assert_eq!((made.reads.steps, made.reads.semitones), (-1, -2));
    for level in Level::ALL {
        let limits = made.limits(level);
        assert_eq!((limits.low, limits.comfortable, limits.usual, limits.reach), (40, 65, 70, 70));
    }
    assert_eq!(made.note(35).nature, Nature::Gap { below: 34, above: 36 });
    assert_eq!(made.note(41).usual.unwrap().how.to_string(), "4");
}

#[test]
fn comfortable_is_three_semitones_less_where_nothing_is_said() {
    let made = OwnInstrument { comfortable: None, ..declared() }.build().unwrap();
    assert_eq!(made.limits(Level::School).comfortable, 67);
}

#[test]
fn odd_valves_and_slides_and_tubes() {
    let old = OwnInstrument { valves: Some(&[2, 1, 4, 6]), ..declared() }.build().unwrap();
    assert_eq!(old.note(42).usual.unwrap().how.to_string(), "3");
    let slide = OwnInstrument { kind: OwnKind::Slide, valves: None, ..declared() }.build().unwrap();
    assert_eq!(slide.note(40).usual.unwrap().how.to_string(), "7");
    let tube = OwnInstrument { kind: OwnKind::Natural, valves: None, ..declared() }.build().unwrap();
    assert!(matches!(tube.note(47).nature, Nature::OffSeries { by_hand: false, .. }));
}

#[test]
fn written_c_sounds_the_keys_note_next_below() {
    for (key, register, sounds) in [
        ("Bb4", None, "Bb3"),
        ("Bb4", Some(Register::Basso), "Bb2"),
        ("D4", None, "D3"),
        ("D4", Some(Register::Up), "D4"),
        ("C4", None, "C4"),
        ("B4", None, "B3"),
        ("F#2", None, "F#3"),
        ("Cb4", None, "Cb4"),
        ("C#4", None, "C#3"),
    ] {
        let interval = own_reading(pitch(key), register);
        assert_eq!(interval.apply(pitch("C4")).unwrap().to_string(), sounds);
    }
}

#[test]
fn what_is_wrong_with_a_declaration() {
    let fault = |own: OwnInstrument| own.build().unwrap_err();
    let high = Pitch::parse("C8").unwrap();
    assert_eq!(fault(OwnInstrument { fundamental: None, ..declared() }), OwnFault::NoFundamental);
    assert_eq!(fault(OwnInstrument { fundamental: Some(high), ..declared() }), OwnFault::Fundamental(high));
    assert_eq!(fault(OwnInstrument { kind: OwnKind::Slide, ..declared() }), OwnFault::ValvesWithoutFingers);
    assert_eq!(fault(OwnInstrument { valves: Some(&[1; 8]), ..declared() }), OwnFault::ValveCount(8));
    assert_eq!(fault(OwnInstrument { valves: Some(&[]), ..declared() }), OwnFault::ValveCount(0));
    let zero = OwnFault::Valve { which: 2, semitones: 0 };
    assert_eq!(fault(OwnInstrument { valves: Some(&[2, 0]), ..declared() }), zero);
    let down = Some((pitch("Bb4"), pitch("E2")));
    assert_eq!(fault(OwnInstrument { range: down, ..declared() }), OwnFault::RangeUpsideDown);
    assert_eq!(fault(OwnInstrument { comfortable: down, ..declared() }), OwnFault::ComfortableUpsideDown);
    let wide = Some((pitch("C2"), pitch("F4")));
    assert_eq!(fault(OwnInstrument { comfortable: wide, ..declared() }), OwnFault::ComfortableOutsideRange);
    let text = OwnFault::Fundamental(high).to_string();
    assert_eq!(
        text,
        "a tube that sounds C8 as its fundamental would be 4 cm long; brass is between 30 cm and 12 m"
    );
}
