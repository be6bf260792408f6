//! What holds for a score and the same written another way, worked out anew from the two texts.

use super::heard::{self, Heard, faults, played};
use std::collections::{BTreeMap, BTreeSet};
use waterkey::assist::TextEdit;
use waterkey::assist::rewrite::{Rewrite, rewritten};
use waterkey::music::Fraction;
use waterkey::notation::Document;
use waterkey::notation::layout::tidied;
use waterkey::rules::registry::{is_reading_fault, rule};
use waterkey::rules::rule::Check;
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;
use waterkey::score::event::EventKind;

pub fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

pub fn tidy(text: &str) -> String {
    tidied(Document::new(text).lines())
}

/// The text with edits made, line by line.
pub fn applied(text: &str, edits: &[TextEdit]) -> String {
    let mut out = String::new();
    for (at, line) in text.split_inclusive('\n').chain(std::iter::once("")).enumerate() {
        let mut line = line.to_owned();
        for edit in edits.iter().rev().filter(|e| e.line as usize == at) {
            line.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.with);
        }
        out += &line;
    }
    out
}

/// What one seat does from the beginning of the score as it is written, in whole notes.
fn heard(desk: &Desk, player: usize, seat: u32) -> Vec<(Fraction, Heard)> {
    let mut starts: BTreeMap<i64, Fraction> = BTreeMap::new();
    let mut now = Fraction::ZERO;
    for placed in &desk.score().blocks {
        now = now.plus(placed.frame.gap_length).unwrap();
        for (bar, length) in placed.read.lengths.iter().enumerate() {
            starts.insert(placed.frame.first_bar + bar as i64, now);
            now = now.plus(*length).unwrap();
        }
    }
    let all = heard::all(desk, player, seat).into_iter();
    all.map(|h| (starts[&h.bar].plus(h.onset).unwrap(), Heard { bar: 0, onset: Fraction::ZERO, ..h }))
        .collect()
}

/// How many semitones something may have moved, and how many times as long it is.
fn promised(what: &Rewrite) -> (i32, Fraction) {
    let one = Fraction::ONE;
    match what {
        Rewrite::Transpose(by) | Rewrite::TransposeBlocks(_, _, by) | Rewrite::TransposeSelected(_, by) => {
            (by.semitones, one)
        }
        Rewrite::Values { double: true } => (0, Fraction::new(2, 1).unwrap()),
        Rewrite::Values { double: false } => (0, Fraction::new(1, 2).unwrap()),
        _ => (0, one),
    }
}

/// Rules that speak of how a note is spelled, of a key, of a row or of copies, and not of what sounds.
const OF_THE_TEXT: [&str; 2] = ["awkward-spelling", "hard-key"];

/// Rules whose limits count beats: three quavers of 6/8 are one, three crotchets of 6/4 are three.
const OF_THE_BEAT: [&str; 4] = ["low-and-close", "uneven-chord", "crossed-parts", "bare-chord"];

/// True of rules about several players, who are heard block by block: a line that goes on over a barline between
/// blocks is judged in each of them.
/// So is a run of notes with one effect.
fn is_of_the_block(name: &str) -> bool {
    let run = ["flutter-limits", "stopped-limits", "effect-contradiction"].contains(&name);
    run || rule(name).is_some_and(|rule| matches!(rule.check, Check::Block(_) | Check::Together { .. }))
}

/// The edits, if it can be done; what is wrong with them, otherwise the text.
pub fn judge(text: &str, what: &Rewrite) -> Result<Option<String>, String> {
    let before = desk(text);
    let Ok(edits) = rewritten(&before, what) else { return Ok(None) };
    let after_text = applied(text, &edits);
    let fail = |why: String| Err(format!("{why}\n--- {what:?}\n--- before\n{text}\n--- after\n{after_text}"));
    for pair in edits.windows(2) {
        if (pair[0].line, pair[0].span.end) > (pair[1].line, pair[1].span.start) {
            return fail("edits overlap".into());
        }
    }
    let after = desk(&after_text);
    let ((_, known), (_, told)) = (faults(&before), faults(&after));
    let harmless = ["row-short", "idle-allowance", "chord-order"];
    if let Some(new) = told.iter().find(|rule| !known.contains(*rule) && !harmless.contains(rule)) {
        return fail(format!("a new fault: {new}"));
    }
    if tidy(text) == text && tidy(&after_text) != after_text {
        return fail("it was tidy and is no more".into());
    }
    let (by, times) = promised(what);
    for (index, player) in before.score().head.players.iter().enumerate() {
        for seat in 0..player.seats {
            let (there, here) = (heard(&before, index, seat), heard(&after, index, seat));
            if there.len() != here.len() {
                return fail(format!("{}: {} notes and {}", player.id, there.len(), here.len()));
            }
            for ((at, a), (now, b)) in there.iter().zip(&here) {
                let moved = b.midi == a.midi || b.midi == a.midi + by;
                let must = matches!(what, Rewrite::Transpose(_)) && a.kind == EventKind::Note;
                let moved = if must { b.midi == a.midi + by } else { moved };
                let time = at.times(times) == Some(*now) && a.length.times(times) == Some(b.length);
                // Which fingering, and what an unnamed trill goes to, is for others to say.
                let trill = a.trill.is_none() || b.trill.is_none() || a.trill == b.trill;
                let choice = b.choice == a.choice || b.choice == "None";
                let rest = Heard {
                    midi: a.midi,
                    length: a.length,
                    trill: a.trill,
                    choice: a.choice.clone(),
                    ..b.clone()
                };
                if !(moved && time && trill && choice && rest == *a) {
                    return fail(format!("{} hears\n{now:?} {b:?}\nand before\n{at:?} {a:?}", player.id));
                }
            }
        }
    }
    let (there, here) = (played(&before), played(&after));
    let close = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-6 * a.abs().max(1.0),
        (a, b) => a.is_some() == b.is_some(),
    };
    if there.len() != here.len() || !there.iter().zip(&here).all(|(a, b)| close(a.1, b.1)) {
        return fail("bars are played at other seconds".into());
    }
    if by == 0 && !matches!(what, Rewrite::Instrument(..)) {
        // What is found in a phrase is told once for all who play it there.
        let phrase = matches!(what, Rewrite::Extract(..) | Rewrite::Inline(..) | Rewrite::InlineAll(_));
        let values = matches!(what, Rewrite::Values { .. });
        let blocks = matches!(what, Rewrite::Split(..) | Rewrite::Join(..));
        let rules = |desk: &Desk| -> BTreeSet<(&'static str, Option<String>)> {
            let all = desk.findings().into_iter();
            all.filter(|f| !is_reading_fault(f.rule) && !OF_THE_TEXT.contains(&f.rule))
                .filter(|f| !(values && OF_THE_BEAT.contains(&f.rule)))
                // What a phrase says of mutes is said to all who play it, and idle for some of them.
                .filter(|f| !(phrase && f.rule == "mute-left-in"))
                .filter(|f| !(blocks && is_of_the_block(f.rule)))
                .map(|f| (f.rule, f.player.filter(|_| !phrase)))
                .collect()
        };
        let (there, here) = (rules(&before), rules(&after));
        if there != here {
            let other: Vec<_> = there.symmetric_difference(&here).collect();
            return fail(format!("found in one of them alone: {other:?}"));
        }
    }
    Ok(Some(after_text))
}
