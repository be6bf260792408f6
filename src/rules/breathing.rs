//! One person's air from note to note: what `no-breath` and `short-breath` judge and what a hover tells.
//!
//! Air comes in where a gap lasts long enough: a rest, a breath mark, the second half of a staccato note.
//! From one such gap to the next is a *stretch*. Beside the lungs as the text leaves them go those of a
//! player who also breathes by choice, wherever a tongued note follows one that is long enough to give up its
//! end; and those of one who breaks slurs for it too, and makes rests longer that are too short for a breath.
//! What the first can play needs no remark. Where even the second runs out, nobody plays it as written.

use super::passage::{Passage, Spot};
use crate::brass::body::air::{Fifth, LONGEST_SECONDS, STACCATO_SHARE, flow_litres_per_second};
use crate::brass::body::{Air, Loudness, Lungs, Voice};
use crate::notation::tree::Mark;
use crate::score::event::{Event, Origin};
use crate::score::passage::{Sound, SoundKind};

/// Leap in semitones before which a breath does no harm: a fifth (estimate).
const LEAP: i32 = 7;

/// Longest sound that is counted: it only matters whether it is longer than anybody's.
const MOST_UNBROKEN_SECONDS: f64 = 2.0 * LONGEST_SECONDS;

/// Share of a breath below which it is too early for the next (estimate).
const EARLY: f64 = 0.25;

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Breathing {
    /// As the text leaves them.
    pub lungs: Lungs,
    /// Of a player who breathes by choice too.
    choice: Lungs,
    /// Of one who also breaks slurs.
    breaking: Lungs,
    /// Silence since the last sound.
    gap_seconds: f64,
    /// Litres blown since stale air went out.
    since_exchange_litres: f64,
    stretch: Option<Stretch>,
    spell: Option<Spell>,
    note: Option<LastNote>,
}

/// From one gap that brings air to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    pub first: Spot,
    pub last: Spot,
    pub seconds: f64,
    pub litres: f64,
    /// Where a full breath is used up, and after how many seconds.
    pub passed: Option<(Spot, f64)>,
    /// Longest sound without a new attack.
    pub unbroken_seconds: f64,
    /// Greatest share of a breath used by a player who breathes by choice too, and by one who breaks slurs; 0
    /// if it was never more than a whole one.
    pub by_choice: f64,
    pub breaking: f64,
    /// Longest written gap in it that is too short to breathe.
    pub tiny_seconds: f64,
    /// Where the lungs, not filled up before it, ran out, and litres missing at its end.
    ran_out: Option<Spot>,
    missing_litres: f64,
    /// The best place for a breath, and how good it is.
    pub joint: Option<(Spot, Joint, Dotted)>,
}

/// From full lungs to full lungs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spell {
    pub first: Spot,
    pub last: Spot,
    /// Gaps that brought air, up to where it ran out.
    pub gaps: u32,
    pub gap_seconds: f64,
    /// Where the lungs, never filled up, ran out though each stretch is short enough.
    pub ran_out: Option<Spot>,
    pub by_choice: f64,
    pub breaking: f64,
    /// Most litres missing.
    pub missing_litres: f64,
    /// Where the air became stale.
    pub stale: Option<Spot>,
    /// Seconds since the air was exchanged, at most.
    pub stale_seconds: f64,
    pub loud: bool,
    /// A stretch in it is too long by itself.
    pub too_long: bool,
    pub joint: Option<(Spot, Joint, Dotted)>,
}

/// True if the value before a joint is a dotted one, which can be made a note and a rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dotted(pub bool);

/// How good a place for a breath is, best last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Joint {
    InSlur,
    Plain,
    Barline,
    Leap,
    PhraseEnd,
    Rest,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct LastNote {
    spot: Spot,
    midi: Option<i32>,
    seconds: f64,
    before_seconds: f64,
    slurred: bool,
    /// A mark may be written at its end.
    markable: bool,
    dotted: Dotted,
    /// Written gap after it, too short to breathe.
    tiny: bool,
}

/// What a player blows with.
pub struct Blower<'a> {
    pub passage: &'a Passage<'a>,
    pub air: Air,
}

/// The air with which a note begins, and what it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirBefore {
    /// As the text leaves it; none or less where the player has run out.
    pub litres: f64,
    /// Of a player who breathes by choice too.
    pub by_choice_litres: f64,
    /// What the note takes, up to the end of the visit.
    pub takes_litres: f64,
    /// And a second of it.
    pub litres_per_second: f64,
    /// Seconds of sound since the last gap that brought air.
    pub since_breath_seconds: f64,
}

/// Takes what is over.
pub trait Over {
    fn stretch(&mut self, stretch: &Stretch);
    fn spell(&mut self, spell: &Spell);
}

/// Nothing is told.
impl Over for () {
    fn stretch(&mut self, _: &Stretch) {}
    fn spell(&mut self, _: &Spell) {}
}

impl Breathing {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(stretch) = &mut self.stretch {
            stretch.first.age();
            stretch.last.age();
            age(stretch.passed.as_mut().map(|p| &mut p.0));
            age(stretch.joint.as_mut().map(|j| &mut j.0));
            age(stretch.ran_out.as_mut());
        }
        if let Some(spell) = &mut self.spell {
            spell.first.age();
            spell.last.age();
            age(spell.ran_out.as_mut());
            age(spell.stale.as_mut());
            age(spell.joint.as_mut().map(|j| &mut j.0));
        }
        age(self.note.as_mut().map(|n| &mut n.spot));
    }

    /// Hears one sound or silence.
    pub fn hear(&mut self, blower: &Blower<'_>, sound: &Sound, over: &mut impl Over) {
        let air = &blower.air;
        match sound.kind {
            SoundKind::Grace => {}
            SoundKind::Silence => {
                self.gap_seconds += sound.seconds;
                if self.gap_seconds >= full_seconds(air) {
                    self.finish(over);
                }
            }
            // Who improvises breathes at will.
            SoundKind::Improvised => self.finish(over),
            SoundKind::Note | SoundKind::Held => {
                if let Some(event) = sound.event(blower.passage.events) {
                    self.breathe(air, over);
                    self.blow(blower, sound, event);
                }
            }
        }
    }

    /// The air with which a note begins: what came in just before it counts.
    pub fn before(mut self, blower: &Blower<'_>, sound: &Sound, event: &Event) -> AirBefore {
        let air = &blower.air;
        self.breathe(air, &mut ());
        if sound.kind == SoundKind::Note {
            self.at_joint(air, sound, event);
        }
        let flow = blower.flow(sound, event);
        AirBefore {
            litres: self.lungs.left_litres(air),
            by_choice_litres: self.choice.left_litres(air),
            takes_litres: flow * (sound.seconds - released_seconds(air, sound, event)),
            litres_per_second: flow,
            since_breath_seconds: self.lungs.since_breath_seconds,
        }
    }

    /// Nothing follows.
    pub fn finish(&mut self, over: &mut impl Over) {
        self.close_stretch(over);
        if let Some(spell) = self.spell {
            over.spell(&spell);
        }
        *self = Breathing::default();
    }

    fn close_stretch(&mut self, over: &mut impl Over) {
        let Some(stretch) = self.stretch.take() else { return };
        over.stretch(&stretch);
        let Some(spell) = self.spell.as_mut().filter(|_| stretch.passed.is_none()) else { return };
        spell.by_choice = spell.by_choice.max(stretch.by_choice);
        spell.breaking = spell.breaking.max(stretch.breaking);
        spell.missing_litres = spell.missing_litres.max(stretch.missing_litres);
        if spell.ran_out.is_none() && stretch.ran_out.is_some() {
            spell.ran_out = stretch.ran_out;
            spell.joint = stretch.joint;
        }
    }

    /// The gap before a sound is over.
    fn breathe(&mut self, air: &Air, over: &mut impl Over) {
        let gap = std::mem::take(&mut self.gap_seconds);
        if gap <= 0.0 {
            return;
        }
        // Whoever ran out has breathed somewhere: no more can be missing than a full breath.
        self.lungs.used_litres = self.lungs.used_litres.min(air.usable_litres);
        self.lungs.rest(gap, air);
        for lungs in [&mut self.choice, &mut self.breaking] {
            lungs.used_litres = lungs.used_litres.min(air.usable_litres);
        }
        self.choice.rest(gap, air);
        self.breaking.rest(gap.max(air.catch_seconds), air);
        if gap >= air.exchange_seconds {
            self.since_exchange_litres = 0.0;
        }
        if gap < air.catch_seconds {
            if let Some(stretch) = &mut self.stretch {
                stretch.tiny_seconds = stretch.tiny_seconds.max(gap);
            }
            if let Some(note) = &mut self.note {
                note.tiny = true;
            }
            return;
        }
        self.close_stretch(over);
        self.note = None;
        if let Some(spell) = &mut self.spell {
            // Of what came in after it ran out nothing is told.
            if spell.ran_out.is_none() {
                spell.gaps += 1;
                spell.gap_seconds += gap;
            }
            if self.lungs.used_litres <= 0.0 && self.lungs.since_exchange_seconds <= 0.0 {
                over.spell(spell);
                self.spell = None;
            }
        }
    }

    fn blow(&mut self, blower: &Blower<'_>, sound: &Sound, event: &Event) {
        let air = &blower.air;
        let events = blower.passage.events;
        let last_event = sound.of(events).last().unwrap_or(event);
        let (first, last) = (Spot::of(event), Spot::of(last_event));
        let released = released_seconds(air, sound, event);
        let seconds = sound.seconds - released;
        let flow = blower.flow(sound, event);
        let new = Stretch::at(first);
        if sound.kind == SoundKind::Note {
            self.at_joint(air, sound, event);
        }
        let stretch = self.stretch.get_or_insert(new);
        let spell = self.spell.get_or_insert(Spell::at(first));
        stretch.blow(air, last, seconds, flow);
        if sound.kind == SoundKind::Note && !sound.slurred {
            stretch.unbroken_seconds = seconds;
        } else {
            stretch.unbroken_seconds = (stretch.unbroken_seconds + seconds).min(MOST_UNBROKEN_SECONDS);
        }
        for lungs in [&mut self.lungs, &mut self.choice, &mut self.breaking] {
            lungs.blow(seconds, flow, air);
        }
        self.since_exchange_litres += seconds * flow;
        let (by_choice, breaking) = (beyond(self.choice, air), beyond(self.breaking, air));
        stretch.by_choice = stretch.by_choice.max(by_choice);
        stretch.breaking = stretch.breaking.max(breaking);
        spell.last = last;
        spell.loud |= Loudness::of(event.dynamic) >= Loudness::F;
        spell.too_long |= stretch.passed.is_some();
        let missing = -self.lungs.left_litres(air);
        if missing > SAME {
            stretch.missing_litres = stretch.missing_litres.max(missing);
            stretch.ran_out.get_or_insert(last);
        }
        // Air that has gone through the instrument is fresh when it comes back, and who ran out of it has
        // breathed somewhere.
        if self.since_exchange_litres >= air.usable_litres || stretch.passed.is_some() {
            self.since_exchange_litres = 0.0;
            self.lungs.since_exchange_seconds = 0.0;
        }
        spell.stale_seconds = spell.stale_seconds.max(self.lungs.since_exchange_seconds);
        if self.lungs.since_exchange_seconds > air.stale_seconds + SAME && spell.stale.is_none() {
            spell.stale = Some(last);
        }
        let before = self.note.filter(|_| sound.kind == SoundKind::Held);
        self.note = Some(LastNote {
            spot: last,
            midi: sound.sounding.map(|p| p.midi()),
            seconds: sound.seconds + before.map_or(0.0, |n| n.seconds),
            before_seconds: before.map_or(self.note.map_or(0.0, |n| n.seconds), |n| n.before_seconds),
            slurred: before.map_or(sound.slurred, |n| n.slurred),
            markable: last_event.origin == Origin::Here,
            dotted: Dotted(last_event.length.numerator() == 3),
            tiny: false,
        });
        self.gap_seconds = released;
    }

    /// Between the note before and this one.
    fn at_joint(&mut self, air: &Air, sound: &Sound, event: &Event) {
        let (Some(note), Some(stretch)) = (self.note, &mut self.stretch) else { return };
        let here = Spot::of(event);
        let copy = note.spot == here;
        // A note twice as long as the quickest breath gives up its second half.
        if note.seconds < 2.0 * air.catch_seconds - SAME && !note.tiny {
            return;
        }
        let joint = note.joint(sound, here);
        let share = (stretch.litres / air.usable_litres).max(stretch.seconds / air.comfort_seconds);
        let in_time = share > EARLY && stretch.passed.is_none();
        if note.markable && !copy && in_time && stretch.joint.is_none_or(|(_, best, _)| joint >= best) {
            stretch.joint = Some((note.spot, joint, note.dotted));
        }
        if note.tiny {
            return;
        }
        let taken = air.taken_seconds(note.seconds).max(air.catch_seconds);
        for (lungs, may) in [(&mut self.choice, !sound.slurred), (&mut self.breaking, true)] {
            if may {
                lungs.used_litres = lungs.used_litres.min(air.usable_litres);
                lungs.rest(taken, air);
            }
        }
    }
}

fn age(spot: Option<&mut Spot>) {
    if let Some(spot) = spot {
        spot.age();
    }
}

/// Litres or seconds by which two may differ and be one.
const SAME: f64 = 1e-6;

/// Silence after which lungs are full and fresh whatever went before.
fn full_seconds(air: &Air) -> f64 {
    (air.usable_litres / air.refill_litres_per_second).max(air.exchange_seconds).max(air.catch_seconds)
}

/// Share of a breath used, of interest only where it is more than a whole one: which of its breaths was the
/// deepest is nothing to remember of a line that is well.
fn beyond(lungs: Lungs, air: &Air) -> f64 {
    let share = lungs.share_used(air);
    if share > 1.0 { share } else { 0.0 }
}

/// What a note gives up of its end: to a breath mark, or by being short.
fn released_seconds(air: &Air, sound: &Sound, event: &Event) -> f64 {
    let breath = if sound.breath { air.taken_seconds(sound.seconds) } else { 0.0 };
    let short = event.marks.has(Mark::Staccato) || event.marks.has(Mark::Wedge);
    if short && sound.events == 1 && !event.marks.has(Mark::Slur) {
        breath.max(sound.seconds * (1.0 - STACCATO_SHARE))
    } else {
        breath
    }
}

impl Stretch {
    fn at(first: Spot) -> Stretch {
        Stretch {
            first,
            last: first,
            seconds: 0.0,
            litres: 0.0,
            passed: None,
            unbroken_seconds: 0.0,
            by_choice: 0.0,
            breaking: 0.0,
            tiny_seconds: 0.0,
            ran_out: None,
            missing_litres: 0.0,
            joint: None,
        }
    }

    fn blow(&mut self, air: &Air, last: Spot, seconds: f64, flow: f64) {
        let lasts = ((air.usable_litres - self.litres) / flow).min(air.comfort_seconds - self.seconds);
        if seconds > lasts + SAME && self.passed.is_none() {
            self.passed = Some((last, self.seconds + lasts));
        }
        self.seconds = (self.seconds + seconds).min(air.most_seconds());
        self.litres = (self.litres + seconds * flow).min(air.most_litres());
        self.last = last;
    }
}

impl Spell {
    fn at(first: Spot) -> Spell {
        Spell {
            first,
            last: first,
            gaps: 0,
            gap_seconds: 0.0,
            ran_out: None,
            by_choice: 0.0,
            breaking: 0.0,
            missing_litres: 0.0,
            stale: None,
            stale_seconds: 0.0,
            loud: false,
            too_long: false,
            joint: None,
        }
    }
}

impl LastNote {
    fn joint(&self, next: &Sound, here: Spot) -> Joint {
        let leap = match (self.midi, next.sounding) {
            (Some(a), Some(b)) => (b.midi() - a).abs(),
            _ => 0,
        };
        if self.tiny {
            Joint::Rest
        } else if next.slurred {
            Joint::InSlur
        } else if self.slurred || self.seconds > 1.9 * self.before_seconds && self.before_seconds > 0.0 {
            Joint::PhraseEnd
        } else if leap >= LEAP {
            Joint::Leap
        } else if self.spot.back > 0 || self.spot.bar != here.bar {
            Joint::Barline
        } else {
            Joint::Plain
        }
    }
}

impl Blower<'_> {
    /// Litres a second.
    pub(super) fn flow(&self, sound: &Sound, event: &Event) -> f64 {
        let loudness = Loudness::of(event.dynamic);
        let Some(held) = self.passage.instrument(event) else {
            return flow_litres_per_second(Voice::Trumpet, loudness, Fifth::Middle);
        };
        let fifth = sound.sounding.map_or(Fifth::Middle, |p| Fifth::of(&held.limits, p.midi()));
        flow_litres_per_second(Voice::of(&held.instrument), loudness, fifth)
    }
}
