//! Laws of what is written as MIDI.

use super::generated::score;
use super::{damaged, desk};
use midly::{MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use proptest::prelude::*;
use std::collections::HashSet;
use waterkey::exchange::midi;
use waterkey::score::clock::Clock;

/// What is wrong with the file of a text.
fn judge(text: &str) -> Result<(), String> {
    let desk = desk(text);
    let bytes = midi::score(&desk);
    let smf = Smf::parse(&bytes).map_err(|why| why.to_string())?;
    let players = desk.score().head.players.len();
    if smf.tracks.len() != players + 1 {
        return Err(format!("{} tracks for {players} players", smf.tracks.len()));
    }
    let Timing::Metrical(parts) = smf.header.timing else { return Err("no ticks".into()) };
    let mut ends = HashSet::new();
    for track in &smf.tracks {
        let (mut now, mut sounding) = (0u64, HashSet::new());
        for event in track {
            now += u64::from(event.delta.as_int());
            match event.kind {
                TrackEventKind::Midi { message: MidiMessage::NoteOn { key, .. }, .. }
                    if !sounding.insert(key) =>
                {
                    return Err(format!("{key} is struck at {now} while it sounds"));
                }
                TrackEventKind::Midi { message: MidiMessage::NoteOff { key, .. }, .. }
                    if !sounding.remove(&key) =>
                {
                    return Err(format!("{key} ends at {now} and did not sound"));
                }
                _ => {}
            }
        }
        if !sounding.is_empty() {
            return Err(format!("{sounding:?} never end"));
        }
        ends.insert(now);
    }
    if ends.len() > 1 {
        return Err(format!("tracks end at {ends:?}"));
    }
    let (mut seconds, mut tempo, mut now) = (0.0, 500_000.0, 0u64);
    let end = ends.into_iter().next().unwrap_or(0);
    let tempos = smf.tracks[0].iter().scan(0u64, |at, event| {
        *at += u64::from(event.delta.as_int());
        Some((*at, event.kind))
    });
    for (at, kind) in tempos {
        seconds += (at - now) as f64 * tempo / 1e6 / f64::from(parts.as_int());
        now = at;
        if let TrackEventKind::Meta(MetaMessage::Tempo(micros)) = kind {
            tempo = f64::from(micros.as_int());
        }
    }
    assert_eq!(now, end);
    match Clock::of(desk.score()).whole() {
        Some(whole) if (whole - seconds).abs() > 0.01 + whole * 1e-4 => {
            Err(format!("it lasts {seconds} s and not {whole}"))
        }
        _ => Ok(()),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, max_shrink_iters: 0, ..ProptestConfig::default() })]

    #[test]
    fn notes_end_tracks_end_together_and_time_is_the_clocks(seed in any::<u64>()) {
        let text = score(seed);
        if let Err(why) = judge(&text) {
            prop_assert!(false, "{why}\n{text}");
        }
    }

    #[test]
    fn damaged_scores_are_written_too(seed in any::<u64>(), cut in (0usize..4000, 1usize..60), to in 0usize..4000) {
        let text = damaged(&score(seed), cut, to);
        if let Err(why) = judge(&text) {
            prop_assert!(false, "{why}\n{text}");
        }
    }
}

/// Messages of a track with their ticks.
fn messages(text: &str, track: usize) -> Vec<(u64, MidiMessage)> {
    let bytes = midi::score(&desk(text));
    let smf = Smf::parse(&bytes).unwrap();
    let mut now = 0;
    let with_time = smf.tracks[track].iter().filter_map(|event| {
        now += u64::from(event.delta.as_int());
        match event.kind {
            TrackEventKind::Midi { message, .. } => Some((now, message)),
            _ => None,
        }
    });
    with_time.collect()
}

#[test]
fn a_mute_is_another_program_and_comes_round_with_its_repeat() {
    let text =
        "player Tp = trumpet in Bb\nbar 1  tempo q = 60  repeat 2\nTp | w : C5 | [mute cup] w : D5 |\n";
    let programs: Vec<(u64, u8)> = messages(text, 1)
        .into_iter()
        .filter_map(|(at, message)| match message {
            MidiMessage::ProgramChange { program } => Some((at, program.as_int())),
            _ => None,
        })
        .collect();
    // Trumpet and muted trumpet; in the second pass the mute is still in the bell.
    assert_eq!(programs, [(0, 56), (1920, 59)]);
}

#[test]
fn a_hairpin_grows_from_note_to_note_and_inside_a_note() {
    let text = "player Tb = trombone\nbar 1  tempo q = 60\nTb | q : p cresc C4 C4 C4 C4 | w : f C4 | w : dim C4 | w : p C4 |\n";
    let all = messages(text, 1);
    let velocities: Vec<u8> = all
        .iter()
        .filter_map(|(_, message)| match message {
            MidiMessage::NoteOn { vel, .. } => Some(vel.as_int()),
            _ => None,
        })
        .collect();
    assert_eq!(velocities, [50, 60, 70, 80, 90, 90, 50]);
    let expression: Vec<(u64, u8)> = all
        .iter()
        .filter_map(|(at, message)| match message {
            MidiMessage::Controller { value, .. } => Some((*at, value.as_int())),
            _ => None,
        })
        .collect();
    let falling: Vec<u8> =
        expression.iter().filter(|(at, _)| (3840..5760).contains(at)).map(|(_, v)| *v).collect();
    assert!(falling.len() > 10 && falling.windows(2).all(|w| w[0] >= w[1]), "{falling:?}");
    assert_eq!(expression.last(), Some(&(5760, 100)));
}
