//! Which of the ways to play a note is the usual one.

use super::build::{Build, THUMB_FROM};
use super::how::How;
use super::way::{Way, open_position};
use std::cmp::Ordering;

/// Cents within which players do not look for another fingering.
pub const IN_TUNE: f32 = 35.0;

/// Position on the open slide past which the arm is at full stretch.
const FULL_STRETCH: f64 = 7.05;

/// Place of the usual way among the ways of a note; `None` if there are none.
///
/// On valves none on harmonics 7, 11, 13, 14 if there are others. Of what is left, those within 35 cents, or the
/// least wrong; of these 9 and 15 only for want of others; then the shortest tube (so 1-2 rather than 3, which is
/// the longer); where there is a fourth valve, 4 for 1-3 and 2-4 for 1-2-3; a long fifth only with the fourth. The
/// thumb side of a double horn keeps the valves of the F side where they serve. A slide corrects what a valve
/// cannot, so there every harmonic serves; at equal length the open slide goes before the attachments up to fifth
/// position. Common practice; the published charts are the test.
pub fn usual(build: &Build, midi: i32, ways: &[Way]) -> Option<usize> {
    let mut left: Vec<usize> = (0..ways.len()).collect();
    let way = |i: &usize| ways.get(*i);
    let keep = |left: &mut Vec<usize>, test: &dyn Fn(&Way) -> bool| {
        if left.iter().filter_map(way).any(test) {
            left.retain(|i| way(i).is_some_and(test));
        }
    };
    if let Build::Double(_) = build {
        keep(&mut left, &|w| w.how.thumb == (midi >= THUMB_FROM));
    }
    if let Build::Valved(valves) = build {
        keep(&mut left, &|w| valves.go_together(w.how.digits));
    }
    if build.has_valves() {
        keep(&mut left, &|w| !w.is_poor());
    }
    if left.iter().filter_map(way).any(|w| w.cents.abs() <= IN_TUNE) {
        keep(&mut left, &|w| w.cents.abs() <= IN_TUNE);
    } else {
        let best = left.iter().filter_map(way).map(|w| w.cents.abs()).min_by(f32::total_cmp)?;
        keep(&mut left, &|w| w.cents.abs() <= best);
    }
    if build.has_valves() {
        keep(&mut left, &|w| !matches!(w.partial, 9 | 15));
        if let Build::Double(valves) = build
            && midi >= THUMB_FROM
        {
            let f_side: Vec<Way> = ways.iter().filter(|w| !w.how.thumb).copied().collect();
            let digits = usual(&Build::Valved(*valves), midi, &f_side)
                .and_then(|i| f_side.get(i))
                .map(|w| w.how.digits);
            keep(&mut left, &|w| Some(w.how.digits) == digits);
        }
    } else {
        keep(&mut left, &|w| !w.is_poor() || w.position > 1.0);
    }
    let first = left.into_iter().min_by(|a, b| match (way(a), way(b)) {
        (Some(a), Some(b)) => shorter(a, b),
        _ => Ordering::Equal,
    })?;
    Some(fourth_valve(ways, first))
}

fn shorter(a: &Way, b: &Way) -> Ordering {
    // Equal tubes differ in the last digits only, by the order in which lengths were added.
    let length = |w: &Way| (w.length * 1e5).round();
    length(a).total_cmp(&length(b)).then_with(|| effort(a).cmp(&effort(b)))
}

/// Which of two slide positions of the same length players take.
fn effort(way: &Way) -> u8 {
    if way.position == 0.0 {
        return 0;
    }
    let at = open_position(f64::from(way.slide));
    let stretched = if at > FULL_STRETCH { 8 } else { 0 };
    stretched
        + match (way.how.thumb, way.how.second) {
            (false, false) if way.position < 5.5 => 0,
            (true, false) => 1,
            (false, false) => 2,
            (false, true) => 3,
            (true, true) => 4,
        }
}

/// On four valves 4 stands for 1-3. (2-4 comes before 1-2-3 by being in tune.)
fn fourth_valve(ways: &[Way], first: usize) -> usize {
    let Some(way) = ways.get(first) else { return first };
    if way.how.digits != 0b101 || way.position > 0.0 {
        return first;
    }
    let wanted = How { digits: 0b1000, ..way.how };
    ways.iter().position(|w| w.how == wanted && w.partial == way.partial).unwrap_or(first)
}
