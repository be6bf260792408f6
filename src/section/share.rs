//! The notes of chords and the people who might have them, and what it costs who has which.
//!
//! Costs compare in the order of their fields: what cannot be played, a leading note that two have, what lies
//! beyond somebody's range, then points. Points are estimates that put possibilities in order.

use super::harmony::Role;

/// Points, all estimates.
pub mod points {
    /// A player who is meant to be higher has less than the next below of the same voice. More than a note costs
    /// that is comfortable for one of the two and nearly at the top of the other.
    pub const CROSSED: u32 = 60;
    /// Neighbours of one voice further apart than [`WIDE_SEMITONES`](super::WIDE_SEMITONES).
    pub const WIDE: u32 = 8;
    /// A note that one more has; the root first, the fifth before the third (common practice).
    pub const DOUBLED_ROOT: u32 = 2;
    pub const DOUBLED_FIFTH: u32 = 6;
    pub const DOUBLED_UNKNOWN: u32 = 8;
    pub const DOUBLED_OTHER: u32 = 16;
    pub const DOUBLED_THIRD: u32 = 20;
    /// A semitone from the note before, or to the note after, up to [`MOST_LEAP`](super::MOST_LEAP) of them.
    pub const SEMITONE: u32 = 1;
}

/// Neighbours of one voice further apart leave a hole: an octave (Rimsky-Korsakov, ch. III; the bass apart).
pub const WIDE_SEMITONES: u32 = 12;
/// A wider leap costs no more than this one.
pub const MOST_LEAP: u32 = 12;

/// How a note lies for somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Lying {
    /// No way to play it.
    pub unplayable: bool,
    /// Semitones beyond the usual range.
    pub beyond_semitones: u32,
    /// What it costs within the range.
    pub points: u32,
}

/// A note of a chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tone {
    /// What sounds, C4 = 60.
    pub sounding: i32,
    pub role: Role,
    /// A semitone below the tonic of the key in force.
    pub leading: bool,
}

/// A chord, its notes upwards.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Chord {
    pub tones: Vec<Tone>,
    /// How they lie: for every person, for every note.
    pub lies: Vec<Vec<Lying>>,
}

/// Somebody who might have a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Person {
    /// People of one voice stand together in the list, whoever is meant to be highest first.
    pub voice: u32,
    /// What it costs if they have none; `None` if they must have one.
    pub rests: Option<u32>,
    /// What it costs that they come in.
    pub enters: u32,
    /// Their notes before and after, sounding.
    pub before: Option<i32>,
    pub after: Option<i32>,
}

/// Chords that follow each other, and the people for all of them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Passage {
    pub people: Vec<Person>,
    pub chords: Vec<Chord>,
}

/// Which note of a chord each person has.
pub type Taken = Vec<Option<usize>>;

/// What it costs; less is better, field by field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct ShareCost {
    /// Notes that their player has no way to play.
    pub unplayable: u32,
    /// Times a leading note is doubled.
    pub leading: u32,
    /// Semitones beyond usual ranges.
    pub beyond_semitones: u32,
    pub points: u32,
}

impl ShareCost {
    pub(super) fn plus(self, other: ShareCost) -> ShareCost {
        ShareCost {
            unplayable: self.unplayable.saturating_add(other.unplayable),
            leading: self.leading.saturating_add(other.leading),
            beyond_semitones: self.beyond_semitones.saturating_add(other.beyond_semitones),
            points: self.points.saturating_add(other.points),
        }
    }

    pub(super) fn points(points: u32) -> ShareCost {
        ShareCost { points, ..ShareCost::default() }
    }
}

impl Chord {
    /// How a note lies for a person; what nobody told of is no trouble.
    pub(super) fn lying(&self, person: usize, tone: usize) -> ShareCost {
        let lying = self.lies.get(person).and_then(|all| all.get(tone)).copied().unwrap_or_default();
        ShareCost {
            unplayable: u32::from(lying.unplayable),
            leading: 0,
            beyond_semitones: lying.beyond_semitones,
            points: lying.points,
        }
    }

    pub(super) fn sounding(&self, tone: usize) -> i32 {
        self.tones.get(tone).map_or(0, |t| t.sounding)
    }

    /// What it costs that one more has a note.
    pub(super) fn doubled(&self, tone: usize) -> ShareCost {
        let Some(tone) = self.tones.get(tone) else { return ShareCost::default() };
        let points = match tone.role {
            Role::Root => points::DOUBLED_ROOT,
            Role::Fifth => points::DOUBLED_FIFTH,
            Role::Third => points::DOUBLED_THIRD,
            Role::Other => points::DOUBLED_OTHER,
            Role::Unknown => points::DOUBLED_UNKNOWN,
        };
        ShareCost { leading: u32::from(tone.leading), ..ShareCost::points(points) }
    }

    /// What it costs that two neighbours of one voice have these notes, the one meant to be higher first.
    pub(super) fn between(&self, upper: usize, lower: usize) -> ShareCost {
        let (upper, lower) = (self.sounding(upper), self.sounding(lower));
        let mut all = 0;
        if upper < lower {
            all += points::CROSSED;
        }
        if upper.abs_diff(lower) > WIDE_SEMITONES {
            all += points::WIDE;
        }
        ShareCost::points(all)
    }

    /// Who has which, all together; `None` if a note is left or somebody rests who must not.
    fn weigh(&self, people: &[Person], taken: &Taken) -> Option<ShareCost> {
        let mut sum = ShareCost::default();
        let mut times = vec![0u32; self.tones.len()];
        let mut last: Option<(u32, usize)> = None;
        if taken.len() != people.len() {
            return None;
        }
        for (at, (person, tone)) in people.iter().zip(taken).enumerate() {
            let Some(tone) = *tone else {
                sum = sum.plus(ShareCost::points(person.rests?));
                continue;
            };
            let count = times.get_mut(tone)?;
            if *count > 0 {
                sum = sum.plus(self.doubled(tone));
            }
            *count += 1;
            sum = sum.plus(self.lying(at, tone));
            if let Some((_, upper)) = last.filter(|(voice, _)| *voice == person.voice) {
                sum = sum.plus(self.between(upper, tone));
            }
            last = Some((person.voice, tone));
        }
        times.iter().all(|n| *n > 0).then_some(sum)
    }
}

/// What a leap costs.
pub(super) fn leap(from: i32, to: i32) -> u32 {
    points::SEMITONE * from.abs_diff(to).min(MOST_LEAP)
}

impl Passage {
    /// What the way into a chord costs one person, and the way out of the last one.
    pub(super) fn way(&self, chord: usize, person: usize, before: Option<usize>, now: Option<usize>) -> u32 {
        let (Some(of), Some(now)) = (self.people.get(person), now) else { return 0 };
        let height = |chord: usize, tone: usize| self.chords.get(chord).map(|c| c.sounding(tone));
        let here = height(chord, now).unwrap_or(0);
        let earlier = match chord.checked_sub(1) {
            None => of.before,
            Some(earlier) => before.and_then(|tone| height(earlier, tone)),
        };
        let mut sum = earlier.map_or(0, |from| leap(from, here));
        if chord == 0 || before.is_none() {
            sum += of.enters;
        }
        if chord + 1 == self.chords.len() {
            sum += of.after.map_or(0, |to| leap(here, to));
        }
        sum
    }

    /// The same for everybody.
    fn ways(&self, chord: usize, before: Option<&Taken>, now: &Taken) -> u32 {
        let of = |at: usize| before.and_then(|taken| taken.get(at).copied().flatten());
        now.iter().enumerate().map(|(at, tone)| self.way(chord, at, of(at), *tone)).sum()
    }

    /// What it costs who has which note, chord by chord; `None` if a note is left or somebody rests who must not.
    pub fn weigh(&self, shares: &[Taken]) -> Option<ShareCost> {
        if shares.len() != self.chords.len() {
            return None;
        }
        let mut sum = ShareCost::default();
        let mut before = None;
        for (at, (chord, taken)) in self.chords.iter().zip(shares).enumerate() {
            sum = sum.plus(chord.weigh(&self.people, taken)?);
            sum = sum.plus(ShareCost::points(self.ways(at, before, taken)));
            before = Some(taken);
        }
        Some(sum)
    }

    /// What one chord costs after another, with the ways into it and out of the last.
    pub(super) fn step(&self, chord: usize, before: Option<&Taken>, now: &Taken) -> Option<ShareCost> {
        let still = self.chords.get(chord)?.weigh(&self.people, now)?;
        Some(still.plus(ShareCost::points(self.ways(chord, before, now))))
    }
}
