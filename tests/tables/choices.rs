//! Fingerings and positions that a player chose.

use crate::reading::instrument;
use waterkey::brass::{How, Verdict, check};
use waterkey::music::Pitch;

fn judge(name: &str, sounding: &str, how: &str) -> Verdict {
    check(&instrument(name), How::parse(how).unwrap(), Pitch::parse(sounding).unwrap().midi())
}

fn holds(name: &str, sounding: &str, how: &str) -> bool {
    matches!(judge(name, sounding, how), Verdict::Holds(_))
}

#[test]
fn a_choice_that_holds_the_note() {
    assert!(holds("trumpet in Bb", "G4", "12") && holds("trumpet in Bb", "G4", "3"));
    assert!(holds("horn in F", "D4", "T12") && holds("horn in F", "D4", "3"));
    assert!(holds("trombone", "F2", "T1") && holds("trombone", "F2", "6"));
    assert!(holds("bass trombone", "B1", "TG4") && holds("bass trombone", "F#2", "G1"));
    assert!(holds("natural horn in F", "F3", "0"));
    // Nothing better than 75 cents sharp on four plain valves.
    assert!(holds("BBb tuba", "C1", "1234"));
    // 71 cents sharp where there is something better.
    assert!(!holds("BBb tuba", "A1", "34"));
}

#[test]
fn a_choice_that_gives_another_note() {
    let Verdict::Gives(other) = judge("trumpet in Bb", "C4", "12") else { panic!() };
    assert_eq!(Pitch::plain(other.midi, true).to_string(), "D4");
    assert_eq!(other.partial, 3);
    let Verdict::Gives(other) = judge("trombone", "Bb2", "4") else { panic!() };
    assert_eq!(Pitch::plain(other.midi, true).to_string(), "G2");
    let Verdict::Gives(_) = judge("trombone", "B1", "T6") else { panic!() };
}

#[test]
fn a_choice_that_the_instrument_has_not() {
    assert_eq!(judge("trumpet in Bb", "E3", "4"), Verdict::NoValve { wanted: 4, valves: 3 });
    assert_eq!(judge("natural horn in F", "F3", "1"), Verdict::NoValve { wanted: 1, valves: 0 });
    assert_eq!(judge("single horn in F", "D4", "T12"), Verdict::NoThumb);
    assert_eq!(judge("straight trombone", "F2", "T1"), Verdict::NoThumb);
    assert_eq!(judge("trombone", "F#2", "G1"), Verdict::NoSecond);
    assert_eq!(judge("trombone", "B1", "T7"), Verdict::NoPosition { last: 6 });
    assert_eq!(judge("bass trombone", "Bb1", "TG6"), Verdict::NoPosition { last: 5 });
    assert_eq!(judge("trombone", "Bb2", "0"), Verdict::NoPosition { last: 7 });
    assert_eq!(judge("trombone", "Bb2", "12"), Verdict::NoPosition { last: 7 });
}

#[test]
fn the_limit_of_sixty_cents() {
    // 1-2-3 on the third harmonic is 56 cents sharp, on the seventeenth 59.
    assert!(holds("trumpet in Bb", "B3", "123"));
    assert!(holds("trumpet in Bb", "F6", "123"));
    // 1-3 on the thirteenth is 71 cents sharp of one note, 29 flat of the next.
    assert!(!holds("trumpet in Bb", "C#6", "13"));
    assert!(holds("trumpet in Bb", "D6", "13"));
}

#[test]
fn what_can_be_written_after_the_sign() {
    for text in ["0", "12", "123", "T0", "T13", "TG3", "G2", "1234567"] {
        assert_eq!(How::parse(text).unwrap().to_string(), text);
    }
    for text in ["", "T", "G", "TG", "00", "21", "11", "8", "9", "1T", "GT1", "01", "a", "1 2"] {
        assert_eq!(How::parse(text), None, "{text}");
    }
}
