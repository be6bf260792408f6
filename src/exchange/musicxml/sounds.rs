//! What instruments sound like for programs that play a score.

use crate::brass::Instrument;

/// The sound of an instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Voice {
    /// Identifier of the standard's list.
    pub sound: &'static str,
    /// General MIDI, from 1.
    pub program: u8,
    /// The program with a mute in it, where there is one.
    pub muted: Option<u8>,
}

const TABLE: &str = include_str!("sounds.tsv");

/// The first line that fits.
pub fn voice(instrument: &Instrument) -> Voice {
    let fallback = Voice { sound: "brass.group", program: 62, muted: None };
    let lines = TABLE.lines().filter(|line| !line.starts_with('#')).skip(1);
    let mut found = lines.filter_map(|line| {
        let mut fields = line.split('\t');
        let (kind, words) = (fields.next()?, fields.next()?);
        let fits = words == "-" || instrument.name.starts_with(words);
        let (sound, program) = (fields.next()?, fields.next()?.parse().ok()?);
        let muted = fields.next()?.parse().ok();
        (kind == instrument.kind.word() && fits).then_some(Voice { sound, program, muted })
    });
    found.next().unwrap_or(fallback)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brass::Kind;

    #[test]
    fn every_line_is_read_and_every_kind_has_a_sound() {
        let lines: Vec<&str> = TABLE.lines().filter(|line| !line.starts_with('#')).skip(1).collect();
        for line in &lines {
            let fields: Vec<&str> = line.split('\t').collect();
            assert_eq!(fields.len(), 5, "{line}");
            assert!(fields[2].starts_with("brass."), "{line}");
            assert!((57..=62).contains(&fields[3].parse::<u8>().unwrap()), "{line}");
            assert!(fields[4] == "-" || fields[4] == "60", "{line}");
        }
        for kind in Kind::ALL {
            assert!(lines.iter().any(|l| l.starts_with(&format!("{}\t-\t", kind.word()))), "{kind:?}");
        }
    }
}
