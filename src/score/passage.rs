//! One person's line in seconds, as it is played: what sounds, what is silent, and for how long.
//!
//! The order of play is walked visit by visit; repeats, endings and the road map are played out. One visit's
//! sounds depend on the block's events and clock and on a small [`Carry`] from the visit before, so a visit
//! that is the same and is reached with the same carry need not be walked again.

use super::clock::BlockClock;
use super::event::{Event, EventKind};
use super::state::PlayedState;
use crate::music::Pitch;
use crate::notation::tree::Mark;

/// What a stretch of the line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SoundKind {
    /// A note, with all its holds in this visit up to a breath.
    Note,
    /// Takes no time.
    Grace,
    /// The last note goes on, that of the visit before or, after a breath, of this one.
    Held,
    /// Rests, bars without a row, breaks for all; neighbours are one silence.
    Silence,
    /// Somebody plays, nobody knows what.
    Improvised,
}

/// A stretch of the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sound {
    pub kind: SoundKind,
    /// From the beginning of the visit, silent bars before the block included.
    pub onset_seconds: f64,
    /// A fermata included, a break after it not.
    pub seconds: f64,
    /// Its events in the visit's list; none for a silence that no event writes.
    pub first: u32,
    pub events: u32,
    /// What is heard; `None` for silence and improvisation.
    pub sounding: Option<Pitch>,
    /// A slur or a glissando leads here from the note before.
    pub slurred: bool,
    pub glides: bool,
    /// A breath mark stands after it; the time for it comes from its end.
    pub breath: bool,
}

impl Sound {
    /// True if air flows.
    pub fn sounds(&self) -> bool {
        self.kind != SoundKind::Silence
    }

    /// Its events.
    pub fn of<'e>(&self, events: &'e [Event]) -> &'e [Event] {
        events.get(self.first as usize..(self.first + self.events) as usize).unwrap_or_default()
    }

    /// Its first event: the written note with its marks, dynamic and state.
    pub fn event<'e>(&self, events: &'e [Event]) -> Option<&'e Event> {
        self.of(events).first()
    }

    /// Seconds from the beginning of the visit to its end.
    pub fn end_seconds(&self) -> f64 {
        self.onset_seconds + self.seconds
    }
}

/// What one visit hands on to the next.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Carry {
    /// The note that sounds, or sounded last.
    sounding: Option<Pitch>,
    /// A slur, a glissando that leads to the next note.
    slur: bool,
    glide: bool,
    /// The state at the last event: another one ends a slur.
    played: Option<PlayedState>,
}

/// Adds the sounds of one visit to `out`. `gap_seconds` are those of silent bars before the block, where this
/// visit plays them. Without a tempo somewhere in the block there are none, and the answer is false.
pub fn sounds(
    events: &[Event],
    clock: &BlockClock,
    gap_seconds: Option<f64>,
    carry: &mut Carry,
    out: &mut Vec<Sound>,
) -> bool {
    let (Some(gap), Some(_)) = (gap_seconds, clock.seconds) else {
        *carry = Carry::default();
        return false;
    };
    let mut line = Line { clock, carry, out, now: gap, place: 0.0, open: false };
    if gap > 0.0 {
        line.out.push(silence(0.0, gap, 0));
        *line.carry = Carry::default();
    }
    for (index, event) in events.iter().enumerate() {
        line.event(index as u32, event);
    }
    line.silent_until(clock.end());
    true
}

fn silence(onset_seconds: f64, seconds: f64, first: u32) -> Sound {
    Sound {
        kind: SoundKind::Silence,
        onset_seconds,
        seconds,
        first,
        events: 0,
        sounding: None,
        slurred: false,
        glides: false,
        breath: false,
    }
}

struct Line<'a> {
    clock: &'a BlockClock,
    carry: &'a mut Carry,
    out: &'a mut Vec<Sound>,
    /// Seconds from the beginning of the visit, and whole notes from the beginning of the block.
    now: f64,
    place: f64,
    /// The last sound of `out` goes on if a hold follows.
    open: bool,
}

impl Line<'_> {
    fn event(&mut self, index: u32, event: &Event) {
        let Some(from) = self.clock.place(event.bar, event.onset) else { return };
        self.silent_until(from);
        let to = from + event.length.to_f64();
        let whole = self.clock.between(from.max(self.place), to).unwrap_or(0.0);
        let broken = self.clock.silence_at(to).min(whole);
        let seconds = whole - broken;
        if self.carry.played.is_some_and(|played| played != event.played) {
            (self.carry.slur, self.carry.glide) = (false, false);
        }
        self.carry.played = Some(event.played);
        match event.kind {
            EventKind::Rest => self.silent(seconds, index),
            EventKind::Hold if self.open => self.prolong(seconds, event),
            EventKind::Hold => self.sound(SoundKind::Held, seconds, index, event),
            EventKind::Note => self.sound(SoundKind::Note, seconds, index, event),
            EventKind::Grace => self.sound(SoundKind::Grace, 0.0, index, event),
            EventKind::Improvised => self.sound(SoundKind::Improvised, seconds, index, event),
        }
        if event.length.is_zero() {
            return;
        }
        self.place = self.place.max(to);
        if broken > 0.0 {
            self.quiet(broken, index + 1, 0);
        }
    }

    fn sound(&mut self, kind: SoundKind, seconds: f64, first: u32, event: &Event) {
        let reached = matches!(kind, SoundKind::Note | SoundKind::Grace);
        match kind {
            SoundKind::Note | SoundKind::Grace => self.carry.sounding = Some(event.sounding),
            SoundKind::Improvised => self.carry.sounding = None,
            SoundKind::Held | SoundKind::Silence => {}
        }
        self.out.push(Sound {
            kind,
            onset_seconds: self.now,
            seconds,
            first,
            events: 1,
            sounding: self.carry.sounding,
            slurred: reached && self.carry.slur,
            glides: reached && self.carry.glide,
            breath: event.marks.has(Mark::Breath),
        });
        if reached {
            (self.carry.slur, self.carry.glide) = (false, false);
        }
        self.now += seconds;
        self.open = kind != SoundKind::Grace && !event.marks.has(Mark::Breath);
        self.lead_on(event);
    }

    fn prolong(&mut self, seconds: f64, event: &Event) {
        if let Some(last) = self.out.last_mut() {
            last.seconds += seconds;
            last.events += 1;
            last.breath = event.marks.has(Mark::Breath);
            self.open = !last.breath;
        }
        self.now += seconds;
        self.lead_on(event);
    }

    fn lead_on(&mut self, event: &Event) {
        self.carry.slur |= event.marks.has(Mark::Slur);
        self.carry.glide |= event.marks.has(Mark::Gliss);
    }

    fn silent(&mut self, seconds: f64, first: u32) {
        self.quiet(seconds, first, 1);
        *self.carry = Carry { played: self.carry.played, ..Carry::default() };
    }

    fn quiet(&mut self, seconds: f64, first: u32, events: u32) {
        self.open = false;
        match self.out.last_mut() {
            Some(last) if last.kind == SoundKind::Silence => {
                if last.events == 0 {
                    last.first = first;
                }
                last.seconds += seconds;
                last.events += events;
            }
            _ => self.out.push(Sound { events, ..silence(self.now, seconds, first) }),
        }
        self.now += seconds;
    }

    /// Bars and rests that no event writes.
    fn silent_until(&mut self, place: f64) {
        if let Some(seconds) = self.clock.between(self.place, place).filter(|s| *s > 0.0) {
            let first = self.out.last().map_or(0, |s| s.first + s.events);
            self.silent(seconds, first);
            self.place = place;
        }
    }
}

/// The sounds of a visit in which the player has no row.
pub fn silent_visit(
    clock: &BlockClock,
    gap_seconds: Option<f64>,
    carry: &mut Carry,
    out: &mut Vec<Sound>,
) -> bool {
    let (Some(gap), Some(all)) = (gap_seconds, clock.seconds) else {
        *carry = Carry::default();
        return false;
    };
    if gap + all > 0.0 {
        *carry = Carry::default();
        out.push(silence(0.0, gap + all, 0));
    }
    true
}
