//! The bars as they are played, in ticks.

use crate::exchange::paper::{Line, SheetBar};
use crate::music::Fraction;
use crate::rules::Desk;
use crate::score::clock::{BREAK_SECONDS, Clock};

/// Ticks of a quarter: as few as say every place of the score exactly, and not fewer than this.
const FEWEST: u64 = 480;
/// What the file's header has room for.
const MOST: u64 = 32_767;
/// Where no number of ticks is exact: divisible by 3, 5 and 7.
const USUAL: u64 = 26_880;
/// Bars beyond this are not played: nobody listens for a week.
const MOST_BARS: usize = 1 << 20;

/// The score as it is played.
pub struct Stage {
    /// Ticks of a quarter.
    pub parts: u16,
    pub visits: Vec<Stay>,
    /// The played bars in order.
    pub bars: Vec<PlayedBar>,
    /// Where the written bars begin, in whole notes.
    pub starts: Vec<f64>,
    /// The end, in ticks.
    pub end: u64,
}

/// A block as it comes round.
#[derive(Debug, Clone)]
pub struct Stay {
    pub block: usize,
    /// Tick of each of its bars.
    pub bars: Vec<u64>,
    /// The written bar that its first is.
    pub first: usize,
    /// Ticks at which nobody sounds: breaks.
    pub breaks: Vec<u64>,
}

/// A bar as it comes round.
#[derive(Debug, Clone)]
pub struct PlayedBar {
    /// Index of the written bar.
    pub bar: usize,
    pub tick: u64,
    /// Cells of time: ticks and seconds of each, where there is a tempo.
    pub cells: Vec<(u64, Option<f64>)>,
}

impl Stage {
    pub fn new(desk: &Desk, clock: &Clock, sheet: &[SheetBar], lines: &[Line]) -> Stage {
        let score = desk.score();
        let places = lines.iter().flatten().flat_map(|bar| &bar.slots).flat_map(|s| [s.onset, s.length]);
        let parts = parts(places.chain(sheet.iter().map(|bar| bar.length)));
        let mut stage = Stage { parts, visits: Vec::new(), bars: Vec::new(), starts: Vec::new(), end: 0 };
        let mut now = 0.0;
        for bar in sheet {
            stage.starts.push(now);
            now += bar.length.to_f64();
        }
        let mut firsts = Vec::with_capacity(score.blocks.len());
        let mut at = 0;
        for placed in &score.blocks {
            at += placed.frame.gap as usize;
            firsts.push(at);
            at += placed.frame.bars as usize;
        }
        for visit in &score.order.visits {
            let block = visit.block as usize;
            let (Some(placed), Some(first)) = (score.blocks.get(block), firsts.get(block)) else { continue };
            if stage.bars.len() > MOST_BARS {
                break;
            }
            let own = clock.of_block(block);
            if visit.pass == 1 {
                let gap = placed.frame.gap as usize;
                let whole = placed.frame.gap_length.to_f64();
                let seconds = own.and_then(|own| own.gap_seconds);
                for bar in first - gap..*first {
                    let share = sheet.get(bar).map_or(0.0, |b| b.length.to_f64() / whole.max(1e-9));
                    let ticks = stage.ticks(sheet.get(bar).map_or(Fraction::ZERO, |b| b.length));
                    stage.push(bar, vec![(ticks, seconds.map(|s| s * share))]);
                }
            }
            let mut stay = Stay { block, bars: Vec::new(), first: *first, breaks: Vec::new() };
            for (at, length) in (0u32..).zip(placed.read.lengths.iter()) {
                stay.bars.push(stage.end);
                let between = |from: Fraction, to: Fraction| {
                    let own = own?;
                    own.between(own.place(at, from)?, own.place(at, to)?)
                };
                let cells = stage.cells(*length, &between);
                stage.push(first + at as usize, cells);
            }
            for (bar, after, seconds) in clock.pauses(block) {
                if let Some(start) = stay.bars.get(bar as usize).filter(|_| seconds <= BREAK_SECONDS) {
                    stay.breaks.push(start + stage.ticks(after));
                }
            }
            stage.visits.push(stay);
        }
        stage
    }

    fn push(&mut self, bar: usize, cells: Vec<(u64, Option<f64>)>) {
        let ticks: u64 = cells.iter().map(|(ticks, _)| ticks).sum();
        self.bars.push(PlayedBar { bar, tick: self.end, cells });
        self.end += ticks;
    }

    /// Sixteenths of a bar, each with its seconds: pauses stretch the sixteenth before them.
    fn cells(
        &self,
        length: Fraction,
        seconds: &dyn Fn(Fraction, Fraction) -> Option<f64>,
    ) -> Vec<(u64, Option<f64>)> {
        let mut cells = Vec::new();
        let mut now = Fraction::ZERO;
        let step = Fraction::new(1, 16).unwrap_or(Fraction::ONE);
        while now < length {
            let next = now.plus(step).unwrap_or(length).min(length);
            cells.push((self.ticks(next).saturating_sub(self.ticks(now)), seconds(now, next)));
            now = next;
        }
        cells
    }

    /// Ticks of a length in whole notes, to the nearest.
    pub fn ticks(&self, length: Fraction) -> u64 {
        let ticks = i128::from(length.numerator()) * 4 * i128::from(self.parts);
        let den = i128::from(length.denominator()).max(1);
        u64::try_from((2 * ticks + den).div_euclid(2 * den)).unwrap_or(0)
    }

    /// Ticks of a sixteenth.
    pub fn sixteenth(&self) -> u64 {
        u64::from(self.parts) / 4
    }
}

/// Ticks of a quarter that say all these places exactly, if there are such.
fn parts(places: impl Iterator<Item = Fraction>) -> u16 {
    let mut parts: u64 = 4;
    for place in places {
        let den = u64::try_from(place.denominator()).unwrap_or(1);
        let quarters = den / gcd(den, 4);
        parts = parts / gcd(parts, quarters) * quarters;
        if parts > MOST {
            return USUAL as u16;
        }
    }
    let times = FEWEST.div_ceil(parts);
    u16::try_from(if parts * times > MOST { parts } else { parts * times }).unwrap_or(USUAL as u16)
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a.max(1) } else { gcd(b, a % b) }
}
