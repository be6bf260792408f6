//! Natural tubes: harmonics, and the hand in the horn's bell.

use crate::reading::instrument;
use crate::rows::pitch;
use waterkey::brass::catalogue::entries;
use waterkey::brass::hand::lowered;
use waterkey::brass::{Build, Nature};

/// Practice: harmonics 7, 11, 13, 14 are 31 and 49 flat, 41 sharp, 31 flat; 11 and 13 serve for the note on
/// either side too.
#[test]
fn the_notes_of_a_natural_trumpet() {
    let trumpet = instrument("natural trumpet in C");
    for (note, partial, cents) in [
        ("C3", 2, 0.0),
        ("G3", 3, 2.0),
        ("Bb4", 7, -31.2),
        ("F5", 11, 51.3),
        ("F#5", 11, -48.7),
        ("Ab5", 13, 40.5),
        ("A5", 13, -59.5),
        ("Bb5", 14, -31.2),
        ("B5", 15, -11.7),
        ("C6", 16, 0.0),
    ] {
        let way = trumpet.note(pitch(note).midi()).usual.unwrap();
        assert_eq!(way.partial, partial, "{note}");
        assert!((f64::from(way.cents) - cents).abs() < 0.1, "{note} {}", way.cents);
        assert_eq!(way.how.to_string(), "0");
    }
    assert_eq!(trumpet.note(36).nature, Nature::Pedal);
    assert_eq!(
        trumpet.note(pitch("B3").midi()).nature,
        Nature::OffSeries { nearest: 60, partial: 4, by_hand: false }
    );
    assert_eq!(trumpet.note(30).nature, Nature::Below { lowest: 36 });
}

/// The hand gets everything between harmonics 2 and 16 on a natural horn, nothing on the others, and nothing below
/// harmonic 2.
#[test]
fn the_hand_fills_a_natural_horns_series() {
    for made in entries().map(|entry| entry.instrument().unwrap()) {
        let Build::Natural { hand } = made.build else { continue };
        let first = made.tube.fundamental;
        for midi in first + 12..=first + 48 {
            assert_eq!(made.note(midi).nature.is_playable(), hand || made.note(midi).usual.is_some());
        }
        for midi in first + 1..first + 12 {
            assert!(!made.note(midi).nature.is_playable());
        }
    }
}

#[test]
fn the_hand_lowers_the_next_higher_harmonic() {
    let horn = instrument("natural horn in F");
    for (wanted, from, partial) in [("Bb3", "C4", 6), ("E3", "F3", 4), ("F#2", "C3", 3)] {
        let harmonic = lowered(horn.tube, pitch(wanted).midi()).unwrap();
        assert_eq!((harmonic.midi, harmonic.partial), (pitch(from).midi(), partial));
    }
    // A harmonic needs no hand, and below the second there is none to lower.
    assert_eq!(lowered(horn.tube, pitch("C4").midi()), None);
    assert_eq!(lowered(horn.tube, pitch("E2").midi()), None);
}
