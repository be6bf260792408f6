//! A row of several players written out: a row for each.

use super::Draft;
use crate::assist::cure::RowHere;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Instruction, Item, Mark, Member, MemberKind, RowKind, What};
use crate::rules::Desk;
use crate::score::row::dealt;
use std::fmt::Write as _;

/// `None` where the row is one player's, or cannot be dealt by its text.
pub fn draft(desk: &Desk, row: &RowHere<'_>) -> Option<Draft> {
    let players = row.players();
    let alone = |item: &Item| matches!(item.what, What::Instruction(Instruction::Solo | Instruction::Tutti));
    let sound = row.row.kind == RowKind::Music
        && row.row.sure
        && row.line.faults.is_empty()
        && row.tree.closed
        && players.len() > 1
        && !row.tree.items.iter().any(alone);
    if !sound {
        return None;
    }
    let ids: Vec<&str> =
        players.iter().filter_map(|p| Some(&*desk.score().head.players.get(usize::from(*p))?.id)).collect();
    let begins = row.tree.names.first()?.start;
    let bars = row.line.tokens.iter().find(|t| t.kind.is_barline())?.span.start;
    let mut lines = Vec::with_capacity(players.len());
    for (n, (player, id)) in players.iter().zip(&ids).enumerate() {
        let mut text = Span::new(0, begins).of(&row.line.text).to_owned();
        write!(text, "{id} ").ok()?;
        text += &bars_of(row, *player, bars)?;
        let end = crate::assist::cure::own_end(row.line);
        if n == 0 {
            text += row.line.text.get(end as usize..)?;
        }
        lines.push(text);
    }
    let title = match ids.as_slice() {
        [one, other] => format!("Write the row out for {one} and {other}"),
        all => format!("Write the row out for its {} players", all.len()),
    };
    Some(Draft { title, block: row.block, first: row.at_line(), last: row.at_line(), lines })
}

/// The bars as one player has them, from the first barline to the last.
fn bars_of(row: &RowHere<'_>, player: u16, from: u32) -> Option<String> {
    let end = crate::assist::cure::own_end(row.line);
    let (mut out, mut at) = (String::new(), from);
    for item in &row.tree.items {
        let (What::Chord(slice) | What::GraceChord(slice)) = item.what else { continue };
        let members = mine(row, player, slice.of(&row.tree.members))?;
        let grace = matches!(item.what, What::GraceChord(_));
        out += row.line.text.get(at as usize..item.span.start as usize)?;
        at = item.span.end;
        match entry(row.line, item, &members, grace)? {
            Some(text) => out += &text,
            // A grace of others goes with the blank behind it.
            None => {
                let rest = row.line.text.get(at as usize..)?;
                at += (rest.len() - rest.trim_start_matches([' ', '\t']).len()) as u32;
            }
        }
    }
    out += row.line.text.get(at as usize..end as usize)?;
    Some(out)
}

/// What a player's people take of a chord, the first named first.
fn mine<'m>(row: &RowHere<'_>, player: u16, members: &'m [Member]) -> Option<Vec<&'m Member>> {
    let people = &row.row.people;
    let all = people.iter().enumerate().filter(|(_, p)| p.player == player);
    all.map(|(i, _)| members.get(dealt(i, people.len(), members.len())?)).collect()
}

/// The text of an entry for whoever takes these members; `None` inside for a grace that they do not play.
pub fn entry(line: &Line, item: &Item, members: &[&Member], grace: bool) -> Option<Option<String>> {
    let close =
        line.tokens.iter().rposition(|t| t.kind == Kind::ParenClose && t.span.end <= item.span.end)?;
    let behind: Vec<Token> =
        line.tokens.iter().skip(close + 1).take_while(|t| t.span.end <= item.span.end).copied().collect();
    let first = members.first()?;
    let said = |m: &&Member| m.span.of(&line.text);
    let one = members.iter().all(|m| said(m) == said(first));
    if !one {
        // People of one part who part: their own chord, upwards, with the marks of the whole.
        let inside: Vec<&str> = members.iter().rev().map(said).collect();
        let marks = Span::new(line.tokens.get(close)?.span.end, item.span.end).of(&line.text);
        let slash = if grace { "/" } else { "" };
        return Some(Some(format!("{slash}({}){marks}", inside.join(" "))));
    }
    if grace && !matches!(first.what, MemberKind::Note(_)) {
        return Some(None);
    }
    let mut text = if grace { "/".to_owned() } else { String::new() };
    text += said(first);
    let own = tokens_in(line, first.span);
    let mut behind = behind.into_iter().peekable();
    while let Some(token) = behind.next() {
        let mut mark = token.of(&line.text).to_owned();
        // `:trill=Eb5` is one.
        if token.kind == Kind::Technique
            && let Some(equals) = behind.next_if(|t| t.kind == Kind::Equals)
        {
            mark += equals.of(&line.text);
            mark += behind.next().map_or("", |t| t.of(&line.text));
        }
        let twice = own.iter().any(|t| t.of(&line.text) == token.of(&line.text) && t.kind != Kind::Pitch);
        if token.kind == Kind::Times || !twice && may_carry(first.what, token.of(&line.text)) {
            text += &mark;
        }
    }
    Some(Some(text))
}

fn may_carry(what: MemberKind, sign: &str) -> bool {
    match what {
        MemberKind::Note(_) => true,
        MemberKind::Rest => Mark::ON_REST.iter().any(|m| m.sign() == sign),
        MemberKind::Hold => Mark::ON_HOLD.iter().any(|m| m.sign() == sign),
    }
}

fn tokens_in(line: &Line, span: Span) -> Vec<Token> {
    line.tokens.iter().filter(|t| span.start <= t.span.start && t.span.end <= span.end).copied().collect()
}
