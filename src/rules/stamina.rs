//! How somebody is when a note begins: how much air is at hand, how long the lips have been at work.
//!
//! What the rules of air and lips carry from visit to visit is known at the beginning of each, so one visit
//! is heard again, up to the note, and never the line.

use super::breathing::{AirBefore, Blower, Breathing};
use super::desk::Desk;
use super::passage::Passage;
use super::{no_breath, no_rest};
use crate::score::event::Event;
use crate::score::order::Visit;
use crate::score::passage::{Sound, SoundKind};

/// Visits of one block that are looked at.
const MOST_PASSES: usize = 8;

/// What a player has when a note begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stamina {
    /// How often the block has been played then, from 1.
    pub pass: u16,
    pub air: AirBefore,
    /// A full breath, with the limits in force.
    pub full_litres: f64,
    /// Seconds of playing since the last rest in which the mouthpiece leaves the lips.
    pub since_rest_seconds: f64,
    /// Seconds of ordinary playing that are as heavy: high and loud notes count for more.
    pub weighs_seconds: f64,
    /// As much as can be asked for at this level on this instrument.
    pub lips_seconds: f64,
    /// The rest that ends it.
    pub rest_seconds: f64,
}

/// What a player has as a note begins, in each pass of its block. Nothing for a part that several read, who
/// breathe in turn, nor where no tempo tells how long anything lasts.
pub fn at_note(desk: &Desk, player: usize, block: usize, note: &Event) -> Vec<Stamina> {
    let score = desk.score();
    if score.head.players.get(player).is_none_or(|p| p.seats > 1) {
        return Vec::new();
    }
    let visits = score.order.visits.iter().enumerate().filter(|(_, v)| v.block as usize == block);
    visits.take(MOST_PASSES).filter_map(|(at, visit)| in_visit(desk, player, at, *visit, note)).collect()
}

fn in_visit(desk: &Desk, player: usize, at: usize, visit: Visit, note: &Event) -> Option<Stamina> {
    // What went before is known only if all of it has a time.
    desk.report().clock.visit(at)?;
    let entering = desk.report().lines.get(player)?.entering(at);
    let (mut breathing, mut lips) = entering.map(|c| (c.breathing, c.no_rest)).unwrap_or_default();
    let mut found: Option<Stamina> = None;
    desk.report().listen_from(desk.score(), player, at, &mut |now, passage| {
        if now > at {
            // A note that goes on over the edge of the visit takes more.
            let held = passage.sounds.first().filter(|sound| sound.kind == SoundKind::Held);
            if let (Some(stamina), Some(held)) = (&mut found, held) {
                stamina.air.takes_litres += held.seconds * stamina.air.litres_per_second;
            }
            return held.is_some_and(|held| passage.sounds.len() == 1 && !held.breath);
        }
        let blower = Blower { passage, air: no_breath::air(passage) };
        let begins = passage.sounds.iter().position(|sound| is(sound, passage, note));
        let (before, after) = passage.sounds.split_at(begins.unwrap_or(passage.sounds.len()));
        for sound in before {
            breathing.hear(&blower, sound, &mut ());
            lips.pass(passage, sound);
        }
        let Some((sound, after)) = after.split_first() else { return false };
        found = stamina(&blower, sound, (&breathing, &lips), visit.pass);
        found.is_some() && after.is_empty() && !sound.breath
    });
    found
}

/// True if this note begins the sound.
fn is(sound: &Sound, passage: &Passage<'_>, note: &Event) -> bool {
    let place = |e: &Event| (e.bar, e.onset, e.line, e.span);
    sound.kind == SoundKind::Note && sound.event(passage.events).is_some_and(|e| place(e) == place(note))
}

fn stamina(
    blower: &Blower<'_>,
    sound: &Sound,
    (breathing, lips): (&Breathing, &no_rest::State),
    pass: u16,
) -> Option<Stamina> {
    let event = sound.event(blower.passage.events)?;
    let (since_rest_seconds, weighs_seconds) = lips.since_rest_seconds();
    Some(Stamina {
        pass,
        air: breathing.before(blower, sound, event),
        full_litres: blower.air.usable_litres,
        since_rest_seconds,
        weighs_seconds,
        lips_seconds: no_rest::lips(blower.passage, event)?.stretch_seconds,
        rest_seconds: no_rest::rest_seconds(blower.passage.settings),
    })
}
