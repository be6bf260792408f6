//! An instrument named in several words: `trumpet in Bb`, `natural horn in C basso`.

use crate::brass::{Instrument, Register, find};
use crate::music::Pitch;

/// The instrument that the words name, or what is wrong with them.
pub fn instrument(words: &[String]) -> Result<Instrument, String> {
    let all = words.join(" ");
    let words: Vec<&str> = all.split_whitespace().collect();
    let Some(before) = words.iter().position(|w| *w == "in") else {
        return found(&words.join(" "), None, None);
    };
    let (name, reading) = words.split_at(before);
    let name = name.join(" ");
    match reading {
        [_, key] => found(&name, Some(tonic(key)?), None),
        [_, key, register] => match Register::from_word(register) {
            Some(register) => found(&name, Some(tonic(key)?), Some(register)),
            None if matches!(*register, "flat" | "sharp") => {
                let sign = if *register == "flat" { 'b' } else { '#' };
                Err(format!("the key is written as one word: in {key}{sign}"))
            }
            None => Err(format!("after the key stands `alto` or `basso` or nothing, not \"{register}\"")),
        },
        _ => Err("after `in` stands one key, such as Bb or F".to_owned()),
    }
}

fn found(name: &str, key: Option<Pitch>, register: Option<Register>) -> Result<Instrument, String> {
    find(name, key, register).map(|found| found.instrument).map_err(|fault| fault.to_string())
}

/// A key's name as the pitch of its tonic.
fn tonic(key: &str) -> Result<Pitch, String> {
    Pitch::parse(&format!("{key}4")).ok_or_else(|| format!("\"{key}\" is no key; write it as Bb, F# or C"))
}

#[cfg(test)]
mod tests {
    use super::instrument;

    fn named(words: &str) -> Result<String, String> {
        let words: Vec<String> = words.split('/').map(str::to_owned).collect();
        instrument(&words).map(|i| i.name)
    }

    #[test]
    fn words_join_into_a_name() {
        assert_eq!(named("trumpet/in/Bb"), Ok("trumpet in Bb".into()));
        assert_eq!(named("trumpet in Bb"), Ok("trumpet in Bb".into()));
        assert_eq!(named("natural/horn in/C/basso"), Ok("natural horn in C basso".into()));
        assert_eq!(named("F/tuba"), Ok("F tuba".into()));
    }

    #[test]
    fn what_is_wrong_is_said() {
        for wrong in
            ["trumpet/in", "trumpet/in/H", "trumpet/in/Bb/high", "trumpt/in/Bb", "trumpet/in/Bb/in/C", ""]
        {
            assert!(named(wrong).is_err(), "{wrong}");
        }
    }
}
