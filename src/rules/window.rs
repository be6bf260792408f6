//! What somebody did in the last so many seconds, in a few pieces.
//!
//! Neighbouring pieces of one kind are one piece, in which what counts is spread evenly. Pieces that lie before
//! the window are forgotten, and so are leading ones in which nothing counts, so that two windows over the
//! same seconds are equal whatever went before.

/// The pieces, oldest first. Nothing is allocated while nothing counts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Window {
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    kind: u8,
    seconds: f64,
    sounding_seconds: f64,
}

impl Window {
    /// Adds what has just passed; `kind` 0 counts for nothing. Keeps so many seconds.
    pub fn push(&mut self, kind: u8, seconds: f64, sounding_seconds: f64, keep_seconds: f64) {
        if seconds <= 0.0 || kind == 0 && self.pieces.is_empty() {
            return;
        }
        match self.pieces.last_mut() {
            Some(last) if last.kind == kind => {
                last.seconds += seconds;
                last.sounding_seconds += sounding_seconds;
            }
            _ => self.pieces.push(Piece { kind, seconds, sounding_seconds }),
        }
        self.forget(keep_seconds);
    }

    fn forget(&mut self, keep_seconds: f64) {
        let mut passed = 0.0;
        let mut first = 0;
        for (at, piece) in self.pieces.iter_mut().enumerate().rev() {
            let left = keep_seconds - passed;
            if left <= 0.0 {
                first = at + 1;
                break;
            }
            if piece.seconds > left {
                piece.sounding_seconds *= left / piece.seconds;
                piece.seconds = left;
            }
            passed += piece.seconds;
        }
        let idle = self.pieces.iter().skip(first).take_while(|p| p.kind == 0).count();
        self.pieces.drain(..first + idle);
    }

    /// True if nothing that counts lies in it.
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// Seconds of the kinds that share a bit with `kinds`, and seconds that sound at all, in the last so many.
    pub fn counted(&self, kinds: u8, last_seconds: f64) -> Counted {
        let mut left = last_seconds;
        let mut counted = Counted::default();
        for piece in self.pieces.iter().rev() {
            let share = (left / piece.seconds).clamp(0.0, 1.0);
            counted.sounding_seconds += piece.sounding_seconds * share;
            if piece.kind & kinds != 0 {
                counted.seconds += piece.seconds * share;
            }
            left -= piece.seconds;
            if left <= 0.0 {
                break;
            }
        }
        counted
    }
}

/// What a window holds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Counted {
    pub seconds: f64,
    pub sounding_seconds: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The same seconds counted tenth by tenth.
        #[test]
        fn it_counts_what_the_last_seconds_held(all in prop::collection::vec((0u8..3, 1u32..80), 1..60)) {
            let mut window = Window::default();
            let mut tenths: Vec<u8> = Vec::new();
            for (kind, length) in all {
                window.push(kind, f64::from(length) / 10.0, f64::from(length) / 10.0, 20.0);
                tenths.extend((0..length).map(|_| kind));
                for last in [5.0, 20.0] {
                    let from = tenths.len().saturating_sub((last * 10.0) as usize);
                    let slow = tenths[from..].iter().filter(|k| **k == 2).count() as f64 / 10.0;
                    prop_assert!((window.counted(2, last).seconds - slow).abs() < 1e-6);
                }
            }
        }

        /// What went before is forgotten to the last bit.
        #[test]
        fn equal_seconds_make_equal_windows(
            before in prop::collection::vec((0u8..3, 0.1f64..9.0), 0..9),
            after in prop::collection::vec((0u8..3, 0.1f64..9.0), 8..20),
        ) {
            let total: f64 = after.iter().map(|(_, s)| s).sum();
            let mut fresh = Window::default();
            let mut old = Window::default();
            for (kind, seconds) in &before {
                old.push(*kind, *seconds, 0.0, 20.0);
            }
            // A silence as long as the window parts the two.
            old.push(0, 20.0, 0.0, 20.0);
            for (kind, seconds) in &after {
                fresh.push(*kind, *seconds, 0.0, 20.0);
                old.push(*kind, *seconds, 0.0, 20.0);
            }
            prop_assert!(total > 0.0);
            prop_assert_eq!(fresh, old);
        }
    }
}
