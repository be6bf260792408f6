//! # broken-gliss
//!
//! A slide cannot glide from one note to the other.
//!
//! **Why.** A slide glides only while the lips stay on one harmonic and the thumb stays on or off its valve.
//! Where no harmonic holds both notes, the sound breaks on the way, however good the player.
//!
//! **Numbers.** Without an attachment no more than a tritone, and on the right notes: on a B♭ trombone E2 to
//! B♭2, B2 to F3, E3 to B♭3, A♭3 to D4, B3 to F4, D4 to A♭4, E4 to B♭4. With an F attachment no more than a
//! fourth: C2 to F2, G2 to C3, C3 to F3, E3 to A3, G3 to C4. With both down a major third. A position written
//! with `@` binds. Glissandos that follow each other without a new start must all lie on one harmonic: there
//! the rule warns, since a tongue in between helps.
//!
//! **Source.** Follows from the length of the tube; a trombonist's composer guide on glissandi, 2011, has the
//! same spans.
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4
//! Tb1 | h : E3:gliss C4 |
//! //        ^^^^^^^^^^^ error broken-gliss: reaches Bb3
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4
//! Tb1 | h : E3:gliss Bb3 | h : E2:gliss Bb2 |
//! ```
//!
//! **Fixes.** The glissando shortened to the note it reaches; other positions, where only the marked ones break
//! it; a new start on the way, legato, or two players; a half-valve glissando on an instrument with valves.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, Spot, Told};
use super::rule::{Check, Rule};
use super::wording::{distance, pitch_for, pitch_in_row};
use crate::brass::glide::{farthest_on, glides, one_tube};
use crate::brass::plan::bound;
use crate::brass::{How, Instrument, Way};
use crate::notation::tree::Mark;
use crate::score::event::{Event, EventKind, Origin};
use crate::score::player::PlayerInstrument;
use crate::score::state::PlayedState;

/// The rule.
pub const RULE: Rule = Rule {
    name: "broken-gliss",
    severity: Severity::Error,
    source: include_str!("broken_gliss.rs"),
    limits: &[],
    check: Check::Passage(check),
};

/// What is carried: the last note, if something may glide from it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    last: Option<Last>,
}

/// The last note of a slide.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Last {
    /// The note, or the hold on which the glissando begins.
    spot: Spot,
    /// It stands in its own place, not in a copy or a phrase.
    here: bool,
    midi: i32,
    chosen: Option<How>,
    played: PlayedState,
    gliding: bool,
    /// Ways of the note in which the glissando that led to it may have ended, as bits; all if none did.
    ended: u64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(last) = &mut self.last {
            last.spot.age();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    if !passage.player.instruments.iter().any(|i| i.instrument.build.slide().is_some()) {
        return;
    }
    let state = &mut carried.broken_gliss;
    if passage.after_silence {
        state.last = None;
    }
    for event in passage.events {
        match event.kind {
            EventKind::Rest | EventKind::Improvised => state.last = None,
            EventKind::Hold => {
                if let Some(last) = state.last.as_mut().filter(|_| event.marks.has(Mark::Gliss)) {
                    last.gliding = true;
                    last.spot = Spot::of(event);
                }
            }
            EventKind::Note | EventKind::Grace => {
                let before = state.last.take();
                let Some(held) = passage.instrument(event) else { continue };
                if held.instrument.build.slide().is_none() {
                    continue;
                }
                state.last = Some(arrive(passage, event, held, before, told));
            }
        }
    }
}

/// The note reached, and what is wrong with the glissando that led to it.
fn arrive(
    passage: &Passage<'_>,
    event: &Event,
    held: &PlayerInstrument,
    before: Option<Last>,
    told: &mut Told<'_>,
) -> Last {
    let chosen = event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits));
    let mut last = Last {
        spot: Spot::of(event),
        here: event.origin == Origin::Here,
        midi: event.sounding.midi(),
        chosen,
        played: event.played,
        gliding: event.marks.has(Mark::Gliss),
        ended: u64::MAX,
    };
    let Some(from) = before.filter(|from| from.gliding && from.played == event.played) else { return last };
    if from.midi == last.midi {
        return last;
    }
    let tube = &*held.instrument;
    let (mut starts, mut ends) = (Ways::default(), Ways::default());
    starts.fill(tube, from.midi, from.chosen);
    ends.fill(tube, last.midi, chosen);
    // What cannot be played at all is told by other rules.
    if starts.all.is_empty() || ends.all.is_empty() {
        return last;
    }
    let Break { ended, whole } = reach(&starts, &ends, from.ended);
    last.ended = if ended == 0 { u64::MAX } else { ended };
    if ended == 0 {
        let glide = Glide { passage, held, from: &from, to: &last, starts: &starts.all, key: passage.key };
        told.push(if whole { glide.restarted(told.rule) } else { glide.broken(told.rule) });
    }
    last
}

/// Ways of a note: those that a choice leaves.
#[derive(Default)]
struct Ways {
    all: Vec<Way>,
}

impl Ways {
    fn fill(&mut self, tube: &Instrument, midi: i32, chosen: Option<How>) {
        match chosen.and_then(|how| bound(tube, how, midi)) {
            Some(way) => self.all.push(way),
            None => self.all.extend_from_slice(tube.ways(midi)),
        }
    }
}

struct Break {
    /// Ways of the end that are reached from where the glissando before ended.
    ended: u64,
    /// This glissando alone would glide.
    whole: bool,
}

fn reach(starts: &Ways, ends: &Ways, from: u64) -> Break {
    let mut found = Break { ended: 0, whole: false };
    for (j, b) in ends.all.iter().take(64).enumerate() {
        for (i, a) in starts.all.iter().take(64).enumerate() {
            if one_tube(a, b) {
                found.whole = true;
                if from & (1 << i) != 0 {
                    found.ended |= 1 << j;
                }
            }
        }
    }
    found
}

struct Glide<'a> {
    passage: &'a Passage<'a>,
    held: &'a PlayerInstrument,
    from: &'a Last,
    to: &'a Last,
    starts: &'a [Way],
    key: Option<crate::music::Key>,
}

impl Glide<'_> {
    fn name(&self, midi: i32) -> String {
        pitch_for(self.held, midi, self.key)
    }

    /// One of several without a new start.
    fn restarted(&self, rule: &'static str) -> PassageFinding {
        let (from, to) = (self.name(self.from.midi), self.name(self.to.midi));
        PassageFinding {
            severity: Severity::Warning,
            lead: format!("The glissando to {from} ends on another harmonic than the one to {to} begins on"),
            tail: format!(
                ": each lies on one harmonic, both together on none. Let {from} be tongued anew in its other position, or glide once only."
            ),
            cures: self.without(),
            ..self.finding(rule)
        }
    }

    fn broken(&self, rule: &'static str) -> PassageFinding {
        let tube = &*self.held.instrument;
        let (from, to) = (self.from.midi, self.to.midi);
        let far = farthest_on(tube, self.starts, from, to);
        let chosen = self.from.chosen.is_some() || self.to.chosen.is_some();
        let free = glides(tube, from, to).min_by(|a, b| travel(a).total_cmp(&travel(b))).filter(|_| chosen);
        let apart = (to - from).abs();
        let mut cures = Vec::new();
        let tail = if let Some((a, b)) = free {
            cures.extend(self.positions(&a, &b));
            let (a, b) = (a.how, b.how);
            format!(
                ": the positions marked there lie on two harmonics or two sides of the attachment, and a slide glides on one. From @{a} to @{b} it glides."
            )
        } else {
            cures.extend(self.shortened(far));
            cures.extend(self.without());
            let way_out = if far == from {
                " From there the slide reaches nothing on this side.".to_owned()
            } else {
                format!(
                    " From {} the slide reaches {}, {} away.",
                    self.name(from),
                    self.name(far),
                    distance((far - from).abs())
                )
            };
            format!(
                " on the {}: no harmonic of its tube holds both notes, and a slide glides on one (a tritone at most, a fourth with an attachment down).{way_out} End it there, start again on the way, or share it between two players.",
                self.held.label
            )
        };
        PassageFinding {
            lead: format!("The glissando from {} to {} breaks", self.name(from), self.name(to)),
            tail,
            badness: f64::from((to - far).abs()),
            measured: Some(semitones(apart)),
            limit: Some(semitones((far - from).abs())),
            cures,
            ..self.finding(rule)
        }
    }

    fn finding(&self, rule: &'static str) -> PassageFinding {
        PassageFinding {
            rule,
            severity: Severity::Error,
            grade: 1,
            at: self.from.spot,
            from: self.from.spot,
            to: self.to.spot,
            lead: String::new(),
            tail: String::new(),
            badness: 0.0,
            measured: None,
            limit: None,
            related: Vec::new(),
            cures: Vec::new(),
        }
    }

    /// True if both notes are entries of one line of one block.
    fn in_one_line(&self) -> bool {
        let (from, to) = (self.from.spot, self.to.spot);
        from.back == to.back && from.line == to.line && self.from.here && self.to.here
    }

    fn shortened(&self, far: i32) -> Option<Cure> {
        if far == self.from.midi || !self.in_one_line() {
            return None;
        }
        let with = pitch_in_row(&self.held.instrument, far, self.key, self.passage.basis);
        // A position marked for the note that stood there holds no longer.
        let fits = self.to.chosen.is_none_or(|how| bound(&self.held.instrument, how, far).is_some());
        fits.then(|| Cure::Note { entry: self.to.spot.span, with: with.to_string() })
    }

    /// Legato, which parts the harmonics without a break, or a new start.
    fn without(&self) -> Vec<Cure> {
        if !self.from.here {
            return Vec::new();
        }
        let entry = self.from.spot.span;
        vec![Cure::Legato { entry }, Cure::TakeAway { marks: vec![(entry, Mark::Gliss)] }]
    }

    fn positions(&self, a: &Way, b: &Way) -> Option<Cure> {
        let entries = [(self.from, a), (self.to, b)];
        let entries = entries.iter().filter(|(note, way)| note.chosen.is_some_and(|how| how != way.how));
        let entries: Vec<_> = entries.map(|(note, way)| (note.spot.span, format!("@{}", way.how))).collect();
        (self.in_one_line() && !entries.is_empty()).then_some(Cure::Choices { entries })
    }
}

fn travel((a, b): &(Way, Way)) -> f32 {
    (a.slide - b.slide).abs()
}

fn semitones(count: i32) -> String {
    if count == 1 { "1 semitone".to_owned() } else { format!("{count} semitones") }
}
