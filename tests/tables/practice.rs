//! The tables of practice that follow from lengths of tube: harmonics, sums of valves, missing notes, positions,
//! pedals, periods. They are repeated here as their sources give them.

use crate::checks::{Checks, near, same};
use crate::reading::instrument;
use crate::rows::pitch;
use waterkey::brass::plan::{Effort, Planner};
use waterkey::brass::trill::{attachment_trill, lip_trill};
use waterkey::brass::valves::Valves;
use waterkey::brass::way::open_position;
use waterkey::brass::{Build, Compass, How, Instrument, Level, Nature};
use waterkey::music::Pitch;

/// A brass primer and an encyclopedia's article on the natural trumpet; worked out from the series.
#[test]
fn the_deviations_of_harmonics() {
    let tube = instrument("natural trumpet in C").tube;
    let mut checks = Checks::new("practice 15.1", &[]);
    let published = [0, 0, 2, 0, -14, 2, -31, 0, 4, -14, -49, 2, 41, -31, -12, 0];
    for (partial, cents) in (1u16..).zip(published) {
        let exact = tube.cents(partial, 1.0);
        let off = if partial == 13 {
            exact - 100.0 * (exact / 100.0).floor()
        } else {
            exact - 100.0 * (exact / 100.0).round()
        };
        checks.row(
            &format!("H{partial}"),
            "computed from the harmonic series",
            near("cents", off, f64::from(cents), 0.55),
        );
    }
    checks.finish(16);
}

/// Sums of valves that are exact by themselves, and of a third valve tuned so that 2-3 is exact.
#[test]
fn the_sharpness_of_valves_together() {
    let mut checks = Checks::new("practice 15.2", &[]);
    let source = "computed from equal-tempered single valves; published compromise for 1-3 and 1-2-3";
    // Against whole semitones, whatever the valves do alone.
    let sharp = |valves: &Valves, fingers: &str| {
        let semitones: u32 =
            fingers.chars().map(|valve| [2, 1, 3, 5][valve.to_digit(10).unwrap() as usize - 1]).sum();
        let length = valves.length(How::parse(fingers).unwrap().digits);
        100.0 * f64::from(semitones) - 1200.0 * length.log2()
    };
    let four = Valves::four_plain();
    for (fingers, cents) in [
        ("12", 11.0),
        ("23", 16.0),
        ("13", 30.0),
        ("123", 54.0),
        ("24", 25.0),
        ("14", 48.0),
        ("124", 79.0),
        ("34", 71.0),
        ("234", 104.0),
        ("134", 137.0),
        ("1234", 175.0),
    ] {
        checks.row(fingers, source, near("cents", sharp(&four, fingers), cents, 0.6));
    }
    let tuned = Valves::three().tuned_long(3, 16.0);
    for (fingers, cents) in [("3", -16.0), ("13", 16.0), ("123", 39.0), ("23", 0.0)] {
        checks.row(fingers, source, near("cents, third valve drawn", sharp(&tuned, fingers), cents, 1.5));
    }
    checks.finish(15);
}

/// What lies between the pedals and the second harmonic. Trombone Tips for Composers; an encyclopedia's article
/// on the trombone; a tuba and euphonium blog on compensation, 2011; a euphonium site on low B natural.
#[test]
fn every_note_that_is_missing() {
    let mut checks = Checks::new("practice HAR-2", &[]);
    let source = "Trombone Tips for Composers; encyclopedia, Trombone; a blog on compensation, 2011; derived";
    let euphonium = instrument("euphonium");
    let plain = |name: &str, count: u8| instrument(name).with_valves(count, true).unwrap();
    let single_valve = Build::Slide(waterkey::brass::slide::Slide::with_one(5.0));
    let cases: [(&str, Instrument, &str); 13] = [
        ("straight trombone", instrument("straight trombone"), "Eb2 D2 Db2 C2 B1"),
        ("trombone", instrument("trombone"), "B1"),
        ("bass trombone", instrument("bass trombone"), ""),
        ("baritone, three valves", instrument("baritone horn"), "Eb2 D2 Db2 C2 B1"),
        ("euphonium, three valves", plain("euphonium", 3), "Eb2 D2 Db2 C2 B1"),
        ("euphonium, four plain", plain("euphonium", 4), "B1"),
        ("euphonium, compensating", euphonium, ""),
        ("BBb tuba, three valves", plain("BBb tuba", 3), "Eb1 D1 Db1 C1 B0"),
        ("BBb tuba, four plain", instrument("BBb tuba"), "B0"),
        ("sousaphone", instrument("sousaphone"), "Eb1 D1 Db1 C1 B0"),
        ("Eb tuba, three valves", plain("Eb tuba", 3), "Ab1 G1 Gb1 F1 E1"),
        ("Eb tuba, compensating", instrument("Eb tuba"), ""),
        ("F tuba, three valves", plain("F tuba", 3), "Bb1 A1 Ab1 G1 F#1"),
    ];
    for (name, made, missing) in &cases {
        let fundamental = made.tube.fundamental;
        let gaps: Vec<i32> = (fundamental + 1..fundamental + 12)
            .filter(|midi| matches!(made.note(*midi).nature, Nature::Gap { .. }))
            .collect();
        let mut published: Vec<i32> = missing.split_whitespace().map(|note| pitch(note).midi()).collect();
        published.sort_unstable();
        let names = |all: &[i32]| {
            all.iter().map(|m| Pitch::plain(*m, true).to_string()).collect::<Vec<_>>().join(" ")
        };
        checks.row(name, source, same("missing", names(&gaps), names(&published)));
    }
    // A bass trombone with one attachment lacks what the tenor lacks.
    let bass = instrument("bass trombone");
    let one = Compass::of(bass.tube, &single_valve);
    checks.row(
        "bass, one valve",
        source,
        same("B1 missing", matches!(one.at(35).nature, Nature::Gap { .. }), true),
    );
    checks.row("bass, one valve", source, same("C2 there", one.at(36).nature.is_playable(), true));
    // The low octave of four plain valves lies a semitone lower than it is fingered.
    let four = plain("euphonium", 4);
    for (note, fingers) in [("D2", "234"), ("C2", "1234")] {
        let usual = four.note(pitch(note).midi()).usual.unwrap();
        checks.row(note, source, same("fingers", usual.how.to_string().as_str(), fingers));
    }
    for note in ["C2", "Db2"] {
        let nature = four.note(pitch(note).midi()).nature;
        let weak = matches!(nature, Nature::Weak | Nature::Ordinary);
        checks.row(note, source, if weak { Ok(()) } else { Err(format!("{nature:?}")) });
    }
    checks.finish(19);
}

/// Every note of the table: each position that it lists holds the note. Outside harmonic 7 but where it says so.
/// A trombone article after Kennan; derived. Low notes and pedals: a dictionary's entry; Army Field Band levels.
#[test]
fn every_position_of_the_tenor_trombone() {
    const TABLE: &str = "\
E2 7 T2 · F2 6 T1 · Gb2 5 · G2 4 T6 · Ab2 3 T5 · A2 2 T4 · Bb2 1 T3 · B2 7 T2 · C3 6 T1 T6 · Db3 5 T5 · D3 4 T4 · \
Eb3 3 T3 · E3 2 7 T2 T6 · F3 1 6 T1 T5 · Gb3 5 T4 · G3 4 T3 T6 · Ab3 3 7 T2 T5 · A3 2 6 T1 T4 · Bb3 1 5 T3 · \
B3 4 7 T2 · C4 3 6 T1 T6 · Db4 2 5 T5 · D4 1 4 T4 · Eb4 3 T3 · E4 2 7 T2 · F4 1 6 4 T1 · Gb4 3 5 7 · G4 2 4 6 · \
Ab4 3 5 7 · A4 2 4 6 · Bb4 1 3 5 · C5 1 3 · D5 1 · Eb2 T3 · D2 T4 · Db2 T5 · C2 T6 · \
Bb1 1 · A1 2 · Ab1 3 · G1 4 · Gb1 5 · F1 6 · E1 7";
    let trombone = instrument("trombone");
    let mut checks = Checks::new("practice 15.3", &[]);
    let source = "positions after Kennan 1952; trombone articles; derived";
    for entry in TABLE.split(" · ") {
        let (note, positions) = entry.split_once(' ').unwrap();
        let ways = trombone.ways(pitch(note).midi());
        for position in positions.split(' ') {
            let how = How::parse(position).unwrap();
            let held = ways.iter().any(|way| way.how == how);
            checks.row(
                &format!("{note} {position}"),
                source,
                if held { Ok(()) } else { Err(format!("{ways:?}")) },
            );
        }
        // Nothing is left out on the open slide, below the tenth harmonic.
        for way in ways.iter().filter(|w| !w.how.thumb && !w.is_poor() && w.partial <= 10 && w.partial != 9) {
            let listed = positions.split(' ').any(|p| p == way.how.to_string());
            checks.row(
                &format!("{note} {}", way.how),
                source,
                if listed { Ok(()) } else { Err("not listed".into()) },
            );
        }
    }
    // Positions of the F side on the scale of the open slide.
    let Build::Slide(slide) = &trombone.build else { panic!() };
    let behind = slide.behind(true, false).unwrap();
    for (position, open) in (1..).zip([1.0, 2.3, 3.6, 4.9, 6.2, 7.4]) {
        let at = waterkey::brass::slide::Slide::at(behind, f64::from(position));
        checks.row(&format!("T{position}"), source, near("open position", open_position(at), open, 0.06));
    }
    checks.finish(130);
}

/// Ten swings of the lowest notes.
#[test]
fn the_periods_of_low_notes() {
    for (note, milliseconds) in [
        ("Bb0", 343.0),
        ("C1", 306.0),
        ("D1", 272.0),
        ("F1", 229.0),
        ("Bb1", 172.0),
        ("C2", 153.0),
        ("F2", 115.0),
        ("Bb2", 86.0),
    ] {
        let ten = 10_000.0 / pitch(note).hertz(440.0);
        assert!((ten - milliseconds).abs() < 0.6, "{note}: {ten}");
    }
}

/// Hops that no plan spares without an attachment (a trombonists' thread; practice SLD-2), and that one spares.
#[test]
fn the_hops_from_first_to_last_positions() {
    let travels = |name: &str, a: &str, b: &str| -> f64 {
        let made = instrument(name);
        let planner = Planner::new(&made, Effort::at(Level::Professional));
        let cm = |way: waterkey::brass::Way| made.slide_centimetres(&way);
        let (from, to) = (pitch(a).midi(), pitch(b).midi());
        let all = planner.ways(from).flat_map(|a| planner.ways(to).map(move |b| (a, b)).collect::<Vec<_>>());
        all.map(|(a, b)| (cm(a) - cm(b)).abs()).fold(f64::INFINITY, f64::min)
    };
    for (a, b) in [("Bb2", "B2"), ("Bb2", "C3"), ("A2", "B2")] {
        assert!(travels("straight trombone", a, b) > 44.0, "{a} {b}");
        assert!(travels("trombone", a, b) < 25.0, "{a} {b}");
    }
    // F3 to G♭3 is only a hop from first; F3 in sixth lies beside it.
    assert!(travels("straight trombone", "F3", "Gb3") < 12.0);
}

/// Practice VLV-3 and VLV-4: a whole tone by the lips from D4 up on a trombone; below it takes the attachment, in
/// few places, and a semitone never goes by the lips. Trumpet from written E5, horn from written E4; tubas and
/// euphoniums from harmonic 7 (Composer's Guide to the Tuba).
#[test]
fn the_trills_of_lips_and_attachments() {
    let mut checks = Checks::new("practice VLV-3, VLV-4", &[]);
    let source =
        "horn blogs; hornplayer archive; a trumpet beginners' text; Composer's Guide to the Tuba; derived";
    for (name, lowest) in
        [("straight trombone", "D4"), ("trombone", "D4"), ("trumpet in C", "E5"), ("single horn in F", "A3")]
    {
        let made = instrument(name);
        for low in 20..pitch(lowest).midi() {
            let found = lip_trill(&made, low, low + 2).is_some();
            // The attachment's longer tube has close harmonics a little lower; players keep to the open slide.
            let thumb = name == "trombone" && low >= pitch("A3").midi();
            checks.row(
                &format!("{name} {low}"),
                source,
                if found && !thumb { Err("a trill".into()) } else { Ok(()) },
            );
        }
        let low = pitch(lowest).midi();
        checks.row(name, source, same("lowest", lip_trill(&made, low, low + 2).is_some(), true));
    }
    for name in ["euphonium", "F tuba", "BBb tuba"] {
        let made = instrument(name);
        let lowest = (20..100).find(|low| lip_trill(&made, *low, low + 2).is_some()).unwrap();
        let way = lip_trill(&made, lowest, lowest + 2).unwrap();
        checks.row(name, source, same("lower harmonic", way.lower_partial, 7));
    }
    // T and open in one position: the thumb alone.
    let trombone = instrument("trombone");
    for (low, high) in [("A2", "Bb2"), ("Bb2", "C3"), ("E3", "F3")] {
        let (low, high) = (pitch(low).midi(), pitch(high).midi());
        if let Some(trill) = attachment_trill(&trombone, low, high) {
            let cm = |midi: i32, thumb: bool| {
                trombone
                    .ways(midi)
                    .iter()
                    .filter(|w| w.how.thumb == thumb)
                    .map(|w| trombone.slide_centimetres(w))
                    .collect::<Vec<_>>()
            };
            let close = |a: &[f64], b: &[f64]| a.iter().any(|a| b.iter().any(|b| (a - b).abs() < 3.0));
            let one_place =
                close(&cm(low, true), &cm(high, false)) || close(&cm(low, false), &cm(high, true));
            assert!(one_place, "{trill:?}");
        }
    }
    checks.finish(100);
}
