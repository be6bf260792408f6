//! Laws that hold for every instrument and every pitch.

use crate::reading::instrument;
use proptest::prelude::*;
use std::collections::BTreeSet;
use waterkey::brass::catalogue::entries;
use waterkey::brass::written::{MOST_ACCIDENTALS, sounding, written, written_key};
use waterkey::brass::{
    Build, How, Instrument, Nature, OwnInstrument, OwnKind, Verdict, Way, check, reading_interval,
};
use waterkey::music::{Interval, Key, Mode, Pitch, Step};

pub fn any_instrument() -> impl Strategy<Value = Instrument> {
    let catalogued = (0..entries().count()).prop_map(|n| entries().nth(n).unwrap().instrument().unwrap());
    prop_oneof![4 => catalogued, 1 => any_own()]
}

fn any_own() -> impl Strategy<Value = Instrument> {
    let valves = prop::collection::vec(1u8..=7, 1..=6);
    (24i32..60, valves, 0usize..3).prop_map(|(fundamental, valves, kind)| {
        let kind = [OwnKind::Valved, OwnKind::Slide, OwnKind::Natural][kind];
        let valves = (kind == OwnKind::Valved).then_some(valves);
        let own = OwnInstrument {
            name: "own",
            kind,
            fundamental: Some(Pitch::plain(fundamental, true)),
            read_in: None,
            valves: valves.as_deref(),
            range: None,
            comfortable: None,
        };
        own.build().unwrap()
    })
}

/// Cents of a way worked out afresh, in centimetres and hertz, from what the hands do.
fn recomputed(made: &Instrument, way: &Way, midi: i32) -> f64 {
    let open = made.tube.centimetres();
    let piece = |semitones: f64| open * (2f64.powf(semitones / 12.0) - 1.0);
    let pieces = |digits: u8, semitones: &[f64]| -> f64 {
        (0..8).filter(|v| digits & (1 << v) != 0).map(|v| piece(semitones[v])).sum()
    };
    let centimetres = match &made.build {
        Build::Natural { .. } => open,
        Build::Double(_) => {
            let side = if way.how.thumb { 2f64.powf(-5.0 / 12.0) } else { 1.0 };
            side * (open + pieces(way.how.digits, &[2.0, 1.0, 3.0]))
        }
        Build::Valved(valves) => {
            let alone: Vec<f64> = (0..8).map(|v| valves.nominal((1u16 << v) as u8)).collect();
            let added = pieces(way.how.digits, &alone);
            if valves.compensates() && way.how.digits & 0b1000 != 0 {
                // Each of the first three valves adds a loop cut for the tube with the fourth down.
                let fourth = piece(alone[3]);
                let loops = pieces(way.how.digits & 0b111, &alone) * fourth / open;
                open + added + loops
            } else {
                open + added
            }
        }
        Build::Slide(slide) => {
            let behind = slide.behind(way.how.thumb, way.how.second).unwrap() * open;
            behind * 2f64.powf((f64::from(way.position) - 1.0) / 12.0)
        }
    };
    let hertz = f64::from(way.partial) * 34_300.0 / (2.0 * centimetres);
    let wanted = 440.0 * 2f64.powf((f64::from(midi) - 69.0) / 12.0);
    1200.0 * (hertz / wanted).log2()
}

proptest! {
    #[test]
    fn cents_follow_from_lengths(made in any_instrument(), midi in 0..128i32) {
        for way in made.ways(midi) {
            let fresh = recomputed(&made, way, midi);
            prop_assert!((fresh - f64::from(way.cents)).abs() < 0.01, "{} {midi} {way:?}: {fresh}", made.name);
        }
    }

    #[test]
    fn the_usual_way_is_the_first_and_there_is_none_exactly_in_gaps(made in any_instrument(), midi in -20..150i32) {
        let note = made.note(midi);
        let midi = midi.clamp(-1, 127);
        prop_assert_eq!(note.usual.as_ref(), made.ways(midi).first());
        let lacking = matches!(note.nature, Nature::Gap { .. } | Nature::Below { .. } | Nature::OffSeries { .. });
        prop_assert_eq!(lacking, made.ways(midi).is_empty());
        prop_assert_eq!(note.usual.is_some() || matches!(note.nature, Nature::OffSeries { by_hand: true, .. }), note.nature.is_playable());
        match note.nature {
            Nature::Gap { below, above } => {
                prop_assert!(below < midi && midi < above);
                prop_assert!(made.note(below).usual.is_some() && made.note(above).usual.is_some());
                prop_assert!((below + 1..above).all(|between| made.note(between).usual.is_none()));
            }
            Nature::Below { lowest } => {
                prop_assert!(midi < lowest && made.note(lowest).usual.is_some());
            }
            Nature::OffSeries { nearest, partial, .. } => {
                prop_assert_eq!(made.note(nearest).usual.map(|way| way.partial), Some(partial));
            }
            Nature::Pedal => prop_assert!(made.ways(midi).iter().all(Way::is_pedal)),
            Nature::Weak | Nature::Ordinary => {}
        }
    }

    /// Nothing is an error for being high.
    #[test]
    fn above_the_fourth_harmonic_every_note_of_valves_and_slides_has_a_way(made in any_instrument(), up in 24..120i32) {
        let whole = match &made.build {
            Build::Natural { .. } => false,
            // Own valves may be of any length; the usual three fill the series.
            Build::Valved(valves) => valves.count() >= 3 && made.kind != waterkey::brass::Kind::Own,
            Build::Double(_) | Build::Slide(_) => true,
        };
        let midi = made.tube.fundamental + up;
        prop_assume!(whole && midi < 128);
        prop_assert!(made.note(midi).usual.is_some(), "{} {midi}", made.name);
    }

    #[test]
    fn every_way_holds_when_it_is_chosen(made in any_instrument(), midi in 0..128i32) {
        for way in made.ways(midi) {
            match check(&made, way.how, midi) {
                Verdict::Holds(held) => prop_assert!(held.cents.abs() <= way.cents.abs() + 0.01, "{} {midi} {way:?} {held:?}", made.name),
                other => prop_assert!(false, "{} {midi} {way:?}: {other:?}", made.name),
            }
        }
    }

    #[test]
    fn what_a_choice_gives_instead_it_holds(made in any_instrument(), midi in 20..100i32, thumb: bool, second: bool, digits in 0u8..128) {
        let how = How::new(thumb, second, digits);
        if let Verdict::Gives(other) = check(&made, how, midi) {
            prop_assert!(other.midi != midi || other.off.abs() > 60.0);
            prop_assert!((f64::from(other.midi - midi) * 100.0 + f64::from(other.cents) - f64::from(other.off)).abs() < 0.01);
            let held = matches!(check(&made, how, other.midi), Verdict::Holds(_));
            prop_assert!(held, "{} {how} {other:?}", made.name);
        }
    }

    #[test]
    fn a_persons_own_limits_keep_their_order(made in any_instrument(), level in 0usize..3, low in 0..128i32, up in 0..60i32) {
        let level = waterkey::brass::Level::ALL[level];
        for (top, bottom) in [(None, None), (Some(low + up), None), (None, Some(low)), (Some(low + up), Some(low))] {
            let limits = made.limits(level).of_person(top, bottom);
            prop_assume!(bottom.is_none_or(|bottom| bottom <= limits.usual));
            prop_assert!(limits.low <= limits.comfortable && limits.comfortable <= limits.usual && limits.usual <= limits.reach);
            prop_assert_eq!(top.unwrap_or(limits.reach), limits.reach);
            prop_assert_eq!(bottom.unwrap_or(limits.low), limits.low);
        }
    }

    #[test]
    fn a_choice_is_written_as_it_is_read(thumb: bool, second: bool, digits in 0u8..128) {
        let how = How::new(thumb, second, digits);
        prop_assert_eq!(How::parse(&how.to_string()), Some(how));
    }

    #[test]
    fn any_name_gets_an_answer(name in ".{0,80}", key in prop::option::of(0..7i32), alter in -2..=2i8) {
        let key = key.map(|step| Pitch { step: Step::from_index(step), alter, octave: 4 });
        if let Err(fault) = waterkey::brass::find(&name, key, None) {
            prop_assert!(!fault.to_string().is_empty());
        }
    }
}

fn every_spelled_pitch() -> impl Iterator<Item = Pitch> {
    let steps = Step::ALL.into_iter();
    steps.flat_map(|step| {
        (-2..=2).flat_map(move |alter| (0..=8).filter_map(move |octave| Pitch::new(step, alter, octave)))
    })
}

fn every_key() -> impl Iterator<Item = Key> {
    [Mode::Major, Mode::Minor]
        .into_iter()
        .flat_map(|mode| (-7..=7).filter_map(move |n| Key::from_fifths(n, mode)))
}

/// Down and up again is the same spelling; where letters would need a triple accidental, the same sound.
#[test]
fn there_and_back_is_where_it_began() {
    let mut respelled = 0;
    for made in entries().map(|entry| entry.instrument().unwrap()) {
        let used: BTreeSet<i32> =
            every_key().map(|key| reading_interval(made.reads, Some(key)).steps).collect();
        let twins: Vec<Interval> = used.into_iter().map(|steps| Interval { steps, ..made.reads }).collect();
        for read in every_spelled_pitch() {
            for interval in twins.iter().copied() {
                let heard = sounding(read, interval);
                assert_eq!(heard.midi(), read.midi() + interval.semitones);
                if interval.apply(read).is_some() {
                    assert_eq!(Interval::between(read, heard), interval);
                    assert_eq!(written(heard, interval), read, "{} {read}", made.name);
                } else {
                    respelled += 1;
                    assert!(heard.alter.abs() <= 1, "{} {read} {heard}", made.name);
                }
            }
        }
    }
    assert!(respelled > 0);
}

#[test]
fn a_part_never_has_more_than_six_accidentals_unless_it_is_read_at_concert_pitch() {
    for made in entries().map(|entry| entry.instrument().unwrap()) {
        for concert in every_key() {
            let interval = reading_interval(made.reads, Some(concert));
            assert_eq!(interval.semitones, made.reads.semitones);
            let key = written_key(concert, interval).unwrap();
            if made.reads.semitones % 12 == 0 {
                assert_eq!(interval, made.reads);
            } else {
                assert!(key.fifths().abs() <= MOST_ACCIDENTALS, "{} {concert} {key}", made.name);
            }
            // The scale of the key needs no accidental in the part.
            for heard in every_spelled_pitch().filter(|p| concert.holds(*p)) {
                assert!(key.holds(written(heard, interval)), "{} {concert} {heard}", made.name);
            }
        }
    }
}

/// A chart shows what it was made from.
#[test]
fn a_chart_row_sounds_what_it_says() {
    for name in ["trumpet in Bb", "horn in F", "trombone", "BBb tuba", "natural trumpet in D"] {
        let made = instrument(name);
        for row in waterkey::brass::chart::chart(&made, 442.0) {
            assert_eq!(Interval::between(row.written, row.concert), made.reads);
            assert_eq!(row.usual, made.note(row.concert.midi()).usual);
            let cents = 1200.0 * (row.hertz / 442.0).log2();
            assert!((cents - 100.0 * f64::from(row.concert.midi() - 69)).abs() < 1e-6);
            assert!(row.others.iter().all(|way| made.ways(row.concert.midi()).contains(way)));
            assert!(row.others.iter().all(|way| Some(*way) != row.usual));
            // Left out: flat by more than 35 cents, or on harmonics 7, 11, 13, 14 and off by more than that.
            for way in made.ways(row.concert.midi()).iter().skip(1) {
                let left_out = way.cents < -35.0 || way.is_poor() && way.cents > 35.0;
                assert_eq!(row.others.contains(way), !left_out, "{name} {} {way:?}", row.concert);
            }
        }
    }
}
