//! Room for words side by side, on a desk and on a telephone.
//!
//! Words keep their size while a chart changes its width, so those that fit a wide chart may collide in a narrow
//! one. They are placed from left to right; what has no room on a telephone is left out there by the style sheet.

/// Pixels from the beginning of one letter to the next, at most: plain words, and bold ones of marks and numbers.
pub const PLAIN: f64 = 7.2;
pub const BOLD: f64 = 8.8;
/// How far words may reach at the right, in per cent.
pub const OVER: f64 = 101.0;
/// Between two words, in pixels.
const BETWEEN: f64 = 4.0;

/// Where a word is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    /// In the middle, except at the ends of what is drawn.
    pub fn at(x: f64) -> Anchor {
        match x {
            x if x < 2.0 => Anchor::Start,
            x if x > 98.0 => Anchor::End,
            _ => Anchor::Middle,
        }
    }

    /// Its class.
    pub fn word(self) -> &'static str {
        match self {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        }
    }
}

/// One line of words.
#[derive(Debug, Clone, Copy)]
pub struct Room {
    /// Pixels of the narrowest drawing on a desk and on a telephone, and what is taken of each.
    wide: f64,
    narrow: f64,
    wide_taken: f64,
    narrow_taken: f64,
}

impl Room {
    /// In charts: paper leaves 640 px, a telephone of 320 px leaves 244 px.
    pub fn chart() -> Room {
        Room::of(640.0, 240.0)
    }

    /// In the strips of the overview.
    pub fn strip() -> Room {
        Room::of(230.0, 70.0)
    }

    fn of(wide: f64, narrow: f64) -> Room {
        Room { wide, narrow, wide_taken: f64::MIN, narrow_taken: f64::MIN }
    }

    /// Takes room for a word at `x` per cent and gives the classes it needs; nothing where there is none even on
    /// a desk. `until` is what it must not reach, in per cent.
    pub fn take(
        &mut self,
        x: f64,
        anchor: Anchor,
        letter: f64,
        word: &str,
        until: f64,
    ) -> Option<&'static str> {
        let long = letter * word.chars().count() as f64;
        let place = |width: f64| {
            let at = x * width / 100.0;
            let from = match anchor {
                Anchor::Start => at,
                Anchor::Middle => at - long / 2.0,
                Anchor::End => at - long,
            };
            (from, from + long)
        };
        let fits = |width: f64, taken: f64| {
            let (from, to) = place(width);
            from >= taken && to <= until * width / 100.0
        };
        if !fits(self.wide, self.wide_taken) {
            return None;
        }
        self.wide_taken = place(self.wide).1 + BETWEEN;
        if !fits(self.narrow, self.narrow_taken) {
            return Some(" roomy");
        }
        self.narrow_taken = place(self.narrow).1 + BETWEEN;
        Some("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_do_not_collide() {
        let mut room = Room::of(100.0, 50.0);
        assert_eq!(room.take(0.0, Anchor::Start, 5.0, "four", 102.0), Some(""));
        assert_eq!(room.take(20.0, Anchor::Start, 5.0, "four", 102.0), None);
        // 20 px and 4 px between on a desk; the same 24 px are 48 per cent on a telephone.
        assert_eq!(room.take(24.0, Anchor::Start, 5.0, "four", 102.0), Some(" roomy"));
        assert_eq!(room.take(58.0, Anchor::Middle, 5.0, "two", 102.0), Some(" roomy"));
        assert_eq!(room.take(99.0, Anchor::End, 5.0, "two", 102.0), Some(""));
        assert_eq!(room.take(99.0, Anchor::Start, 5.0, "two", 102.0), None);
    }
}
