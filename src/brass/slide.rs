//! Slides: any length up to the end of the arm, and valves in the bend behind them.

use super::how::How;
use super::tube::{cents_of, length_of};

/// How far a slide lowers the open tube at its very end, in semitones: seventh position is 6.
///
/// An estimate: a slide ends a hand's breadth past seventh position, far enough for sixth position with
/// the F attachment (7.40 on the open scale), not for an eighth.
pub const SLIDE_END: f64 = 6.45;

/// Cents beyond its end to which lips still bend a note down.
pub const LIP_AT_END: f64 = 20.0;

/// A slide with its attachments.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slide {
    /// Length at the end of the slide, as a share of the open tube.
    end: f64,
    /// Lengths that the first and the second attachment add, as shares of the open tube.
    first: Option<f64>,
    second: Option<f64>,
    /// The second works only with the first down.
    dependent: bool,
}

impl Slide {
    /// No attachment.
    pub fn straight() -> Slide {
        Slide { end: length_of(SLIDE_END) - 1.0, first: None, second: None, dependent: false }
    }

    /// One attachment that lowers the open tube by so many semitones (5 puts a B♭ trombone in F).
    pub fn with_one(semitones: f64) -> Slide {
        Slide { first: Some(length_of(semitones) - 1.0), ..Slide::straight() }
    }

    /// Two attachments, each usable alone (5 and 4: F and G♭, together about D).
    pub fn with_two(first: f64, second: f64) -> Slide {
        Slide { second: Some(length_of(second) - 1.0), ..Slide::with_one(first) }
    }

    /// Two attachments, the second only behind the first; given is what they lower together (5 and 8: F, and
    /// D with both).
    pub fn with_dependent(first: f64, both: f64) -> Slide {
        let second = length_of(both) - length_of(first);
        Slide { second: Some(second), dependent: true, ..Slide::with_one(first) }
    }

    /// Length of the tube, slide in, with these attachments; `None` where the instrument lacks them.
    pub fn behind(&self, thumb: bool, second: bool) -> Option<f64> {
        if self.dependent && second && !thumb {
            return None;
        }
        let first = if thumb { self.first? } else { 0.0 };
        let more = if second { self.second? } else { 0.0 };
        Some(1.0 + first + more)
    }

    /// Every combination of attachments, none first.
    pub fn attachments(&self) -> impl Iterator<Item = (How, f64)> {
        [(false, false), (true, false), (false, true), (true, true)].into_iter().filter_map(
            move |(thumb, second)| Some((How::new(thumb, second, 0), self.behind(thumb, second)?)),
        )
    }

    /// Greatest share of the open tube that the slide adds.
    pub fn end(&self) -> f64 {
        self.end
    }

    /// Where the slide stands, counted in positions of the tube behind it: 1 is in, 7 is six semitones out.
    pub fn position(behind: f64, slide: f64) -> f64 {
        1.0 + cents_of((behind + slide) / behind) / 100.0
    }

    /// The share that the slide adds at a position of the tube behind it.
    pub fn at(behind: f64, position: f64) -> f64 {
        behind * (length_of(position - 1.0) - 1.0)
    }

    /// Last position with this tube behind the slide: 7, with F 6, with D 5.
    pub fn last(&self, behind: f64) -> u8 {
        Slide::position(behind, self.end).floor().clamp(1.0, 7.0) as u8
    }
}
