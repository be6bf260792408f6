//! What of a chord is this player's: one entry, or a chord for several seats.

use crate::notation::tree::{Marks, Member, MemberKind};
use crate::score::event::member;
use crate::score::pair::PairRow;
use crate::score::player::Player;
use crate::score::row::dealt;

/// This player's share of a chord.
pub enum Share<'m> {
    /// One entry for all seats; `None` is a rest.
    One(Option<&'m Member>),
    /// Entries from the lowest to the highest.
    Chord(Vec<Option<&'m Member>>),
}

/// Deals a chord of a row.
pub fn share<'m>(members: &'m [Member], row: &PairRow, player: &Player, solo: bool) -> Share<'m> {
    let seats = if solo { 1 } else { player.seats.max(1) };
    let taken: Vec<Option<&Member>> =
        (0..seats).map(|seat| member(members, row, seat, player, solo)).collect();
    let first = taken.first().copied().flatten();
    if taken.iter().all(|m| same(*m, first)) {
        return Share::One(first);
    }
    let rests = |m: &Option<&Member>| m.is_none_or(|m| m.what == MemberKind::Rest);
    let holds = |m: &Option<&Member>| m.is_some_and(|m| m.what == MemberKind::Hold);
    if taken.iter().all(rests) || taken.iter().all(holds) {
        return Share::One(first);
    }
    let sounds = |m: &Option<&Member>| m.is_some_and(|m| matches!(m.what, MemberKind::Note(_)));
    if taken.iter().all(sounds)
        && let Some(fewer) = (2..taken.len()).find_map(|n| fewest(&taken, n))
    {
        return Share::Chord(fewer);
    }
    Share::Chord(taken.into_iter().rev().collect())
}

/// `n` entries that are dealt as these are taken, if there are such.
fn fewest<'m>(taken: &[Option<&'m Member>], n: usize) -> Option<Vec<Option<&'m Member>>> {
    let mut entries: Vec<Option<&Member>> = vec![None; n];
    for (person, member) in taken.iter().enumerate() {
        let slot = entries.get_mut(dealt(person, taken.len(), n)?)?;
        match slot {
            None => *slot = *member,
            Some(_) if same(*slot, *member) => {}
            Some(_) => return None,
        }
    }
    entries.iter().all(Option::is_some).then_some(entries)
}

fn same(a: Option<&Member>, b: Option<&Member>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => std::ptr::eq(a, b),
        (None, None) => true,
        _ => false,
    }
}

/// Marks of a member, none for a rest that nobody wrote.
pub fn marks_of(member: Option<&Member>) -> Marks {
    member.map_or(Marks::default(), |m| m.marks)
}
