//! `slide_positions.tsv`: positions, alternates and attachments.

use crate::checks::{Checks, Exceptions, near, same};
use crate::reading::instrument;
use crate::rows::{Row, pitch, rows};
use waterkey::brass::slide::Slide;
use waterkey::brass::way::{Way, open_position};
use waterkey::brass::{Build, Compass, How, Nature};

const TABLE: &str = include_str!("data/slide_positions.tsv");

const SEVENTH: &str = "a beginners' chart; the table after Kennan, whose lowest positions agree, has the raised seventh harmonic";

const EXCEPTIONS: Exceptions = &[("tenor F#4 primary", SEVENTH), ("tenor G4 primary", SEVENTH)];

#[test]
fn the_positions_of_the_trombone() {
    let trombone = instrument("straight trombone");
    let mut checks = Checks::new("slide_positions", EXCEPTIONS);
    for row in rows(TABLE).iter().filter(|row| row.get("instrument") == "tenor_trombone_Bb") {
        let midi = row.pitch("concert").midi();
        let (note, ways) = (row.get("concert"), trombone.ways(midi));
        let usual = trombone.note(midi).usual.unwrap().how.to_string();
        let primary = same("primary", usual.as_str(), row.get("primary_position"));
        checks.row(&format!("tenor {note} primary"), row.source(), primary);
        let useful = ways.iter().filter(|way| !(way.is_poor() && way.cents < 0.0));
        let lowest = useful.filter_map(|way| way.how.position()).min().unwrap();
        checks.row(note, row.source(), same("lowest", lowest, row.number("lowest_position_published")));
        for text in row.get("all_positions_partial_exact").split(' ') {
            checks.row(note, row.source(), has_position(ways, text));
        }
        for digit in row.get("common_alternates").split([' ', '#']).filter_map(|d| d.parse::<u8>().ok()) {
            let held = ways.iter().any(|way| way.how.position() == Some(digit));
            checks.row(note, row.source(), if held { Ok(()) } else { Err(format!("no way in {digit}")) });
        }
        // Backwards as far as the table goes: harmonic 12, seventh position, nothing that is out of tune in first.
        for way in
            ways.iter().filter(|w| w.partial <= 12 && w.position <= 7.1 && !(w.is_poor() && w.cents < 0.0))
        {
            let cell = format!("{}/p{}/", way.how, way.partial);
            let known = row.get("all_positions_partial_exact").contains(&cell);
            checks.row(
                note,
                row.source(),
                if known { Ok(()) } else { Err(format!("{cell} is not published")) },
            );
        }
    }
    checks.finish(250);
}

/// `7/p5/6.86`: position, harmonic, exact place. Less than 1 is a note that stays flat in first position.
fn has_position(ways: &[Way], text: &str) -> Result<(), String> {
    let parts: Vec<&str> = text.split('/').collect();
    let how = How::parse(parts[0]).unwrap();
    let partial: u16 = parts[1].trim_start_matches('p').parse().unwrap();
    let exact: f64 = parts[2].parse().unwrap();
    let way = ways.iter().find(|way| way.partial == partial && way.how == how);
    let way = way.ok_or_else(|| format!("{text} is not derived"))?;
    near("exact position", f64::from(way.position), exact.max(1.0), 0.011)?;
    near("cents", f64::from(way.cents), 100.0 * (exact - 1.0).min(0.0), 1.0)
}

#[test]
fn the_positions_with_attachments() {
    let mut checks = Checks::new("slide_positions", &[]);
    let tube = instrument("trombone").tube;
    for row in rows(TABLE).iter().filter(|row| row.get("valve") != "none") {
        let f_and_g_flat = Slide::with_two(5.0, 4.0);
        let (slide, thumb, second) = match row.get("valve") {
            "F" => (Slide::with_one(5.0), true, false),
            "Gb" => (f_and_g_flat, false, true),
            text if text.starts_with("F+Gb") => (f_and_g_flat, true, true),
            _ => (Slide::with_dependent(5.0, 8.0), true, true),
        };
        let compass = Compass::of(tube, &Build::Slide(slide));
        let outcome = with_attachment(&compass, &slide, thumb, second, row);
        checks.row(row.get("concert"), row.source(), outcome);
    }
    checks.finish(60);
}

fn with_attachment(
    compass: &Compass,
    slide: &Slide,
    thumb: bool,
    second: bool,
    row: &Row,
) -> Result<(), String> {
    let nominal: u8 = row.number("valve_nominal_position");
    let behind = slide.behind(thumb, second).ok_or("no such attachment")?;
    let wanted = How::new(thumb, second, 0).at_position(nominal);
    let parts: Vec<&str> = row.get("all_positions_partial_exact").split('/').collect();
    let partial: u16 = parts[1].trim_start_matches('p').parse().unwrap();
    let ways = compass.ways(row.pitch("concert").midi());
    let way = ways.iter().find(|way| way.how == wanted && way.partial == partial);
    let way = way.ok_or_else(|| format!("{wanted} on harmonic {partial} is not derived"))?;
    // F and G flat together are 8 cents longer than D, which the table leaves out.
    let exact: f64 = parts[2].parse().unwrap();
    let slack = if second && row.get("valve").starts_with("F+Gb") { 0.09 } else { 0.011 };
    near("position", f64::from(way.position) + f64::from(way.cents) / 100.0, exact, slack)?;
    let open: f64 = row.get("valve_equivalent_open_position").split(' ').next().unwrap().parse().unwrap();
    near("open position", open_position(Slide::at(behind, f64::from(nominal))), open, 0.011)
}

#[test]
fn the_positions_of_the_alto_trombone() {
    let alto = instrument("alto trombone");
    let mut checks = Checks::new("slide_positions", &[]);
    for row in rows(TABLE).iter().filter(|row| row.get("instrument") == "alto_trombone_Eb") {
        let midi = row.pitch("concert").midi();
        let position = has_position(alto.ways(midi), row.get("all_positions_partial_exact"));
        checks.row(row.get("concert"), row.source(), position);
    }
    checks.finish(15);
}

/// Practice: five notes missing on a straight trombone, one with the F attachment, none on a bass trombone.
#[test]
fn the_gaps_of_the_trombones() {
    let (straight, with_f, bass) =
        (instrument("straight trombone"), instrument("trombone"), instrument("bass trombone"));
    for midi in 35..=39 {
        assert_eq!(straight.note(midi).nature, Nature::Gap { below: 34, above: 40 });
    }
    assert_eq!(with_f.note(35).nature, Nature::Gap { below: 34, above: 36 });
    assert!((36..=72).all(|midi| with_f.note(midi).nature == Nature::Ordinary));
    assert!((34..=70).all(|midi| bass.note(midi).nature == Nature::Ordinary));
}

/// Common practice: an attachment spares sixth and seventh position, and two make low C and B safe.
#[test]
fn the_usual_positions_with_attachments() {
    for (name, notes) in [
        ("trombone", "E2 T2 F2 T1 F#2 5 B2 T2 C3 T1 C2 T6 Eb2 T3 F3 1 F1 T1"),
        ("bass trombone", "C2 TG3 B1 TG4 C#2 T5 F#2 5 F2 T1 D2 T4 Bb1 1"),
        ("straight trombone", "E2 7 F2 6 B2 7 C3 6"),
    ] {
        let made = instrument(name);
        let words: Vec<&str> = notes.split(' ').collect();
        for pair in words.chunks(2) {
            let usual = made.note(pitch(pair[0]).midi()).usual.unwrap().how;
            assert_eq!(usual.to_string(), pair[1], "{name} {}", pair[0]);
        }
    }
}

/// Published: 7 inches to third position, about 23 to seventh (within 5 %).
#[test]
fn the_hand_moves_as_far_as_published() {
    let trombone = instrument("straight trombone");
    let hand = |note: &str| trombone.slide_centimetres(&trombone.note(pitch(note).midi()).usual.unwrap());
    assert!(hand("Bb2").abs() < 1e-6);
    assert!((hand("Ab2") / (7.0 * 2.54) - 1.0).abs() < 0.05);
    assert!((hand("E2") / (23.0 * 2.54) - 1.0).abs() < 0.05);
}
