//! # bare-chord
//!
//! A held chord lacks its third, or has a third or a leading note too often.
//!
//! **Why.** The third says whether a chord is major or minor. Among full chords one without it sounds like a
//! player missing; one in which three of six have it sounds thick and out of tune, since the third is what brass
//! players have to bend. The leading note wants to rise, and two that rise together are one voice fewer.
//!
//! **Numbers.** Information where four players or more (`voices`) hold one of these for two beats or more (`beats`):
//! root and fifth alone; a major triad whose third three of at most six players have (`most`), a bass doubled at the
//! octave counting once; in the key's dominant, a leading note that two of at most six have, who come from
//! different notes and both go on to the tonic. Where more than a quarter
//! (`share`) of the block's chords are bare, open fifths are meant and nothing is said; nor in a larger tutti of
//! thirds and leading notes, where lines are doubled in octaves.
//!
//! **Source.** Common practice of part-writing (Piston, Harmony, from memory; Rimsky-Korsakov, Principles of
//! Orchestration, chapter III). Beats and shares are estimates.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! player Tb1 = trombone
//! player Tb2 = trombone
//! bar 1  meter 4/4  key Bb major  tempo q = 72
//! Tp1 | w : mf D5 | h h : C5 C5 | w : D5, |
//! Tp2 | w : mf F4 | h h : F4 F4 | w : F4, |
//! Tb1 | w : mf Bb3 | h h : A3 C4 | w : Bb3, |
//! Tb2 | w : mf Bb2 | h h : F3 F2 | w : Bb2, |
//! //                          ^^ information bare-chord: the third
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! player Tb1 = trombone
//! player Tb2 = trombone
//! bar 1  meter 4/4  key Bb major  tempo q = 72
//! Tp1 | w : mf D5 | h h : C5 C5 | w : D5, |
//! Tp2 | w : mf F4 | h h : F4 F4 | w : F4, |
//! Tb1 | w : mf Bb3 | h h : A3 A3 | w : Bb3, |
//! Tb2 | w : mf Bb2 | h h : F3 F2 | w : Bb2, |
//! ```
//!
//! **Fixes.** The third instead of the second root or fifth; the root or fifth instead of one third too many.

use super::ensemble::{
    Moment, Part, SAME_PLACE, Shared, SharedFound, Sounding, Together, root_of, root_of_bare, third_of_major,
};
use super::finding::Severity;
use super::rule::{Check, Limit, LocalFinding, Rule};
use crate::music::{Key, Mode, Pitch};

const fn estimate(key: &'static str, default: f64, unit: &'static str) -> Limit {
    Limit { key, default, unit, source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "bare-chord",
    severity: Severity::Information,
    source: include_str!("bare_chord.rs"),
    limits: &[
        Limit { key: "voices", default: 4.0, unit: "players", source: "common practice" },
        estimate("most", 6.0, "players"),
        estimate("beats", 2.0, "beats"),
        estimate("share", 0.25, "of the time"),
    ],
    check: Check::Block(check),
};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fault {
    /// Root and fifth alone; the root.
    Bare(i32),
    /// Three have it.
    Third(i32),
    /// Two have it.
    Leading(i32),
}

struct Held<'a> {
    fault: Fault,
    /// The note that is told, and one more.
    at: Sounding<'a>,
    other: Sounding<'a>,
    players: usize,
    from: f64,
    to: f64,
}

fn check(together: &Together<'_>, found: &mut SharedFound<'_>) {
    let least = RULE.limit(together.settings, "voices") - SAME_PLACE;
    let (mut all, mut bare) = (0.0, 0.0);
    let mut held: Vec<Held<'_>> = Vec::new();
    for moment in together.moments.iter() {
        if moment.unsure || (moment.sounding.len() as f64) < least {
            continue;
        }
        all += moment.length();
        let Some(now) = fault(&moment, together) else { continue };
        if matches!(now.fault, Fault::Bare(_)) {
            bare += moment.length();
        }
        match held.last_mut() {
            Some(last) if last.fault == now.fault && (last.to - now.from).abs() < SAME_PLACE => {
                last.to = now.to;
            }
            _ => held.push(now),
        }
    }
    let meant = bare > RULE.limit(together.settings, "share") * all + SAME_PLACE;
    let beats = RULE.limit(together.settings, "beats") * together.beat - SAME_PLACE;
    for held in held.iter().filter(|h| h.to - h.from > beats) {
        if !(meant && matches!(held.fault, Fault::Bare(_))) {
            found.out.push(tell(held, found.rule, together));
        }
    }
}

fn fault<'a>(moment: &Moment<'_, 'a>, together: &Together<'_>) -> Option<Held<'a>> {
    let all = moment.sounding;
    let held = |fault, at: &Sounding<'a>, other: &Sounding<'a>| {
        let (from, to) = (moment.from, moment.to);
        Some(Held { fault, at: *at, other: *other, players: all.len(), from, to })
    };
    if let Some(root) = root_of_bare(all) {
        return held(Fault::Bare(root), all.first()?, all.last()?);
    }
    if all.len() as f64 > RULE.limit(together.settings, "most") + SAME_PLACE {
        return None;
    }
    let having = |class: i32| all.iter().filter(move |s| s.midi.rem_euclid(12) == class);
    if let Some(third) = third_of_major(all)
        && having(third).count() > 2 + usize::from(bass_is_doubled(all))
    {
        let mut thirds = having(third);
        return held(Fault::Third(third), thirds.next()?, thirds.next()?);
    }
    let tonic = class_of_tonic(together.key?);
    let leading = (tonic + 11) % 12;
    let mut two = having(leading);
    let (low, high) = (two.next()?, two.next()?);
    let dominant = root_of(all) == Some((tonic + 7) % 12);
    (dominant && came_apart(low, high) && rises(low) && rises(high))
        .then(|| held(Fault::Leading(leading), low, high))?
}

/// Pitch class of a key's tonic.
fn class_of_tonic(key: Key) -> i32 {
    let relative = if key.mode == Mode::Minor { 9 } else { 0 };
    (7 * key.fifths() + relative).rem_euclid(12)
}

/// True if the two lowest have one note in two octaves: they are one bass.
fn bass_is_doubled(all: &[Sounding<'_>]) -> bool {
    matches!(all, [a, b, ..] if (a.midi - b.midi) % 12 == 0)
}

/// True if a semitone higher comes right after.
fn rises(leading: &Sounding<'_>) -> bool {
    let next = leading.part.notes.iter().find(|n| (n.from - leading.note.to).abs() < SAME_PLACE);
    next.and_then(|n| n.sounding).is_some_and(|p| p.midi() == leading.midi + 1)
}

/// True if two players did not play one and the same note, in any octave, before.
fn came_apart(a: &Sounding<'_>, b: &Sounding<'_>) -> bool {
    let before = |s: &Sounding<'_>| {
        let Part { notes, .. } = s.part;
        let last = notes.iter().rfind(|n| (n.to - s.note.from).abs() < SAME_PLACE);
        last.and_then(|n| n.sounding).map(|p| p.midi())
    };
    before(a).zip(before(b)).is_some_and(|(a, b)| (a - b) % 12 != 0)
}

fn tell(held: &Held<'_>, rule: &'static str, together: &Together<'_>) -> Shared {
    let Held { fault, at, other, players, from, to } = held;
    let flats = together.key.is_none_or(|k| k.fifths() <= 0);
    // Classes are told without an octave.
    let name = |class: i32| {
        let pitch = Pitch::plain(60 + class.rem_euclid(12), flats).to_string();
        pitch.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned()
    };
    let beats = (to - from) / together.beat;
    let limit = RULE.limit(together.settings, "beats");
    let (message, measured) = match fault {
        Fault::Bare(root) => (
            format!(
                "{players} players hold {} and {} for {beats:.1} beats, and nobody has the third, {} or {} (sounding; up to {limit} beats pass, an estimate). Give it to one of those who double a note.",
                name(*root),
                name(root + 7),
                name(root + 4),
                name(root + 3),
            ),
            "no third".to_owned(),
        ),
        Fault::Third(third) => (
            format!(
                "Three or more of {players} players have the third of this chord, {} (sounding): it sounds thick, and each must bend it. Give one of them the root or the fifth.",
                name(*third)
            ),
            "3 thirds".to_owned(),
        ),
        Fault::Leading(leading) => (
            format!(
                "{} and {} both have the leading note, {} (sounding), coming from different notes, and both rise to the tonic: one voice fewer. Give one of them another note of the chord.",
                at.part.person.id,
                other.part.person.id,
                name(*leading)
            ),
            "2 leading notes".to_owned(),
        ),
    };
    let also = if other.midi.rem_euclid(12) == at.midi.rem_euclid(12) { "the same note" } else { "the top" };
    Shared {
        players: vec![at.part.player, other.part.player],
        finding: LocalFinding {
            rule,
            severity: Severity::Information,
            grade: 1,
            line: at.note.line,
            span: at.note.span,
            bar: at.note.bar,
            message,
            measured: Some(measured),
            limit: None,
            related: vec![(other.note.line, other.note.span, format!("{also}, {}", other.part.person.id))],
            cures: Vec::new(),
        },
    }
}
