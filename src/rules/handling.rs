//! One person's hands from note to note: what `mute-time` and `switch-time` judge.
//!
//! What is in the bell or in hand matters when a note begins. From the end of the last note before it there is
//! a rest, in which the hands have to do whatever was said; and it was said somewhere, at best where the rest
//! begins.

use super::passage::{Passage, Spot};
use crate::notation::tree::Mark;
use crate::score::event::{Event, Origin};
use crate::score::passage::{Sound, SoundKind};
use crate::score::state::PlayedState;
use crate::score::turn::Turn;

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Handling {
    last: Option<Last>,
    /// Silence since the last note.
    rest_seconds: f64,
    said: Option<Said>,
}

/// The last note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Last {
    pub spot: Spot,
    /// Where it ends: the note, or what holds it on.
    pub end: Spot,
    /// It ends with a breath mark, so that there is a little time.
    pub breath: bool,
    /// The end stands in its own place.
    pub here: bool,
    played: PlayedState,
}

/// Where it was said since then.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    pub spot: Spot,
    /// From there to the note; while it is carried, to the beginning of the visit.
    pub seconds: f64,
    /// Only one thing was said.
    pub once: bool,
    /// It stands in its own place.
    pub here: bool,
}

/// A note that is played otherwise than the one before.
pub struct Change<'e> {
    pub last: Last,
    pub from: PlayedState,
    pub to: PlayedState,
    pub note: &'e Event,
    pub rest_seconds: f64,
    pub said: Option<Said>,
}

impl Handling {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(last) = &mut self.last {
            last.spot.age();
            last.end.age();
        }
        if let Some(said) = &mut self.said {
            said.spot.age();
        }
    }

    /// Hears a visit.
    pub fn hear(&mut self, passage: &Passage<'_>, told: &mut impl FnMut(&Change<'_>)) {
        if passage.turns.is_empty() && self.said.is_none() {
            self.pass_over(passage);
            return;
        }
        let mut turns = passage.turns.iter().filter(|turn| handles(turn)).peekable();
        for sound in passage.sounds {
            if !sound.sounds() {
                self.rest_seconds += sound.seconds;
                continue;
            }
            let Some(event) = sound.event(passage.events) else { continue };
            while let Some(turn) = turns.next_if(|turn| turn.is_before(event.bar, event.onset)) {
                self.say(turn);
            }
            if sound.kind != SoundKind::Held
                && let Some(last) = self.last
                && (last.played.mute, last.played.instrument) != (event.played.mute, event.played.instrument)
            {
                let said = self.said.map(|said| Said { seconds: said.seconds + sound.onset_seconds, ..said });
                let (from, to) = (last.played, event.played);
                told(&Change { last, from, to, note: event, rest_seconds: self.rest_seconds, said });
            }
            self.sounded(passage, sound, event);
        }
        turns.for_each(|turn| self.say(turn));
        let end = passage.sounds.last().map_or(0.0, Sound::end_seconds);
        if let Some(said) = &mut self.said {
            said.seconds += end;
        }
    }

    /// Nothing is said in this visit.
    fn pass_over(&mut self, passage: &Passage<'_>) {
        let sounding = passage.sounds.iter().rposition(Sound::sounds);
        if let Some(sound) = sounding.and_then(|at| passage.sounds.get(at))
            && let Some(event) = sound.event(passage.events)
        {
            self.sounded(passage, sound, event);
        }
        let rests = passage.sounds.iter().skip(sounding.map_or(0, |at| at + 1));
        self.rest_seconds += rests.map(|sound| sound.seconds).sum::<f64>();
    }

    fn sounded(&mut self, passage: &Passage<'_>, sound: &Sound, event: &Event) {
        let end = sound.of(passage.events).last().unwrap_or(event);
        // What is said while a note sounds counts from the next one on.
        let before = self.last.filter(|_| sound.kind == SoundKind::Held);
        self.last = Some(Last {
            spot: Spot::of(event),
            end: Spot::of(end),
            breath: end.marks.has(Mark::Breath),
            here: end.origin != Origin::Again,
            played: before.map_or(event.played, |last| last.played),
        });
        self.rest_seconds = 0.0;
        self.said = None;
    }

    fn say(&mut self, turn: &Turn) {
        let once = self.said.is_none();
        self.said = Some(Said {
            spot: Spot { back: 0, line: turn.line, span: turn.span, bar: turn.bar },
            seconds: -turn.seconds.unwrap_or(0.0),
            once,
            here: turn.origin == Origin::Here,
        });
    }
}

/// True if it gives the hands something to do.
fn handles(turn: &Turn) -> bool {
    (turn.from.mute, turn.from.instrument) != (turn.to.mute, turn.to.instrument)
}
