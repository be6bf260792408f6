//! The order in which blocks are played: repeats, endings, the road map.

use super::names::normal;
use crate::notation::{Fault, FaultName};
use std::borrow::Cow;
use std::collections::HashMap;

/// More visits than this (a road map of repeats of repeats) are not unrolled.
pub const MOST_VISITS: usize = 20_000;

/// Unknown names of a road map for which the nearest one is looked up.
const MOST_GUESSES: usize = 32;

/// A block as it comes round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Visit {
    /// Index of the block in the score.
    pub block: u32,
    /// How often it has been played when it ends, from 1.
    pub pass: u16,
}

/// What the order needs to know of a block.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stop {
    pub first_bar: i64,
    pub bars: u32,
    pub repeat: Option<Repeat>,
    /// Passes this block is for.
    pub ending: Option<Vec<u32>>,
    /// Its mark or spot, for the road map.
    pub section: Vec<String>,
}

/// `repeat N [to BAR]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repeat {
    pub times: u32,
    pub to: Option<u32>,
}

/// A stretch of blocks played several times, with its endings.
#[derive(Debug, Clone, PartialEq)]
struct Span {
    first: usize,
    /// Last block of the common part.
    last: usize,
    /// Last block, endings included.
    end: usize,
    times: u32,
}

/// A name of the road map.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    pub name: String,
    pub times: u32,
    /// True if `*n` was written.
    pub counted: bool,
}

/// Where a fault of the order stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// The `repeat` of this block.
    Repeat(usize),
    /// The `ending` of this block.
    Ending(usize),
    /// This name of the road map.
    Station(usize),
}

/// The order of play.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Order {
    pub visits: Vec<Visit>,
    pub faults: Vec<(At, Fault)>,
}

/// Works out the order. Fault spans are empty: whoever knows the lines puts them in.
pub fn order(stops: &[Stop], roadmap: Option<&[Station]>) -> Order {
    let mut faults = Vec::new();
    let spans = repeats(stops, &mut faults);
    let mut blocks: Vec<usize> = Vec::new();
    match roadmap {
        None => play(stops, &spans, 0..stops.len(), true, &mut blocks),
        Some(map) => by_map(stops, &spans, map, &mut blocks, &mut faults),
    }
    if blocks.len() > MOST_VISITS {
        blocks.truncate(MOST_VISITS);
        let at = if roadmap.is_some() { At::Station(0) } else { At::Repeat(0) };
        faults.push((
            at,
            fault(
                FaultName::BadNumber,
                format!("Played out, this is more than {MOST_VISITS} blocks; the rest is not followed."),
            ),
        ));
    }
    let mut passes = vec![0u16; stops.len()];
    let visits = blocks
        .into_iter()
        .map(|block| {
            let pass = passes.get_mut(block).map_or(1, |p| {
                *p = p.saturating_add(1);
                *p
            });
            Visit { block: block as u32, pass }
        })
        .collect();
    Order { visits, faults }
}

fn fault(name: FaultName, text: String) -> Fault {
    Fault::new(name, crate::notation::Span::default(), text)
}

/// Finds the repeated stretches and their endings.
fn repeats(stops: &[Stop], faults: &mut Vec<(At, Fault)>) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    let mut i = 0;
    while let Some(stop) = stops.get(i) {
        let Some(repeat) = stop.repeat else {
            if stop.ending.is_some() {
                faults.push((
                    At::Ending(i),
                    fault(
                        FaultName::BlockOrder,
                        "An ending follows a repeated stretch directly; nothing is repeated before this one."
                            .to_owned(),
                    ),
                ));
            }
            i += 1;
            continue;
        };
        let last = last_block(stops, i, repeat, faults);
        for (k, inner) in stops.iter().enumerate().take(last + 1).skip(i + 1) {
            if inner.repeat.is_some() {
                faults.push((
                    At::Repeat(k),
                    fault(
                        FaultName::BlockOrder,
                        "This repeat begins inside another one. Repeats cannot overlap: end the first before it, or use a road map."
                            .to_owned(),
                    ),
                ));
            }
            if inner.ending.is_some() {
                faults.push((
                    At::Ending(k),
                    fault(
                        FaultName::BlockOrder,
                        "This ending lies inside the stretch that is repeated; endings follow it. Let `to` stop before the first ending."
                            .to_owned(),
                    ),
                ));
            }
        }
        let mut end = last;
        while stops.get(end + 1).is_some_and(|s| s.ending.is_some() && s.repeat.is_none()) {
            end += 1;
        }
        if end > last {
            check_endings(stops, last, end, repeat.times, faults);
        }
        spans.push(Span { first: i, last, end, times: repeat.times });
        i = end + 1;
    }
    spans
}

fn last_block(stops: &[Stop], first: usize, repeat: Repeat, faults: &mut Vec<(At, Fault)>) -> usize {
    let Some(to) = repeat.to.map(i64::from) else { return first };
    let mut last = first;
    for (k, stop) in stops.iter().enumerate().skip(first) {
        if stop.first_bar > to {
            break;
        }
        last = k;
    }
    let end = stops.get(last).map_or(0, |s| s.first_bar + i64::from(s.bars) - 1);
    if end != to {
        faults.push((
            At::Repeat(first),
            fault(
                FaultName::BlockOrder,
                format!(
                    "A repeat ends where a block ends. Bar {to} is not the last bar of a block; the block there ends with bar {end}."
                ),
            ),
        ));
    }
    last
}

fn check_endings(stops: &[Stop], last: usize, end: usize, times: u32, faults: &mut Vec<(At, Fault)>) {
    let mut named: Vec<u32> = Vec::new();
    for (k, stop) in stops.iter().enumerate().take(end + 1).skip(last + 1) {
        for pass in stop.ending.iter().flatten() {
            if *pass == 0 || *pass > times {
                faults.push((
                    At::Ending(k),
                    fault(
                        FaultName::BlockOrder,
                        format!("There is no pass {pass}: the stretch before is played {times} times."),
                    ),
                ));
            } else if named.contains(pass) {
                faults.push((
                    At::Ending(k),
                    fault(FaultName::BlockOrder, format!("Pass {pass} has an ending already.")),
                ));
            } else {
                named.push(*pass);
            }
        }
    }
    if let Some(missing) = (1..=times).find(|p| !named.contains(p)) {
        faults.push((
            At::Ending(last + 1),
            fault(
                FaultName::BlockOrder,
                format!(
                    "No ending names pass {missing}: together the endings name every one of the {times} passes once."
                ),
            ),
        ));
    }
}

/// The repeated stretch that begins with this block; they stand in order.
fn beginning_at(spans: &[Span], block: usize) -> Option<&Span> {
    spans.binary_search_by_key(&block, |s| s.first).ok().and_then(|i| spans.get(i))
}

/// Plays a range of blocks, with repeats and endings or once through with the last ending.
fn play(stops: &[Stop], spans: &[Span], range: std::ops::Range<usize>, repeated: bool, out: &mut Vec<usize>) {
    let mut i = range.start;
    while i < range.end {
        let Some(span) = beginning_at(spans, i) else {
            out.push(i);
            i += 1;
            continue;
        };
        let passes = if repeated { 1..=span.times } else { span.times..=span.times };
        for pass in passes {
            out.extend(span.first..=span.last.min(range.end.saturating_sub(1)));
            out.extend(
                (span.last + 1..=span.end.min(range.end.saturating_sub(1))).filter(|k| {
                    stops.get(*k).and_then(|s| s.ending.as_ref()).is_none_or(|e| e.contains(&pass))
                }),
            );
            if out.len() > MOST_VISITS {
                return;
            }
        }
        i = span.end + 1;
    }
}

fn by_map(
    stops: &[Stop],
    spans: &[Span],
    map: &[Station],
    out: &mut Vec<usize>,
    faults: &mut Vec<(At, Fault)>,
) {
    let starts: Vec<usize> =
        stops.iter().enumerate().filter(|(_, s)| !s.section.is_empty()).map(|(i, _)| i).collect();
    let mut told: Vec<usize> = Vec::new();
    let mut sections: HashMap<Cow<'_, str>, usize> = HashMap::new();
    for (i, stop) in stops.iter().enumerate() {
        for name in &stop.section {
            sections.entry(normal(name)).or_insert(i);
        }
    }
    let mut unknown = 0;
    for (n, station) in map.iter().enumerate() {
        let first =
            if station.name == "start" { Some(0) } else { sections.get(&normal(&station.name)).copied() };
        let Some(first) = first else {
            unknown += 1;
            // Who has this many names wrong is not helped by guesses.
            let near = (unknown <= MOST_GUESSES)
                .then(|| {
                    crate::notation::nearest::nearest(
                        &station.name,
                        stops.iter().flat_map(|s| s.section.iter().map(String::as_str)),
                    )
                })
                .flatten();
            let hint = near.map_or_else(String::new, |n| format!(" Did you mean `{n}`?"));
            faults.push((
                At::Station(n),
                fault(FaultName::UnknownName, format!("No mark or spot is called `{}`.{hint}", station.name)),
            ));
            continue;
        };
        let end = if station.name == "start" {
            starts.first().copied().unwrap_or(stops.len())
        } else {
            starts.get(starts.partition_point(|s| *s <= first)).copied().unwrap_or(stops.len())
        };
        if let Some(span) =
            spans.iter().find(|s| s.first < end && s.end >= first && (s.first < first || s.end >= end))
            && !told.contains(&span.first)
        {
            told.push(span.first);
            faults.push((
                At::Repeat(span.first),
                fault(
                    FaultName::RepeatFault,
                    "This repeat reaches beyond its section, so the road map cannot play the section alone. End the repeat where the section ends, or leave it to the road map."
                        .to_owned(),
                ),
            ));
        }
        if station.counted {
            counted(stops, spans, first..end, station.times, out);
        } else {
            play(stops, spans, first..end, false, out);
        }
        if out.len() > MOST_VISITS {
            return;
        }
    }
}

/// `A*2`: the section so many times, its endings in order.
fn counted(stops: &[Stop], spans: &[Span], range: std::ops::Range<usize>, times: u32, out: &mut Vec<usize>) {
    for pass in 1..=times {
        let mut i = range.start;
        while i < range.end {
            let Some(span) = beginning_at(spans, i) else {
                out.push(i);
                i += 1;
                continue;
            };
            let ending = pass.min(span.times);
            out.extend(span.first..=span.last.min(range.end.saturating_sub(1)));
            out.extend((span.last + 1..=span.end.min(range.end.saturating_sub(1))).filter(|k| {
                stops.get(*k).and_then(|s| s.ending.as_ref()).is_none_or(|e| e.contains(&ending))
            }));
            i = span.end + 1;
        }
        if out.len() > MOST_VISITS {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stop(first_bar: i64, bars: u32) -> Stop {
        Stop { first_bar, bars, ..Stop::default() }
    }

    fn blocks(order: &Order) -> Vec<u32> {
        order.visits.iter().map(|v| v.block).collect()
    }

    #[test]
    fn a_repeat_with_endings_takes_each_in_turn() {
        let mut stops = vec![stop(1, 4), stop(5, 4), stop(9, 1), stop(10, 1), stop(11, 4)];
        stops[0].repeat = Some(Repeat { times: 3, to: Some(8) });
        stops[2].ending = Some(vec![1, 2]);
        stops[3].ending = Some(vec![3]);
        let order = order(&stops, None);
        assert!(order.faults.is_empty());
        assert_eq!(blocks(&order), [0, 1, 2, 0, 1, 2, 0, 1, 3, 4]);
        assert_eq!(order.visits[6], Visit { block: 0, pass: 3 });
    }

    #[test]
    fn an_ending_that_nobody_names_is_told() {
        let mut stops = vec![stop(1, 4), stop(5, 1)];
        stops[0].repeat = Some(Repeat { times: 2, to: None });
        stops[1].ending = Some(vec![2]);
        let order = order(&stops, None);
        assert!(order.faults[0].1.text.contains("pass 1"));
    }

    #[test]
    fn a_road_map_plays_a_section_once_with_its_last_ending_unless_counted() {
        let mut stops = vec![stop(1, 4), stop(5, 4), stop(9, 1), stop(10, 1), stop(11, 4)];
        stops[1].section = vec!["A".into()];
        stops[1].repeat = Some(Repeat { times: 2, to: None });
        stops[2].ending = Some(vec![1]);
        stops[3].ending = Some(vec![2]);
        stops[4].section = vec!["B".into()];
        let at = |name: &str, times, counted| Station { name: name.into(), times, counted };
        let map = [at("start", 1, false), at("A", 2, true), at("B", 1, false), at("A", 1, false)];
        let order = order(&stops, Some(&map));
        assert!(order.faults.is_empty(), "{:?}", order.faults);
        assert_eq!(blocks(&order), [0, 1, 2, 1, 3, 4, 1, 3]);
    }
}
