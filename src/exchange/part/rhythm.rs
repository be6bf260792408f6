//! What concerns everybody: tempos, `[rit]`, words, and pauses that have no other place in this part.

use super::figure;
use super::pauses::Pause;
use super::ruled::sources;
use crate::music::Fraction;
use crate::notation::tree::{Bar, FigureNode, Instruction, LineTree, PlaceKind, Row, What};
use crate::score::figure::{Timed, value_letters};
use crate::score::score::Placed;

/// A thing of a rhythm row.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// In the bar, in whole notes.
    pub onset: Fraction,
    pub text: String,
    /// True if the speed is another from here.
    pub tempo: bool,
}

/// By bar of the block: the bar of the part's rhythm row, empty where it has nothing to say, and true
/// if a tempo is named in it.
pub fn cells(placed: &Placed) -> Vec<(String, bool)> {
    let hosts = hosts(placed);
    let bars = placed.read.lengths.iter().zip(things(placed)).zip(hosts);
    let cell = |((length, here), host): ((&Fraction, Vec<Shared>), Option<String>)| {
        let tempo = here.iter().any(|t| t.tempo);
        if here.iter().all(|t| t.onset.is_zero()) {
            return (joined(&here), tempo);
        }
        (host.or_else(|| cut(*length, &here)).unwrap_or_else(|| joined(&here)), tempo)
    };
    bars.map(cell).collect()
}

/// A bar of a rhythm row for fermatas alone; empty if there are none, or no figure has room for them.
pub fn fermatas(length: Fraction, pauses: &[Pause]) -> String {
    let mut cuts: Vec<Fraction> = Vec::new();
    let mut text = String::new();
    for pause in pauses {
        let start = cuts.iter().copied().filter(|c| *c < pause.after).max().unwrap_or_default();
        let ways = figure::ways_to_cut(start, length, pause.after).into_iter().filter_map(|way| {
            let all: Vec<Fraction> = cuts.iter().copied().chain(way).collect();
            let places = between(all.iter().copied(), length)?.into_iter();
            let with = |place: Timed| {
                let end = place.onset.plus(place.length);
                Timed { fermata: pauses.iter().any(|p| end == Some(p.after)), ..place }
            };
            Some((figure::write(&places.map(with).collect::<Vec<_>>())?, all))
        });
        if let Some((best, all)) = ways.min_by_key(|(figure, _)| figure.len()) {
            (text, cuts) = (best, all);
        }
    }
    text
}

/// The places of a bar that is cut here.
fn between(cuts: impl Iterator<Item = Fraction>, length: Fraction) -> Option<Vec<Timed>> {
    let mut edges: Vec<Fraction> = cuts.chain([Fraction::ZERO, length]).collect();
    edges.sort_unstable();
    edges.dedup();
    edges.retain(|edge| *edge <= length);
    let place = |pair: &[Fraction]| {
        let [from, to] = pair else { return None };
        let length = to.minus(*from)?;
        Some(Timed { onset: *from, length, kind: PlaceKind::Entry, fermata: false })
    };
    edges.windows(2).map(place).collect()
}

fn joined(things: &[Shared]) -> String {
    things.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
}

/// What the rhythm rows of a block say besides rhythm, by bar, in order.
fn things(placed: &Placed) -> Vec<Vec<Shared>> {
    let mut all: Vec<Vec<Shared>> = vec![Vec::new(); placed.read.lengths.len()];
    for (row, rhythm) in placed.read.block.rows.iter().zip(&placed.read.rhythms) {
        let Some(rhythm) = rhythm else { continue };
        let Some(line) = placed.read.block.text.lines.get(row.line as usize) else { continue };
        let LineTree::Row(tree) = &line.tree else { continue };
        for thing in &rhythm.things {
            let Some(item) = tree.items.get(thing.item as usize).filter(|i| concerns_all(i.what)) else {
                continue;
            };
            if let Some(bar) = all.get_mut(thing.bar as usize) {
                let tempo = matches!(item.what, What::Instruction(Instruction::Tempo(_)));
                bar.push(Shared { onset: thing.onset, text: item.span.of(&line.text).to_owned(), tempo });
            }
        }
    }
    all.iter_mut().for_each(|bar| bar.sort_by_key(|t| t.onset));
    all
}

fn concerns_all(what: What) -> bool {
    use Instruction::{ATempo, Accel, Rit, Tempo};
    matches!(what, What::Words | What::Instruction(Tempo(_) | Rit | Accel | ATempo))
}

/// By bar of the block: the bar of the score's rhythm row as it stands, where one alone says something.
fn hosts(placed: &Placed) -> Vec<Option<String>> {
    let bars = placed.read.lengths.len();
    let mut found: Vec<Option<String>> = vec![None; bars];
    let mut speakers = vec![0u32; bars];
    for (row, rhythm) in placed.read.block.rows.iter().zip(&placed.read.rhythms) {
        let Some(rhythm) = rhythm.as_ref().filter(|r| !r.things.is_empty()) else { continue };
        let Some(line) = placed.read.block.text.lines.get(row.line as usize) else { continue };
        let LineTree::Row(tree) = &line.tree else { continue };
        let sources = sources(tree, bars);
        let mut speaks: Vec<u32> = rhythm.things.iter().map(|t| t.bar).collect();
        speaks.dedup();
        for bar in speaks {
            let at = bar as usize;
            let text = sources.get(at).and_then(|(source, again)| {
                let bar = tree.bars.get(*source).filter(|_| !again)?;
                Some(as_it_stands(tree, &line.text, bar))
            });
            if let (Some(slot), Some(many)) = (found.get_mut(at), speakers.get_mut(at)) {
                *many += 1;
                *slot = text.filter(|_| *many == 1);
            }
        }
    }
    found
}

/// A bar of a rhythm row, places and things.
fn as_it_stands(tree: &Row, text: &str, source: &Bar) -> String {
    let nodes = source.nodes.of(&tree.nodes);
    let items: Vec<_> = source.items.of(&tree.items).iter().filter(|i| concerns_all(i.what)).collect();
    let mut words = String::new();
    let push = |words: &mut String, word: &str, apart: bool| {
        if apart && !words.is_empty() {
            words.push(' ');
        }
        words.push_str(word);
    };
    for at in 0..=nodes.len() {
        for item in items.iter().filter(|i| usize::from(i.after) == at) {
            push(&mut words, item.span.of(text), true);
        }
        let Some(node) = nodes.get(at) else { break };
        let (span, apart) = match node {
            FigureNode::Place(place) => (place.span, true),
            FigureNode::Open { span, .. } => (*span, true),
            FigureNode::Close { span, .. } => (*span, false),
        };
        push(&mut words, span.of(text), apart);
    }
    words
}

/// A figure that has a place wherever something stands. Inside a tuplet nothing can stand.
fn cut(length: Fraction, things: &[Shared]) -> Option<String> {
    // One value alone would rule every entry, and nothing could stand behind it.
    let half = length.times(Fraction::new(1, 2)?)?;
    let inside = things.iter().map(|t| t.onset);
    let places = if things.iter().all(|t| t.onset == length || t.onset.is_zero()) {
        between(std::iter::once(half), length)?
    } else {
        between(inside, length)?
    };
    let stands = |at: Fraction| things.iter().filter(move |t| t.onset == at).map(|t| t.text.clone());
    let mut words: Vec<String> = Vec::new();
    for place in &places {
        words.extend(stands(place.onset));
        words.push(value_letters(place.length)?);
    }
    words.extend(stands(length));
    Some(words.join(" "))
}
