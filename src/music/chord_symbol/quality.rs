//! What a chord's quality builds above its root.
//!
//! Sizes are common practice: a plain 7 is minor, `maj7` major, a diminished seventh nine semitones;
//! 9, 11 and 13 bring the seventh and the ninth with them, 13 leaves the eleventh out.

/// A chord under construction, in semitones above the root.
struct Chord {
    third: Option<i32>,
    fifth: Option<i32>,
    sixth: Option<i32>,
    seventh: Option<i32>,
    /// Ninths, elevenths and thirteenths.
    upper: Vec<i32>,
    /// Size of a seventh, when one comes.
    seventh_size: i32,
}

/// Semitones above the root, upwards by degree from 0; `None` for a quality that is not a common one.
pub(super) fn semitones(quality: &str) -> Option<Vec<i32>> {
    let plain: String = quality
        .chars()
        .filter(|c| !matches!(c, '(' | ')' | ','))
        .map(|c| match c {
            '♭' => 'b',
            '♯' => '#',
            other => other,
        })
        .collect();
    let mut chord = Chord {
        third: Some(4),
        fifth: Some(7),
        sixth: None,
        seventh: None,
        upper: Vec::new(),
        seventh_size: 10,
    };
    let mut rest = chord.kind(&plain);
    rest = chord.number(rest);
    while !rest.is_empty() {
        rest = chord.change(rest)?;
    }
    Some(chord.semitones())
}

impl Chord {
    /// Major, minor, diminished, augmented.
    fn kind<'a>(&mut self, text: &'a str) -> &'a str {
        if let Some(rest) = after(text, &["maj", "Maj", "ma", "M"]) {
            self.seventh_size = 11;
            return rest;
        }
        if let Some(rest) = after(text, &["Δ"]) {
            self.seventh_size = 11;
            self.seventh = Some(11);
            return rest;
        }
        if let Some(rest) = after(text, &["dim", "°", "o"]) {
            (self.third, self.fifth, self.seventh_size) = (Some(3), Some(6), 9);
            return rest;
        }
        if let Some(rest) = after(text, &["ø"]) {
            (self.third, self.fifth, self.seventh) = (Some(3), Some(6), Some(10));
            return rest;
        }
        if let Some(rest) = after(text, &["min", "mi", "m", "-"]) {
            self.third = Some(3);
            return match after(rest, &["maj", "Maj", "ma", "M", "Δ"]) {
                Some(rest) => {
                    self.seventh_size = 11;
                    rest
                }
                None => rest,
            };
        }
        match after(text, &["aug", "+"]) {
            Some(rest) => {
                self.fifth = Some(8);
                rest
            }
            None => text,
        }
    }

    /// The number that says how far the thirds are piled.
    fn number<'a>(&mut self, text: &'a str) -> &'a str {
        let mut pile = |upper: &[i32]| {
            self.seventh = Some(self.seventh_size);
            self.upper.extend(upper);
        };
        if let Some(rest) = after(text, &["13"]) {
            pile(&[14, 21]);
            return rest;
        }
        if let Some(rest) = after(text, &["11"]) {
            pile(&[14, 17]);
            return rest;
        }
        if let Some(rest) = after(text, &["6/9", "69"]) {
            self.sixth = Some(9);
            self.upper.push(14);
            return rest;
        }
        if let Some(rest) = after(text, &["9"]) {
            pile(&[14]);
            return rest;
        }
        if let Some(rest) = after(text, &["7"]) {
            pile(&[]);
            return rest;
        }
        if let Some(rest) = after(text, &["6"]) {
            self.sixth = Some(9);
            return rest;
        }
        match text.strip_prefix('5') {
            Some(rest) => {
                self.third = None;
                rest
            }
            None => text,
        }
    }

    /// One change to what has been built; `None` if it is none.
    fn change<'a>(&mut self, text: &'a str) -> Option<&'a str> {
        if let Some(rest) = after(text, &["sus4", "sus2", "sus"]) {
            self.third = Some(if text.starts_with("sus2") { 2 } else { 5 });
            let number_next = rest.starts_with(|c: char| c.is_ascii_digit());
            return Some(if number_next && self.seventh.is_none() { self.number(rest) } else { rest });
        }
        if let Some(rest) = text.strip_prefix("add") {
            let (upper, rest) = degree(rest)?;
            self.upper.push(upper);
            return Some(rest);
        }
        if let Some(rest) = after(text, &["no3", "omit3"]) {
            self.third = None;
            return Some(rest);
        }
        if let Some(rest) = after(text, &["no5", "omit5"]) {
            self.fifth = None;
            return Some(rest);
        }
        if let Some(rest) = text.strip_prefix("alt") {
            self.fifth = None;
            self.seventh = Some(10);
            self.upper = vec![13, 15, 18, 20];
            return Some(rest);
        }
        if let Some(rest) = after(text, &["maj7", "Maj7", "ma7", "M7"]) {
            self.seventh = Some(11);
            return Some(rest);
        }
        let (by, rest) = match text.chars().next()? {
            'b' | '-' => (-1, text.get(1..)?),
            '#' => (1, text.get(1..)?),
            '+' if text.len() == 1 => {
                self.fifth = Some(8);
                return Some("");
            }
            '+' => (1, text.get(1..)?),
            _ => return None,
        };
        if let Some(rest) = rest.strip_prefix('5') {
            self.fifth = Some(7 + by);
            return Some(rest);
        }
        let (natural, rest) = degree(rest)?;
        self.upper.retain(|x| *x != natural);
        self.upper.push(natural + by);
        Some(rest)
    }

    fn semitones(mut self) -> Vec<i32> {
        self.upper.sort_unstable();
        let mut all = vec![0];
        all.extend(self.third);
        all.extend(self.fifth);
        all.extend(self.sixth);
        all.extend(self.seventh);
        all.extend(self.upper);
        let mut seen = [false; 12];
        all.retain(|x| match seen.get_mut(x.rem_euclid(12) as usize) {
            Some(seen) => !std::mem::replace(seen, true),
            None => false,
        });
        all
    }
}

/// A degree above the octave, read from the front; 2, 4 and 6 stand for 9, 11 and 13.
fn degree(text: &str) -> Option<(i32, &str)> {
    [("13", 21), ("11", 17), ("9", 14), ("6", 21), ("4", 17), ("2", 14)]
        .into_iter()
        .find_map(|(digits, semitones)| Some((semitones, text.strip_prefix(digits)?)))
}

/// What follows the first of these words that the text begins with.
fn after<'a>(text: &'a str, words: &[&str]) -> Option<&'a str> {
    words.iter().find_map(|word| text.strip_prefix(word))
}

#[cfg(test)]
mod tests {
    use super::semitones;

    // Common practice of chord symbols, as every arranging course teaches it.
    #[test]
    fn the_common_qualities() {
        let cases: &[(&str, &[i32])] = &[
            ("", &[0, 4, 7]),
            ("m", &[0, 3, 7]),
            ("-7", &[0, 3, 7, 10]),
            ("7", &[0, 4, 7, 10]),
            ("maj7", &[0, 4, 7, 11]),
            ("M7", &[0, 4, 7, 11]),
            ("Δ", &[0, 4, 7, 11]),
            ("m7b5", &[0, 3, 6, 10]),
            ("ø7", &[0, 3, 6, 10]),
            ("dim", &[0, 3, 6]),
            ("dim7", &[0, 3, 6, 9]),
            ("°7", &[0, 3, 6, 9]),
            ("aug", &[0, 4, 8]),
            ("+7", &[0, 4, 8, 10]),
            ("7+", &[0, 4, 8, 10]),
            ("7#5", &[0, 4, 8, 10]),
            ("6", &[0, 4, 7, 9]),
            ("m6", &[0, 3, 7, 9]),
            ("6/9", &[0, 4, 7, 9, 14]),
            ("9", &[0, 4, 7, 10, 14]),
            ("maj9", &[0, 4, 7, 11, 14]),
            ("m11", &[0, 3, 7, 10, 14, 17]),
            ("13", &[0, 4, 7, 10, 14, 21]),
            ("7(b9)", &[0, 4, 7, 10, 13]),
            ("7(#9,b13)", &[0, 4, 7, 10, 15, 20]),
            ("13(#11)", &[0, 4, 7, 10, 14, 18, 21]),
            ("13b9", &[0, 4, 7, 10, 13, 21]),
            ("m(maj7)", &[0, 3, 7, 11]),
            ("mMaj7", &[0, 3, 7, 11]),
            ("sus4", &[0, 5, 7]),
            ("7sus4", &[0, 5, 7, 10]),
            ("sus2", &[0, 2, 7]),
            ("add9", &[0, 4, 7, 14]),
            ("5", &[0, 7]),
            ("7alt", &[0, 4, 10, 13, 15, 18, 20]),
        ];
        for (quality, expected) in cases {
            assert_eq!(semitones(quality).as_deref(), Some(*expected), "{quality}");
        }
        for unknown in ["blues", "7zz", "add", "b"] {
            assert_eq!(semitones(unknown), None, "{unknown}");
        }
    }
}
