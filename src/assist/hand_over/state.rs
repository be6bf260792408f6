//! Words that bring a player from one way of playing to another.

use super::Declined;
use crate::score::state::{PlayedChange, PlayedState};

/// The instructions, fewest first; the instrument in hand stays.
pub fn instructions(from: PlayedState, to: PlayedState) -> Result<Vec<String>, Declined> {
    let mut now = from;
    let mut out = Vec::new();
    let mut say = |word: String, change: PlayedChange, now: &mut PlayedState| {
        *now = change.after(*now);
        out.push(format!("[{word}]"));
    };
    if now.mute != to.mute {
        match to.mute {
            Some(mute) => say(format!("mute {}", mute.word()), PlayedChange::mute(mute), &mut now),
            None => say("open".to_owned(), PlayedChange::open(), &mut now),
        }
    }
    let ends = now.flutter && !to.flutter || now.stopped && !to.stopped || now.hand && !to.hand;
    if ends {
        say("plain".to_owned(), PlayedChange::plain(), &mut now);
    }
    let on = |stopped, hand, flutter| PlayedChange { stopped, hand, flutter, ..PlayedChange::default() };
    if to.stopped && !now.stopped {
        say("stopped".to_owned(), on(Some(true), None, None), &mut now);
    }
    if to.hand && !now.hand {
        say("hand".to_owned(), on(None, Some(true), None), &mut now);
    }
    if to.flutter && !now.flutter {
        say("flutter".to_owned(), on(None, None, Some(true)), &mut now);
    }
    if now == to { Ok(out) } else { Err(Declined::Technique) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brass::Mute;

    #[test]
    fn every_state_is_reached_from_every_other() {
        let mut all = Vec::new();
        for mute in [None, Some(Mute::Cup), Some(Mute::Straight)] {
            for bits in 0..8 {
                let (stopped, hand, flutter) = (bits & 1 > 0, bits & 2 > 0, bits & 4 > 0);
                all.push(PlayedState { instrument: 1, mute, stopped, hand, flutter });
            }
        }
        for from in &all {
            for to in &all {
                assert!(instructions(*from, *to).unwrap().len() <= 5, "{from:?} {to:?}");
            }
            assert!(instructions(*from, *from).unwrap().is_empty());
        }
    }
}
