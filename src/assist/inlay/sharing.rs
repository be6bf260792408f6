//! Who gets which note of a chord that is dealt out: the names in the order of its entries.

use super::HintKind;
use super::row::{Part, Tell, Told, Voices};
use crate::notation::Span;
use crate::notation::tree::Member;
use crate::score::block::BlockRow;
use crate::score::event::EventKind;

/// How the chord before was dealt: told again only where that is another way.
#[derive(Default)]
pub struct Before(String);

/// The hint of one chord.
pub fn hint(
    voices: &Voices<'_>,
    chord: Span,
    members: &[Member],
    row: &BlockRow,
    before: &mut Before,
    tell: Tell<'_>,
) -> bool {
    let alone = one_player(row);
    let names: Vec<String> = members.iter().map(|m| people(voices.at(m.span), alone)).collect();
    // More entries than people, or fewer people than one: a finding tells of that.
    if names.iter().any(String::is_empty) || row.people.len() < 2 {
        return true;
    }
    let label = names.join(", ");
    if before.0 == label {
        return true;
    }
    before.0.clone_from(&label);
    let reason = || {
        let each = members.iter().rev().zip(names.iter().rev()).filter_map(|(member, names)| {
            let part = voices.at(member.span).first()?;
            Some(format!("{names}: {}", does(part)))
        });
        let each: Vec<String> = each.collect();
        format!(
            "Dealt by position: the last entry goes to the first named, and so on down.\n{}\nThe chords that follow in this row go the same way until another is told.",
            each.join("\n")
        )
    };
    tell(&Told { byte: chord.end, kind: HintKind::Sharing, label, reason: &reason })
}

fn one_player(row: &BlockRow) -> bool {
    row.people.windows(2).all(|pair| matches!(pair, [a, b] if a.player == b.player))
}

fn does(part: &Part<'_>) -> String {
    let event = &part.event;
    match event.kind {
        EventKind::Rest | EventKind::Improvised => "rests".to_owned(),
        EventKind::Hold => "holds on".to_owned(),
        _ if event.written == event.sounding => event.sounding.to_string(),
        _ => format!("{} concert, written {}", event.sounding, event.written),
    }
}

/// `Hn1+Hn3`, `Cor3 (2)`; `seat 2` where the row has one player only.
fn people(parts: &[Part<'_>], alone: bool) -> String {
    let mut all: Vec<String> = Vec::new();
    let mut rest = parts;
    while let Some(first) = rest.first() {
        let same = rest.iter().take_while(|p| p.player.id == first.player.id).count();
        let (mine, others) = rest.split_at_checked(same.max(1)).unwrap_or((rest, &[]));
        rest = others;
        let seats: Vec<String> = mine.iter().map(|p| (p.seat + 1).to_string()).collect();
        let whole = seats.len() as u32 == first.player.seats.max(1);
        all.push(match (whole && !alone, alone) {
            (true, _) => first.player.id.clone(),
            (false, true) if seats.len() == 1 => format!("seat {}", seats.join("+")),
            (false, true) => format!("seats {}", seats.join("+")),
            (false, false) => format!("{} ({})", first.player.id, seats.join("+")),
        });
    }
    all.join("+")
}
