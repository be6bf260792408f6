//! What a move costs the music. The numbers are estimates: they only put in order what clears as much with as many
//! moves.

use crate::brass::body::Voice;
use crate::rules::Desk;
use crate::score::event::{Event, EventKind};
use std::ops::Range;
use std::sync::Arc;

/// Of a note that sounds in another octave: the line is another line.
const OTHER_OCTAVE: u32 = 3;
/// Of a note that comes to somebody: it sounds as before, from another chair.
const OTHER_CHAIR: u32 = 1;
/// Of a line that changes chairs, besides: it breaks there, and more so if the other chair has another voice.
const BROKEN_LINE: u32 = 4;
const OTHER_VOICE: u32 = 6;
/// Of a note that is tongued, held, breathed after, or played at a dynamic other than written.
const OTHER_WAY: u32 = 1;

/// The cost of making one score of the other.
pub fn of(before: &Desk, after: &Desk, blocks: &Range<usize>) -> u32 {
    let mut cost: u32 = 0;
    let (mut givers, mut takers) = (Vec::new(), Vec::new());
    for player in 0..before.score().head.players.len() {
        for block in blocks.clone() {
            let checked = |desk: &Desk| desk.report().tracks.get(player)?.blocks.get(block)?.clone();
            let same = match (checked(before), checked(after)) {
                (Some(a), Some(b)) => Arc::ptr_eq(&a, &b),
                (a, b) => a.is_none() && b.is_none(),
            };
            if same {
                continue;
            }
            let line = Changed::between(&notes(before, block, player), &notes(after, block, player));
            if line.gone > 0 {
                givers.push(player);
            }
            if line.come > 0 {
                takers.push(player);
            }
            cost = cost.saturating_add(line.cost());
        }
    }
    for taker in takers {
        let alike = givers.iter().any(|giver| voice(before, *giver) == voice(before, taker));
        cost = cost.saturating_add(BROKEN_LINE + if alike { 0 } else { OTHER_VOICE });
    }
    cost
}

fn voice(desk: &Desk, player: usize) -> Option<Voice> {
    let first = desk.score().head.players.get(player)?.instruments.first()?;
    Some(Voice::of(&first.instrument))
}

fn notes(desk: &Desk, block: usize, player: usize) -> Vec<Event> {
    let mut events = desk.report().events(desk.score(), block, player);
    events.retain(|e| matches!(e.kind, EventKind::Note | EventKind::Grace));
    events
}

/// What became of one player's notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Changed {
    gone: u32,
    come: u32,
    /// Octaves by which notes moved, all together.
    octaves: u32,
    /// Notes played another way.
    otherwise: u32,
}

impl Changed {
    fn between(before: &[Event], after: &[Event]) -> Changed {
        let mut changed = Changed::default();
        let mut old = before.iter().peekable();
        for new in after {
            let at = (new.bar, new.onset);
            while old.next_if(|e| (e.bar, e.onset) < at).is_some() {
                changed.gone += 1;
            }
            match old.next_if(|e| (e.bar, e.onset) == at && e.kind == new.kind) {
                None => changed.come += 1,
                Some(then) if then.sounding.midi() != new.sounding.midi() => {
                    let apart = (then.sounding.midi() - new.sounding.midi()).unsigned_abs();
                    changed.octaves = changed.octaves.saturating_add(apart.div_ceil(12));
                }
                Some(then) => {
                    let same =
                        then.marks == new.marks && then.length == new.length && then.dynamic == new.dynamic;
                    changed.otherwise += u32::from(!same);
                }
            }
        }
        changed.gone += old.count() as u32;
        changed
    }

    fn cost(self) -> u32 {
        let Changed { come, octaves, otherwise, .. } = self;
        OTHER_CHAIR
            .saturating_mul(come)
            .saturating_add(OTHER_OCTAVE.saturating_mul(octaves))
            .saturating_add(OTHER_WAY.saturating_mul(otherwise))
    }
}
