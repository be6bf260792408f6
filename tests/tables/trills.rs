//! Trills and glissandos against published lists.

use crate::checks::{Checks, same};
use crate::reading::instrument;
use crate::rows::pitch;
use waterkey::brass::glide::{Glissando, farthest, glissando, span};
use waterkey::brass::trill::{TrillClass, attachment_trill, lip_trill, valve_trill};
use waterkey::brass::{Build, Compass, Instrument, Way};
use waterkey::music::Pitch;

const TRILL_SOURCE: &str =
    "a trumpet teacher's trill page; The Modern Trumpet, Trills, 2020; classes derived";

fn name(midi: i32) -> String {
    Pitch::plain(midi, false).to_string()
}

/// Every row of the list of whole-tone trills, written; a C trumpet reads what it sounds.
#[test]
fn the_whole_tone_trills_of_the_trumpet() {
    let trumpet = instrument("trumpet in C");
    let mut checks = Checks::new("practice: trills", &[]);
    let rows = [
        ("F#3 A3 Bb3 C#4 E4 F4 A4 Bb4 C#5 D5 F5 A5 Bb5", TrillClass::Clean, false),
        ("G3 D4 G4 G5 F#4 B4 E5", TrillClass::Clean, true),
        ("Ab4 C5", TrillClass::Uneven, false),
        ("G#3 Eb4 Eb5", TrillClass::Exchange, false),
        ("B3 C4", TrillClass::Tangled, false),
    ];
    for (notes, class, alternate) in rows {
        for note in notes.split(' ') {
            let low = pitch(note).midi();
            let trill = valve_trill(&trumpet, low, low + 2).unwrap();
            let told = format!("{:?} {}-{}", trill.class, trill.lower.how, trill.upper.how);
            let outcome = if trill.class == class { Ok(()) } else { Err(told.clone()) };
            checks.row(note, TRILL_SOURCE, outcome);
            if class == TrillClass::Clean {
                let outcome =
                    same("alternate", trill.alternate, alternate).map_err(|e| format!("{e}: {told}"));
                checks.row(note, TRILL_SOURCE, outcome);
            }
        }
    }
    // The fingerings that the list names.
    for (note, fingers) in [
        ("G3", "13-3"),
        ("D4", "13-3"),
        ("G4", "13-3"),
        ("G5", "13-3"),
        ("F#4", "123-23"),
        ("B4", "13-3"),
        ("E5", "12-2"),
        ("Ab4", "23-123"),
        ("G#3", "23-1"),
        ("Eb4", "23-1"),
        ("Eb5", "23-1"),
        ("B3", "2-123"),
        ("C4", "0-13"),
    ] {
        let low = pitch(note).midi();
        let trill = valve_trill(&trumpet, low, low + 2).unwrap();
        checks.row(
            note,
            TRILL_SOURCE,
            same("fingers", format!("{}-{}", trill.lower.how, trill.upper.how).as_str(), fingers),
        );
    }
    // High up a trill may slip: from G5 on, where a teacher calls it nearly impossible to centre.
    for (note, slippery) in [("F#5", false), ("G5", true), ("A5", true), ("F4", false)] {
        let low = pitch(note).midi();
        checks.row(
            note,
            TRILL_SOURCE,
            same("slippery", valve_trill(&trumpet, low, low + 2).unwrap().slippery, slippery),
        );
    }
    checks.finish(60);
}

/// Semitone trills are possible everywhere but C4-C♯4.
#[test]
fn the_semitone_trills_of_the_trumpet() {
    let trumpet = instrument("trumpet in C");
    let tangled: Vec<String> = (pitch("F#3").midi()..=pitch("B5").midi())
        .filter(|low| valve_trill(&trumpet, *low, low + 1).unwrap().class == TrillClass::Tangled)
        .map(name)
        .collect();
    assert_eq!(tangled, ["C4"]);
    let f = pitch("F4").midi();
    let exchange = valve_trill(&trumpet, f, f + 1).unwrap();
    assert_eq!(exchange.class, TrillClass::Exchange);
    assert_eq!((exchange.lower.how.digits, exchange.upper.how.digits), (0b1, 0b10));
}

/// Composer's Guide to the Tuba: A3-B3 on a euphonium is mild, F3-B3 on an F tuba is bad; keep both notes in
/// one harmonic.
#[test]
fn trills_of_low_brass() {
    let euphonium = instrument("euphonium");
    let class = |made: &Instrument, low: &str, high: &str| {
        valve_trill(made, pitch(low).midi(), pitch(high).midi()).unwrap().class
    };
    assert!(class(&euphonium, "A3", "B3") <= TrillClass::Exchange);
    assert_eq!(valve_trill(&instrument("trombone"), 60, 62), None);
}

/// Where lip trills begin: horn F side written E4 (hornplayer archive: G4-A4 with 1-2, F♯4-G♯4 with 2-3, F4-G4
/// with 1-3, E4-F♯4 with 1-2-3), trumpet E5-F♯5 with 1-2-3 (a beginners' text), trombone D4.
#[test]
fn lip_trills_begin_where_published() {
    let mut checks = Checks::new("practice: lip trills", &[]);
    let source = "hornplayer archive; horn blogs; a trumpet beginners' text; derived";
    let horn = instrument("single horn in F");
    for (written, fingers) in [("G4", "12"), ("F#4", "23"), ("F4", "13"), ("E4", "123")] {
        let low = pitch(written).midi() - 7;
        let held = horn.ways(low + 2).iter().any(|way| way.how.to_string() == fingers && way.partial == 8);
        checks.row(written, source, if held { Ok(()) } else { Err("not on harmonics 7 and 8".into()) });
        let found = lip_trill(&horn, low, low + 2).is_some();
        checks.row(written, source, same("lip trill", found, true));
    }
    let lowest = |made: &Instrument| (0..127).find(|low| lip_trill(made, *low, low + 2).is_some()).unwrap();
    checks.row("horn", source, same("lowest", lowest(&horn) + 7, pitch("E4").midi()));
    let trumpet = instrument("trumpet in C");
    checks.row("trumpet", source, same("lowest", lowest(&trumpet), pitch("E5").midi()));
    let low = lip_trill(&trumpet, pitch("E5").midi(), pitch("F#5").midi()).unwrap();
    checks.row("trumpet", source, same("fingers", low.upper.how.to_string().as_str(), "123"));
    let trombone = instrument("straight trombone");
    checks.row("trombone", source, same("lowest", lowest(&trombone), pitch("D4").midi()));
    // Players trill on from there: horn written C5 to A5, trumpet G5 to C6; best on harmonics 8-9 and 9-10.
    // Up there on a horn, the thumb side's harmonics are the closer ones.
    let double = instrument("horn in F");
    for (made, from, to, shift) in [(&double, "C5", "A5", -7), (&trumpet, "G5", "C6", 0)] {
        for low in pitch(from).midi() + shift..=pitch(to).midi() + shift - 2 {
            let found = lip_trill(made, low, low + 2).is_some();
            checks.row(&name(low), source, same("lip trill", found, true));
        }
    }
    for low in ["C5", "D5"] {
        let low = pitch(low).midi() - 7;
        let best = lip_trill(&horn, low, low + 2).unwrap();
        checks.row(&name(low), source, same("close to a tone", best.wide_cents.abs() < 25.0, true));
        checks.row(&name(low), source, same("best", matches!(best.lower_partial, 8 | 9), true));
    }
    for made in [&horn, &trumpet, &trombone] {
        assert!((0..120).all(|low| lip_trill(made, low, low + 1).is_none()), "no semitone by the lips");
    }
    checks.finish(20);
}

/// The thumb alone trills where a note stands in one place with and without the attachment; without one, never.
#[test]
fn attachments_trill_in_a_few_places() {
    let (straight, with_f) = (instrument("straight trombone"), instrument("trombone"));
    assert!((30..80).all(|low| attachment_trill(&straight, low, low + 2).is_none()));
    let places: Vec<i32> =
        (40..62).filter(|low| attachment_trill(&with_f, *low, low + 2).is_some()).collect();
    assert!(!places.is_empty() && places.len() < 22, "{places:?}");
}

/// Every row of glissando spans: a trombonist's composer guide on glissandi, 2011; derived.
#[test]
fn the_spans_of_glissandos() {
    let source = "a trombonist's composer guide on glissandi, 2011; a composer handout on glissandi";
    let mut checks = Checks::new("practice: glissandos", &[]);
    let straight = instrument("straight trombone");
    let open = [
        (1, "E1", "Bb1"),
        (2, "E2", "Bb2"),
        (3, "B2", "F3"),
        (4, "E3", "Bb3"),
        (5, "Ab3", "D4"),
        (6, "B3", "F4"),
        (7, "D4", "Ab4"),
        (8, "E4", "Bb4"),
        (9, "Gb4", "C5"),
        (10, "Ab4", "D5"),
    ];
    for (partial, low, high) in open {
        let derived = span(&straight, false, false, partial).unwrap();
        checks.row(&format!("H{partial}"), source, same("lowest", derived.0, pitch(low).midi()));
        checks.row(&format!("H{partial}"), source, same("highest", derived.1, pitch(high).midi()));
        for (from, to) in [(derived.0, derived.1), (derived.1, derived.0)] {
            let glides = matches!(glissando(&straight, from, to), Glissando::Slide { .. });
            checks.row(&format!("H{partial}"), source, same("glides", glides, true));
        }
    }
    let with_f = instrument("trombone");
    let f_side = [
        (2, "C2", "F2"),
        (3, "G2", "C3"),
        (4, "C3", "F3"),
        (5, "E3", "A3"),
        (6, "G3", "C4"),
        (8, "C4", "F4"),
    ];
    for (partial, low, high) in f_side {
        let derived = span(&with_f, true, false, partial).unwrap();
        checks.row(&format!("T H{partial}"), source, same("lowest", derived.0, pitch(low).midi()));
        checks.row(&format!("T H{partial}"), source, same("highest", derived.1, pitch(high).midi()));
    }
    // Both down: a major third at most.
    let bass = instrument("bass trombone");
    for partial in 2..=4 {
        let (low, high) = span(&bass, true, true, partial).unwrap();
        checks.row(&format!("TG H{partial}"), source, same("semitones", high - low, 4));
    }
    checks.finish(50);
}

/// No glissando is wider than a tritone; every one within is on one tube; the farthest end is the last that glides.
#[test]
fn a_tritone_is_the_widest() {
    let straight = instrument("straight trombone");
    for from in 40..75 {
        for to in 40..75 {
            let result = glissando(&straight, from, to);
            if (from - to).abs() > 6 {
                assert_eq!(result, Glissando::Broken, "{} to {}", name(from), name(to));
            }
            let end = farthest(&straight, from, to);
            assert!((end - from).abs() <= (to - from).abs() && (end - from) * (to - from) >= 0);
            assert!(matches!(glissando(&straight, from, end), Glissando::Slide { .. }));
            if matches!(result, Glissando::Slide { .. }) {
                assert_eq!(end, to);
            }
        }
    }
    assert_eq!(glissando(&instrument("trumpet in Bb"), 60, 64), Glissando::HalfValve);
    assert_eq!(glissando(&instrument("natural horn in F"), 60, 64), Glissando::Lips);
}

/// The low B1-F2 glissando of the repertoire fits no F attachment: it takes a bass trombone in F.
#[test]
fn b_to_f_fits_an_f_slide_alone() {
    let (b, f) = (pitch("B1").midi(), pitch("F2").midi());
    assert_eq!(glissando(&instrument("trombone"), b, f), Glissando::Broken);
    assert_eq!(glissando(&instrument("bass trombone"), b, f), Glissando::Broken);
    let contrabass = instrument("contrabass trombone");
    let f_slide = Compass::of(contrabass.tube, &Build::Slide(waterkey::brass::slide::Slide::straight()));
    let on_two = |midi| f_slide.ways(midi).iter().any(|way: &Way| way.partial == 2);
    assert!(on_two(b) && on_two(f));
}
