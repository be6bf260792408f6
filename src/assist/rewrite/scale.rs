//! All values halved or doubled: the meter and the tempo follow, so that every second stays.

use super::Refusal;
use super::draft::Draft;
use super::faults::sound_everywhere;
use super::transpose::setting_place;
use crate::assist::cure::notes::tokens;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{FigureNode, Instruction, LineTree, Meter, Row, SettingKind, What};
use crate::rules::Desk;
use std::fmt::Write as _;
use std::sync::Arc;

/// The letters of the values, the longest first.
const LETTERS: [&str; 8] = ["ww", "w", "h", "q", "e", "s", "ss", "sss"];
/// Largest lower number of a meter.
const FINEST: u32 = 64;
/// Most beats of a bar.
const MOST_BEATS: u32 = 99;

/// The factor as an exact number.
pub fn factor(double: bool) -> Fraction {
    let half = Fraction::new(1, 2).unwrap_or(Fraction::ONE);
    if double { Fraction::new(2, 1).unwrap_or(Fraction::ONE) } else { half }
}

/// The whole score.
pub fn draft<'a>(desk: &'a Desk, double: bool) -> Result<Draft<'a>, Refusal> {
    sound_everywhere(desk)?;
    let score = desk.score();
    let mut draft = Draft::of(desk);
    let own = |line: &Arc<Line>| score.head.lines.iter().any(|l| Arc::ptr_eq(l, line));
    if let Some(phrase) = score.head.phrases.iter().find(|p| !own(&p.line)) {
        return Err(Refusal::new(format!(
            "the phrase {} stands in an included file, which keeps its values",
            phrase.name
        )));
    }
    for (at, line) in desk.document().lines().iter().enumerate() {
        let edits = match &line.tree {
            LineTree::Row(row) => of_row(line, row, double),
            LineTree::Phrase(phrase) => of_row(line, &phrase.row, double),
            LineTree::Block(_) => header(line, double),
            _ => continue,
        };
        let edits = edits.map_err(|why| why.at(place(desk, at as u32)))?;
        draft.put_all(at as u32, edits);
    }
    // What no line says is 4/4, and it follows too.
    if let Some(first) = score.blocks.first().filter(|b| b.read.block.meters.is_none())
        && let Some(line) = first.read.block.text.lines.first()
        && let LineTree::Block(header) = &line.tree
    {
        let at = setting_place(line, header);
        let meter = if double { "4/2" } else { "4/8" };
        draft.put(first.line, Span::new(at, at), format!("  meter {meter}"));
    }
    Ok(draft)
}

fn place(desk: &Desk, line: u32) -> String {
    let block = desk.score().block_at(line).and_then(|b| desk.score().blocks.get(b));
    match block {
        Some(placed) => format!("line {} (the block of bar {})", line + 1, placed.frame.first_bar),
        None => format!("line {}", line + 1),
    }
}

fn of_row(line: &Line, row: &Row, double: bool) -> Result<Vec<(Span, String)>, Refusal> {
    let mut edits = Vec::new();
    for node in &row.nodes {
        if let FigureNode::Place(place) = node {
            values(line, place.span, double, &mut edits)?;
        }
    }
    for item in &row.items {
        if let What::Instruction(Instruction::Tempo(_)) = item.what {
            tempo(line, item.span, double, &mut edits)?;
        }
    }
    Ok(edits)
}

/// Every value of a stretch.
fn values(line: &Line, span: Span, double: bool, edits: &mut Vec<(Span, String)>) -> Result<(), Refusal> {
    for token in tokens(line, span).filter(|t| t.kind == Kind::Word) {
        let said = token.of(&line.text);
        let Some(at) = LETTERS.iter().position(|l| *l == said) else { continue };
        let to = if double { at.checked_sub(1) } else { Some(at + 1) };
        let with = to.and_then(|to| LETTERS.get(to)).ok_or_else(|| {
            let (way, what) =
                if double { ("longer than ww", "doubled") } else { ("shorter than sss", "halved") };
            Refusal::new(format!("{said} cannot be {what}: no value is {way}"))
        })?;
        edits.push((token.span, (*with).to_owned()));
    }
    Ok(())
}

/// The value that a tempo counts, from the quote or the word before to the sign.
fn tempo(line: &Line, span: Span, double: bool, edits: &mut Vec<(Span, String)>) -> Result<(), Refusal> {
    let all: Vec<_> = tokens(line, span).collect();
    let sign = all.iter().rfind(|t| t.kind == Kind::Equals).map_or(span.end, |t| t.span.start);
    let word = all.iter().find(|t| t.of(&line.text) == "tempo").map_or(span.start, |t| t.span.end);
    values(line, Span::new(word, sign), double, edits)
}

fn header(line: &Line, double: bool) -> Result<Vec<(Span, String)>, Refusal> {
    let LineTree::Block(header) = &line.tree else { return Ok(Vec::new()) };
    let mut edits = Vec::new();
    for setting in &header.settings {
        match &setting.what {
            SettingKind::Tempo(_) => tempo(line, setting.span, double, &mut edits)?,
            SettingKind::Pickup(_) | SettingKind::Close(_) => {
                let word = tokens(line, setting.span).next().map_or(setting.span.start, |t| t.span.end);
                values(line, Span::new(word, setting.span.end), double, &mut edits)?;
            }
            SettingKind::Meter(meters) => {
                let mut text = "meter".to_owned();
                for meter in meters {
                    let _ = write!(text, " {}", scaled(meter, double)?);
                }
                edits.push((setting.span, text));
            }
            _ => {}
        }
    }
    Ok(edits)
}

/// `3+2/8` as `3+2/4`.
pub fn scaled(meter: &Meter, double: bool) -> Result<String, Refusal> {
    let groups = |by: &dyn Fn(u32) -> u32| {
        meter.groups.iter().map(|g| by(*g).to_string()).collect::<Vec<_>>().join("+")
    };
    let refuse = || {
        Refusal::new(format!(
            "the meter {}/{} has no {}",
            groups(&|g| g),
            meter.beat,
            if double { "double" } else { "half" }
        ))
    };
    let (text, beat) = match (double, meter.beat) {
        (true, 1) => {
            let sum: u32 = meter.groups.iter().fold(0, |sum, g| sum.saturating_add(g.saturating_mul(2)));
            if sum > MOST_BEATS {
                return Err(refuse());
            }
            (groups(&|g| g.saturating_mul(2)), 1)
        }
        (true, beat) => (groups(&|g| g), beat / 2),
        (false, beat) if beat < FINEST => (groups(&|g| g), beat.saturating_mul(2)),
        (false, beat) if meter.groups.iter().all(|g| g % 2 == 0) => (groups(&|g| g / 2), beat),
        _ => return Err(refuse()),
    };
    Ok(format!("{text}/{beat}"))
}
