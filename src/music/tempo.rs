//! Tempo: how long a written length lasts.

use super::fraction::Fraction;

/// So many beats a minute, and what a beat is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tempo {
    beat: Fraction,
    hundredths: u32,
}

impl Tempo {
    /// A tempo from the beat's value, as a fraction of a whole note, and hundredths of beats a minute;
    /// `None` for a tempo that stands still.
    pub fn new(beat: Fraction, hundredths: u32) -> Option<Tempo> {
        (beat > Fraction::ZERO && hundredths > 0).then_some(Tempo { beat, hundredths })
    }

    /// The beat's value, as a fraction of a whole note.
    pub fn beat(self) -> Fraction {
        self.beat
    }

    /// Beats a minute, in hundredths.
    pub fn hundredths(self) -> u32 {
        self.hundredths
    }

    /// Whole notes a second.
    pub fn speed(self) -> f64 {
        self.beat.to_f64() * f64::from(self.hundredths) / 6000.0
    }

    /// Seconds of a length, exactly; `None` if the terms do not fit.
    pub fn seconds_exact(self, length: Fraction) -> Option<Fraction> {
        let beats = length.over(self.beat)?;
        beats.times(Fraction::new(6000, i64::from(self.hundredths))?)
    }

    /// Seconds of a length. Within one rounding of the exact value where that fits.
    pub fn seconds(self, length: Fraction) -> f64 {
        match self.seconds_exact(length) {
            Some(exact) => exact.to_f64(),
            None => length.to_f64() / self.speed(),
        }
    }
}

/// A change of speed in a straight line, as in a ritardando that leads to the next tempo.
///
/// The speed is linear in the place in the score, not in the seconds: half-way through the bars it
/// is half-way between the two tempos.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ramp {
    from: f64,
    to: f64,
    length: f64,
}

impl Ramp {
    /// From one tempo to another over a length; `None` for no length.
    pub fn new(from: Tempo, to: Tempo, length: Fraction) -> Option<Ramp> {
        Ramp::over(from, to, length.to_f64())
    }

    /// The same over so many whole notes.
    pub fn over(from: Tempo, to: Tempo, wholes: f64) -> Option<Ramp> {
        (wholes > 0.0).then(|| Ramp { from: from.speed(), to: to.speed(), length: wholes })
    }

    /// Seconds from the beginning of the change to a place in it. Places outside are taken as its ends.
    pub fn seconds_to(&self, place: Fraction) -> f64 {
        self.seconds_after(place.to_f64())
    }

    /// The same, with the place in whole notes.
    pub fn seconds_after(&self, wholes: f64) -> f64 {
        let place = wholes.clamp(0.0, self.length);
        let change = self.to - self.from;
        let here = self.from + change * place / self.length;
        // The logarithm loses its digits where the tempos nearly agree; there the mean speed is exact enough.
        if (change / self.from).abs() < 1e-6 {
            return 2.0 * place / (self.from + here);
        }
        self.length / change * (here / self.from).ln()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fraction(num: i64, den: i64) -> Fraction {
        Fraction::new(num, den).unwrap()
    }

    #[test]
    fn a_quarter_at_sixty_is_a_second() {
        let tempo = Tempo::new(fraction(1, 4), 6000).unwrap();
        assert_eq!(tempo.seconds_exact(fraction(1, 4)), Some(Fraction::ONE));
        assert_eq!(tempo.seconds(fraction(4, 4)), 4.0);
    }

    #[test]
    fn dotted_beats_and_odd_tempos_stay_exact() {
        let tempo = Tempo::new(fraction(3, 8), 7200).unwrap();
        // Six eighths are two beats at 72 a minute: 5/3 s.
        assert_eq!(tempo.seconds_exact(fraction(6, 8)), Some(fraction(5, 3)));
        let tempo = Tempo::new(fraction(1, 4), 9999).unwrap();
        assert_eq!(tempo.seconds_exact(fraction(1, 12)), Some(fraction(2000, 9999)));
    }

    #[test]
    fn no_tempo_stands_still() {
        assert_eq!(Tempo::new(Fraction::ZERO, 6000), None);
        assert_eq!(Tempo::new(fraction(-1, 4), 6000), None);
        assert_eq!(Tempo::new(fraction(1, 4), 0), None);
    }

    #[test]
    fn a_ramp_lies_between_its_tempos() {
        let slow = Tempo::new(fraction(1, 4), 6000).unwrap();
        let fast = Tempo::new(fraction(1, 4), 12000).unwrap();
        let ramp = Ramp::new(fast, slow, Fraction::ONE).unwrap();
        let all = ramp.seconds_to(Fraction::ONE);
        // Four quarters: 2 s at 120, 4 s at 60; the straight line gives 4 ln 2.
        assert!((all - 4.0 * 2f64.ln()).abs() < 1e-12, "{all}");
        assert!(ramp.seconds_to(fraction(1, 2)) < all / 2.0, "the faster half is the shorter");
        let level = Ramp::new(slow, slow, Fraction::ONE).unwrap();
        assert!((level.seconds_to(Fraction::ONE) - 4.0).abs() < 1e-12);
    }
}
