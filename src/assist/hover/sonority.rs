//! All that sounds at a moment, and the chord it makes.

use super::Asked;
use super::telling::Telling;
use crate::assist::chord_name::chord_name;
use crate::assist::sounding::{Voice, at_moment};
use crate::music::{Fraction, Pitch};

/// Adds the notes of all players at a place of a block, if there are at least `least` of them.
pub fn told(asked: Asked<'_>, block: usize, bar: u32, onset: Fraction, least: usize, telling: &mut Telling) {
    let voices = at_moment(asked.desk, block, bar, onset);
    if voices.len() < least {
        return;
    }
    telling.fact("Sounding together", words(asked, &voices));
    let pitches: Vec<Pitch> = voices.iter().map(|v| v.sounding).collect();
    if let Some(name) = chord_name(&pitches) {
        telling.fact("Chord", format!("{name} (concert)"));
    }
}

/// `Bb1 Tu, F3 Tb1 Tb2`, lowest first.
fn words(asked: Asked<'_>, voices: &[Voice]) -> String {
    let mut all: Vec<(Pitch, Vec<&str>)> = Vec::new();
    for voice in voices {
        let Some(player) = asked.score().head.players.get(voice.player) else { continue };
        match all.last_mut() {
            Some((pitch, who)) if *pitch == voice.sounding => who.push(&player.id),
            _ => all.push((voice.sounding, vec![&player.id])),
        }
    }
    let told: Vec<String> = all.iter().map(|(pitch, who)| format!("{pitch} {}", who.join(" "))).collect();
    told.join(", ")
}
