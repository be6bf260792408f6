//! # mute-time
//!
//! There is too little time to put a mute in, to take it out or to exchange it.
//!
//! **Why.** A hand leaves the instrument, finds the mute, turns it fast and comes back, and all of it without a
//! noise. What is hurried falls to the floor.
//!
//! **Numbers.** What counts is the rest from the last note before the change to the first note after it, with
//! repeats, fermatas and each tempo played out. There are two limits for each change: below the first it fails
//! (a strong warning), below the second it is hurried and noisy (a warning).
//!
//! | change | least | comfortable | keys |
//! |---|---|---|---|
//! | trumpet, cornet, flugelhorn: in or out | 1 s | 3.5 s | `trumpet-…` |
//! | the same, one mute for another | 2.5 s | 5 s | `trumpet-exchange-…` |
//! | trumpet or trombone: plunger or hat picked up or dropped | 0.7 s | 2 s | `plunger-…` |
//! | trombone: in or out | 1.5 s | 4 s | `trombone-…` |
//! | trombone: one mute for another, or a mute and a plunger | 3 s | 6 s | `trombone-exchange-…` |
//! | horn: mute on a cord at the wrist | 1 s | 2.5 s | `horn-…` |
//! | horn: stopping mute | 2 s | 4 s | `stopping-mute-…` |
//! | bucket that is clipped on | 4 s | 7 s | `bucket-…` |
//! | harmon whose stem goes in or out | 4 s | 8 s | `harmon-stem-…` |
//! | euphonium | 2 s | 5 s | `euphonium-…` |
//! | tuba | 4 s | 10 s | `tuba-…` |
//!
//! The keys end in `least` and `comfortable`. No rest at all is an error, unless a breath mark stands there or a
//! hand holds the mute. Where the rest is long enough and the instruction stands so late in it that the time left
//! from there is shorter than is comfortable, it is information: whoever reads the part learns of it too late.
//!
//! Nothing is told before a player's first note, where the player changes the instrument as well (another mute may
//! wait in it), and without a tempo. The hand in a horn's bell needs no rest.
//!
//! **Source.** Trumpets: 3 to 4 s to insert or remove, at least 5 s to exchange: The Modern Trumpet, "Mutes (1)",
//! 2020. Trombones: that 3.45 s for a mute and a plunger are not enough, and that removing takes as long: a
//! trombonist's blog, 2011. Horns: a couple of beats at the least: a horn blog, 2008. Tubas: large, noisy, may
//! need the floor: a tuba guide. The least of each and all others are estimates.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | h h- : mf C5 | w : [mute cup] D5 |
//! //                       ^^^^^^^^^^^^^ warning mute-time: 1.2 s
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | w : mf C5 | [mute cup] rest 2 | w : D5 |
//! ```
//!
//! **Fixes.** The instruction at the start of the rest; a longer rest; the mutes shared out between players; on a
//! horn, the bell stopped by hand instead of the mute; the passage open.

use super::finding::{Cure, Severity};
use super::handling::{Change, Handling};
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::switch_time;
use crate::brass::body::hands::{
    BUCKET, EUPHONIUM_MUTE, HARMON_STEM, HORN_CORD, PLUNGER, Row, STOPPING_MUTE, TROMBONE_EXCHANGE,
    TROMBONE_MUTE, TRUMPET_EXCHANGE, TRUMPET_MUTE, TUBA_MUTE, is_held_by_hand,
};
use crate::brass::body::{Bell, Hands, Voice};
use crate::brass::{Kind, Mute};
use crate::score::player::PlayerInstrument;

const fn least(key: &'static str, row: Row) -> Limit {
    Limit { key, default: row.1.least_seconds, unit: "s", source: row.1.source }
}

const fn comfortable(key: &'static str, row: Row) -> Limit {
    Limit { key, default: row.1.comfortable_seconds, unit: "s", source: row.1.source }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "mute-time",
    severity: Severity::Warning,
    source: include_str!("mute_time.rs"),
    limits: &[
        least("trumpet-least", TRUMPET_MUTE),
        comfortable("trumpet-comfortable", TRUMPET_MUTE),
        least("trumpet-exchange-least", TRUMPET_EXCHANGE),
        comfortable("trumpet-exchange-comfortable", TRUMPET_EXCHANGE),
        least("plunger-least", PLUNGER),
        comfortable("plunger-comfortable", PLUNGER),
        least("trombone-least", TROMBONE_MUTE),
        comfortable("trombone-comfortable", TROMBONE_MUTE),
        least("trombone-exchange-least", TROMBONE_EXCHANGE),
        comfortable("trombone-exchange-comfortable", TROMBONE_EXCHANGE),
        least("horn-least", HORN_CORD),
        comfortable("horn-comfortable", HORN_CORD),
        least("stopping-mute-least", STOPPING_MUTE),
        comfortable("stopping-mute-comfortable", STOPPING_MUTE),
        least("bucket-least", BUCKET),
        comfortable("bucket-comfortable", BUCKET),
        least("harmon-stem-least", HARMON_STEM),
        comfortable("harmon-stem-comfortable", HARMON_STEM),
        least("euphonium-least", EUPHONIUM_MUTE),
        comfortable("euphonium-comfortable", EUPHONIUM_MUTE),
        least("tuba-least", TUBA_MUTE),
        comfortable("tuba-comfortable", TUBA_MUTE),
    ],
    check: Check::Passage(check),
};

/// Seconds that a change takes, with the limits in force.
pub struct Needs {
    pub least_seconds: f64,
    pub comfortable_seconds: f64,
    /// Where they come from.
    pub source: &'static str,
}

impl Needs {
    fn of(passage: &Passage<'_>, row: Row) -> Needs {
        let (key, time) = row;
        let limit = |end: &str, default: f64| {
            if passage.settings.limits.is_empty() {
                return default;
            }
            RULE.limit(passage.settings, &format!("{key}-{end}"))
        };
        Needs {
            least_seconds: limit("least", time.least_seconds),
            comfortable_seconds: limit("comfortable", time.comfortable_seconds),
            source: time.source,
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let mut handling: Handling = carried.handling;
    handling.hear(passage, &mut |change| {
        let finding = if change.from.instrument == change.to.instrument {
            judge(passage, change)
        } else {
            switch_time::judge(passage, change)
        };
        told.out.extend(finding);
    });
    carried.handling = handling;
}

fn judge(passage: &Passage<'_>, change: &Change<'_>) -> Option<PassageFinding> {
    let held = passage.player.instrument(change.to.instrument)?;
    let bell = |mute: Option<Mute>| mute.map_or(Bell::Open, Bell::Muted);
    let voice = Voice::of(&held.instrument);
    let row = Hands::of(voice).change(bell(change.from.mute), bell(change.to.mute))?;
    let needs = Needs::of(passage, row);
    let rest = change.rest_seconds;
    let action = action(change.from.mute, change.to.mute);
    if rest > needs.comfortable_seconds.max(needs.least_seconds) - SAME_SECONDS {
        return late(change, &action, &needs);
    }
    let fails = rest < needs.least_seconds - SAME_SECONDS;
    let by_hand = [change.from.mute, change.to.mute].into_iter().flatten().all(is_held_by_hand);
    let never = rest < SAME_SECONDS && !change.last.breath && !by_hand;
    let limit = if fails { needs.least_seconds } else { needs.comfortable_seconds };
    let at = change.said.map_or(Spot::of(change.note), |said| said.spot);
    let within = if rest < SAME_SECONDS {
        "without a rest".to_owned()
    } else {
        format!("within {}", told_seconds(rest, limit))
    };
    Some(PassageFinding {
        rule: RULE.name,
        severity: if never { Severity::Error } else { Severity::Warning },
        grade: if fails && !never { 2 } else { 1 },
        at,
        from: change.last.spot,
        to: Spot::of(change.note),
        lead: format!("{action} {within}"),
        tail: format!(
            ". On the {} this takes {} s at the least, and {} s to do it safely and without noise ({}). {}",
            held.label,
            needs.least_seconds,
            needs.comfortable_seconds,
            needs.source,
            way_out(held, change)
        ),
        badness: -rest / needs.comfortable_seconds.max(SAME_SECONDS),
        measured: Some(told_seconds(rest, limit)),
        limit: Some(format!("{limit} s")),
        related: related(change),
        cures: cures(held, change),
    })
}

/// What the hands do: `The cup mute goes in`.
fn action(from: Option<Mute>, to: Option<Mute>) -> String {
    match (from, to) {
        (None, Some(mute)) => format!("The {} goes in", name(mute)),
        (Some(mute), None) => format!("The {} comes out", name(mute)),
        (Some(Mute::Harmon), Some(Mute::HarmonStemless)) => {
            "The stem of the harmon mute comes out".to_owned()
        }
        (Some(Mute::HarmonStemless), Some(Mute::Harmon)) => "The stem of the harmon mute goes in".to_owned(),
        (Some(one), Some(other)) => format!("The {} gives way to the {}", name(one), name(other)),
        (None, None) => "The hands move".to_owned(),
    }
}

/// As a player says it: `cup mute`, `plunger`.
pub fn name(mute: Mute) -> String {
    match mute {
        Mute::Plunger | Mute::Hat => mute.word().to_owned(),
        Mute::HarmonStemless => "harmon mute without its stem".to_owned(),
        other => format!("{} mute", other.word()),
    }
}

fn way_out(held: &PlayerInstrument, change: &Change<'_>) -> &'static str {
    match (held.instrument.kind, change.to.mute) {
        (Kind::Horn | Kind::NaturalHorn, Some(Mute::Straight | Mute::Stopping)) => {
            "Write a longer rest, or let the hand stop the bell instead: it needs no rest."
        }
        _ => "Write a longer rest, or let another player take one of the two passages.",
    }
}

fn cures(held: &PlayerInstrument, change: &Change<'_>) -> Vec<Cure> {
    let mut cures = Vec::new();
    let Some(said) = change.said.filter(|said| said.here && said.once) else { return cures };
    let instruction = said.spot.span;
    let horn = matches!(held.instrument.kind, Kind::Horn | Kind::NaturalHorn);
    match change.to.mute {
        Some(Mute::Straight | Mute::Stopping) if horn && change.from.mute.is_none() => {
            cures.push(Cure::Replace {
                title: "Stop the bell by hand instead".to_owned(),
                edits: vec![(instruction, "[stopped]".to_owned())],
            });
            cures.push(Cure::WithoutInstructions { instructions: vec![instruction] });
        }
        Some(_) => cures.push(Cure::WithoutInstructions { instructions: vec![instruction] }),
        None => {}
    }
    cures
}

/// The rest is long enough, and the instruction comes late in it.
fn late(change: &Change<'_>, action: &str, needs: &Needs) -> Option<PassageFinding> {
    let limit = needs.comfortable_seconds;
    let said = change.said.filter(|said| said.once && said.seconds < limit - SAME_SECONDS)?;
    let left = told_seconds(said.seconds, limit);
    Some(PassageFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        at: said.spot,
        from: said.spot,
        to: said.spot,
        lead: format!("{action}, which is asked for {left} before the next note"),
        tail: format!(
            ", though the rest lasts {:.1} s. Whoever reads the part learns of it too late to do it in {limit} s ({}). Write it at the start of the rest.",
            change.rest_seconds, needs.source
        ),
        badness: -said.seconds,
        measured: Some(left),
        limit: Some(format!("{limit} s")),
        related: related(change),
        cures: earlier(change).into_iter().collect(),
    })
}

/// The instruction at the start of the rest, if both stand on one line.
pub fn earlier(change: &Change<'_>) -> Option<Cure> {
    let said = change.said.filter(|said| said.here)?;
    let (last, at) = (change.last.end, said.spot);
    let after = if last.back > at.back {
        // The last note stands in a block before: this row begins with the rest.
        None
    } else if last.back == at.back && last.line == at.line && change.last.here {
        Some(last.span)
    } else {
        return None;
    };
    Some(Cure::Earlier { instruction: at.span, after })
}

/// The two notes.
pub fn related(change: &Change<'_>) -> Vec<(Spot, String)> {
    vec![
        (change.last.spot, "the last note before".to_owned()),
        (Spot::of(change.note), "the first note after".to_owned()),
    ]
}

/// Seconds to a tenth, told so that what is below the limit does not look like it.
pub fn told_seconds(seconds: f64, limit: f64) -> String {
    let tenths = format!("{seconds:.1}");
    if tenths == format!("{limit:.1}") {
        format!("{seconds:.2} s")
    } else {
        format!("{} s", tenths.strip_suffix(".0").unwrap_or(&tenths))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brass::body::hands::{HORN_FLOOR, HORN_HAND, ROWS, SWITCH, SWITCH_LARGE};

    #[test]
    fn every_change_of_a_mute_has_both_its_limits() {
        let of_others = [HORN_HAND, HORN_FLOOR, SWITCH, SWITCH_LARGE];
        for row in ROWS.into_iter().filter(|row| !of_others.contains(row)) {
            let limit = |end: &str| {
                let key = format!("{}-{end}", row.0);
                RULE.limits.iter().find(|l| l.key == key).unwrap_or_else(|| panic!("{key}")).default
            };
            assert_eq!(limit("least"), row.1.least_seconds);
            assert_eq!(limit("comfortable"), row.1.comfortable_seconds);
        }
        assert_eq!(RULE.limits.len(), 2 * (ROWS.len() - of_others.len()));
    }

    #[test]
    fn what_is_told_never_looks_like_the_limit() {
        assert_eq!(told_seconds(1.25, 3.5), "1.2 s");
        assert_eq!(told_seconds(4.0, 8.0), "4 s");
        assert_eq!(told_seconds(3.46, 3.5), "3.46 s");
    }
}
