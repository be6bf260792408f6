//! Whether everything is as it was but for who plays.

use super::Declined;
use crate::assist::cure::Trial;
use crate::music::{Dynamic, Fraction, Pitch};
use crate::notation::tree::{Mark, Marks};
use crate::rules::Desk;
use crate::score::event::{Event, EventKind};
use crate::score::state::PlayedState;
use crate::section::Stretch;
use crate::section::stretch::{begins, ends, sounds};

/// True if the same pitches sound at the same times in a block, whoever plays them; `once` where two had one
/// note together.
pub fn same_sound(before: &Desk, after: &Desk, block: usize, once: bool) -> bool {
    let heard = |desk: &Desk| {
        let people = 0..desk.score().head.players.len();
        let events = people.flat_map(|p| desk.report().events(desk.score(), block, p));
        let sounding = events.filter(sounds);
        let mut all: Vec<_> = sounding.map(|e| (begins(&e), ends(&e), e.kind as u8, height(&e))).collect();
        all.sort_unstable();
        if once {
            all.dedup();
        }
        all
    };
    let time = |desk: &Desk| desk.report().clock.block(block);
    let same_time = match (time(before), time(after)) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-9,
        (a, b) => a == b,
    };
    same_time && heard(before) == heard(after)
}

fn height(event: &Event) -> i32 {
    if event.kind == EventKind::Hold { 0 } else { event.sounding.midi() }
}

/// One note as somebody plays it, and its dynamic.
pub type Played =
    ((EventKind, u32, Fraction, Fraction, i32, Marks, Option<Pitch>, Option<PlayedState>), Option<Dynamic>);

/// What a player does in the stretch or outside of it. Words beside a hold that the figure writes have no place of
/// their own, so holds tell no state.
fn played(desk: &Desk, stretch: &Stretch, player: usize, inside: bool) -> Vec<Played> {
    let all = desk.report().events(desk.score(), stretch.block, player);
    let here = all.into_iter().filter(|e| sounds(e) && stretch.has(e) == inside);
    here.map(|e| told(e, inside)).collect()
}

/// One thing that a player does, to be compared; `handed` if somebody else may have it afterwards.
pub fn told(mut e: Event, handed: bool) -> Played {
    e.marks.trill = None;
    if handed {
        // The taker has another hand, and another instrument in it.
        e.marks.choice = None;
        e.played.instrument = 0;
    }
    if e.kind == EventKind::Hold {
        // Whoever holds in a chord has marks of the others there, which nobody hears.
        Mark::ALL.into_iter().filter(|m| !Mark::ON_HOLD.contains(m)).for_each(|m| e.marks.remove(m));
    }
    let trill = e.trill_to.map(|p| Pitch::plain(p.midi(), false));
    let state = (e.kind != EventKind::Hold).then_some(e.played);
    let dynamic = e.dynamic.filter(|_| e.kind == EventKind::Note);
    ((e.kind, e.bar, e.onset, e.length, height(&e), e.marks, trill, state), dynamic)
}

/// Where no dynamic was in force, one may be.
pub fn same(before: &[Played], after: &[Played]) -> bool {
    let alike = |(a, b): (&Played, &Played)| a.0 == b.0 && (a.1 == b.1 || a.1.is_none());
    before.len() == after.len() && before.iter().zip(after).all(alike)
}

/// Checks a change: `moved` are the players whose notes of the stretch went, each with whoever has them now.
pub fn check(
    desk: &Desk,
    trial: &Trial,
    stretch: &Stretch,
    moved: &[(usize, Option<usize>)],
) -> Result<(), Declined> {
    let after = trial.desk();
    let once = moved.iter().any(|(_, to)| to.is_none());
    let players = moved.iter().flat_map(|(from, to)| [Some(*from), *to]).flatten();
    let as_before = |player: usize| {
        let outside = |desk| played(desk, stretch, player, false);
        same(&outside(desk), &outside(after)) && same_later(desk, after, stretch.block, player)
    };
    let arrived = |(from, to): &(usize, Option<usize>)| match to {
        Some(to) => same(&played(desk, stretch, *from, true), &played(after, stretch, *to, true)),
        None => played(after, stretch, *from, true).is_empty(),
    };
    let fine = same_sound(desk, after, stretch.block, once)
        && players.into_iter().all(as_before)
        && moved.iter().all(arrived);
    if fine { Ok(()) } else { Err(Declined::Otherwise) }
}

/// True if a player begins every later block as before.
pub fn same_later(before: &Desk, after: &Desk, block: usize, player: usize) -> bool {
    let tracks = before.report().tracks.get(player).zip(after.report().tracks.get(player));
    let Some((a, b)) = tracks else { return false };
    a.blocks.len() == b.blocks.len()
        && a.blocks.iter().zip(&b.blocks).skip(block + 1).all(|pair| match pair {
            (Some(a), Some(b)) => {
                let (a, b) = (a.given(), b.given());
                let dynamic = a.written.dynamic == b.written.dynamic || a.written.dynamic.is_none();
                let written = a.written.held == b.written.held && a.written.accent == b.written.accent;
                dynamic && written && a.played == b.played && a.later == b.later
            }
            (a, b) => a.is_some() == b.is_some(),
        })
}
