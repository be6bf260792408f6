//! Laws of pitches, intervals, keys, fractions, tempos and chord symbols.

use proptest::prelude::*;
use waterkey::music::{ChordSymbol, Fraction, Interval, Key, Mode, Pitch, Ramp, Step, Tempo};

fn step() -> impl Strategy<Value = Step> {
    (0..7).prop_map(Step::from_index)
}

/// Pitches that a score can hold.
fn pitch() -> impl Strategy<Value = Pitch> {
    (step(), -2..=2i32, 0..=9i32).prop_map(|(step, alter, octave)| Pitch::new(step, alter, octave).unwrap())
}

/// Every interval that has a name in a score, both ways.
fn interval() -> impl Strategy<Value = Interval> {
    (prop::sample::select(vec!["P", "M", "m", "A", "d"]), 1..=22i32, any::<bool>()).prop_filter_map(
        "a name that exists",
        |(quality, number, down)| {
            let up = Interval::parse(&format!("{quality}{number}"))?;
            Some(if down { up.inverse() } else { up })
        },
    )
}

fn key() -> impl Strategy<Value = Key> {
    (-7..=7i32, any::<bool>()).prop_map(|(fifths, minor)| {
        Key::from_fifths(fifths, if minor { Mode::Minor } else { Mode::Major }).unwrap()
    })
}

fn fraction() -> impl Strategy<Value = Fraction> {
    (-2000..2000i64, 1..200i64).prop_map(|(num, den)| Fraction::new(num, den).unwrap())
}

fn length() -> impl Strategy<Value = Fraction> {
    (1..400i64, 1..97i64).prop_map(|(num, den)| Fraction::new(num, den).unwrap())
}

fn tempo() -> impl Strategy<Value = Tempo> {
    (prop::sample::select(vec![(1, 8), (1, 4), (3, 8), (1, 2), (3, 4)]), 500..40_000u32).prop_map(
        |((num, den), hundredths)| Tempo::new(Fraction::new(num, den).unwrap(), hundredths).unwrap(),
    )
}

fn note_name() -> impl Strategy<Value = String> {
    (step(), prop::sample::select(vec!["", "b", "#"])).prop_map(|(s, a)| format!("{}{a}", s.letter()))
}

fn chord_symbol() -> impl Strategy<Value = String> {
    let quality = prop::sample::select(vec![
        "", "m", "7", "maj7", "m7b5", "7(b9)", "6/9", "(b5)", "dim7", "sus4", "13(#11)", "(#11)", "b5",
    ]);
    (note_name(), quality, prop::option::of(note_name())).prop_map(|(root, quality, bass)| {
        format!("{root}{quality}{}", bass.map(|b| format!("/{b}")).unwrap_or_default())
    })
}

proptest! {
    #[test]
    fn a_pitch_reads_back_as_it_was_written(pitch in pitch()) {
        prop_assert_eq!(Pitch::parse(&pitch.to_string()), Some(pitch));
        prop_assert_eq!(Pitch::at(pitch.staff(), pitch.midi()), Some(pitch));
    }

    #[test]
    fn no_text_upsets_the_reading_of_a_pitch_or_an_interval(text in "\\PC{0,6}") {
        if let Some(pitch) = Pitch::parse(&text) {
            prop_assert_eq!(pitch.to_string().chars().count() >= 2, true);
        }
        if let Some(interval) = Interval::parse(&text) {
            prop_assert_eq!(interval.to_string(), text);
        }
    }

    #[test]
    fn there_and_back_is_the_same_spelling(pitch in pitch(), interval in interval()) {
        if let Some(moved) = interval.apply(pitch) {
            prop_assert_eq!(moved.midi() - pitch.midi(), interval.semitones);
            prop_assert_eq!(moved.staff() - pitch.staff(), interval.steps);
            prop_assert_eq!(interval.inverse().apply(moved), Some(pitch));
            prop_assert_eq!(Interval::between(pitch, moved), interval);
        }
        prop_assert_eq!(interval.apply_respelled(pitch).midi() - pitch.midi(), interval.semitones);
    }

    #[test]
    fn intervals_add_as_pitches_do(pitch in pitch(), first in interval(), second in interval()) {
        if let Some(end) = first.apply(pitch).and_then(|p| second.apply(p)) {
            prop_assert_eq!(first.then(second).apply(pitch), Some(end));
        }
        prop_assert_eq!(first.then(first.inverse()), Interval::UNISON);
    }

    #[test]
    fn an_interval_reads_back_by_its_name(interval in interval()) {
        let name = interval.to_string();
        let down = name.starts_with('-');
        let read = Interval::parse(name.trim_start_matches('-')).unwrap();
        prop_assert_eq!(if down { read.inverse() } else { read }, interval);
    }

    #[test]
    fn an_octave_doubles_the_frequency(pitch in pitch(), a4 in 380.0..480.0f64) {
        if let Some(higher) = pitch.octaves_up(1) {
            prop_assert!((higher.hertz(a4) / pitch.hertz(a4) - 2.0).abs() < 1e-12);
        }
        // ISO 16: A4, whatever it is tuned to, is the reference itself.
        prop_assert_eq!(Pitch::parse("A4").unwrap().hertz(a4), a4);
    }

    #[test]
    fn a_twin_key_has_the_same_notes(key in key()) {
        if let Some(twin) = key.enharmonic() {
            prop_assert_eq!(twin.enharmonic(), Some(key));
            prop_assert_eq!((twin.fifths() - key.fifths()).abs(), 12);
            let classes = |key: Key| {
                let mut all: Vec<i32> =
                    Step::ALL.into_iter().map(|s| (s.semitones() + key.alter_of(s)).rem_euclid(12)).collect();
                all.sort_unstable();
                all
            };
            prop_assert_eq!(classes(twin), classes(key));
        } else {
            prop_assert!(key.fifths().abs() < 5);
        }
    }

    #[test]
    fn a_readable_key_needs_no_more_than_six_accidentals(key in key(), interval in interval()) {
        if let Some(moved) = key.moved(interval) {
            let readable = moved.readable();
            let tonic = |k: Key| (k.step.semitones() + i32::from(k.alter)).rem_euclid(12);
            prop_assert_eq!(tonic(readable), tonic(moved));
            prop_assert!(readable.fifths().abs() <= 6, "{} {}", moved, readable);
            prop_assert_eq!(readable == moved, moved.fifths().abs() <= 6);
        }
    }

    #[test]
    fn a_scale_moves_with_its_key(key in key(), interval in interval()) {
        if let Some(moved) = key.moved(interval) {
            for step in Step::ALL {
                let note = Pitch::new(step, key.alter_of(step), 4).unwrap();
                if let Some(note) = interval.apply(note) {
                    prop_assert!(moved.holds(note), "{} in {}", note, moved);
                }
            }
        }
    }

    #[test]
    fn fractions_are_a_field(a in fraction(), b in fraction(), c in fraction()) {
        prop_assert_eq!(a.plus(b), b.plus(a));
        prop_assert_eq!(a.times(b), b.times(a));
        prop_assert_eq!(a.plus(b).and_then(|x| x.minus(b)), Some(a));
        prop_assert_eq!(a.minus(a), Some(Fraction::ZERO));
        if let (Some(left), Some(right)) = (
            a.plus(b).and_then(|x| x.times(c)),
            a.times(c).and_then(|x| b.times(c).and_then(|y| x.plus(y))),
        ) {
            prop_assert_eq!(left, right);
        }
        if !b.is_zero() {
            prop_assert_eq!(a.over(b).and_then(|x| x.times(b)), Some(a));
        } else {
            prop_assert_eq!(a.over(b), None);
        }
        prop_assert_eq!(a < b, a.minus(b).is_some_and(|d| d < Fraction::ZERO));
    }

    #[test]
    fn a_fraction_is_in_lowest_terms_or_refused(num in any::<i64>(), den in any::<i64>()) {
        if let Some(f) = Fraction::new(num, den) {
            prop_assert!(f.denominator() > 0);
            prop_assert_eq!(i128::from(f.numerator()) * i128::from(den), i128::from(num) * i128::from(f.denominator()));
            prop_assert_eq!(Fraction::new(f.numerator(), f.denominator()), Some(f));
        }
    }

    #[test]
    fn lengths_add_up_in_seconds_too(tempo in tempo(), a in length(), b in length()) {
        let sum = a.plus(b).unwrap();
        prop_assert!((tempo.seconds(a) + tempo.seconds(b) - tempo.seconds(sum)).abs() < 1e-9 * tempo.seconds(sum));
        if let Some(exact) = tempo.seconds_exact(a) {
            prop_assert!((exact.to_f64() - a.to_f64() / tempo.speed()).abs() < 1e-9 * exact.to_f64());
        }
    }

    #[test]
    fn a_ramp_is_never_faster_than_its_fast_end(from in tempo(), to in tempo(), all in length(), part in 0.0..1.0f64) {
        let ramp = Ramp::new(from, to, all).unwrap();
        let place = Fraction::new((part * 1000.0) as i64, 1000).and_then(|x| x.times(all));
        if let Some(place) = place {
            let seconds = ramp.seconds_to(place);
            let (a, b) = (from.seconds(place), to.seconds(place));
            prop_assert!(seconds >= a.min(b) * (1.0 - 1e-6) && seconds <= a.max(b) * (1.0 + 1e-6), "{} {} {}", a, seconds, b);
            prop_assert!(seconds <= ramp.seconds_to(all) + 1e-9);
        }
    }

    #[test]
    fn a_chord_symbol_reads_back_as_it_was_printed(text in chord_symbol(), interval in interval()) {
        let read = ChordSymbol::parse(&text).unwrap();
        prop_assert_eq!(ChordSymbol::parse(&read.to_string()), Some(read.clone()));
        let moved = read.moved(interval);
        prop_assert_eq!(ChordSymbol::parse(&moved.to_string()), Some(moved));
    }

    #[test]
    fn a_chord_symbol_moves_as_its_notes_do(text in chord_symbol(), interval in interval()) {
        let read = ChordSymbol::parse(&text).unwrap();
        let moved = read.moved(interval);
        prop_assert_eq!(&moved.quality, &read.quality);
        prop_assert_eq!((moved.root.class() - read.root.class() - interval.semitones).rem_euclid(12), 0);
        prop_assert_eq!(moved.bass.is_some(), read.bass.is_some());
        prop_assert!((-1..=1).contains(&moved.root.alter));
        if let (Some(before), Some(after)) = (read.classes(), moved.classes()) {
            let shifted: Vec<i32> = before.iter().map(|c| (c + interval.semitones).rem_euclid(12)).collect();
            prop_assert_eq!(shifted, after);
        }
    }
}
