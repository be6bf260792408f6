//! Blocks of some bars, with a rhythm row where players move together.

use super::Row;
use super::bar::{Prepared, prepare};
use super::head::quoted;
use crate::exchange::import::figure;
use crate::exchange::import::loss::Losses;
use crate::exchange::import::music::{Bar, Music};
use crate::exchange::import::repeats::{Sign, signs};
use crate::music::Fraction;
use crate::score::figure::value_letters;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Bars of a block.
const BARS: usize = 4;
/// Columns of a row beyond which a block has fewer bars.
const WIDE: usize = 130;

pub fn write(music: &Music, rows: &[Row], losses: &mut Losses, out: &mut String) {
    let signs = signs(&music.bars, losses);
    let mut at = 0;
    while at < music.bars.len() {
        let end = end(music, &signs, at);
        let fixed = signs.get(at).is_some_and(|s| s.ending.is_some());
        let mut end = end;
        let mut text = block(music, rows, &signs, at..end);
        while !fixed && end - at > 1 && text.lines().any(|l| l.chars().count() > WIDE) {
            end = at + (end - at) / 2;
            text = block(music, rows, &signs, at..end);
        }
        out.push_str(&text);
        out.push('\n');
        at = end;
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
}

/// True for a bar that is not as long as its meter.
fn odd(bar: &Bar) -> bool {
    bar.length != bar.full()
}

/// True for an odd bar that ends a block: the last one, or the first half of a bar that something parts.
fn closes(music: &Music, signs: &[Sign], at: usize) -> bool {
    let Some(bar) = music.bars.get(at) else { return false };
    let next = music.bars.get(at + 1);
    let halves = next.is_some_and(|n| odd(n) && bar.length.plus(n.length) == Some(bar.full()));
    at > 0
        && odd(bar)
        && bar.length < bar.full()
        && (begins(music, signs, at + 1) || halves || next.is_none())
}

/// True for a bar with which something begins that stands over a block.
fn begins(music: &Music, signs: &[Sign], at: usize) -> bool {
    let before = at.checked_sub(1).and_then(|i| music.bars.get(i));
    let (Some(bar), Some(before), Some(sign)) = (music.bars.get(at), before, signs.get(at)) else {
        return true;
    };
    let changes = bar.key != before.key || bar.groups != before.groups || bar.beat != before.beat;
    let signed = sign.repeat.is_some() || sign.ending.is_some() || sign.breaks;
    bar.mark.is_some() || bar.tempo.is_some() || changes || signed
}

/// Where the block that begins here ends, at most.
fn end(music: &Music, signs: &[Sign], at: usize) -> usize {
    if let Some((_, last)) = signs.get(at).and_then(|s| s.ending.as_ref()) {
        return last + 1;
    }
    for i in at + 1..music.bars.len() {
        let pickup = music.bars.get(i).is_some_and(odd) && !closes(music, signs, i);
        if begins(music, signs, i) || pickup || closes(music, signs, i - 1) || i - at >= BARS {
            return i;
        }
    }
    music.bars.len()
}

fn block(music: &Music, rows: &[Row], signs: &[Sign], range: std::ops::Range<usize>) -> String {
    let mut out = header(music, signs, &range);
    let mut voices: Vec<(&str, Vec<Prepared<'_>>)> = Vec::new();
    for row in rows {
        let bars: Vec<Prepared<'_>> =
            row.line.bars.get(range.clone()).unwrap_or_default().iter().map(prepare).collect();
        if bars.iter().any(|b| !b.quiet) {
            voices.push((&row.id, bars));
        }
    }
    let bars: &[Bar] = music.bars.get(range.clone()).unwrap_or_default();
    let shared: Vec<Option<Shared>> =
        bars.iter().enumerate().map(|(at, bar)| share(bar, &voices, at)).collect();
    if shared.iter().any(Option::is_some) {
        let all: Vec<&str> = shared.iter().map(|s| s.as_ref().map_or("", |s| s.text.as_str())).collect();
        let _ = writeln!(out, "rhythm | {} |", all.join(" | "));
    }
    if let Some(chords) = chords(bars) {
        out += &chords;
    }
    let mut written: Vec<(Vec<&str>, String)> = Vec::new();
    for (id, own) in &voices {
        let text = row(own, &shared);
        // The same on two rows that follow each other is one row, where nobody chooses a fingering.
        match written
            .last_mut()
            .filter(|(_, last)| *last == text && !text.contains('@') && !text.contains('('))
        {
            Some((ids, _)) => ids.push(id),
            None => written.push((vec![id], text)),
        }
    }
    for (ids, text) in &written {
        let _ = writeln!(out, "{} | {text} |", ids.join(" "));
    }
    if written.is_empty()
        && let Some(row) = rows.first()
    {
        let n = range.len();
        let rest = if n > 1 { format!("rest {n}") } else { "-".into() };
        let _ = writeln!(out, "{} | {rest} |", row.id);
    }
    out
}

fn header(music: &Music, signs: &[Sign], range: &std::ops::Range<usize>) -> String {
    let at = range.start;
    let number = |at: usize| music.first + at as i64;
    let mut out = format!("bar {}", number(at));
    let Some(bar) = music.bars.get(at) else { return out };
    let before = at.checked_sub(1).and_then(|i| music.bars.get(i));
    if before.is_none_or(|b| b.groups != bar.groups || b.beat != bar.beat) {
        let groups: Vec<String> = bar.groups.iter().map(u32::to_string).collect();
        let _ = write!(out, "  meter {}/{}", groups.join("+"), bar.beat);
    }
    if before.is_none_or(|b| b.key != bar.key) {
        match bar.key {
            Some(key) => {
                let _ = write!(out, "  key {key}");
            }
            None if before.is_some() => out += "  key none",
            None => {}
        }
    }
    if let Some(tempo) = &bar.tempo {
        let _ = write!(out, "  tempo {tempo}");
    }
    if let Some(mark) = bar.mark.as_deref().and_then(quoted) {
        let bare = mark.trim_matches('"');
        let simple = bare.len() <= 3
            && bare.chars().all(|c| c.is_ascii_alphanumeric())
            && bare.starts_with(|c: char| c.is_ascii_alphabetic());
        let _ = write!(out, "  mark {}", if simple { bare } else { &mark });
    }
    if odd(bar)
        && !closes(music, signs, at)
        && let Some(value) = value_letters(bar.length)
    {
        let _ = write!(out, "  pickup {value}");
    }
    let last = range.end.saturating_sub(1);
    if closes(music, signs, last)
        && let Some(value) = music.bars.get(last).and_then(|b| value_letters(b.length))
    {
        let _ = write!(out, "  close {value}");
    }
    let sign = signs.get(at);
    if let Some((times, to)) = sign.and_then(|s| s.repeat) {
        let _ = write!(out, "  repeat {times}");
        if to != last {
            let _ = write!(out, " to {}", number(to));
        }
    }
    if let Some((passes, _)) = sign.and_then(|s| s.ending.as_ref()) {
        let all: Vec<String> = passes.iter().map(u32::to_string).collect();
        let _ = write!(out, "  ending {}", all.join(" "));
    }
    out.push('\n');
    out
}

/// A bar of the rhythm row.
struct Shared {
    text: String,
    /// The figure with all its entries; empty where nobody takes it.
    shape: String,
    /// Which entries the figure itself says as rests.
    rests: Vec<bool>,
}

/// What most players have in a bar, if two have it, and what concerns everybody.
fn share(bar: &Bar, voices: &[(&str, Vec<Prepared<'_>>)], at: usize) -> Option<Shared> {
    let all = || voices.iter().filter_map(|(_, bars)| bars.get(at));
    let mut count: BTreeMap<String, usize> = BTreeMap::new();
    for shape in all().filter_map(Prepared::shape) {
        *count.entry(shape).or_default() += 1;
    }
    let most = count.into_iter().filter(|(_, n)| *n > 1).max_by_key(|(_, n)| *n).map(|(shape, _)| shape);
    let owner = most.as_ref().and_then(|shape| all().find(|b| b.shape().as_ref() == Some(shape)));
    if let (Some(shape), Some(owner)) = (&most, owner) {
        let onsets: Vec<Fraction> = owner.cells.iter().map(|c| c.onset).collect();
        if bar.inside.iter().all(|(onset, _)| onsets.contains(onset)) {
            let taking: Vec<&Prepared<'_>> = all().filter(|b| b.shape().as_ref() == Some(shape)).collect();
            let rests: Vec<bool> =
                (0..owner.cells.len()).map(|i| taking.iter().all(|b| b.plain_rest(i))).collect();
            let rest = |i: usize| rests.get(i).copied().unwrap_or(false);
            let text = said(&figure::text(&owner.pieces, &rest, false), &bar.inside, &onsets);
            return text.map(|text| Shared { text, shape: shape.clone(), rests: rests.clone() });
        }
    }
    if bar.inside.is_empty() {
        return None;
    }
    // A figure of its own for what concerns everybody.
    let mut onsets: Vec<Fraction> = vec![Fraction::ZERO];
    for (onset, _) in &bar.inside {
        if *onset < bar.length && value_letters(onset.minus(*onsets.last()?)?).is_some() {
            onsets.push(*onset);
        }
    }
    onsets.dedup();
    let ends = onsets.iter().skip(1).copied().chain([bar.length]);
    let values: Option<Vec<String>> =
        onsets.iter().zip(ends).map(|(from, to)| value_letters(to.minus(*from)?)).collect();
    let text = said(&values?.join(" "), &bar.inside, &onsets)?;
    Some(Shared { text, shape: String::new(), rests: Vec::new() })
}

/// A figure with instructions before the places where they take effect; those inside a place come before the next,
/// or at the end.
fn said(figure: &str, inside: &[(Fraction, String)], onsets: &[Fraction]) -> Option<String> {
    if inside.is_empty() {
        return Some(figure.to_owned());
    }
    let mut out: Vec<String> = Vec::new();
    let mut waiting = inside.iter().peekable();
    let mut onsets = onsets.iter();
    for word in figure.split(' ') {
        // Brackets and numbers take no place of their own.
        let place = word.starts_with(|c: char| c.is_ascii_lowercase());
        let times = word
            .rsplit_once('*')
            .and_then(|(_, n)| n.trim_end_matches('}').parse::<usize>().ok())
            .unwrap_or(1);
        let opens = word.starts_with('{');
        if place || opens {
            let mut here = onsets.clone();
            if let Some(onset) = here.next() {
                while let Some((_, what)) = waiting.next_if(|(at, _)| at <= onset) {
                    out.push(what.clone());
                }
            }
            if place {
                onsets.nth(times - 1);
            }
        }
        out.push(word.to_owned());
    }
    out.extend(waiting.map(|(_, what)| what.clone()));
    Some(out.join(" "))
}

/// A row's bars, rests and improvised bars gathered.
fn row(bars: &[Prepared<'_>], shared: &[Option<Shared>]) -> String {
    let mut cells: Vec<String> = Vec::new();
    let mut at = 0;
    while let Some(bar) = bars.get(at) {
        let run = |fits: &dyn Fn(&Prepared<'_>) -> bool| bars.iter().skip(at).take_while(|b| fits(b)).count();
        let (quiet, improvised) = (run(&|b| b.quiet), run(&|b| b.improvised));
        if quiet > 1 {
            cells.push(format!("rest {quiet}"));
            at += quiet;
            continue;
        }
        if improvised > 0 {
            cells.push(format!("improvise {improvised}"));
            at += improvised;
            continue;
        }
        let shared = shared.get(at).and_then(Option::as_ref);
        cells.push(match (&bar.alone, shared) {
            (Some(alone), _) => alone.clone(),
            (None, Some(shared)) if bar.shape().as_deref() == Some(&shared.shape) => {
                let rests = |i: usize| shared.rests.get(i).copied().unwrap_or(false);
                // One rest or hold alone would last through the bar.
                if bar.looks_alone(&rests) { bar.own() } else { bar.list(&rests, false) }
            }
            _ => bar.own(),
        });
        at += 1;
    }
    cells.join(" | ")
}

/// The row of chord symbols, if there are any.
fn chords(bars: &[Bar]) -> Option<String> {
    if bars.iter().all(|b| b.chords.is_empty()) {
        return None;
    }
    let mut cells: Vec<String> = Vec::new();
    for bar in bars {
        let mut places: Vec<String> = Vec::new();
        let mut symbols: Vec<&str> = Vec::new();
        let mut rest = Fraction::ZERO;
        if let Some((first, _)) = bar.chords.first().filter(|(onset, _)| !onset.is_zero()) {
            places.push(format!("{}-", value_letters(*first).unwrap_or_default()));
            rest = *first;
        }
        let ends = bar.chords.iter().skip(1).map(|(onset, _)| *onset).chain([bar.length]);
        for ((_, symbol), end) in bar.chords.iter().zip(ends) {
            let value = end.minus(rest).and_then(value_letters);
            places.push(value.unwrap_or_default());
            symbols.push(symbol);
            rest = end;
        }
        let fine = places.iter().all(|p| !p.is_empty() && p != "-");
        cells.push(match (symbols.as_slice(), fine) {
            ([], _) => String::new(),
            ([one], _) if places.len() == 1 => (*one).to_owned(),
            (all, true) => format!("{} : {}", places.join(" "), all.join(" ")),
            (all, false) => all.join(" "),
        });
    }
    Some(format!("chords | {} |\n", cells.join(" | ")))
}
