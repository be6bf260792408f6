//! # crossed-parts
//!
//! A later chair of a section plays above an earlier one for a while, or the tuba above the bass of the chord.
//!
//! **Why.** Who sits first expects the top line and listens down from it; who sits third has not the lips of a
//! first, and tunes to what is above. Lines that change places for a note are good part-writing; lines that stay
//! changed are usually a slip of the hand. A tuba above the bass trombone turns the chord over: what was meant
//! as its bass is in the middle.
//!
//! **Numbers.** Information where a player lies below a later one of the same section, who plays the same kind of
//! instrument, for more than two beats on end (`beats`). A section is told by its names: `Tp1`, `Tp2`. Horns may
//! be ordered 1 2 3 4 or 1 3 2 4 from the top: the third horn above the second is no crossing. Of a player who is
//! marked louder than the other nothing is said, since that is a solo. Warning where, for as long, the chord is
//! a triad or a seventh chord whose root the lowest tuba has, but a bass trombone or a trombone lies below it with
//! another note. Unison is no crossing; of a part that is divided the upper note counts; a rest ends
//! nothing.
//!
//! **Source.** Do not turn chords over with the tuba: advice to the composer of a concerto. The horn order 1, 3
//! above 2, 4: two articles of an orchestration site, 2013 to 2018. The beats are an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 72
//! Tp1 | h h : mf D5 C5 | w : Bb4 |
//! //                         ^^^ information crossed-parts: Tp2
//! Tp2 | h h : mf Bb4 A4 | w : D5 |
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 72
//! Tp1 | h h : mf D5 C5 | w : D5 |
//! Tp2 | h h : mf Bb4 A4 | w : Bb4 |
//! ```
//!
//! **Fixes.** The two lines exchanged; the tuba an octave down.

use super::ensemble::{Chair, Moment, Part, SAME_PLACE, Shared, SharedFound, Sounding, Together, root_of};
use super::finding::{Cure, Severity};
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::wording::pitch_for;
use crate::brass::Kind;

/// Semitones by which the tubes of two instruments of one section may differ (estimate): a piccolo trumpet is no
/// trumpet here.
const SAME_TUBE: i32 = 5;

/// The rule.
pub const RULE: Rule = Rule {
    name: "crossed-parts",
    severity: Severity::Information,
    source: include_str!("crossed_parts.rs"),
    limits: &[Limit { key: "beats", default: 2.0, unit: "beats", source: "estimate" }],
    check: Check::Block(check),
};

/// Two players whose lines are crossed.
struct Crossing<'a> {
    /// Who should be above, or below in a chord that is turned over.
    first: Sounding<'a>,
    last: Sounding<'a>,
    other: Sounding<'a>,
    turned: bool,
    wholes: f64,
}

/// Two players of a section.
struct Pair {
    earlier: u16,
    later: u16,
    /// Their crossing that goes on.
    open: Option<usize>,
}

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let mut pairs = pairs(together.parts);
    let may_turn = together.parts.iter().any(|part| has(part, Kind::Tuba));
    if pairs.is_empty() && !may_turn {
        return;
    }
    let players = together.parts.iter().map(|part| usize::from(part.player) + 1).max().unwrap_or(0);
    // The highest note of each player.
    let mut tops: Vec<Option<&Sounding<'_>>> = vec![None; players];
    let mut all: Vec<Crossing<'_>> = Vec::new();
    let mut turned: Option<usize> = None;
    for moment in together.moments.iter() {
        tops.fill(None);
        for sounding in moment.sounding {
            if let Some(top) = tops.get_mut(usize::from(sounding.part.player)) {
                *top = Some(sounding);
            }
        }
        let top = |player: u16| tops.get(usize::from(player)).copied().flatten();
        for pair in &mut pairs {
            if let (Some(one), Some(other)) = (top(pair.earlier), top(pair.later)) {
                let crossed = are_crossed(one, other).then_some((*one, *other));
                pair.open = goes_on(&mut all, pair.open, crossed, false, moment.length());
            }
        }
        if may_turn {
            turned = goes_on(&mut all, turned, turned_over(&moment), true, moment.length());
        }
    }
    let most = RULE.limit(together.settings, "beats") * together.beat + SAME_PLACE;
    found.out.extend(all.iter().filter(|c| c.wholes > most).filter_map(|c| tell(c, found.rule, together)));
}

fn has(part: &Part<'_>, kind: Kind) -> bool {
    part.person.instruments.iter().any(|held| held.instrument.kind == kind)
}

/// Everybody who by custom plays above somebody of the same section.
fn pairs(parts: &[Part<'_>]) -> Vec<Pair> {
    let mut pairs = Vec::new();
    for one in parts {
        let Some(chair) = Chair::of(one.person) else { continue };
        let horn = has(one, Kind::Horn) || has(one, Kind::NaturalHorn);
        let kind = if horn { Kind::Horn } else { Kind::Own };
        let later = parts
            .iter()
            .filter(|other| Chair::of(other.person).is_some_and(|other| chair.is_above(&other, kind)));
        pairs.extend(later.map(|other| Pair { earlier: one.player, later: other.player, open: None }));
    }
    pairs
}

/// Adds to what goes on, begins something new, or ends it.
fn goes_on<'a>(
    all: &mut Vec<Crossing<'a>>,
    open: Option<usize>,
    now: Option<(Sounding<'a>, Sounding<'a>)>,
    turned: bool,
    length: f64,
) -> Option<usize> {
    let (one, other) = now?;
    let same = |c: &&mut Crossing<'a>| {
        c.first.part.player == one.part.player && c.other.part.player == other.part.player
    };
    if let Some(crossing) = open.and_then(|at| all.get_mut(at)).filter(same) {
        crossing.last = one;
        crossing.wholes += length;
        return open;
    }
    all.push(Crossing { first: one, last: one, other, turned, wholes: length });
    Some(all.len() - 1)
}

/// True if the player of an earlier chair has the lower note, on an instrument of the same kind.
fn are_crossed(one: &Sounding<'_>, other: &Sounding<'_>) -> bool {
    if one.midi >= other.midi || other.loudness() > one.loudness() {
        return false;
    }
    let (Some(held), Some(with)) = (one.instrument(), other.instrument()) else { return false };
    let (held, with) = (&held.instrument, &with.instrument);
    held.kind == with.kind && (held.tube.fundamental - with.tube.fundamental).abs() <= SAME_TUBE
}

/// The lowest tuba, which has the root of the chord, and a trombone below it that has not.
fn turned_over<'a>(moment: &Moment<'_, 'a>) -> Option<(Sounding<'a>, Sounding<'a>)> {
    let lowest = moment.sounding.first().filter(|_| !moment.unsure)?;
    let kind = |s: &Sounding<'_>| s.instrument().map(|held| held.instrument.kind);
    if !matches!(kind(lowest)?, Kind::BassTrombone | Kind::Trombone) {
        return None;
    }
    let tuba = moment.sounding.iter().find(|s| kind(s) == Some(Kind::Tuba))?;
    let root = root_of(moment.sounding)?;
    let differs = (tuba.midi - lowest.midi) % 12 != 0;
    (differs && tuba.midi.rem_euclid(12) == root).then_some((*tuba, *lowest))
}

fn tell(crossing: &Crossing<'_>, rule: &'static str, together: &Together<'_>) -> Option<Shared> {
    let Crossing { first, last, other, turned, wholes, .. } = crossing;
    let pitch = |s: &Sounding<'_>| Some(pitch_for(s.instrument()?, s.midi, together.key));
    let beats = wholes / together.beat;
    let limit = RULE.limit(together.settings, "beats");
    let (one, with) = (&first.part.person.id, &other.part.person.id);
    let (mine, theirs) = (pitch(first)?, pitch(other)?);
    let message = if *turned {
        format!(
            "{one} has the root of the chord, {mine}, and {with} lies below it with {theirs} for {beats:.1} beats (up to {limit} pass, an estimate): the chord is turned over. Put the tuba an octave lower, or exchange the two."
        )
    } else {
        format!(
            "{one} lies below {with} here for {beats:.1} beats: {mine} under {theirs}. Up to {limit} beats pass (an estimate); longer, the earlier chair expects the upper line. Exchange the two, or mark {with} louder where it has a solo."
        )
    };
    let same_line = last.note.line == first.note.line && last.note.span.start >= first.note.span.start;
    Some(Shared {
        players: vec![first.part.player, other.part.player],
        finding: LocalFinding {
            rule,
            severity: if *turned { Severity::Warning } else { Severity::Information },
            grade: 1,
            line: first.note.line,
            span: if same_line { first.note.span.to(last.note.span) } else { first.note.span },
            bar: first.note.bar,
            message,
            measured: Some(format!("{beats:.1} beats")),
            limit: Some(format!("{limit} beats")),
            related: vec![(other.note.line, other.note.span, format!("{with}, {theirs}"))],
            cures: if *turned { vec![Cure::Octave { octaves: -1 }] } else { Vec::new() },
        },
    })
}
