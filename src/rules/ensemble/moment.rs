//! A block cut into moments: stretches in which the same notes sound.

use super::super::passage::Spot;
use super::note::{Note, SAME_PLACE};
use crate::brass::body::{Loudness, Voice};
use crate::score::player::{Player, PlayerInstrument};

/// One player of a block.
#[derive(Clone, Copy)]
pub struct Part<'a> {
    /// Index of the player in the score.
    pub player: u16,
    pub person: &'a Player,
    pub notes: &'a [Note],
}

impl<'a> Part<'a> {
    /// The note that begins with an entry of this visit.
    pub fn note(&self, at: Spot) -> Option<&'a Note> {
        let here = |n: &&Note| n.line == at.line && n.span == at.span && n.bar == at.bar && n.attacked;
        self.notes.iter().find(here).filter(|_| at.back == 0)
    }
}

/// A note that sounds, and who plays it.
#[derive(Clone, Copy)]
pub struct Sounding<'a> {
    pub part: Part<'a>,
    pub note: &'a Note,
    /// Sounding height.
    pub midi: i32,
}

impl<'a> Sounding<'a> {
    fn of(part: Part<'a>, note: &'a Note) -> Option<Sounding<'a>> {
        Some(Sounding { part, note, midi: note.sounding?.midi() })
    }

    /// What it is played on.
    pub fn instrument(&self) -> Option<&'a PlayerInstrument> {
        self.part.person.instrument(self.note.instrument)
    }

    /// The family of the bore.
    pub fn voice(&self) -> Option<Voice> {
        self.instrument().map(|held| Voice::of(&held.instrument))
    }

    pub fn loudness(&self) -> Loudness {
        self.note.loudness()
    }

    /// The same player's same note.
    pub fn is(&self, other: &Sounding<'_>) -> bool {
        self.part.player == other.part.player && std::ptr::eq(self.note, other.note)
    }
}

/// A stretch of a block in which nobody begins or ends a note.
#[derive(Clone, Copy)]
pub struct Moment<'m, 'a> {
    /// Whole notes from the beginning of the block.
    pub from: f64,
    pub to: f64,
    /// From the lowest to the highest.
    pub sounding: &'m [Sounding<'a>],
    /// Somebody plays what is not known: improvises, or holds on what a block before began.
    pub unsure: bool,
}

impl Moment<'_, '_> {
    /// Whole notes.
    pub fn length(&self) -> f64 {
        self.to - self.from
    }
}

/// All moments of a block in which anybody sounds.
#[derive(Default)]
pub struct Moments<'a> {
    all: Vec<Cut>,
    sounding: Vec<Sounding<'a>>,
}

struct Cut {
    from: f64,
    to: f64,
    first: u32,
    end: u32,
    unsure: bool,
}

impl<'a> Moments<'a> {
    /// Of these players.
    pub fn of(parts: &[Part<'a>]) -> Moments<'a> {
        let mut starts: Vec<(f64, Part<'a>, &'a Note)> = Vec::new();
        let mut places: Vec<f64> = Vec::new();
        for part in parts {
            for note in part.notes {
                starts.push((note.from, *part, note));
                places.extend([note.from, note.to]);
            }
        }
        starts.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.player.cmp(&b.1.player)));
        places.sort_unstable_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a < SAME_PLACE);
        let mut moments = Moments::default();
        let mut active: Vec<Sounding<'a>> = Vec::new();
        // Where the last of what is unknown ends.
        let mut unknown_until = f64::MIN;
        let mut coming = starts.into_iter().peekable();
        for (from, to) in places.iter().zip(places.iter().skip(1)) {
            active.retain(|s| s.note.to > from + SAME_PLACE);
            while let Some((_, part, note)) = coming.next_if(|next| next.0 < from + SAME_PLACE) {
                match Sounding::of(part, note) {
                    Some(one) => {
                        let at =
                            active.partition_point(|s| (s.midi, s.part.player) <= (one.midi, part.player));
                        active.insert(at, one);
                    }
                    None => unknown_until = unknown_until.max(note.to),
                }
            }
            let unsure = unknown_until > from + SAME_PLACE;
            if active.is_empty() && !unsure {
                continue;
            }
            let first = moments.sounding.len() as u32;
            moments.sounding.extend_from_slice(&active);
            let end = moments.sounding.len() as u32;
            moments.all.push(Cut { from: *from, to: *to, first, end, unsure });
        }
        moments
    }

    /// In the order of time.
    pub fn iter(&self) -> impl Iterator<Item = Moment<'_, 'a>> {
        self.all.iter().map(|cut| Moment {
            from: cut.from,
            to: cut.to,
            sounding: self.sounding.get(cut.first as usize..cut.end as usize).unwrap_or_default(),
            unsure: cut.unsure,
        })
    }
}
