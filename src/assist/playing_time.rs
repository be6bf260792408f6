//! When a block is played, and for how long.

use crate::score::clock::Clock;
use crate::score::score::Score;

/// Times of beginning that are named; more are counted.
const MOST_NAMED: usize = 3;

/// When each block of a score is played.
pub struct PlayingTimes<'a> {
    clock: &'a Clock,
    /// By block: which visits of the order of play it has.
    visits: Vec<Vec<usize>>,
}

/// When one block is played.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayingTime {
    /// Seconds from the beginning of the score at which it begins, each time it is played.
    pub begins: Vec<f64>,
    /// Seconds it lasts.
    pub lasts: f64,
}

impl<'a> PlayingTimes<'a> {
    /// Those of a score.
    pub fn of(score: &Score, clock: &'a Clock) -> PlayingTimes<'a> {
        let mut visits = vec![Vec::new(); score.blocks.len()];
        for (number, visit) in score.order.visits.iter().enumerate() {
            if let Some(of_block) = visits.get_mut(visit.block as usize) {
                of_block.push(number);
            }
        }
        PlayingTimes { clock, visits }
    }

    /// That of a block; `None` where there is no tempo, or nothing that takes time.
    pub fn block(&self, block: usize) -> Option<PlayingTime> {
        let lasts = self.clock.block(block).filter(|seconds| *seconds > 0.0)?;
        let begins = self.visits.get(block)?.iter().filter_map(|visit| self.clock.visit(*visit)).collect();
        Some(PlayingTime { begins, lasts })
    }
}

impl PlayingTime {
    /// `0:13–0:27 (13.3 s)`; of a block that is played again, `0:13–0:27, again 0:40, 1:07 (13.3 s)`.
    pub fn words(&self) -> String {
        let length = duration(self.lasts);
        let Some((first, again)) = self.begins.split_first() else { return length };
        let mut text = format!("{}–{}", moment(*first), moment(first + self.lasts));
        if !again.is_empty() {
            let named: Vec<String> = again.iter().take(MOST_NAMED).map(|at| moment(*at)).collect();
            text += &format!(", again {}", named.join(", "));
        }
        if again.len() > MOST_NAMED {
            text += &format!(" and {} more", again.len() - MOST_NAMED);
        }
        format!("{text} ({length})")
    }
}

/// Minutes and seconds from the beginning: `1:04`.
pub fn moment(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// `13.3 s`, from a minute on `2:05 min`.
pub fn duration(seconds: f64) -> String {
    if seconds < 59.95 { format!("{seconds:.1} s") } else { format!("{} min", moment(seconds)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_a_stand_partner_says_it() {
        let words = |begins: &[f64], lasts| PlayingTime { begins: begins.to_vec(), lasts }.words();
        assert_eq!(words(&[13.3], 13.33), "0:13–0:27 (13.3 s)");
        assert_eq!(words(&[0.0, 40.0, 67.0], 75.0), "0:00–1:15, again 0:40, 1:07 (1:15 min)");
        assert_eq!(
            words(&[0.0, 1.0, 2.0, 3.0, 4.0, 5.0], 1.0),
            "0:00–0:01, again 0:01, 0:02, 0:03 and 2 more (1.0 s)"
        );
        assert_eq!(words(&[], 59.96), "1:00 min");
    }
}
