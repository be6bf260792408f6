//! Playing without a rest.

use super::act::Act;
use crate::rules::passage::SAME_SECONDS;
use crate::score::passage::SoundKind;

/// From one rest to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unbroken {
    /// Numbers of the bars it begins and ends in.
    pub first_bar: i64,
    pub last_bar: i64,
    /// Bars it takes as played, the first and the last counted whole.
    pub bars: u64,
    /// From the beginning of the score.
    pub from_seconds: f64,
    pub to_seconds: f64,
    /// That sound of it: shorter rests and breaks are not among them.
    pub playing_seconds: f64,
}

/// Finds the longest.
pub struct Longest {
    rest_seconds: f64,
    open: Option<(Unbroken, u64)>,
    best: Option<Unbroken>,
}

impl Longest {
    /// With the shortest rest that is one.
    pub fn new(rest_seconds: f64) -> Longest {
        Longest { rest_seconds, open: None, best: None }
    }

    /// Hears what sounds next.
    pub fn hear(&mut self, act: &Act<'_>) {
        if act.kind == SoundKind::Grace {
            return;
        }
        let rested = |open: &Unbroken| act.from - open.to_seconds > self.rest_seconds - SAME_SECONDS;
        if self.open.as_ref().is_some_and(|(open, _)| rested(open)) {
            self.close();
        }
        let (open, first_played) = self.open.get_or_insert((
            Unbroken {
                first_bar: act.first_bar,
                last_bar: act.last_bar,
                bars: 0,
                from_seconds: act.from,
                to_seconds: act.from,
                playing_seconds: 0.0,
            },
            act.first_played,
        ));
        open.last_bar = act.last_bar;
        open.bars = act.last_played.saturating_sub(*first_played) + 1;
        // Bars that are too long reach into what comes next, and nobody plays twice at once.
        open.playing_seconds += (act.to - act.from.max(open.to_seconds)).max(0.0);
        open.to_seconds = open.to_seconds.max(act.to);
    }

    fn close(&mut self) {
        let Some((over, _)) = self.open.take() else { return };
        if self.best.is_none_or(|best| over.playing_seconds > best.playing_seconds + SAME_SECONDS) {
            self.best = Some(over);
        }
    }

    /// The one with most seconds that sound; of equals the first.
    pub fn found(mut self) -> Option<Unbroken> {
        self.close();
        self.best
    }
}
