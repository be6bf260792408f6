//! # low-and-close
//!
//! Two notes lie so low and so close together that they growl instead of sounding as two.
//!
//! **Why.** The ear parts two notes less well the lower they lie, and their harmonics beat. A third that is
//! clear in the trombones is mud in the tubas.
//!
//! **Numbers.** The lowest the lower note of two neighbours may be (MIDI numbers of the limits): of a second E3
//! (`second`), of a minor third C3 (`minor-third`), of a major third B♭2 (`major-third`), of a fourth A2
//! (`fourth`), of a fifth B♭1 (`fifth`); octaves and anything wider are free. Information where such an interval
//! lasts for two beats (`beats`) at mf or louder. Softer, and shorter, nothing is said. Where somebody doubles
//! the lower note an octave higher or the upper one an octave lower, nothing is said either: then the growl has a
//! frame, and is meant.
//!
//! **Source.** Tables of low intervals as arrangers hand them down (common practice); that "nothing close below
//! C4" is too strict and F2 A2 C3 can work: arrangers' answers. The numbers are estimates.
//!
//! ```brass
//! player Tb1 = trombone
//! player Tu  = F tuba
//! bar 1  meter 4/4  tempo q = 72
//! Tb1 | h : mf F2 Bb2  |
//! Tu  | h : mf D2 Bb1 |
//! //           ^^ information low-and-close: a minor third
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! player Tu  = F tuba
//! bar 1  meter 4/4  tempo q = 72
//! Tb1 | h : mf F3 Bb2  |
//! Tu  | h : mf D2 Bb1 |
//! ```
//!
//! **Fixes.** The upper note an octave up, or left out; the fifth or the octave below instead of the third.

use super::ensemble::{Moment, SAME_PLACE, Shared, SharedFound, Sounding, Together};
use super::finding::Severity;
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::wording::distance;
use crate::brass::body::Loudness;
use crate::music::Pitch;

const fn lowest(key: &'static str, midi: f64) -> Limit {
    Limit { key, default: midi, unit: "MIDI number", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "low-and-close",
    severity: Severity::Information,
    source: include_str!("low_and_close.rs"),
    limits: &[
        lowest("second", 52.0),
        lowest("minor-third", 48.0),
        lowest("major-third", 46.0),
        lowest("fourth", 45.0),
        lowest("fifth", 34.0),
        Limit { key: "beats", default: 2.0, unit: "beats", source: "estimate" },
    ],
    check: Check::Block(check),
};

/// The lowest the lower note may be.
fn lowest_of(interval: i32, together: &Together<'_>) -> Option<f64> {
    let key = match interval {
        1 | 2 => "second",
        3 => "minor-third",
        4 => "major-third",
        5 => "fourth",
        7 => "fifth",
        _ => return None,
    };
    Some(RULE.limit(together.settings, key))
}

/// Two notes that growl, since when and for how long.
struct Growl<'a> {
    low: Sounding<'a>,
    high: Sounding<'a>,
    limit: f64,
    wholes: f64,
    until: f64,
    loud: bool,
}

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let mut all: Vec<Growl<'_>> = Vec::new();
    for moment in together.moments.iter() {
        let Some((low, high, limit)) = growl(&moment, together) else { continue };
        let loud = low.loudness().min(high.loudness()) >= Loudness::Mf;
        let same = |g: &&mut Growl<'_>| {
            let now = (g.until - moment.from).abs() < SAME_PLACE;
            now && g.low.part.player == low.part.player && g.low.note.line == low.note.line && g.loud == loud
        };
        match all.iter_mut().rev().find(same) {
            Some(before) => {
                before.wholes += moment.length();
                before.until = moment.to;
            }
            None => all.push(Growl { low, high, limit, wholes: moment.length(), until: moment.to, loud }),
        }
    }
    let beats = RULE.limit(together.settings, "beats");
    for growl in all.iter().filter(|g| g.loud && g.wholes > beats * together.beat - SAME_PLACE) {
        found.out.push(tell(growl, found.rule, together));
    }
}

fn growl<'a>(moment: &Moment<'_, 'a>, together: &Together<'_>) -> Option<(Sounding<'a>, Sounding<'a>, f64)> {
    // Nothing is close above the highest of the limits.
    let low = moment.sounding.partition_point(|s| s.midi < 60);
    let near = moment.sounding.windows(2).take(low).find_map(|pair| {
        let [a, b] = pair else { return None };
        let limit = lowest_of(b.midi - a.midi, together)?;
        (f64::from(a.midi) < limit).then_some((*a, *b, limit))
    })?;
    let framed = moment.sounding.iter().any(|s| s.midi == near.0.midi + 12 || s.midi == near.1.midi - 12);
    (!framed).then_some(near)
}

fn tell(growl: &Growl<'_>, rule: &'static str, together: &Together<'_>) -> Shared {
    let (low, high) = (&growl.low, &growl.high);
    let flats = together.key.is_none_or(|k| k.fifths() <= 0);
    let name = |midi: i32| Pitch::plain(midi, flats).to_string();
    let limit = name(growl.limit as i32);
    Shared {
        players: vec![low.part.player, high.part.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: low.note.line,
            span: low.note.span,
            bar: low.note.bar,
            message: format!(
                "{} of {} and {} of {} (sounding) lie {} apart, too close so low: for this interval the lower note is clear from {limit} up (an estimate). Put the upper note an octave higher, leave it out, or write a fifth or an octave below.",
                name(low.midi),
                low.part.person.id,
                name(high.midi),
                high.part.person.id,
                distance(high.midi - low.midi),
            ),
            measured: Some(name(low.midi)),
            limit: Some(limit),
            related: vec![(high.note.line, high.note.span, format!("the upper note, {}", name(high.midi)))],
            cures: Vec::new(),
        },
    }
}
