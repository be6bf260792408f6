//! The grid that what was played is laid on.
//!
//! Every quarter of every part is counted by itself: in 1, 2 or 4 parts, in 3, in 8 or in 6, the first of these that
//! all beginnings in it lie near, else the one they lie nearest to.

use super::file::Sounded;
use crate::exchange::import::music::Doubt;

/// Parts of a quarter that all divisions are made of.
pub const UNITS: i64 = 24;
/// Divisions of a quarter, the plainest first.
const DIVISIONS: [i64; 6] = [1, 2, 4, 3, 8, 6];
/// So near a beginning lies on its place, in quarters (estimate: a fiftieth of a second at a middle tempo).
const NEAR: f64 = 0.035;
/// A note that lasts for more than this share of the way to the next one reaches it (estimate: detached notes are
/// played for half their value).
const REACHES: f64 = 0.45;
/// What the grid is called.
pub const WORDS: &str = "16ths, where needed 32nds, and triplets of 8ths and 16ths, quarter by quarter";

/// A note on the grid, in units from the beginning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Laid {
    pub from: i64,
    pub to: i64,
    pub key: u8,
    pub velocity: u8,
}

/// Lays the notes of a part, which are in the order of their beginnings.
pub fn laid(notes: &[Sounded], quarter: u64, doubt: &mut Doubt) -> Vec<Laid> {
    let at = |tick: u64| tick as f64 / quarter.max(1) as f64;
    let mut all: Vec<Laid> = Vec::with_capacity(notes.len());
    let mut next = 0;
    while let Some(first) = notes.get(next) {
        // What begins just before a quarter belongs to it.
        let beat = (at(first.from) + NEAR).floor();
        let here: Vec<&Sounded> =
            notes.iter().skip(next).take_while(|n| (at(n.from) + NEAR).floor() <= beat).collect();
        next += here.len().max(1);
        let division = division(here.iter().map(|n| at(n.from) - beat));
        for note in here {
            let place = at(note.from) - beat;
            let steps = (place * division as f64).round();
            let moved = (place - steps / division as f64).abs();
            doubt.notes += 1;
            doubt.farthest = doubt.farthest.max(moved);
            doubt.moved += usize::from(moved > 0.25 / division as f64 && moved > NEAR);
            let from = beat as i64 * UNITS + steps as i64 * (UNITS / division);
            let to = end(at(note.to), from, division);
            all.push(Laid { from, to, key: note.key, velocity: note.velocity });
        }
    }
    all.sort_by_key(|n| (n.from, std::cmp::Reverse(n.key)));
    all.dedup_by_key(|n| (n.from, n.key));
    reach(&mut all);
    all
}

fn division(places: impl Iterator<Item = f64> + Clone) -> i64 {
    let far = |division: i64| {
        let error = |place: f64| {
            let steps = place * division as f64;
            (steps - steps.round()).abs() / division as f64
        };
        places.clone().map(error).fold(0.0, f64::max)
    };
    let near = DIVISIONS.into_iter().find(|d| far(*d) <= NEAR);
    near.unwrap_or_else(|| DIVISIONS.into_iter().min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or(4))
}

/// The end on eighths, or on the division of its beginning where it is shorter than one.
fn end(end: f64, from: i64, division: i64) -> i64 {
    let step = UNITS / division.max(2);
    let units = end * UNITS as f64;
    let on = |step: i64| ((units / step as f64).round() as i64) * step;
    let to = on(UNITS / 2);
    let short = (units - from as f64) < (UNITS / 2) as f64 * 1.5;
    let to = if short { on(step) } else { to };
    if to > from { to } else { from + step.max(1) }
}

/// A note that nearly reaches the next one does, and a note that overlaps it a little ends with it.
fn reach(all: &mut [Laid]) {
    let beginnings: Vec<i64> = all.iter().map(|n| n.from).collect();
    for note in all.iter_mut() {
        let next = beginnings.get(beginnings.partition_point(|f| *f <= note.from)).copied();
        let Some(next) = next else { continue };
        let (way, lasts) = ((next - note.from) as f64, (note.to - note.from) as f64);
        let little = note.to > next && note.to - next < UNITS / 4;
        if little || (note.to < next && lasts > REACHES * way && way <= (4 * UNITS) as f64) {
            note.to = next;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lay(places: &[(u64, u64)]) -> (Vec<(i64, i64)>, Doubt) {
        let notes: Vec<Sounded> =
            places.iter().map(|(from, to)| Sounded { from: *from, to: *to, key: 60, velocity: 80 }).collect();
        let mut doubt = Doubt { notes: 0, moved: 0, farthest: 0.0, grid: WORDS.to_owned() };
        let laid = laid(&notes, 480, &mut doubt);
        (laid.iter().map(|n| (n.from, n.to)).collect(), doubt)
    }

    #[test]
    fn detached_and_hurried_notes_come_to_their_places() {
        let (laid, doubt) =
            lay(&[(5, 240), (478, 700), (960, 1100), (1120, 1260), (1279, 1400), (1440, 3360)]);
        assert_eq!(laid, [(0, 24), (24, 48), (48, 56), (56, 64), (64, 72), (72, 168)]);
        assert_eq!((doubt.notes, doubt.moved), (6, 0));
    }

    #[test]
    fn what_lies_between_is_told() {
        let (_, doubt) = lay(&[(0, 100), (60, 200), (151, 200), (333, 400)]);
        assert!(doubt.farthest > 0.02, "{doubt:?}");
    }
}
