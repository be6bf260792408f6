//! Spelled pitches: letter, accidental, octave.
//!
//! Scientific pitch notation: middle C is C4, A4 is the tuning note; the octave number changes at C.

use std::fmt;

/// A letter name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Step {
    /// All letters, from C upwards.
    pub const ALL: [Step; 7] = [Step::C, Step::D, Step::E, Step::F, Step::G, Step::A, Step::B];

    /// Place in the octave, C = 0 to B = 6.
    pub fn index(self) -> i32 {
        self as i32
    }

    /// The letter at this place in the octave, counted modulo 7.
    pub fn from_index(index: i32) -> Step {
        match index.rem_euclid(7) {
            0 => Step::C,
            1 => Step::D,
            2 => Step::E,
            3 => Step::F,
            4 => Step::G,
            5 => Step::A,
            _ => Step::B,
        }
    }

    /// Semitones above C of the natural note.
    pub fn semitones(self) -> i32 {
        match self {
            Step::C => 0,
            Step::D => 2,
            Step::E => 4,
            Step::F => 5,
            Step::G => 7,
            Step::A => 9,
            Step::B => 11,
        }
    }

    /// The letter as written, upper case.
    pub fn letter(self) -> char {
        match self {
            Step::C => 'C',
            Step::D => 'D',
            Step::E => 'E',
            Step::F => 'F',
            Step::G => 'G',
            Step::A => 'A',
            Step::B => 'B',
        }
    }

    /// The step of an upper-case letter.
    pub fn from_letter(letter: char) -> Option<Step> {
        Step::ALL.into_iter().find(|s| s.letter() == letter)
    }
}

/// A spelled pitch. Whether it is written or sounding is said by whoever holds it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// Letter.
    pub step: Step,
    /// Semitones added by the accidental, -2 (double flat) to 2 (double sharp).
    pub alter: i8,
    /// Octave number, middle C = 4.
    pub octave: i8,
}

impl Pitch {
    /// A pitch from letter, accidental and octave; `None` beyond a double accidental or octave -4 to 12
    /// (the lowest instruments read two octaves and more above what sounds).
    pub fn new(step: Step, alter: i32, octave: i32) -> Option<Pitch> {
        if (-2..=2).contains(&alter) && (-4..=12).contains(&octave) {
            Some(Pitch { step, alter: alter as i8, octave: octave as i8 })
        } else {
            None
        }
    }

    /// Semitones counted as MIDI counts them: C4 = 60, A4 = 69.
    pub fn midi(self) -> i32 {
        (i32::from(self.octave) + 1) * 12 + self.step.semitones() + i32::from(self.alter)
    }

    /// Letters counted from C0: C4 = 28, D4 = 29.
    pub fn staff(self) -> i32 {
        i32::from(self.octave) * 7 + self.step.index()
    }

    /// Pitch with this staff place (see [`Pitch::staff`]) and sounding height (see [`Pitch::midi`]);
    /// `None` where that would need more than a double accidental.
    pub fn at(staff: i32, midi: i32) -> Option<Pitch> {
        let step = Step::from_index(staff);
        let octave = staff.div_euclid(7);
        let natural = (octave + 1) * 12 + step.semitones();
        Pitch::new(step, midi - natural, octave)
    }

    /// The plainest spelling of a height: naturals, else F# C# G# and Bb Eb, by which the trade names
    /// notes with no key in sight (G# rather than Ab on request of `flats` = false).
    pub fn plain(midi: i32, flats: bool) -> Pitch {
        const SHARP: [(Step, i8); 12] = [
            (Step::C, 0),
            (Step::C, 1),
            (Step::D, 0),
            (Step::D, 1),
            (Step::E, 0),
            (Step::F, 0),
            (Step::F, 1),
            (Step::G, 0),
            (Step::G, 1),
            (Step::A, 0),
            (Step::A, 1),
            (Step::B, 0),
        ];
        const FLAT: [(Step, i8); 12] = [
            (Step::C, 0),
            (Step::D, -1),
            (Step::D, 0),
            (Step::E, -1),
            (Step::E, 0),
            (Step::F, 0),
            (Step::G, -1),
            (Step::G, 0),
            (Step::A, -1),
            (Step::A, 0),
            (Step::B, -1),
            (Step::B, 0),
        ];
        let table = if flats { &FLAT } else { &SHARP };
        let octave = (midi.div_euclid(12) - 1).clamp(-128, 127) as i8;
        let place = midi.rem_euclid(12) as usize;
        let (step, alter) = table.get(place).copied().unwrap_or((Step::C, 0));
        Pitch { step, alter, octave }
    }

    /// The pitch class, C = 0 to B = 11.
    pub fn class(self) -> i32 {
        self.midi().rem_euclid(12)
    }

    /// The same pitch some octaves higher or lower.
    pub fn octaves_up(self, octaves: i32) -> Option<Pitch> {
        Pitch::new(self.step, i32::from(self.alter), i32::from(self.octave) + octaves)
    }

    /// Equal-tempered frequency in hertz, given the tuning note's.
    pub fn hertz(self, a4: f64) -> f64 {
        hertz(f64::from(self.midi()), a4)
    }

    /// Reads a whole text such as `Bb4`, `F#3`, `Fx4`, `Bbb3`, `E♭5`. Capital letter, at most a double
    /// accidental, exactly one octave digit.
    pub fn parse(text: &str) -> Option<Pitch> {
        let mut chars = text.chars();
        let step = Step::from_letter(chars.next()?)?;
        let rest = chars.as_str();
        let digit = rest.chars().next_back().filter(char::is_ascii_digit)?;
        let accidental = rest.get(..rest.len() - 1)?;
        let octave = i32::from(digit as u8 - b'0');
        Pitch::new(step, parse_accidental(accidental)?, octave)
    }

    /// The note name without octave, with `b # x bb`.
    pub fn name(self) -> String {
        format!("{}{}", self.step.letter(), accidental_text(i32::from(self.alter)))
    }
}

/// Reads an accidental: nothing, `b bb # x` or the music signs for them.
pub fn parse_accidental(text: &str) -> Option<i32> {
    match text {
        "" => Some(0),
        "#" | "♯" => Some(1),
        "b" | "♭" => Some(-1),
        "x" | "𝄪" => Some(2),
        "bb" | "𝄫" => Some(-2),
        _ => None,
    }
}

/// The accidental as written in a score.
pub fn accidental_text(alter: i32) -> &'static str {
    match alter {
        -2 => "bb",
        -1 => "b",
        1 => "#",
        2 => "x",
        _ => "",
    }
}

/// Equal-tempered frequency in hertz of a height in semitones (A4 = 69, fractions allowed).
pub fn hertz(midi: f64, a4: f64) -> f64 {
    a4 * 2f64.powf((midi - 69.0) / 12.0)
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}{}", self.step.letter(), accidental_text(i32::from(self.alter)), self.octave)
    }
}
