//! How far one person goes, a fingering left to the player, a note stopped by hand.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::lines::{of_head, own_end};
use super::notes::{Sung, tokens, written};
use super::octave::of_finding;
use crate::assist::place::TextEdit;
use crate::brass::written::reading_interval;
use crate::music::Pitch;
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{Basis, LineTree, Mark, OptionKind, PlayerOption};
use crate::rules::lie::{Lie, lie};
use crate::rules::rule::LocalFinding;
use crate::score::player::Player;
use std::sync::Arc;

/// A `top` or `bottom` of the player that lets the notes be.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    own(case).into_iter().collect()
}

fn own(case: &Case<'_>) -> Option<Draft> {
    let (index, player) = case.player()?;
    let notes = of_finding(case)?;
    // Of several players each has limits of their own.
    if case.players().len() != 1 {
        return None;
    }
    let high = case.finding.rule == "too-high";
    let far = if high {
        notes.iter().max_by_key(|n| n.event.written.midi())?
    } else {
        notes.iter().min_by_key(|n| n.event.written.midi())?
    };
    let hand = far.event.played.instrument;
    if notes.iter().any(|n| n.event.played.instrument != hand) {
        return None;
    }
    let pitch = written(far.event.written)?;
    let LineTree::Player(tree) = &player.line.tree else { return None };
    let line = of_head(case.desk, &player.line).filter(|_| player.line.faults.is_empty())?;
    // The options of the instrument in hand stand between its name and the next.
    let mut starts = vec![0];
    for (at, option) in tree.options.iter().enumerate() {
        if matches!(option.what, OptionKind::Doubles { .. }) {
            starts.push(at + 1);
        }
    }
    let from = *starts.get(usize::from(hand))?;
    let to = starts.get(usize::from(hand) + 1).map_or(tree.options.len(), |next| next - 1);
    let mine: &[PlayerOption] = tree.options.get(from..to)?;
    let word = if high { "top" } else { "bottom" };
    let is = |o: &&PlayerOption| match o.what {
        OptionKind::Top(_) => high,
        OptionKind::Bottom(_) => !high,
        _ => false,
    };
    let edit = match mine.iter().rfind(is) {
        Some(option) => {
            let place = tokens(&player.line, option.span).find(|t| t.kind == Kind::Pitch)?;
            TextEdit { line, span: place.span, with: pitch.clone() }
        }
        None => {
            let before = mine.last().or_else(|| tree.options.get(from.checked_sub(1)?));
            let end = match before {
                Some(option) => option.span.end,
                None => tree.read_in.map_or(tree.instrument?.end, |r| r.span.end),
            };
            TextEdit { line, span: Span::new(end, end), with: format!(", {word} {pitch}") }
        }
    };
    if edit.span.end > own_end(&player.line) {
        return None;
    }
    if !mends(case, index, player, hand, far.event.written, high)? {
        return None;
    }
    let goes = if high { "up" } else { "down" };
    let title = format!("Say that {} goes {goes} to written {pitch}", player.id);
    Some(Draft::new(title, vec![edit]).unlikely().trusted())
}

/// True if the finding goes and no other of this player grows graver. Only this player is looked at again: to
/// try the edit itself would read the whole score anew.
fn mends(case: &Case<'_>, index: usize, player: &Player, hand: u8, limit: Pitch, high: bool) -> Option<bool> {
    let mut other = player.clone();
    let instrument = other.instruments.get_mut(usize::from(hand))?;
    let own = if high { &mut instrument.own_top } else { &mut instrument.own_bottom };
    *own = Some(limit);
    let reads = instrument.instrument.reads;
    let sounding = |own: Option<Pitch>| own.map(|written| reads.apply_respelled(written).midi());
    let (top, bottom) = (sounding(instrument.own_top), sounding(instrument.own_bottom));
    instrument.limits = instrument.instrument.limits(player.level).of_person(top, bottom);
    let report = case.desk.report();
    let after = report.track_as(case.score(), index, &Arc::new(other));
    let before = report.tracks.get(index)?;
    let (block, _, below) = case.block()?;
    for (at, (old, new)) in before.blocks.iter().zip(&after.blocks).enumerate() {
        let (Some(old), Some(new)) = (old, new) else { continue };
        for finding in &new.findings {
            let same = |f: &&LocalFinding| (f.rule, f.line) == (finding.rule, finding.line);
            let meets =
                |f: &&LocalFinding| f.span.start < finding.span.end && finding.span.start < f.span.end;
            let as_grave = |f: &&LocalFinding| (f.severity, f.grade) >= (finding.severity, finding.grade);
            if !old.findings.iter().filter(same).filter(meets).any(|f| as_grave(&f)) {
                return Some(false);
            }
            let mine = at == block && finding.line == below && finding.rule == case.finding.rule;
            if mine
                && finding.span.start < case.finding.span.end
                && case.finding.span.start < finding.span.end
            {
                return Some(false);
            }
        }
    }
    Some(true)
}

/// No choice written at all: the player takes the usual one.
pub fn no_choice(case: &Case<'_>) -> Vec<Draft> {
    let choice = tokens(case.line, case.finding.span).find(|t| t.kind == Kind::Choice);
    let draft = |span: Span| {
        let title = format!("Take {} away: the player chooses", case.text(span));
        Draft::of_line(title, case.finding.line, fitted(case, vec![(span, String::new())])).unlikely()
    };
    choice.map(|t| draft(t.span)).into_iter().collect()
}

/// Notes that are no harmonic: marked as stopped where the hand in the bell reaches them, or the nearest
/// harmonic instead.
pub fn off_series(case: &Case<'_>) -> Vec<Draft> {
    by_hand(case).into_iter().chain(nearest(case)).collect()
}

fn nearest(case: &Case<'_>) -> Option<Draft> {
    let (_, placed, _) = case.block()?;
    let (_, player) = case.player()?;
    let mut edits = Vec::new();
    let mut said = String::new();
    for note in of_finding(case)? {
        let instrument = player.instrument(note.event.played.instrument)?;
        let Lie::OffSeries { nearest, .. } = lie(instrument, note.event.sounding.midi()) else { return None };
        let key = placed.frame.key;
        let reads = reading_interval(instrument.instrument.reads, key);
        // As plain as the player can read it.
        let read =
            reads.inverse().apply_respelled(Pitch::plain(nearest, key.is_none_or(|k| k.fifths() <= 0)));
        let read = Pitch::plain(read.midi(), read.alter < 0);
        let pitch = match case.score().head.basis {
            Basis::Concert => reads.apply_respelled(read),
            Basis::Written => read,
        };
        let token = tokens(case.line, note.event.span).find(|t| t.kind == Kind::Pitch)?;
        said = written(pitch)?;
        edits.push((token.span, said.clone()));
    }
    edits.dedup();
    let title = match edits.len() {
        1 => format!("Write {said}, the nearest harmonic"),
        n => format!("Write the nearest harmonic for {n} notes"),
    };
    Some(Draft::of_line(title, case.finding.line, fitted(case, edits)).unlikely())
}

fn by_hand(case: &Case<'_>) -> Option<Draft> {
    let (_, player) = case.player()?;
    let notes = of_finding(case)?;
    let reached = |n: &Sung| {
        let instrument = player.instrument(n.event.played.instrument)?;
        let lie = lie(instrument, n.event.sounding.midi());
        Some(matches!(lie, Lie::OffSeries { by_hand: true, .. }) && !n.event.marks.has(Mark::Stopped))
    };
    if !notes.iter().all(|n| reached(n) == Some(true)) {
        return None;
    }
    let mut edits = Vec::new();
    for note in &notes {
        let pitch = tokens(case.line, note.event.span).find(|t| t.kind == Kind::Pitch)?;
        edits.push((Span::new(pitch.span.end, pitch.span.end), ":stopped".to_owned()));
    }
    edits.dedup();
    let count = edits.len();
    let notes = if count == 1 { "1 note".to_owned() } else { format!("{count} notes") };
    let title = format!("Stop by hand: {notes}");
    Some(Draft::of_line(title, case.finding.line, fitted(case, edits)).unlikely())
}
