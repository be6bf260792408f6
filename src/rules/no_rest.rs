//! # no-rest
//!
//! Somebody plays for too long without a rest in which the mouthpiece leaves the lips.
//!
//! **Why.** Lips are muscle, and blood comes back into it only while it is not pressed. A player who gets no
//! rest loses the high notes first, then the soft ones, then the sound.
//!
//! **Numbers.** What counts is the time that sounds, between two rests of at least 2 s (`rest`), with repeats,
//! endings and the road map played out and each tempo as it is there. Most seconds for school, amateur and
//! professional players: trumpet and cornet 20, 40, 90; horn 25, 45, 100; trombone, baritone and euphonium 30,
//! 60, 120; tuba 40, 75, 150 (`trumpet-school` to `tuba-professional`). Time above the level's comfortable top
//! counts for more, so that 0.6 of the limit (`high`) is as much as can all be high; at f and louder it is
//! 0.75 (`loud`). Twice the limit makes the warning a strong one.
//!
//! **Source.** That short phrases with frequent rests are the way to write: The Modern Trumpet, "Endurance",
//! 2020; that trumpeters tire sooner than trombonists: players' comparisons. The seconds are estimates.
//!
//! **Caution.** This is general and no medical advice; the player, and the player's teacher, decide.
//!
//! ```brass
//! player Tp1 = trumpet in Bb, level school
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : C5 | w : D5 | w : C5 | w : D5 | w : C5 | w : E5 |
//! //                                                     ^^ warning no-rest: 24 s
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb, level school
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : C5 | w : D5 | h : C5 - | w : D5 | w : C5 | w : E5 |
//! ```
//!
//! **Fixes.** A rest of 2 s or more; another player takes over every 8 to 16 bars; an inner voice left out.

use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::settings::Settings;
use super::wording::{at_level, capital};
use crate::brass::Level;
use crate::brass::body::lips::{HIGH_SHARE, LOUD_SHARE, REST_SECONDS, STRETCH_SECONDS};
use crate::brass::body::{Lips, Loudness, Voice};
use crate::score::event::{Event, Origin};
use crate::score::passage::{Sound, SoundKind};

/// Share of the limit from which the warning is a strong one (estimate).
const STRONG: f64 = 2.0;

/// Times the limit beyond which nobody counts any more, as for breaths: without an end to the count, a line that
/// never rests would be another one to its last bar after each edit.
const MOST_LIMITS: f64 = 10.0;

const fn seconds(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "s", source: "estimate" }
}

const fn stretch(voice: Voice, level: Level) -> f64 {
    level.pick(voice.pick(STRETCH_SECONDS))
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "no-rest",
    severity: Severity::Warning,
    source: include_str!("no_rest.rs"),
    limits: &[
        seconds("rest", REST_SECONDS),
        seconds("trumpet-school", stretch(Voice::Trumpet, Level::School)),
        seconds("trumpet-amateur", stretch(Voice::Trumpet, Level::Amateur)),
        seconds("trumpet-professional", stretch(Voice::Trumpet, Level::Professional)),
        seconds("horn-school", stretch(Voice::Horn, Level::School)),
        seconds("horn-amateur", stretch(Voice::Horn, Level::Amateur)),
        seconds("horn-professional", stretch(Voice::Horn, Level::Professional)),
        seconds("trombone-school", stretch(Voice::Trombone, Level::School)),
        seconds("trombone-amateur", stretch(Voice::Trombone, Level::Amateur)),
        seconds("trombone-professional", stretch(Voice::Trombone, Level::Professional)),
        seconds("tuba-school", stretch(Voice::Tuba, Level::School)),
        seconds("tuba-amateur", stretch(Voice::Tuba, Level::Amateur)),
        seconds("tuba-professional", stretch(Voice::Tuba, Level::Professional)),
        Limit { key: "high", default: HIGH_SHARE, unit: "of the limit", source: "estimate" },
        Limit { key: "loud", default: LOUD_SHARE, unit: "of the limit", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Seconds of silence since the last sound.
    silence_seconds: f64,
    stretch: Option<Stretch>,
}

/// Playing without a rest.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    first: Spot,
    last: Spot,
    /// Where the limit was passed.
    passed: Option<Spot>,
    played_seconds: f64,
    /// Of these, above the comfortable top, and f or louder.
    high_seconds: f64,
    loud_seconds: f64,
    /// Share of the limit used up.
    share: f64,
    limit_seconds: f64,
    /// The last dotted value up to where the limit was passed whose dot is as long as a rest.
    dotted: Option<Spot>,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(stretch) = &mut self.stretch {
            stretch.first.age();
            stretch.last.age();
            stretch.passed.iter_mut().for_each(Spot::age);
            stretch.dotted.iter_mut().for_each(Spot::age);
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.no_rest;
    for sound in passage.sounds {
        if let Some(stretch) = state.step(passage, sound) {
            tell(passage, &stretch, told);
        }
    }
    if passage.ends
        && let Some(stretch) = std::mem::take(state).stretch
    {
        tell(passage, &stretch, told);
    }
}

impl State {
    /// Hears one sound; gives a stretch that is over now.
    fn step(&mut self, passage: &Passage<'_>, sound: &Sound) -> Option<Stretch> {
        if sound.sounds() {
            self.silence_seconds = 0.0;
            play(passage, sound, &mut self.stretch);
            return None;
        }
        self.silence_seconds += sound.seconds;
        if self.silence_seconds > rest_seconds(passage.settings) - SAME_SECONDS {
            return std::mem::take(self).stretch;
        }
        None
    }

    /// Hears one sound, of which nothing is to be told.
    pub(super) fn pass(&mut self, passage: &Passage<'_>, sound: &Sound) {
        self.step(passage, sound);
    }

    /// Seconds of playing since the last rest, and those of ordinary playing that are as heavy.
    pub(super) fn since_rest_seconds(&self) -> (f64, f64) {
        self.stretch.map_or((0.0, 0.0), |s| (s.played_seconds, s.share * s.limit_seconds))
    }

    /// Hears one sound; gives last note and seconds of a stretch that is over now and was too long.
    pub(super) fn hear(&mut self, passage: &Passage<'_>, sound: &Sound) -> Option<(Spot, f64)> {
        let stretch = self.step(passage, sound).filter(|stretch| stretch.passed.is_some())?;
        Some((stretch.last, stretch.played_seconds))
    }
}

fn play(passage: &Passage<'_>, sound: &Sound, stretch: &mut Option<Stretch>) {
    if sound.kind == SoundKind::Grace {
        return;
    }
    let Some(event) = sound.event(passage.events) else { return };
    let Some(lips) = lips(passage, event) else { return };
    let here = Spot::of(event);
    let stretch = stretch.get_or_insert(Stretch {
        first: here,
        last: here,
        passed: None,
        played_seconds: 0.0,
        high_seconds: 0.0,
        loud_seconds: 0.0,
        share: 0.0,
        limit_seconds: lips.stretch_seconds,
        dotted: None,
    });
    // Of what is improvised only the time is known.
    let midi = sound.sounding.map_or(i32::MIN, |pitch| pitch.midi());
    let loudness = Loudness::of(event.dynamic);
    stretch.last = here;
    stretch.limit_seconds = lips.stretch_seconds;
    stretch.played_seconds += sound.seconds;
    let dotted = sound.events == 1 && event.length.numerator() == 3 && event.origin == Origin::Here;
    let rest = dotted && sound.seconds / 3.0 > RULE.limit(passage.settings, "rest") - SAME_SECONDS;
    if rest && stretch.passed.is_none() {
        stretch.dotted = Some(here);
    }
    if midi > lips.comfortable {
        stretch.high_seconds += sound.seconds;
    }
    if loudness >= Loudness::F {
        stretch.loud_seconds += sound.seconds;
    }
    stretch.share += sound.seconds * lips.weight(midi, loudness) / lips.stretch_seconds;
    if stretch.share > 1.0 + SAME_SECONDS && stretch.passed.is_none() {
        stretch.passed = Some(here);
    }
    stretch.share = stretch.share.min(MOST_LIMITS);
    if stretch.is_beyond_count() {
        stretch.played_seconds = MOST_LIMITS * stretch.limit_seconds;
        (stretch.high_seconds, stretch.loud_seconds) = (0.0, 0.0);
    }
}

impl Stretch {
    /// Of the seconds played; what they weigh may be beyond it earlier.
    fn is_beyond_count(&self) -> bool {
        self.played_seconds >= MOST_LIMITS * self.limit_seconds
    }

    fn weighs_beyond_count(&self) -> bool {
        self.share >= MOST_LIMITS
    }
}

/// The rest that ends a stretch, as set.
pub(super) fn rest_seconds(settings: &Settings) -> f64 {
    RULE.limit(settings, "rest")
}

/// The lips of the player at an event, with the limits in force.
pub(super) fn lips(passage: &Passage<'_>, event: &Event) -> Option<Lips> {
    let held = passage.instrument(event)?;
    let level = passage.level();
    let mut lips = Lips::at(&held.instrument, level, held.limits.comfortable);
    if !passage.settings.limits.is_empty() {
        let voice = Voice::of(&held.instrument);
        let limit = |key: &str| RULE.limit(passage.settings, key);
        lips.stretch_seconds = limit(&format!("{}-{}", family(voice), level.word())).max(1.0);
        lips.high_share = limit("high").clamp(0.01, 1.0);
        lips.loud_share = limit("loud").clamp(0.01, 1.0);
    }
    Some(lips)
}

fn family(voice: Voice) -> &'static str {
    voice.pick(["trumpet", "horn", "trombone", "trombone", "trombone", "tuba"])
}

fn tell(passage: &Passage<'_>, stretch: &Stretch, told: &mut Told<'_>) {
    let Some(passed) = stretch.passed else { return };
    let rest = rest_seconds(passage.settings);
    let Stretch { played_seconds, limit_seconds, share, .. } = *stretch;
    let more = if stretch.is_beyond_count() { "more than " } else { "" };
    let played = format!("{more}{played_seconds:.0}");
    let weighs = if share * limit_seconds > played_seconds + 0.5 {
        let more = if stretch.weighs_beyond_count() { "more than " } else { "" };
        format!(", which {} make as heavy as {more}{:.0} s", why(stretch), share * limit_seconds)
    } else {
        String::new()
    };
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: if share > STRONG { 2 } else { 1 },
        at: passed,
        from: stretch.first,
        to: stretch.last,
        lead: format!("{} s of playing without a rest of {rest} s", capital(&played)),
        tail: format!(
            "{weighs}; {} can be asked for {limit_seconds:.0} s on this instrument (an estimate). Write a rest, or let another player take over every 8 to 16 bars. A general caution, no medical advice: the player and their teacher decide.",
            at_level(passage.level())
        ),
        badness: share,
        measured: Some(format!("{played} s")),
        limit: Some(format!("{limit_seconds:.0} s")),
        related: std::iter::once((stretch.first, "here the playing begins".to_owned()))
            .chain(stretch.dotted.map(|spot| (spot, "a rest fits here, in the place of the dot".to_owned())))
            .collect(),
        cures: stretch.dotted.map(|_| Cure::Undot { related: 1 }).into_iter().collect(),
    });
}

fn why(stretch: &Stretch) -> &'static str {
    match (stretch.high_seconds > 0.0, stretch.loud_seconds > 0.0) {
        (true, true) => "high and loud notes",
        (true, false) => "high notes",
        _ => "loud notes",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_of_the_lips_can_be_set() {
        for voice in Voice::ALL {
            for level in Level::ALL {
                let key = format!("{}-{}", family(voice), level.word());
                let limit = RULE.limits.iter().find(|l| l.key == key).unwrap();
                assert_eq!(limit.default, level.pick(voice.pick(STRETCH_SECONDS)), "{key}");
            }
        }
    }
}
