//! Printed words about mutes, in the languages that parts are printed in (common practice).

use super::mute::Mute;

/// What such words ask for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MuteWords {
    /// A mute; which one is not always said, and then it is the straight one.
    In(Option<Mute>),
    Out,
}

const IN: [&str; 10] = [
    "con sord",
    "con sordino",
    "con sordini",
    "sord",
    "with mute",
    "muted",
    "mute",
    "avec sourdine",
    "mit dämpfer",
    "gedämpft",
];

const OUT: [&str; 11] = [
    "senza sord",
    "senza sordino",
    "senza sordini",
    "without mute",
    "no mute",
    "mute out",
    "mute off",
    "mutes out",
    "mutes off",
    "sans sourdine",
    "ohne dämpfer",
];

/// What printed words ask for, if they are about a mute and about nothing else: words that a musician might mean
/// otherwise (`open`, `natural`) are not taken for them.
pub fn mute_words(words: &str) -> Option<MuteWords> {
    let plain = words.trim().trim_end_matches('.').to_lowercase();
    if OUT.contains(&plain.as_str()) {
        return Some(MuteWords::Out);
    }
    if IN.contains(&plain.as_str()) {
        return Some(MuteWords::In(None));
    }
    let kind = plain.strip_suffix(" mute").or_else(|| plain.strip_suffix(" muted"))?;
    Mute::from_word(&kind.replace(' ', "-")).map(|mute| MuteWords::In(Some(mute)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_the_trade_are_known_and_no_others() {
        assert_eq!(mute_words("con sord."), Some(MuteWords::In(None)));
        assert_eq!(mute_words("Senza sordino"), Some(MuteWords::Out));
        assert_eq!(mute_words("ohne Dämpfer"), Some(MuteWords::Out));
        assert_eq!(mute_words("Cup mute"), Some(MuteWords::In(Some(Mute::Cup))));
        assert_eq!(mute_words("solo tone mute"), Some(MuteWords::In(Some(Mute::SoloTone))));
        for words in ["dolce", "open", "muted colours", "the mute harbour", "", "natural", "deaf mute"] {
            assert_eq!(mute_words(words), None, "{words}");
        }
    }
}
