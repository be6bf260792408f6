//! # uneven-chord
//!
//! A loud chord in which one voice is too weak for the others.
//!
//! **Why.** A horn faces backwards and is blown more softly than a trumpet or a trombone of the same marking. In
//! piano nobody notices; in forte one horn among trumpets and trombones is a gap where a note should be.
//!
//! **Numbers.** In forte one trumpet is as strong as one trombone, one tuba or two horns; cornets count as trumpets,
//! flugelhorns, euphoniums and tenor horns are not judged. Information where a chord of three notes or more, all at f
//! or louder, lasts for a beat or more (`beats`) and one open horn alone has a note of it, while at least two other
//! notes (`others`) are trumpets' or trombones' and nobody else, in any octave, has the horn's note. Of a horn that
//! is marked louder than one of them nothing is said. One finding for a stretch of such chords.
//!
//! **Source.** One trumpet or trombone for two horns in forte, all about equal in piano: Rimsky-Korsakov,
//! Principles of Orchestration, chapter I. The beats are an estimate. That even many horns do not match high
//! trumpets at ff: Freund and Cutler, Extreme Orchestration, 2024.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Hn1 = horn in F
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 72
//! Tp1 | h : f F5 Eb5 |
//! Hn1 | h : f D4 C4  |
//! //          ^^^^^ information uneven-chord: One horn
//! Tb1 | h : f Bb2 F2 |
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Hn1 = horn in F
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 72
//! Tp1 | h : f F5 Eb5 |
//! Hn1 | h : ff D4 C4 |
//! Tb1 | h : f Bb2 F2 |
//! ```
//!
//! **Fixes.** A second horn on the note; the horn marked a step louder, or the others a step softer; the note in
//! a trumpet or trombone too.

use super::ensemble::{Moment, SAME_PLACE, Shared, SharedFound, Sounding, Together};
use super::finding::Severity;
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::wording::pitch_for;
use crate::brass::Kind;
use crate::brass::body::Loudness;

/// The rule.
pub const RULE: Rule = Rule {
    name: "uneven-chord",
    severity: Severity::Information,
    source: include_str!("uneven_chord.rs"),
    limits: &[
        Limit { key: "beats", default: 1.0, unit: "beats", source: "estimate" },
        Limit { key: "others", default: 2.0, unit: "notes", source: "estimate" },
    ],
    check: Check::Block(check),
};

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    if !together.parts.iter().any(|part| part.notes.iter().any(|n| n.loudness() >= Loudness::F)) {
        return;
    }
    // What the weak horn plays now, and whether it was weak when it played last.
    let mut open: Vec<(Sounding<'_>, Sounding<'_>, f64, u32)> = Vec::new();
    for moment in together.moments.iter() {
        if moment.unsure {
            continue;
        }
        let weak = weak(&moment, together);
        for (horn, others) in weak {
            match open.iter_mut().find(|(_, last, ..)| follows(last, &horn)) {
                Some((_, last, wholes, most)) => {
                    *last = horn;
                    *wholes += moment.length();
                    *most = (*most).max(others);
                }
                None => open.push((horn, horn, moment.length(), others)),
            }
        }
    }
    let beats = RULE.limit(together.settings, "beats");
    for (first, last, wholes, others) in open {
        if wholes > beats * together.beat - SAME_PLACE {
            found.out.extend(tell(together, found.rule, &first, &last, others));
        }
    }
}

/// True if one note is the other, or comes right after it in the same line.
fn follows(last: &Sounding<'_>, next: &Sounding<'_>) -> bool {
    last.part.player == next.part.player
        && last.note.line == next.note.line
        && next.note.from < last.note.to + SAME_PLACE
}

/// Horns that are alone on their note of a loud chord, with the number of stronger notes.
fn weak<'a>(moment: &Moment<'_, 'a>, together: &Together<'_>) -> Vec<(Sounding<'a>, u32)> {
    let all = moment.sounding;
    if all.len() < 3 || all.iter().any(|s| s.loudness() < Loudness::F) {
        return Vec::new();
    }
    let strong: Vec<&Sounding<'_>> = all.iter().filter(|s| kind(s).is_some_and(is_strong)).collect();
    let mut pitches: Vec<i32> = strong.iter().map(|s| s.midi).collect();
    pitches.dedup();
    let others = pitches.len() as u32;
    if f64::from(others) < RULE.limit(together.settings, "others") {
        return Vec::new();
    }
    let softest = strong.iter().map(|s| s.loudness()).min();
    let alone = |horn: &&Sounding<'a>| {
        let doubled = all.iter().any(|s| !s.is(horn) && (s.midi - horn.midi) % 12 == 0);
        let open_horn = kind(horn) == Some(Kind::Horn) && !horn.note.muted && horn.note.people == 1;
        open_horn && !doubled && Some(horn.loudness()) <= softest
    };
    all.iter().filter(alone).map(|horn| (*horn, others)).collect()
}

fn kind(sounding: &Sounding<'_>) -> Option<Kind> {
    sounding.instrument().map(|held| held.instrument.kind)
}

fn is_strong(kind: Kind) -> bool {
    matches!(kind, Kind::Trumpet | Kind::Cornet | Kind::Trombone | Kind::BassTrumpet)
}

fn tell(
    together: &Together<'_>,
    rule: &'static str,
    first: &Sounding<'_>,
    last: &Sounding<'_>,
    others: u32,
) -> Option<Shared> {
    let held = first.instrument()?;
    let word = first.note.dynamic.map_or("f", |d| d.word());
    let what = if first.is(last) {
        format!("{} of this chord", pitch_for(held, first.midi, together.key))
    } else {
        "a note of each of these chords".to_owned()
    };
    Some(Shared {
        players: vec![first.part.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: first.note.line,
            span: if last.note.span.start >= first.note.span.start {
                first.note.span.to(last.note.span)
            } else {
                first.note.span
            },
            bar: first.note.bar,
            message: format!(
                "One horn alone has {what} at {word}, against {others} notes of trumpets and trombones: in forte it takes two horns to match one of them (Rimsky-Korsakov). Give the note to a second horn, mark the horn a step louder or the others a step softer."
            ),
            measured: Some("1 horn".to_owned()),
            limit: Some("2 horns".to_owned()),
            related: Vec::new(),
            cures: Vec::new(),
        },
    })
}
