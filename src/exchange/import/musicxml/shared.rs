//! What the parts say for everybody, put together.

use crate::exchange::import::loss::Losses;
use crate::exchange::import::music::{Bar, Part};
use crate::music::{Fraction, Key};
use crate::score::figure::value_letters;

/// What one part says for everybody in one bar.
#[derive(Debug, Default)]
pub struct Shared {
    /// How far its notes and steps reach.
    pub reach: Fraction,
    /// Groups and beat.
    pub time: Option<(Vec<u32>, u32)>,
    pub key: Option<KeySaid>,
    pub tempo: Vec<(Fraction, String)>,
    pub inside: Vec<(Fraction, String)>,
    pub mark: Option<String>,
    /// At concert pitch.
    pub chords: Vec<(Fraction, String)>,
    pub opens: bool,
    pub closes: Option<u32>,
    pub ending: Option<Vec<u32>>,
    pub ending_stops: bool,
}

/// A key at concert pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum KeySaid {
    None,
    Key(Key),
    /// A part that transposes shows no accidentals: this key, or none at all.
    Bare(Key),
}

/// The bars of the piece; parts for brass come first with what they say.
pub fn bars(
    parts: &[(bool, Vec<Shared>)],
    count: usize,
    implicit: &dyn Fn(usize) -> bool,
    losses: &mut Losses,
) -> Vec<Bar> {
    let mut order: Vec<&Vec<Shared>> = parts.iter().filter(|(brass, _)| *brass).map(|(_, s)| s).collect();
    order.extend(parts.iter().filter(|(brass, _)| !*brass).map(|(_, s)| s));
    let keys = keys(&order, count);
    let mut time = (vec![4], 4);
    let mut all = Vec::with_capacity(count);
    for (at, key) in keys.into_iter().enumerate() {
        let here = || order.iter().filter_map(|part| part.get(at));
        let mut times = here().filter_map(|s| s.time.as_ref());
        if let Some(said) = times.next() {
            if times.any(|other| other != said) {
                losses.add("several meters at once: the first part's holds", "", Some(at as i64));
            }
            time = said.clone();
        }
        let mut bar = Bar { groups: time.0.clone(), beat: time.1, key, ..Bar::default() };
        let reached: Vec<Fraction> = here().map(|s| s.reach).filter(|r| !r.is_zero()).collect();
        let edge = at == 0 || at + 1 == count || implicit(at);
        bar.length = length(&reached, bar.full(), edge);
        for shared in here() {
            bar.mark = bar.mark.take().or(shared.mark.clone());
            bar.opens |= shared.opens;
            bar.closes = bar.closes.or(shared.closes);
            bar.ending = bar.ending.take().or(shared.ending.clone());
            bar.ending_stops |= shared.ending_stops;
            for (onset, said) in &shared.inside {
                if !bar.inside.iter().any(|(at, other)| at == onset && other == said) {
                    bar.inside.push((*onset, said.clone()));
                }
            }
        }
        let mut tempos: Vec<(Fraction, String)> = Vec::new();
        for (onset, said) in here().flat_map(|s| &s.tempo) {
            match tempos.iter_mut().find(|(at, _)| at == onset) {
                // Words and a number may stand in different parts.
                Some((_, before)) if !before.starts_with('"') && said.starts_with('"') => {
                    *before = said.clone()
                }
                Some(_) => {}
                None => tempos.push((*onset, said.clone())),
            }
        }
        for (onset, said) in tempos {
            if onset.is_zero() {
                bar.tempo = Some(said);
            } else {
                bar.inside.push((onset, format!("[tempo {said}]")));
            }
        }
        bar.inside.sort_by_key(|(onset, _)| *onset);
        let symbols = here().map(|s| &s.chords).find(|c| !c.is_empty());
        for (onset, symbol) in symbols.into_iter().flatten() {
            if *onset < bar.length && !bar.chords.iter().any(|(at, _)| at == onset) {
                bar.chords.push((*onset, symbol.clone()));
            }
        }
        bar.chords.sort_by_key(|(onset, _)| *onset);
        all.push(bar);
    }
    at_the_end(&mut all, losses);
    all
}

/// What stands behind the last note of a bar takes effect with the next.
fn at_the_end(all: &mut [Bar], losses: &mut Losses) {
    let mut late: Vec<String> = Vec::new();
    for bar in all.iter_mut() {
        let length = bar.length;
        let (behind, inside): (Vec<_>, Vec<_>) =
            std::mem::take(&mut bar.inside).into_iter().partition(|(onset, _)| *onset >= length);
        bar.inside = inside;
        for said in std::mem::take(&mut late).into_iter().rev() {
            match said.strip_prefix("[tempo ").and_then(|t| t.strip_suffix(']')) {
                Some(_) if bar.tempo.is_some() => {}
                Some(tempo) => bar.tempo = Some(tempo.to_owned()),
                None if bar.inside.iter().any(|(at, other)| at.is_zero() && *other == said) => {}
                None => bar.inside.insert(0, (Fraction::ZERO, said)),
            }
        }
        late = behind.into_iter().map(|(_, said)| said).collect();
    }
    for said in late {
        losses.add(format!("{said} behind the last note"), "", Some(all.len() as i64 - 1));
    }
}

/// How long a bar is: as its meter says, unless all its parts reach elsewhere and that can be written.
fn length(reached: &[Fraction], full: Fraction, edge: bool) -> Fraction {
    let Some(most) = reached.iter().max().copied() else { return full };
    let all = reached.iter().all(|r| *r == most);
    let short = most < full && (edge || all);
    let length = if short || most > full { most } else { full };
    if value_letters(length).is_some() {
        return length;
    }
    // What no value says is filled up to what one does.
    let grid = |n: i64| Fraction::new(n, 64).filter(|f| *f >= length && value_letters(*f).is_some());
    let first = (length.to_f64() * 64.0) as i64;
    (first..first + 256).find_map(grid).unwrap_or(full)
}

/// The concert key of each bar, from the first part that has signatures.
fn keys(order: &[&Vec<Shared>], count: usize) -> Vec<Option<Key>> {
    let shows = |part: &&&Vec<Shared>| part.iter().any(|s| matches!(s.key, Some(KeySaid::Key(_))));
    let source = order
        .iter()
        .find(shows)
        .or_else(|| order.iter().find(|part| part.iter().any(|s| matches!(s.key, Some(KeySaid::Bare(_))))));
    let mut key = None;
    (0..count)
        .map(|at| {
            match source.and_then(|part| part.get(at)).and_then(|s| s.key) {
                Some(KeySaid::Key(said) | KeySaid::Bare(said)) => key = Some(said),
                Some(KeySaid::None) => key = None,
                None => {}
            }
            key
        })
        .collect()
}

/// Which parts have no signatures, though the piece has keys.
pub fn signatures(parts: &mut [Part], shared: &[(bool, Vec<Shared>)], bars: &[Bar]) {
    let brass = shared.iter().filter(|(brass, _)| *brass).map(|(_, s)| s);
    for (part, said) in parts.iter_mut().zip(brass) {
        let mut missing = false;
        let mut fitting = false;
        for (shared, bar) in said.iter().zip(bars) {
            match shared.key {
                Some(KeySaid::None) => missing |= bar.key.is_some(),
                Some(KeySaid::Bare(key)) => {
                    let same = bar.key == Some(key);
                    missing |= bar.key.is_some() && !same;
                    fitting |= same;
                }
                Some(KeySaid::Key(_)) => fitting = true,
                None => {}
            }
        }
        part.no_signature = missing && !fitting;
    }
}
