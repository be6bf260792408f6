//! Bars made a phrase, and a phrase written out where it is played.

use super::Refusal;
use super::bar_text::{around, bar, figure, items, over_bar, squeezed};
use super::draft::Draft;
use super::expand::repeated;
use super::faults::{sound_everywhere, sound_in};
use super::hands::readings;
use super::pitch::{Change, View};
use super::selected::Selected;
use super::transpose::shift_words;
use crate::assist::cure::case::RowHere;
use crate::assist::cure::figure::text_of;
use crate::assist::cure::notes::tokens;
use crate::brass::register::own_reading;
use crate::music::{Interval, Key, Pitch};
use crate::notation::Span;
use crate::notation::line::{LINE_WORDS, Line};
use crate::notation::token::Kind;
use crate::notation::tree::{
    Bar, Basis, FigureNode, Item, LineTree, Place, PlaceKind, Play, Register, Row, What,
};
use crate::rules::Desk;
use crate::score::phrase::Phrase;
use crate::score::score::Score;
use std::sync::Arc;

/// Keys in which instruments are read.
const READ_IN: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];

/// A name that nothing in the score has.
pub fn free_name(score: &Score) -> String {
    let taken = |name: &str| score.head.names.get(name).is_some() || score.head.phrases.find(name).is_some();
    let name = (1..).map(|n| format!("motif{n}")).find(|name| !taken(name));
    name.unwrap_or_else(|| "motif".to_owned())
}

/// The bars of one row as a phrase of the head, played in their place.
pub fn extract<'a>(desk: &'a Desk, selected: &Selected, name: &str) -> Result<Draft<'a>, Refusal> {
    let score = desk.score();
    let [chosen] = selected.rows.as_slice() else {
        return Err(Refusal::new("a phrase is made of the bars of one row"));
    };
    if LINE_WORDS.contains(&name) || score.head.names.get(name).is_some() {
        return Err(Refusal::new(format!("{name} is taken")));
    }
    if !crate::notation::grammar::words::is_id(name) {
        return Err(Refusal::new(format!("{name} is no name: a letter, then letters, digits or _")));
    }
    sound_in(desk, &[selected.block])?;
    let row = RowHere::at(score, selected.block, chosen.number)
        .ok_or_else(|| Refusal::new("there is no such row"))?;
    let (view, words) = as_phrase(desk, &row, chosen.sources)?;
    let mut bars: Vec<String> = Vec::new();
    for source in chosen.sources.0..=chosen.sources.1 {
        let Some(one) = row.tree.bars.get(source) else { continue };
        bars.push(phrase_bar(&row, one, source, bars.is_empty(), view)?);
    }
    let text = bars.join(" | ");
    let mut draft = Draft::of(desk);
    declare(desk, &format!("phrase {name}{words} | {text} |"), &mut draft);
    let (Some(first), Some(last)) =
        (row.tree.bars.get(chosen.sources.0), row.tree.bars.get(chosen.sources.1))
    else {
        return Err(Refusal::new("there are no such bars"));
    };
    draft.put(row.at_line(), Span::new(first.span.start, last.span.end), format!(" play {name} "));
    // What repeated the last of them has nothing to repeat now.
    if let Some(next) = row.tree.bars.get(chosen.sources.1 + 1)
        && items(row.tree, next).iter().any(|i| matches!(i.what, What::Again(_)))
    {
        let text = repeated(&row, chosen.sources.1 + 1, &|_| false)?;
        draft.put(row.at_line(), super::bar_text::inside(row.line, next), text);
    }
    Ok(draft)
}

/// How the pitches of a row change on the way into a phrase, and the words behind its name.
fn as_phrase(
    desk: &Desk,
    row: &RowHere<'_>,
    sources: (usize, usize),
) -> Result<(Option<Change>, String), Refusal> {
    if desk.score().head.basis == Basis::Concert {
        return Ok((None, String::new()));
    }
    let all = readings(desk, row.block)?;
    let range = row.tree.bars.get(sources.0).map_or(0, |b| b.items.start)
        ..row.tree.bars.get(sources.1).map_or(0, |b| b.items.end);
    let mut found = range.filter_map(|at| all.get(&(row.row.line, at))).map(|r| r.interval);
    let Some(reads) = found.next() else { return Ok((None, String::new())) };
    if found.any(|other| other != reads) {
        return Err(Refusal::new("the instrument in hand changes within these bars"));
    }
    let registers = [None, Some(Register::Basso), Some(Register::Up)];
    let keys = READ_IN.iter().filter_map(|k| Some((*k, Pitch::parse(&format!("{k}4"))?)));
    let named = keys
        .flat_map(|(word, key)| registers.map(|r| (word, key, r)))
        .find(|(_, key, register)| own_reading(*key, *register) == reads && reads != Interval::UNISON);
    if let Some((word, _, register)) = named {
        let register = register.map_or(String::new(), |r| format!(" {}", r.word()));
        return Ok((None, format!(" in {word}{register}")));
    }
    let key = row.placed.frame.key;
    Ok((Some(change(reads, key)), String::new()))
}

/// From a written row to a phrase at concert pitch.
fn change(reads: Interval, key: Option<Key>) -> Change {
    let old = View { sounds: reads, key, basis: Basis::Written };
    let new = View { sounds: Interval::UNISON, key, basis: Basis::Concert };
    Change { old, new, row: reads, keeps_fingerings: true, names_trills: false }
}

/// An item with its pitches changed.
fn moved(line: &Line, row: &Row, item: &Item, change: Option<Change>) -> Result<String, Refusal> {
    let Some(change) = change else { return Ok(squeezed(line, item.span)) };
    let mut edits = change.item(line, row, item)?;
    edits.sort_by_key(|(span, _)| *span);
    let mut out = String::new();
    let mut at = item.span.start;
    for (span, with) in edits {
        out.push_str(Span::new(at, span.start).of(&line.text));
        out.push_str(&with);
        at = span.end;
    }
    out.push_str(Span::new(at, item.span.end).of(&line.text));
    Ok(out)
}

/// A bar as a phrase has it: with its own figure, and in the pitch of the phrase.
fn phrase_bar(
    row: &RowHere<'_>,
    one: &Bar,
    source: usize,
    first: bool,
    change: Option<Change>,
) -> Result<String, Refusal> {
    let number = row.number_of(row.first_bar(source));
    let all = items(row.tree, one);
    let Some(item) = all.iter().find(|i| i.what.is_entry() || i.what.is_bars()) else {
        return Err(Refusal::new(format!(
            "bar {number} is blank here, and a phrase has no blank bars; write a rest first"
        )));
    };
    match item.what {
        What::Improvise(_) => {
            return Err(Refusal::new(format!("bar {number} is improvised, and a phrase holds notes")));
        }
        What::Again(_) if first => {
            return Err(Refusal::new(format!(
                "bar {number} repeats a bar that is not selected; write the % out first"
            )));
        }
        _ => {}
    }
    let silent = item.what.is_bars()
        || (item.what.is_entry() && !one.has_figure && !super::figures::is_list(row, source));
    if silent && (all.len() > 1 || !item.marks.is_empty()) {
        return Err(Refusal::new(format!(
            "bar {number} has marks or words around a rest, a hold, a % or a phrase, which would be lost in a phrase"
        )));
    }
    let own = figure(row, one, row.first_bar(source));
    let figure = own.filter(|_| one.has_figure || super::figures::is_list(row, source));
    let nodes = one.nodes.of(&row.tree.nodes);
    let held = matches!(nodes.first(), Some(FigureNode::Place(Place { kind: PlaceKind::Hold, .. })))
        || figure.as_deref().is_some_and(|f| f.split(' ').next().is_some_and(|p| p.contains('=')));
    let holds = matches!(item.what, What::Hold) || held;
    if first && holds {
        return Err(Refusal::new(format!(
            "bar {number} begins with a note held on from before, which a phrase cannot"
        )));
    }
    let words: Result<Vec<String>, Refusal> =
        all.iter().map(|item| moved(row.line, row.tree, item, change)).collect();
    Ok(bar(figure.as_deref(), "", &words?.join(" "), ""))
}

/// A phrase line below the others, else below the players.
fn declare(desk: &Desk, text: &str, draft: &mut Draft<'_>) {
    let lines = &desk.score().head.lines;
    let last = |like: &dyn Fn(&LineTree) -> bool| lines.iter().rposition(|l| like(&l.tree));
    let phrase = last(&|t| matches!(t, LineTree::Phrase(_)));
    let player = last(&|t| matches!(t, LineTree::Player(_) | LineTree::Group(_) | LineTree::Instrument(_)));
    let any = last(&|t| !matches!(t, LineTree::Blank | LineTree::Bad));
    match phrase.or(player).or(any) {
        Some(at) => draft.below(at as u32, text),
        None => draft.above(0, text),
    }
}

/// A `play` of a row written out.
pub fn inline<'a>(desk: &'a Desk, line: u32, item: usize) -> Result<Draft<'a>, Refusal> {
    let row = RowHere::on(desk, line).ok_or_else(|| Refusal::new("there is no row here"))?;
    sound_in(desk, &[row.block])?;
    let mut draft = Draft::of(desk);
    one(desk, &row, item, &mut draft)?;
    Ok(draft)
}

/// A phrase written out wherever it is played, and its line taken out.
pub fn inline_all<'a>(desk: &'a Desk, line: u32) -> Result<Draft<'a>, Refusal> {
    sound_everywhere(desk)?;
    let score = desk.score();
    let own = score.head.lines.get(line as usize).ok_or_else(|| Refusal::new("there is no phrase here"))?;
    let phrase = score
        .head
        .phrases
        .iter()
        .find(|p| Arc::ptr_eq(&p.line, own))
        .ok_or_else(|| Refusal::new("there is no phrase here"))?;
    let plays = |text: &str, play: &Play| {
        score.head.phrases.find(play.phrase.of(text)).is_some_and(|p| p.name == phrase.name)
    };
    for other in score.head.phrases.iter() {
        let inside = other.tree().is_some_and(|t| t.row.plays.iter().any(|p| plays(&other.line.text, p)));
        if inside {
            return Err(Refusal::new(format!(
                "the phrase {} is played inside the phrase {}",
                phrase.name, other.name
            )));
        }
    }
    let mut draft = Draft::of(desk);
    for block in 0..score.blocks.len() {
        let rows = score.blocks.get(block).map_or(0, |b| b.read.block.rows.len());
        for number in 0..rows {
            let Some(row) = RowHere::at(score, block, number) else { continue };
            for (at, item) in row.tree.items.iter().enumerate() {
                let What::Play(play) = item.what else { continue };
                if row.tree.plays.get(play as usize).is_some_and(|p| plays(&row.line.text, p)) {
                    one(desk, &row, at, &mut draft)?;
                }
            }
        }
    }
    draft.remove(line);
    Ok(draft)
}

fn one(desk: &Desk, row: &RowHere<'_>, at: usize, draft: &mut Draft<'_>) -> Result<(), Refusal> {
    let nothing = || Refusal::new("there is no phrase played here");
    let item = row.tree.items.get(at).ok_or_else(nothing)?;
    let What::Play(index) = item.what else { return Err(nothing()) };
    let play = row.tree.plays.get(index as usize).ok_or_else(nothing)?;
    let phrase = desk.score().head.phrases.find(play.phrase.of(&row.line.text)).ok_or_else(nothing)?;
    let source = row
        .tree
        .bars
        .iter()
        .position(|b| (b.items.start..b.items.end).contains(&(at as u32)))
        .ok_or_else(nothing)?;
    let whole = row.tree.bars.get(source).ok_or_else(nothing)?;
    let key = row.placed.frame.key;
    let to_concert = phrase.to_concert.then(play.shift);
    let sounds = match desk.score().head.basis {
        Basis::Concert => Interval::UNISON,
        Basis::Written => {
            let all = readings(desk, row.block)?;
            all.get(&(row.row.line, at as u32)).map_or(Interval::UNISON, |r| r.interval)
        }
    };
    let change = Change {
        old: View { sounds: to_concert, key, basis: Basis::Concert },
        new: View { sounds, key, basis: desk.score().head.basis },
        row: to_concert.then(sounds.inverse()),
        keeps_fingerings: true,
        names_trills: false,
    };
    let (before, after) = around(row.line, items(row.tree, whole));
    let mut bars: Vec<(Option<String>, String)> = Vec::new();
    let mut over = row.first_bar(source);
    for _ in 0..play.times.max(1) {
        written_out(desk.score(), row, phrase, play.shift, change, &mut over, &mut bars)?;
    }
    let last = bars.len().saturating_sub(1);
    let texts: Vec<String> = bars
        .into_iter()
        .enumerate()
        .map(|(n, (figure, list))| {
            let before = if n == 0 { before.as_str() } else { "" };
            let after = if n == last { after.as_str() } else { "" };
            bar(figure.as_deref(), before, &list, after)
        })
        .collect();
    draft.put(row.at_line(), super::bar_text::inside(row.line, whole), texts.join(" | "));
    Ok(())
}

/// The bars of a phrase, figure and list; a figure that the rhythm row has over the bar is left to it.
fn written_out(
    score: &Score,
    row: &RowHere<'_>,
    phrase: &Phrase,
    shift: Interval,
    change: Change,
    over: &mut u32,
    out: &mut Vec<(Option<String>, String)>,
) -> Result<(), Refusal> {
    let tree = phrase.tree().ok_or_else(|| Refusal::new("the phrase cannot be read"))?;
    for one in &tree.row.bars {
        let mut words = Vec::new();
        for item in items(&tree.row, one) {
            if let What::Play(inner) = item.what
                && let Some(inner) = tree.row.plays.get(inner as usize)
            {
                let shift = shift_words(inner.shift.then(shift)).ok_or_else(|| {
                    Refusal::new("a phrase inside it would be played at a distance without a name")
                })?;
                let times = tokens(&phrase.line, item.span).find(|t| t.kind == Kind::Times);
                let times = times.map_or("", |t| t.of(&phrase.line.text));
                words.push(format!("play {}{shift}{times}", inner.phrase.of(&phrase.line.text)));
            } else {
                words.push(moved(&phrase.line, &tree.row, item, Some(change))?);
            }
        }
        let nodes = one.nodes.of(&tree.row.nodes);
        let own = one.has_figure.then(|| text_of(nodes, &phrase.line.text));
        let entries = items(&tree.row, one).iter().filter(|i| i.what.is_entry()).count();
        let shared = entries > 1 && own.is_some() && over_bar(row, *over) == own;
        out.push((own.filter(|_| !shared), words.join(" ")));
        let bars = crate::score::row::bar_span(one, &tree.row, &phrase.line.text, &score.head.phrases);
        *over = over.saturating_add(bars.max(1));
    }
    Ok(())
}
