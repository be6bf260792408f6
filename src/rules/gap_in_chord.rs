//! # gap-in-chord
//!
//! A loud chord has a hole in its middle.
//!
//! **Why.** Brass chords sound as one when their notes lie close, with no empty space among the upper voices; the
//! bass alone may stand apart. A hole splits the section in two choirs.
//!
//! **Numbers.** Information where two neighbours of a chord, not counting the lowest note, are more than an octave
//! apart (`semitones`) for more than a bar (`bars`), at mf or louder. Only where four or more different notes
//! sound (`notes`), and the two neighbours begin together: a tune over a bed of chords is no chord.
//!
//! **Source.** Close position without empty spaces, the bass an octave lower if need be: Rimsky-Korsakov,
//! Principles of Orchestration, chapter III, "Harmony in the brass". That the bar and the number of notes matter so
//! much is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! player Tb1 = trombone
//! player Tb2 = trombone
//! bar 1  meter 4/4  tempo q = 72
//! Tp1 | h h : f F5 Eb5  | h : F5 - |
//! Tp2 | h h : f D5 C5   | h : D5 - |
//! //            ^^^^^^^^^^^^^^^^ information gap-in-chord: 16 semitones
//! Tb1 | h h : f Bb3 A3  | h : Bb3 - |
//! Tb2 | h h : f Bb2 F2  | h : Bb2 - |
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! player Tb1 = trombone
//! player Tb2 = trombone
//! bar 1  meter 4/4  tempo q = 72
//! Tp1 | h h : f D5 C5   | h : D5 - |
//! Tp2 | h h : f F4 Eb4  | h : F4 - |
//! Tb1 | h h : f Bb3 A3  | h : Bb3 - |
//! Tb2 | h h : f Bb2 F2  | h : Bb2 - |
//! ```
//!
//! **Fixes.** The note above the hole an octave down, or the one below it an octave up; a player who fills it.

use super::ensemble::{Moment, SAME_PLACE, Shared, SharedFound, Sounding, Together};
use super::finding::{Cure, Severity};
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::wording::pitch_for;
use crate::brass::body::Loudness;

/// The rule.
pub const RULE: Rule = Rule {
    name: "gap-in-chord",
    severity: Severity::Information,
    source: include_str!("gap_in_chord.rs"),
    limits: &[
        Limit {
            key: "semitones",
            default: 12.0,
            unit: "semitones",
            source: "Rimsky-Korsakov, Principles of Orchestration, ch. III",
        },
        Limit { key: "bars", default: 1.0, unit: "bars", source: "estimate" },
        Limit { key: "notes", default: 4.0, unit: "notes", source: "estimate" },
    ],
    check: Check::Block(check),
};

/// A hole that goes on from chord to chord.
struct Gap<'a> {
    low: Sounding<'a>,
    high: Sounding<'a>,
    last: Sounding<'a>,
    semitones: i32,
    from: f64,
    to: f64,
}

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let mut open: Option<Gap<'_>> = None;
    for moment in together.moments.iter() {
        let gap = gap(&moment, together);
        let goes_on = open.as_ref().is_some_and(|g| (g.to - moment.from).abs() < SAME_PLACE);
        match (gap, &mut open) {
            (Some((_, high)), Some(before)) if goes_on && before.high.part.player == high.part.player => {
                before.to = moment.to;
                before.last = high;
            }
            (now, _) => {
                let over = now.map(|(low, high)| Gap {
                    low,
                    high,
                    last: high,
                    semitones: high.midi - low.midi,
                    from: moment.from,
                    to: moment.to,
                });
                let before = std::mem::replace(&mut open, over);
                found.out.extend(before.and_then(|gap| tell(&gap, found.rule, together)));
            }
        }
    }
    found.out.extend(open.and_then(|gap| tell(&gap, found.rule, together)));
}

/// The neighbours between which nothing sounds.
fn gap<'a>(moment: &Moment<'_, 'a>, together: &Together<'_>) -> Option<(Sounding<'a>, Sounding<'a>)> {
    let all = moment.sounding;
    let steps = all.windows(2).filter(|w| matches!(w, [a, b] if a.midi != b.midi)).count();
    if moment.unsure || (steps + 1) as f64 + SAME_PLACE < RULE.limit(together.settings, "notes") {
        return None;
    }
    let lowest = all.first()?.midi;
    let upper = all.get(all.partition_point(|s| s.midi == lowest)..)?;
    let most = RULE.limit(together.settings, "semitones");
    upper.windows(2).find_map(|pair| {
        let [low, high] = pair else { return None };
        let wide = f64::from(high.midi - low.midi) > most;
        let loud = low.loudness().min(high.loudness()) >= Loudness::Mf;
        let at_once = (low.note.from - high.note.from).abs() < SAME_PLACE;
        (wide && loud && at_once).then_some((*low, *high))
    })
}

fn tell(gap: &Gap<'_>, rule: &'static str, together: &Together<'_>) -> Option<Shared> {
    let Gap { low, high, last, semitones, from, to } = gap;
    let bar = together.lengths.get(high.note.bar as usize)?.to_f64();
    let limit = RULE.limit(together.settings, "bars");
    if to - from < limit * bar + SAME_PLACE {
        return None;
    }
    let pitch = |s: &Sounding<'_>| Some(pitch_for(s.instrument()?, s.midi, together.key));
    let most = RULE.limit(together.settings, "semitones");
    let same_line = last.note.line == high.note.line && last.note.span.start >= high.note.span.start;
    let (below, above) = (&low.part.person.id, &high.part.person.id);
    let (lower, upper) = (pitch(low)?, pitch(high)?);
    Some(Shared {
        players: vec![high.part.player, low.part.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: high.note.line,
            span: if same_line { high.note.span.to(last.note.span) } else { high.note.span },
            bar: high.note.bar,
            message: format!(
                "{semitones} semitones lie empty between {lower} of {below} and {upper} of {above}, and it goes on for {:.1} bars: above the bass, loud brass chords have no hole wider than an octave ({most} semitones; Rimsky-Korsakov; up to {limit} passes, an estimate). Bring the two nearer by an octave, or let somebody fill the hole.",
                (to - from) / bar
            ),
            measured: Some(format!("{semitones} semitones")),
            limit: Some(format!("{most} semitones")),
            related: vec![(low.note.line, low.note.span, format!("below the hole, {lower}"))],
            cures: vec![Cure::Octave { octaves: -1 }],
        },
    })
}
