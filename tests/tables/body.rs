//! What players can do, against the catalogue of practice: its numbers are repeated here as its sources give
//! them, and worked out by the models.

use crate::checks::{Checks, near, same};
use crate::reading::instrument;
use crate::rows::pitch;
use waterkey::brass::body::air::{Fifth, flow_litres_per_second};
use waterkey::brass::body::effects;
use waterkey::brass::body::hands::{self, Bell, Hands, switch};
use waterkey::brass::body::left_hand::draws_slide;
use waterkey::brass::body::lips::high_mark;
use waterkey::brass::body::loudness::{loud_mark, soft_mark, softness, unstable_softness};
use waterkey::brass::body::speech::{LEAST_CYCLES, STRONG_CYCLES, cycles};
use waterkey::brass::body::tongue::Manner;
use waterkey::brass::body::{Air, Arm, Lips, Loudness, Lungs, Tongue, Voice};
use waterkey::brass::kind::Kind;
use waterkey::brass::{Level, Mute};

/// Seconds on one breath in the middle register, professional, as worked out by hand beside the flows (capped
/// at 25). Estimates between Bouhuys 1964, Wolfe and Jacobs.
#[test]
fn the_seconds_of_one_breath() {
    let mut checks = Checks::new("practice: breath", &[]);
    let air = Air::at(Level::Professional);
    for (voice, seconds) in [
        (Voice::Trumpet, [25.0, 20.0, 10.0]),
        (Voice::Horn, [25.0, 18.0, 7.0]),
        (Voice::Trombone, [25.0, 11.0, 4.5]),
        (Voice::BassTrombone, [23.0, 9.0, 3.3]),
        (Voice::Euphonium, [25.0, 10.0, 4.0]),
        (Voice::Tuba, [25.0, 6.0, 2.2]),
    ] {
        for (loudness, published) in [Loudness::Pp, Loudness::Mf, Loudness::Ff].into_iter().zip(seconds) {
            let flow = flow_litres_per_second(voice, loudness, Fifth::Middle);
            let derived = air.lasts_seconds(flow);
            let outcome = near("seconds", derived / published, 1.0, 0.12);
            checks.row(&format!("{voice:?} {loudness:?}"), "practice, BRE-1", outcome);
            for (level, share) in [(Level::Amateur, 0.75), (Level::School, 0.5)] {
                let outcome = near("share", Air::at(level).lasts_seconds(flow) / derived, share, 1e-9);
                checks.row(&format!("{voice:?} {level:?}"), "practice, BRE-1", outcome);
            }
        }
    }
    // A soft tuba: about 0.31 L/s, 13 s.
    let soft = flow_litres_per_second(Voice::Tuba, Loudness::P, Fifth::Middle);
    checks.row("tuba p", "practice, BRE-1", near("litres a second", soft, 0.31, 0.005));
    checks.row("tuba p", "practice, BRE-1", near("seconds", air.lasts_seconds(soft), 13.0, 0.3));
    // Jacobs: trumpet 25-30 L/min low and about 10 very high; a full tuba well over 120 L/min, at most 2 L/s.
    let low = 60.0 * flow_litres_per_second(Voice::Trumpet, Loudness::Ff, Fifth::Bottom);
    checks.row("trumpet low", "Jacobs in Frederiksen, Song and Wind, 1996", near("L/min", low, 30.0, 2.0));
    let high = 60.0 * flow_litres_per_second(Voice::Trumpet, Loudness::F, Fifth::Top);
    checks.row("trumpet high", "Jacobs in Frederiksen, Song and Wind, 1996", near("L/min", high, 10.0, 2.0));
    let full = flow_litres_per_second(Voice::Tuba, Loudness::Fff, Fifth::Middle);
    let ceiling = if (2.0..2.1).contains(&full) || full < 2.0 { Ok(()) } else { Err(format!("{full}")) };
    checks.row("tuba ceiling", "Jacobs in Frederiksen, Song and Wind, 1996", ceiling);
    checks.finish(50);
}

/// No flow in the bounds measured in players is left: under 0.05 to over 1.6 L/s, 2 L/s the ceiling but for a
/// tuba at its loudest and lowest (Bouhuys 1964; Jacobs).
#[test]
fn flows_grow_with_loudness_and_depth() {
    for voice in Voice::ALL {
        for fifth in [Fifth::Bottom, Fifth::Middle, Fifth::Top] {
            let flows = Loudness::ALL.map(|l| flow_litres_per_second(voice, l, fifth));
            assert!(flows.is_sorted(), "{voice:?} {fifth:?}");
            assert!(flows[0] > 0.05 && flows[5] < 2.6, "{voice:?} {fifth:?} {flows:?}");
        }
        for loudness in Loudness::ALL {
            let at = |fifth| flow_litres_per_second(voice, loudness, fifth);
            assert!(at(Fifth::Bottom) > at(Fifth::Middle) && at(Fifth::Middle) > at(Fifth::Top));
        }
    }
}

/// A sound of a minute at the least flow is the end of any lungs: 6 L at 0.1 L/s.
#[test]
fn a_minute_is_the_end() {
    let mut lungs = Lungs::default();
    lungs.blow(waterkey::brass::body::air::LONGEST_SECONDS, 0.1, &Air::at(Level::Professional));
    assert!((lungs.used_litres - 6.0).abs() < 1e-9);
}

/// Seconds of continuous playing, practice END-1; marks of height, practice END-3 (estimates).
#[test]
fn the_limits_of_lips() {
    let mut checks = Checks::new("practice: lips", &[]);
    for (name, stretch, marks) in [
        ("trumpet in Bb", [20.0, 40.0, 90.0], ["D5", "F5", "F5"]),
        ("horn in F", [25.0, 45.0, 100.0], ["G4", "Bb4", "Bb4"]),
        ("trombone", [30.0, 60.0, 120.0], ["D4", "F4", "F4"]),
        ("baritone horn", [30.0, 60.0, 120.0], ["D4", "F4", "F4"]),
        ("euphonium", [30.0, 60.0, 120.0], ["D4", "F4", "F4"]),
        ("Eb tuba", [40.0, 75.0, 150.0], ["C3", "Bb3", "Bb3"]),
    ] {
        let made = instrument(name);
        for (i, level) in Level::ALL.into_iter().enumerate() {
            let lips = Lips::at(&made, level, made.limits(level).comfortable);
            checks.row(name, "practice, END-1", near("stretch", lips.stretch_seconds, stretch[i], 1e-9));
            checks.row(
                name,
                "practice, END-3",
                same("high mark", high_mark(&made, level), pitch(marks[i]).midi()),
            );
            let low_brass = !matches!(name, "trumpet in Bb" | "horn in F");
            let share = [0.6, 0.7, 0.8][i] + if low_brass { 0.1 } else { 0.0 };
            checks.row(name, "practice, END-2", near("share", lips.playing_share, share, 1e-9));
            checks.row(name, "practice, END-3", near("high", lips.high_seconds, [8.0, 15.0, 30.0][i], 1e-9));
            checks.row(
                name,
                "practice, END-4",
                near("recovery", lips.recovery_share, [1.0, 1.0, 0.5][i], 1e-9),
            );
            // A stretch all high: 0.6 of the limit; all loud: 0.75.
            let high = 1.0 / lips.weight(lips.comfortable + 1, Loudness::Mf);
            checks.row(name, "practice, END-1", near("high share", high, 0.6, 1e-9));
            let loud = 1.0 / lips.weight(lips.comfortable, Loudness::F);
            checks.row(name, "practice, END-1", near("loud share", loud, 0.75, 1e-9));
            let ordinary = lips.weight(lips.comfortable, Loudness::Mf);
            checks.row(name, "practice, END-1", near("ordinary", ordinary, 1.0, 1e-9));
        }
    }
    checks.finish(120);
}

/// Notes a second, practice ART-1 and ART-2 (contemporarytuba.com; players' threads; the split an estimate).
#[test]
fn the_rates_of_tongues() {
    let mut checks = Checks::new("practice: tongue", &[]);
    for (voice, rates, burst) in [
        (Voice::Trumpet, [5.0, 7.0, 9.0], 10.0),
        (Voice::Trombone, [4.5, 6.7, 8.5], 10.0),
        (Voice::Euphonium, [4.5, 6.7, 8.5], 10.0),
        (Voice::Horn, [4.5, 6.3, 8.0], 9.0),
        (Voice::Tuba, [4.0, 6.0, 8.0], 10.0),
    ] {
        for (i, level) in Level::ALL.into_iter().enumerate() {
            let tongue = Tongue::at(voice, level);
            let name = format!("{voice:?} {level:?}");
            let single = near("single", tongue.single_notes_per_second, rates[i], 1e-9);
            checks.row(&name, "practice, ART-1", single);
            let lasting = tongue.manner(8, rates[i]) == Manner::Single
                && tongue.manner(8, rates[i] + 0.01) > Manner::Burst;
            checks.row(&name, "practice, ART-1", if lasting { Ok(()) } else { Err("manner".into()) });
        }
        let professional = Tongue::at(voice, Level::Professional);
        let rate = professional.burst_notes_per_second;
        checks.row(&format!("{voice:?}"), "practice, ART-1", near("burst", rate, burst, 1e-9));
        let manners =
            [(4, burst), (8, burst), (8, 12.1)].map(|(notes, rate)| professional.manner(notes, rate));
        let as_published = manners == [Manner::Burst, Manner::Multiple, Manner::TooFast];
        checks.row(
            &format!("{voice:?}"),
            "practice, ART-2",
            if as_published { Ok(()) } else { Err(format!("{manners:?}")) },
        );
    }
    // Published: semiquavers at 120 are the limit of one trombonist (8 a second), at 132 (8.8) they lie between
    // single and double.
    let trombone = Tongue::at(Voice::Trombone, Level::Professional);
    assert_eq!(trombone.manner(16, 8.0), Manner::Single);
    assert_eq!(trombone.manner(16, 8.8), Manner::Multiple);
    assert_eq!(Tongue::at(Voice::Tuba, Level::School).manner(16, 4.1), Manner::TooFast);
    checks.finish(40);
}

/// Every row of practice MUT-1 and PRT-6.
#[test]
fn the_seconds_of_hands() {
    use Bell::{Muted, Open, Stopped};
    let mut checks = Checks::new("practice: hands", &[]);
    let (straight, cup, bucket) = (Muted(Mute::Straight), Muted(Mute::Cup), Muted(Mute::Bucket));
    let (plunger, stopping) = (Muted(Mute::Plunger), Muted(Mute::Stopping));
    let (harmon, stemless) = (Muted(Mute::Harmon), Muted(Mute::HarmonStemless));
    for (voice, from, to, least, comfortable) in [
        (Voice::Trumpet, Open, straight, 1.0, 3.5),
        (Voice::Trumpet, straight, cup, 2.5, 5.0),
        (Voice::Trumpet, Open, plunger, 0.7, 2.0),
        (Voice::Trombone, Open, plunger, 0.7, 2.0),
        (Voice::Trombone, Open, straight, 1.5, 4.0),
        (Voice::BassTrombone, Open, cup, 1.5, 4.0),
        (Voice::Trombone, straight, cup, 3.0, 6.0),
        (Voice::Trombone, straight, plunger, 3.0, 6.0),
        (Voice::Horn, Open, straight, 1.0, 2.5),
        (Voice::Horn, Open, Stopped, 0.15, 0.5),
        (Voice::Horn, Open, stopping, 2.0, 4.0),
        (Voice::Trumpet, Open, bucket, 4.0, 7.0),
        (Voice::Trombone, Open, bucket, 4.0, 7.0),
        (Voice::Trumpet, harmon, stemless, 4.0, 8.0),
        (Voice::Euphonium, Open, straight, 2.0, 5.0),
        (Voice::Tuba, Open, straight, 4.0, 10.0),
    ] {
        for (a, b) in [(from, to), (to, from)] {
            let (_, time) = Hands::of(voice).change(a, b).unwrap();
            let key = format!("{voice:?} {a:?} to {b:?}");
            checks.row(&key, "practice, MUT-1", near("least", time.least_seconds, least, 1e-9));
            let outcome = near("comfortable", time.comfortable_seconds, comfortable, 1e-9);
            checks.row(&key, "practice, MUT-1", outcome);
        }
        assert_eq!(Hands::of(voice).change(from, from), None);
    }
    let floor = Hands { voice: Voice::Horn, mute_on_cord: false }.change(Open, straight).unwrap().1;
    checks.row("horn, floor", "practice, MUT-1", near("least", floor.least_seconds, 2.0, 1e-9));
    checks.row("horn, floor", "practice, MUT-1", near("comfortable", floor.comfortable_seconds, 4.0, 1e-9));
    for (from, to, least, comfortable) in
        [(Kind::Trumpet, Kind::Flugelhorn, 8.0, 15.0), (Kind::Tuba, Kind::Euphonium, 12.0, 20.0)]
    {
        let time = switch(from, to).1;
        checks.row("switch", "practice, PRT-6", near("least", time.least_seconds, least, 1e-9));
        checks.row("switch", "practice, PRT-6", near("good", time.comfortable_seconds, comfortable, 1e-9));
    }
    assert!(hands::ROWS.iter().all(|(_, time)| time.least_seconds < time.comfortable_seconds));
    assert!(hands::ROWS.iter().all(|(_, time)| !time.source.is_empty()));
    checks.finish(60);
}

/// Practice SLD-1: neighbouring positions about 14 a second at best, first to fourth about 130 ms, first to
/// seventh about 230 ms, for a professional (estimates).
#[test]
fn the_time_of_a_shift() {
    let trombone = instrument("straight trombone");
    let cm = |note: &str| trombone.slide_centimetres(&trombone.note(pitch(note).midi()).usual.unwrap());
    let arm = Arm::at(Level::Professional);
    let mut checks = Checks::new("practice: arm", &[]);
    let neighbours = 1.0 / arm.shift_seconds(cm("A2") - cm("Bb2"));
    checks.row("1 to 2", "practice, SLD-1", near("shifts a second", neighbours, 14.0, 0.7));
    checks.row("1 to 4", "practice, SLD-1", near("s", arm.shift_seconds(cm("G2")), 0.130, 0.005));
    checks.row("1 to 7", "practice, SLD-1", near("s", arm.shift_seconds(cm("E2")), 0.230, 0.012));
    assert_eq!(arm.shift_seconds(0.0), 0.0);
    // The published distances, from first position; the list in practice is rounded down from a shorter tube.
    for (note, published) in
        [("A2", 8.0), ("Ab2", 17.0), ("G2", 26.0), ("Gb2", 36.0), ("F2", 46.0), ("E2", 57.0)]
    {
        let outcome = near("cm", cm(note) / published, 1.0, 0.11);
        checks.row(note, "practice, SLD-1", outcome);
    }
    checks.finish(9);
    for level in Level::ALL {
        let arm = Arm::at(level);
        for seconds in [0.1, 0.2, 0.5] {
            let reach = arm.reach_cm(seconds);
            assert!(arm.shift_seconds(reach) <= seconds + 1e-9 || reach < 3.01, "{level:?} {seconds}");
        }
    }
}

/// Practice MUT-6: written D4 and C♯4, low G3 and F♯3 need the third valve's slide; nothing else does.
#[test]
fn the_notes_for_which_the_left_hand_is_busy() {
    let trumpet = instrument("trumpet in C");
    let busy: Vec<String> = (54..=84)
        .filter(|midi| draws_slide(&trumpet, &trumpet.note(*midi).usual.unwrap()).is_some())
        .map(|midi| waterkey::music::Pitch::plain(midi, false).to_string())
        .collect();
    assert_eq!(busy, ["F#3", "G3", "C#4", "D4"]);
    let sharp =
        |note: &str| draws_slide(&trumpet, &trumpet.note(pitch(note).midi()).usual.unwrap()).unwrap().round();
    assert_eq!((sharp("D4"), sharp("C#4")), (30.0, 54.0));
    let euphonium = instrument("euphonium");
    assert!((28..=70).all(|m| euphonium.ways(m).iter().all(|w| draws_slide(&euphonium, w).is_none())));
}

/// Where soft notes do not speak and loud ones have no power: practice DYN-1 and DYN-2, written pitch (Fletcher and
/// Tarnopolsky 1999; a studio tubist's workshop report, 2014; the pitches are estimates).
#[test]
fn the_marks_of_dynamics() {
    let mut checks = Checks::new("practice: dynamics", &[]);
    let reads = |name: &str, written: &str| pitch(written).midi() + instrument(name).reads.semitones;
    for (name, level, soft, loud) in [
        ("trumpet in Bb", Level::Professional, "G5", Some("C4")),
        // The same sound as on B♭ trumpet.
        ("trumpet in C", Level::Amateur, "F5", Some("C4")),
        ("cornet in Bb", Level::Amateur, "G5", Some("C4")),
        ("horn in F", Level::Professional, "F5", Some("E3")),
        ("horn in F", Level::Amateur, "D5", Some("G3")),
        ("trombone", Level::Professional, "F4", Some("G2")),
        ("trombone", Level::Amateur, "F4", Some("G2")),
        ("euphonium", Level::Amateur, "F4", Some("Bb2")),
        ("Eb tuba", Level::Amateur, "Bb3", Some("Bb1")),
        ("F tuba", Level::Professional, "Bb3", Some("Bb1")),
    ] {
        let made = instrument(name);
        let key = format!("{name} {level:?}");
        let mark = soft_mark(&made, level).unwrap();
        checks.row(&key, "practice, DYN-1", same("soft", mark, reads(name, soft)));
        let mark = loud_mark(&made, level);
        checks.row(&key, "practice, DYN-2", same("loud", mark.unwrap(), reads(name, loud.unwrap())));
    }
    for name in ["CC tuba", "BBb tuba"] {
        let mark = loud_mark(&instrument(name), Level::Professional).unwrap();
        checks.row(name, "practice, DYN-2", same("contrabass", mark, pitch("F1").midi()));
    }
    assert_eq!(loud_mark(&instrument("bass trombone"), Level::Professional), None, "it is called in to help");
    checks.finish(22);
    let from = Level::ALL.map(unstable_softness);
    assert_eq!(from, [2, 2, 3], "pp for amateurs, ppp for professionals (practice, DYN-1)");
    use waterkey::music::Dynamic::{Mp, P, Pp, Ppp, Sfz};
    assert_eq!([Mp, P, Pp, Ppp, Sfz].map(|d| softness(Some(d))), [0, 1, 2, 3, 0]);
}

/// A tubist reckons that F1 as a quaver at 120 has about 11 swings (player's account); the milliseconds of ten
/// swings as practice 15.4 has them.
#[test]
fn the_swings_of_low_notes() {
    let mut checks = Checks::new("practice: swings", &[]);
    let quaver = cycles(pitch("F1").midi(), 0.25);
    checks.row("F1", "practice, DYN-3, a player's account", near("swings", quaver, 11.0, 0.1));
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
        let swings = cycles(pitch(note).midi(), milliseconds / 1000.0);
        checks.row(note, "practice, 15.4", near("swings", swings, LEAST_CYCLES, 0.06));
    }
    assert_eq!((LEAST_CYCLES, STRONG_CYCLES), (10.0, 6.0));
    checks.finish(9);
}

/// Pitches of effects, practice EFF-1 to EFF-8, written (The Modern Trumpet, 2020; Boldin 2008; Hill 1983 from
/// memory; an arranger's blog, 2013; the pitches are estimates where no source is named there).
#[test]
fn the_marks_of_effects() {
    let mut checks = Checks::new("practice: effects", &[]);
    for name in ["trumpet in Bb", "trumpet in C", "cornet in Bb", "flugelhorn in Bb"] {
        let made = instrument(name);
        let reads = |written: &str| pitch(written).midi() + made.reads.semitones;
        let (hard, hardest) = effects::flutter_tops(&made).unwrap();
        checks.row(name, "practice, EFF-1", same("flutter", hard, reads("A5")));
        checks.row(name, "practice, EFF-1", same("flutter", hardest, reads("C6")));
        checks.row(name, "practice, EFF-4", same("fall", effects::fall_floor(&made).unwrap(), reads("C4")));
        checks.row(name, "practice, EFF-4", same("doit", effects::doit_top(&made).unwrap(), reads("Bb5")));
        checks.row(name, "practice, EFF-8", same("shake", effects::shake_floor(&made).unwrap(), reads("E5")));
    }
    let trombone = effects::shake_floor(&instrument("trombone")).unwrap();
    checks.row("trombone", "practice, EFF-8", same("shake", trombone, pitch("Bb3").midi()));
    let horn = |written: &str| pitch(written).midi() + instrument("horn in F").reads.semitones;
    for (limit, written) in
        [(effects::STOPPED_LEAST, "F#3"), (effects::STOPPED_GOOD, "C4"), (effects::STOPPED_TOP, "A5")]
    {
        checks.row("horn", "practice, EFF-2", same("stopped", limit, horn(written)));
    }
    let (hard, strong) = effects::STOPPED_CHANGES;
    checks.row("horn", "practice, EFF-2", near("changes", hard, 4.0, 0.0));
    checks.row("horn", "practice, EFF-2", near("changes", strong, 6.0, 0.0));
    checks.row("all", "practice, EFF-1", near("s", effects::FLUTTER_SECONDS, 6.0, 0.0));
    checks.finish(27);
}

/// The fastest that lasts and the fastest for a few notes: practice ART-1, ART-2; multiple tonguing goes faster for a
/// moment in the proportion of single tonguing (estimate).
#[test]
fn the_fastest_of_tongues() {
    let trumpet = |level| Tongue::at(Voice::Trumpet, level);
    let school = trumpet(Level::School);
    assert_eq!(school.lasting_notes_per_second(), 5.0);
    assert!((school.few_notes_per_second() - 50.0 / 9.0).abs() < 1e-9);
    assert_eq!(Level::ALL.map(|l| trumpet(l).lasting_notes_per_second()), [5.0, 9.5, 12.0]);
    for voice in Voice::ALL {
        for level in Level::ALL {
            let tongue = Tongue::at(voice, level);
            assert!(tongue.few_notes_per_second() > tongue.lasting_notes_per_second());
        }
    }
}
