//! The ways of every pitch, with what a plan needs of them.

use super::effort::{Effort, Weight};
use crate::brass::build::Build;
use crate::brass::instrument::Instrument;
use crate::brass::way::Way;

/// Most ways of one pitch that are weighed: those with the least strain. No instrument of the catalogue has
/// more.
pub const MOST_WAYS: usize = 32;

const PITCHES: i32 = 128;

/// A way, as a place of the hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    pub way: Way,
    /// Hundredths of a centimetre from first position; 0 without a slide.
    pub place: i32,
    /// Valves, thumb and second attachment as bits.
    pub fingers: u16,
    pub partial: u16,
    pub strain: Weight,
}

/// All pitches.
#[derive(Debug, Clone)]
pub(super) struct Table {
    spots: Box<[Spot]>,
    /// Where each pitch's spots begin, and the end.
    starts: Box<[u16]>,
    /// Hundredths of a centimetre for the whole tube's length of slide.
    scale: f64,
}

impl Table {
    pub fn of(instrument: &Instrument, effort: &Effort) -> Table {
        // The slide is two parallel tubes: the air's way grows twice as fast as the hand moves.
        let scale = 100.0 * instrument.tube.centimetres() / 2.0;
        let mut table = Table { spots: Box::default(), starts: Box::default(), scale };
        let (mut spots, mut starts) = (Vec::new(), Vec::new());
        for midi in 0..PITCHES {
            starts.push(spots.len() as u16);
            let ways = instrument.ways(midi);
            let mut here: Vec<Spot> = Vec::new();
            for (i, way) in ways.iter().enumerate() {
                if i == 0 || serves(&instrument.build, way) {
                    let strain = if i == 0 { Weight::default() } else { effort.strain(way) };
                    here.push(Spot { strain, ..table.chosen(*way) });
                }
            }
            here.sort_by_key(|spot| spot.strain);
            here.truncate(MOST_WAYS);
            spots.append(&mut here);
        }
        starts.push(spots.len() as u16);
        table.spots = spots.into();
        table.starts = starts.into();
        table
    }

    /// The ways of a pitch, the usual one first.
    #[inline]
    pub fn spots(&self, midi: i32) -> &[Spot] {
        let Ok(at) = usize::try_from(midi) else { return &[] };
        match (self.starts.get(at), self.starts.get(at + 1)) {
            (Some(from), Some(to)) => {
                self.spots.get(usize::from(*from)..usize::from(*to)).unwrap_or_default()
            }
            _ => &[],
        }
    }

    /// The farthest place of any way, in hundredths of a centimetre.
    pub fn farthest(&self) -> i32 {
        self.spots.iter().map(|spot| spot.place).max().unwrap_or(0)
    }

    /// A way without strain: the player's own choice.
    pub fn chosen(&self, way: Way) -> Spot {
        let slides = way.position > 0.0;
        let (thumb, second) = (u16::from(way.how.thumb) << 8, u16::from(way.how.second) << 9);
        Spot {
            way,
            place: (f64::from(way.slide) * self.scale).round() as i32,
            fingers: if slides { 0 } else { u16::from(way.how.digits) } | thumb | second,
            partial: way.partial,
            strain: Weight::default(),
        }
    }
}

/// True for ways that players take besides the usual one.
fn serves(build: &Build, way: &Way) -> bool {
    match build {
        // A slide corrects what lies too high, and nothing what lies too low in first position.
        Build::Slide(_) => !(way.is_poor() && way.cents < 0.0),
        Build::Valved(valves) => !way.is_poor() && valves.go_together(way.how.digits),
        Build::Double(_) | Build::Natural { .. } => !way.is_poor(),
    }
}
