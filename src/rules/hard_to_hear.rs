//! # hard-to-hear
//!
//! After a rest, somebody comes in on a note that nothing in the sounding harmony leads to.
//!
//! **Why.** A brass player hears the note before it sounds: lips and harmonics lie so close that a note which
//! the ear does not have is easily its neighbour. Who rested has no own note to go from, only what the
//! others play.
//!
//! **Numbers.** After a rest of 8 s (`rest`; four bars of quick 4/4). The note has not been sounded by anybody,
//! in any octave, in the length of a bar before the entry, nobody comes in on it too, and it lies a semitone or a
//! tritone (or these and octaves) from the nearest note that sounds; at school and amateur level a whole tone
//! counts too, where two other notes or more sound. Information; a warning for horns at school and amateur
//! level. Where no note leads over from before the entry, or somebody improvises, nothing is said.
//!
//! **Source.** That a secure attack depends on hearing the pitch first: an orchestration course, on the horn.
//! The seconds, and that a bar is how long the ear keeps a note, are estimates.
//!
//! ```brass
//! player Hn1 = horn in F, level amateur
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | w : mf C5 | w : E5 | w : C5 | w : D5 | w : =   |
//! Hn1 | rest 4                               | w : C#4 |
//! //                                               ^^^ warning hard-to-hear: a semitone
//! ```
//!
//! ```brass
//! player Hn1 = horn in F, level amateur
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | w : mf C5 | w : E5 | w : C5 | h : C#5 D5 | w : =   |
//! Hn1 | rest 4                                   | w : C#4 |
//! ```
//!
//! **Fixes.** A cue that gives the pitch; somebody in unison; an entry on a note of the chord.

use super::ensemble::{Carried as Together, Company, Left, Part, SAME_PLACE, SharedPassage, SharedTold};
use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::wording::{distance, pitch_for};
use crate::brass::Level;
use crate::brass::body::Voice;
use crate::score::passage::SoundKind;

/// The rule.
pub const RULE: Rule = Rule {
    name: "hard-to-hear",
    severity: Severity::Information,
    source: include_str!("hard_to_hear.rs"),
    limits: &[Limit { key: "rest", default: 8.0, unit: "s", source: "estimate" }],
    check: Check::Together { alone, together },
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    silence_seconds: f64,
}

fn alone(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.hard_to_hear;
    for sound in passage.sounds {
        if !sound.sounds() {
            state.silence_seconds += sound.seconds;
            continue;
        }
        let silence_seconds = std::mem::take(&mut state.silence_seconds);
        if silence_seconds > 0.0
            && matches!(sound.kind, SoundKind::Note | SoundKind::Grace)
            && silence_seconds > RULE.limit(passage.settings, "rest") - SAME_SECONDS
            && let Some(event) = sound.event(passage.events)
        {
            told.leave(Left::Entry { at: Spot::of(event), silence_seconds, alone: None });
        }
    }
}

fn together(company: &Company<'_>, _: &mut Together, told: &mut SharedTold<'_>) {
    for (player, left) in company.left(RULE.name) {
        let Left::Entry { at, silence_seconds, .. } = left else { continue };
        told.out.extend(entry(company, player, *at, *silence_seconds));
    }
}

fn entry(company: &Company<'_>, player: u16, at: Spot, silence_seconds: f64) -> Option<SharedPassage> {
    let part = company.part(player)?;
    let note = part.note(at)?;
    let midi = note.sounding?.midi();
    // As far back as the ear reaches: the length of the bar in which the entry stands.
    let reach = company.lengths.get(note.bar as usize)?.to_f64();
    let here = company.others(player).filter(|(_, n)| n.from < note.from + SAME_PLACE);
    let here = here.filter(|(_, n)| n.to > note.from - reach + SAME_PLACE);
    let earlier = company.before.iter().filter(|part| part.player != player);
    let earlier = earlier.flat_map(|part| part.notes.iter().map(move |n| (part, n)));
    let earlier = earlier.filter(|(_, n)| n.to - company.before_end > note.from - reach + SAME_PLACE);
    // Somebody who sounds right up to the entry gives the ear something to go by.
    let mut leads = false;
    let mut classes = 0u16;
    let mut nearest: Option<(&Part<'_>, i32)> = None;
    for ((part, other), now) in here.map(|o| (o, true)).chain(earlier.map(|o| (o, false))) {
        let other_midi = other.sounding?.midi();
        if (other_midi - midi) % 12 == 0 {
            return None;
        }
        leads |= now && other.reaches(note.from);
        if !now || other.to < note.from + SAME_PLACE {
            continue;
        }
        classes |= 1 << other_midi.rem_euclid(12);
        if nearest.is_none_or(|(_, best)| (other_midi - midi).abs() < (best - midi).abs()) {
            nearest = Some((part, other_midi));
        }
    }
    let (other_part, other_midi) = nearest.filter(|_| leads)?;
    let apart = (other_midi - midi).abs();
    let level = part.person.level;
    let hard = match apart % 12 {
        1 | 6 => true,
        // A whole tone from a single voice is the next step of a scale.
        2 => level != Level::Professional && classes.count_ones() > 1,
        _ => false,
    };
    let held = part.person.instrument(note.instrument).filter(|_| hard)?;
    let horn = Voice::of(&held.instrument) == Voice::Horn && level != Level::Professional;
    let limit = RULE.limit(company.settings, "rest");
    Some(SharedPassage {
        players: vec![player],
        finding: PassageFinding {
            rule: RULE.name,
            severity: if horn { Severity::Warning } else { Severity::Information },
            grade: 1,
            at,
            from: at,
            to: at,
            lead: "A note that is hard to hear".to_owned(),
            tail: format!(
                ": {} after {silence_seconds:.0} s of silence, {} from the nearest sound ({}), and nobody has sounded it in the length of a bar before (the ear needs a lead after about {limit} s, an estimate). Write a cue that gives the pitch, somebody in unison, or an entry on a note of the chord.",
                pitch_for(held, midi, company.key),
                interval(apart),
                other_part.person.id,
            ),
            badness: silence_seconds,
            measured: Some(interval(apart)),
            limit: None,
            related: Vec::new(),
            cures: Vec::new(),
        },
    })
}

fn interval(semitones: i32) -> String {
    match (semitones % 12, semitones / 12) {
        (6, 0) => "a tritone".to_owned(),
        (near, 0) => distance(near),
        (6, 1) => "a tritone and an octave".to_owned(),
        (near, 1) => format!("{} and an octave", distance(near)),
        (6, octaves) => format!("a tritone and {octaves} octaves"),
        (near, octaves) => format!("{} and {octaves} octaves", distance(near)),
    }
}
