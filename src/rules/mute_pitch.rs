//! # mute-pitch
//!
//! A muted player and an open one hold the same note.
//!
//! **Why.** Most mutes move the pitch: a straight one up a little, a harmon far up, a cup down in the middle
//! register. Each player corrects alone and hears no fault; together they beat.
//!
//! **Numbers.** Information where a note in the same octave sounds on both for 1 s or longer (`together`), one with a
//! straight, cup or harmon mute and the other open. One finding for each two players and block.
//!
//! **Source.** That straight mutes are sharp, harmons very sharp and cups flat: a trumpet educator's blog, 2018; a
//! concert-band page. How long they have to sound together is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | [mute harmon] rest 2 | w : C5 |
//! //                               ^^ information mute-pitch: very sharp
//! Tp2 | rest 2               | w : C5 |
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96
//! Tp1 | [mute harmon] rest 2 | w : C5 |
//! Tp2 | [mute harmon] rest 2 | w : C5 |
//! ```
//!
//! **Fixes.** The unison parted; both muted or both open; five seconds of rest before, to move the tuning slide.

use super::ensemble::{Shared, SharedFound, Sounding, Together};
use super::finding::Severity;
use super::mute_time::name;
use super::passage::SAME_SECONDS;
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::wording::pitch_for;
use crate::brass::Mute;

/// The rule.
pub const RULE: Rule = Rule {
    name: "mute-pitch",
    severity: Severity::Information,
    source: include_str!("mute_pitch.rs"),
    limits: &[Limit { key: "together", default: 1.0, unit: "s", source: "estimate" }],
    check: Check::Block(check),
};

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let Some(whole_seconds) = together.whole_seconds else { return };
    let muted = |part: &super::ensemble::Part<'_>| part.notes.iter().any(|note| moves(note.mute).is_some());
    if !together.parts.iter().any(muted) {
        return;
    }
    let least = RULE.limit(together.settings, "together");
    let mut told: Vec<(u16, u16)> = Vec::new();
    for moment in together.moments.iter() {
        for (at, one) in moment.sounding.iter().enumerate() {
            let unison = moment.sounding.iter().skip(at + 1).take_while(|other| other.midi == one.midi);
            for other in unison {
                let (closed, open) = match (moves(one.note.mute), moves(other.note.mute)) {
                    (Some(_), None) if !other.note.muted => (one, other),
                    (None, Some(_)) if !one.note.muted => (other, one),
                    _ => continue,
                };
                let pair = (closed.part.player, open.part.player);
                let lasts = one.note.to.min(other.note.to) - one.note.from.max(other.note.from);
                if lasts * whole_seconds < least - SAME_SECONDS || told.contains(&pair) {
                    continue;
                }
                told.push(pair);
                found.out.extend(finding(together, closed, open, lasts * whole_seconds, (found.rule, least)));
            }
        }
    }
}

/// Which way a mute moves the pitch.
fn moves(mute: Option<Mute>) -> Option<&'static str> {
    Some(match mute? {
        Mute::Straight => "sharp",
        Mute::Harmon | Mute::HarmonStemless => "very sharp",
        Mute::Cup => "flat in the middle register",
        _ => return None,
    })
}

fn finding(
    together: &Together<'_>,
    closed: &Sounding<'_>,
    open: &Sounding<'_>,
    seconds: f64,
    (rule, least): (&'static str, f64),
) -> Option<Shared> {
    let mute = closed.note.mute?;
    let way = moves(closed.note.mute)?;
    let held = closed.instrument()?;
    let related = (open.note.line, open.note.span, format!("{} plays it open", open.part.person.id));
    Some(Shared {
        players: vec![closed.part.player, open.part.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: closed.note.line,
            span: closed.note.span,
            bar: closed.note.bar,
            message: format!(
                "{} plays {} with the {} and {} plays the same note open for {seconds:.1} s; this mute is {way}, and from {least} s on the two are heard to differ (an estimate). Write both alike, part the unison, or leave 5 s before it to move the tuning slide.",
                closed.part.person.id,
                pitch_for(held, closed.midi, together.key),
                name(mute),
                open.part.person.id,
            ),
            measured: Some(format!("{seconds:.1} s")),
            limit: Some(format!("{least} s")),
            related: vec![related],
            cures: Vec::new(),
        },
    })
}
