//! What stands over and under the notes.

use super::part::Reader;
use super::said::{level, of_everybody, quoted};
use super::shared::Shared;
use super::signs;
use crate::brass::Mute;
use crate::brass::mute_words::{MuteWords, mute_words};
use crate::exchange::import::music::{Free, Measure};
use crate::exchange::import::tree::Node;
use crate::exchange::import::trouble::Trouble;
use crate::music::Fraction;
use crate::score::figure::value_letters;

/// What one direction says in words and signs, before it is known what they mean.
#[derive(Debug, Default)]
pub struct Spoken {
    words: Vec<String>,
    /// What is counted, and how many a minute.
    metronome: Option<(String, String)>,
}

impl Reader<'_, '_> {
    pub fn direction(
        &mut self,
        node: &Node,
        now: Fraction,
        own: &mut Measure,
        shared: &mut Shared,
    ) -> Result<(), Trouble> {
        let late = match node.child("offset") {
            Some(said) if said.starts_with('-') => Fraction::ZERO,
            Some(said) => self.length(Some(said), "a direction's offset")?,
            None => Fraction::ZERO,
        };
        let onset = now.plus(late).unwrap_or(now);
        let mut spoken = Spoken::default();
        for what in node.all("direction-type").flat_map(|t| &t.children) {
            match &*what.name {
                "words" => spoken.words.extend(what.said().map(str::to_owned)),
                "rehearsal" => shared.mark = what.said().map(str::to_owned).or(shared.mark.take()),
                "dynamics" => {
                    for sign in &what.children {
                        match signs::level(&sign.name) {
                            Some(level) => own.free.push((onset, level)),
                            None => self.lose("a dynamic that has no name here"),
                        }
                    }
                }
                "wedge" => own.free.extend(match what.attribute("type") {
                    Some("crescendo") => Some((onset, Free::Level("cresc"))),
                    Some("diminuendo") => Some((onset, Free::Level("dim"))),
                    Some("stop") => Some((onset, Free::LevelEnds)),
                    _ => None,
                }),
                "metronome" => self.metronome(what, &mut spoken),
                "other-direction" => spoken.words.extend(what.said().map(str::to_owned)),
                "dashes" | "bracket" | "print" => {}
                other => self.lose(format!("the direction \"{}\"", other.replace('-', " "))),
            }
        }
        let empty = Node::default();
        let sound = node.one("sound").unwrap_or(&empty);
        self.sound(sound, onset, &mut spoken, own, shared);
        Ok(())
    }

    fn metronome(&mut self, node: &Node, spoken: &mut Spoken) {
        let unit = node.child("beat-unit").and_then(unit);
        let number: Option<String> = node.child("per-minute").map(|said| {
            said.chars()
                .skip_while(|c| !c.is_ascii_digit())
                .take_while(|c| c.is_ascii_digit() || *c == '.')
                .collect()
        });
        let dots = node.all("beat-unit-dot").count();
        match (unit, number.as_deref().and_then(per_minute)) {
            (Some(unit), Some(number)) if dots <= 2 && node.all("beat-unit").count() == 1 => {
                spoken.metronome = Some((format!("{unit}{}", ".".repeat(dots)), number));
            }
            _ => self.lose("a metronome mark that counts no beats a minute"),
        }
    }

    /// What a program does there, and with it what the words mean.
    pub fn sound(
        &mut self,
        sound: &Node,
        onset: Fraction,
        spoken: &mut Spoken,
        own: &mut Measure,
        shared: &mut Shared,
    ) {
        for jump in ["coda", "segno", "dacapo", "dalsegno", "tocoda", "fine"] {
            if sound.attribute(jump).is_some() {
                self.losses.add(
                    "a jump (D.C., D.S., coda): write it as `roadmap`",
                    "",
                    Some(self.bar as i64),
                );
            }
        }
        let mut words = std::mem::take(&mut spoken.words);
        if let Some(hand) = sound.one("instrument-change").and_then(|c| c.attribute("id"))
            && let Some(index) = self.instruments.iter().position(|i| i == hand)
        {
            self.hand = index;
            own.free.push((onset, Free::Switch(index)));
            words.clear();
        }
        if let Some(instruction) = sound.one("play").and_then(|play| played(play, &words)) {
            own.free.push((onset, Free::Said(instruction)));
            words.clear();
        }
        self.tempo(sound, onset, spoken, &mut words, shared);
        for said in words {
            self.word(&said, onset, own, shared);
        }
    }

    fn tempo(
        &mut self,
        sound: &Node,
        onset: Fraction,
        spoken: &mut Spoken,
        words: &mut Vec<String>,
        shared: &mut Shared,
    ) {
        let quarters = sound.attribute("tempo").and_then(per_minute).map(|n| ("q".to_owned(), n));
        let exact = words.iter().any(|w| w.ends_with(" quarters a minute"));
        let Some((unit, number)) = spoken.metronome.take().or(quarters) else { return };
        if exact {
            words.retain(|w| !w.ends_with(" quarters a minute"));
        }
        let mut said = String::new();
        if words
            .first()
            .is_some_and(|w| of_everybody(w).is_none() && level(w).is_none() && mute_words(w).is_none())
        {
            let first = words.remove(0);
            said = quoted(&first).map(|w| w + " ").unwrap_or_default();
        }
        shared.tempo.push((onset, format!("{said}{unit} = {number}")));
    }

    fn word(&mut self, said: &str, onset: Fraction, own: &mut Measure, shared: &mut Shared) {
        let plain = said.trim().trim_end_matches('.').to_lowercase();
        if self.seats() > 1 && matches!(plain.as_str(), "solo" | "tutti") {
            own.free.push((onset, Free::Said(format!("[{plain}]"))));
        } else if let Some(everybody) = of_everybody(said) {
            shared.inside.push((onset, everybody.to_owned()));
        } else if let Some(level) = level(said) {
            own.free.push((onset, Free::Level(level)));
        } else if let Some(mute) = mute_words(said) {
            let word = match mute {
                MuteWords::In(mute) => format!("[mute {}]", mute.unwrap_or(Mute::Straight).word()),
                MuteWords::Out => "[open]".to_owned(),
            };
            own.free.push((onset, Free::Said(word)));
        } else if let Some(quoted) = quoted(said) {
            own.free.push((onset, Free::Said(quoted)));
        }
    }
}

/// What `play` asks for.
fn played(play: &Node, words: &[String]) -> Option<String> {
    let by_words = || {
        words.iter().find_map(|w| match mute_words(w)? {
            MuteWords::In(mute) => mute,
            MuteWords::Out => None,
        })
    };
    if let Some(other) = play.one("other-play") {
        return match other.said() {
            Some("hand-muted") => Some("[hand]".into()),
            Some("flutter") => Some("[flutter]".into()),
            Some("ordinary") => Some("[plain]".into()),
            _ => None,
        };
    }
    let mute = match play.child("mute")? {
        "off" | "open" => return Some("[open]".into()),
        "stop-hand" => return Some("[stopped]".into()),
        "straight" => Mute::Straight,
        "cup" => Mute::Cup,
        "harmon-stem" => Mute::Harmon,
        "harmon-no-stem" => Mute::HarmonStemless,
        "bucket" => Mute::Bucket,
        "plunger" => Mute::Plunger,
        "hat" => Mute::Hat,
        "solotone" => Mute::SoloTone,
        "practice" => Mute::Practice,
        "stop-mute" => Mute::Stopping,
        _ => by_words().unwrap_or(Mute::Straight),
    };
    Some(format!("[mute {}]", mute.word()))
}

fn unit(name: &str) -> Option<String> {
    let length = match name {
        "breve" => Fraction::new(2, 1),
        "whole" => Fraction::new(1, 1),
        "half" => Fraction::new(1, 2),
        "quarter" => Fraction::new(1, 4),
        "eighth" => Fraction::new(1, 8),
        "16th" => Fraction::new(1, 16),
        "32nd" => Fraction::new(1, 32),
        _ => None,
    };
    value_letters(length?)
}

/// A number with at most two decimals, as a tempo has it.
fn per_minute(said: &str) -> Option<String> {
    let number: f64 = said.trim().parse().ok()?;
    if !(1.0..=900.0).contains(&number) {
        return None;
    }
    let text = format!("{number:.2}");
    Some(text.trim_end_matches('0').trim_end_matches('.').to_owned())
}
