//! Time up high: above the mark from which `long-high` counts, or above this person's comfortable top where
//! that is lower.

use super::act::Act;
use crate::assist::hover::reads::read;
use crate::brass::Level;
use crate::brass::body::lips::high_mark;
use crate::music::Pitch;
use crate::rules::passage::SAME_SECONDS;
use crate::score::passage::SoundKind;
use crate::score::player::PlayerInstrument;

/// A passage that stays high for less is a peak and is not named (estimate).
const SUSTAINED_SECONDS: f64 = 2.0;
/// Passages that are named.
const MOST_NAMED: usize = 3;

/// The sounding height above which time counts as high.
pub fn mark(held: &PlayerInstrument, level: Level) -> i32 {
    high_mark(&held.instrument, level).min(held.limits.comfortable)
}

/// A passage up high, from its first high note to its last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HighPassage {
    /// Numbers of the bars it begins and ends in.
    pub first_bar: i64,
    pub last_bar: i64,
    /// From the beginning of the score.
    pub from_seconds: f64,
    pub to_seconds: f64,
    /// Those above the mark.
    pub high_seconds: f64,
    pub highest_written: Pitch,
    pub highest_sounding: Pitch,
}

/// Time up high of one player.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct High {
    /// Written marks of the instruments that are played.
    pub marks_written: Vec<Pitch>,
    /// Above them in all.
    pub seconds: f64,
    /// The longest of those that are sustained, longest first.
    pub passages: Vec<HighPassage>,
}

/// Gathers it.
pub struct Heights {
    level: Level,
    /// As long below the mark ends a passage.
    rest_seconds: f64,
    open: Option<HighPassage>,
    /// Instruments whose mark is among those of `all`.
    known: Vec<u8>,
    all: High,
}

impl Heights {
    /// For a player of a level, and the shortest rest that is one.
    pub fn new(level: Level, rest_seconds: f64) -> Heights {
        Heights { level, rest_seconds, open: None, known: Vec::new(), all: High::default() }
    }

    /// True if something that sounds lies above the mark.
    pub fn is_high(&self, act: &Act<'_>) -> bool {
        let height = act.sounding.map(Pitch::midi);
        height.zip(act.instrument).is_some_and(|(height, held)| height > mark(held, self.level))
    }

    /// Hears what sounds next.
    pub fn hear(&mut self, act: &Act<'_>) {
        let number = act.event.played.instrument;
        if let Some(held) = act.instrument.filter(|_| !self.known.contains(&number)) {
            self.known.push(number);
            let mark = read(held, mark(held, self.level), None);
            if !self.all.marks_written.contains(&mark) {
                self.all.marks_written.push(mark);
            }
        }
        let (Some(written), Some(sounding)) = (act.written, act.sounding) else { return };
        if act.kind == SoundKind::Grace || !self.is_high(act) {
            return;
        }
        let over = |open: &HighPassage| act.from - open.to_seconds > self.rest_seconds - SAME_SECONDS;
        if self.open.as_ref().is_some_and(over) {
            self.close();
        }
        let open = self.open.get_or_insert(HighPassage {
            first_bar: act.first_bar,
            last_bar: act.last_bar,
            from_seconds: act.from,
            to_seconds: act.to,
            high_seconds: 0.0,
            highest_written: written,
            highest_sounding: sounding,
        });
        open.last_bar = act.last_bar;
        open.to_seconds = act.to;
        open.high_seconds += act.lasts();
        if sounding.midi() > open.highest_sounding.midi() {
            (open.highest_written, open.highest_sounding) = (written, sounding);
        }
        self.all.seconds += act.lasts();
    }

    fn close(&mut self) {
        let Some(over) = self.open.take() else { return };
        if over.high_seconds < SUSTAINED_SECONDS - SAME_SECONDS {
            return;
        }
        let longest = &mut self.all.passages;
        let place = longest.iter().position(|known| known.high_seconds < over.high_seconds - SAME_SECONDS);
        longest.insert(place.unwrap_or(longest.len()), over);
        longest.truncate(MOST_NAMED);
    }

    /// All of it.
    pub fn found(mut self) -> High {
        self.close();
        self.all
    }
}
