//! Who has which note of a chord, or of the chords of a passage, at the least cost.
//!
//! One chord is shared exactly, whoever is there: people one after the other, remembering which notes are taken
//! and what the neighbour of the same voice has. A passage is shared exactly too, by the cheapest way through all
//! shares of all its chords, while these are few ([`MOST_STEPS`]); beyond that chord after chord, each exactly after
//! the one before.

use super::share::{Passage, ShareCost, Taken};

/// Notes of one chord that can be shared out.
pub const MOST_TONES: usize = 8;
/// Comparisons of one chord's share with the next one's up to which a passage is shared exactly.
pub const MOST_STEPS: usize = 100_000;
/// Shares of one chord that are written down one by one.
const MOST_SHARES: usize = 400;

/// The cheapest shares, chord by chord, and what they cost; of several that cost the same the one in which whoever
/// stands first has the highest notes. `None` if there are more notes than people, or too many notes.
pub fn share_out(passage: &Passage) -> Option<(Vec<Taken>, ShareCost)> {
    let all: Option<Vec<Vec<Taken>>> =
        (0..passage.chords.len()).map(|chord| every_share(passage, chord)).collect();
    let few = |all: &Vec<Vec<Taken>>| {
        let pairs = all.iter().zip(all.iter().skip(1));
        pairs.map(|(a, b)| a.len() * b.len()).sum::<usize>() <= MOST_STEPS
    };
    let shares = match all.filter(|all| passage.chords.len() > 1 && few(all)) {
        Some(all) => cheapest_way(passage, &all)?,
        None => one_by_one(passage)?,
    };
    let cost = passage.weigh(&shares)?;
    Some((shares, cost))
}

/// Every share of a chord; `None` if there are too many.
fn every_share(passage: &Passage, chord: usize) -> Option<Vec<Taken>> {
    let tones = passage.chords.get(chord)?.tones.len();
    let mut all: Vec<Taken> = vec![Vec::new()];
    let mut missing = passage.people.len();
    for person in &passage.people {
        missing -= 1;
        let mut next: Vec<Taken> = Vec::new();
        for before in &all {
            let choices = (0..tones).rev().map(Some).chain(person.rests.map(|_| None));
            for choice in choices {
                let mut now = before.clone();
                now.push(choice);
                let left = (0..tones).filter(|tone| !now.contains(&Some(*tone))).count();
                if left <= missing {
                    next.push(now);
                }
            }
            if next.len() > MOST_SHARES {
                return None;
            }
        }
        all = next;
    }
    Some(all)
}

/// The cheapest way through the shares of all chords.
fn cheapest_way(passage: &Passage, all: &[Vec<Taken>]) -> Option<Vec<Taken>> {
    // For every share of a chord: what it costs up to there, and after which one.
    let mut table: Vec<Vec<Option<(ShareCost, usize)>>> = Vec::new();
    for (chord, shares) in all.iter().enumerate() {
        let earlier = chord.checked_sub(1).and_then(|at| Some((all.get(at)?, table.get(at)?)));
        let row = shares.iter().map(|now| match earlier {
            None => Some((passage.step(chord, None, now)?, 0)),
            Some((taken, costs)) => {
                let ways = taken.iter().zip(costs).enumerate().filter_map(|(at, (before, cost))| {
                    let (cost, _) = (*cost)?;
                    Some((cost.plus(passage.step(chord, Some(before), now)?), at))
                });
                ways.min()
            }
        });
        let row = row.collect();
        table.push(row);
    }
    let last = table.last()?.iter().enumerate();
    let mut at = last.filter_map(|(at, cost)| Some((((*cost)?).0, at))).min()?.1;
    let mut out: Vec<Taken> = Vec::new();
    for (shares, costs) in all.iter().zip(&table).rev() {
        out.push(shares.get(at)?.clone());
        at = costs.get(at).copied().flatten()?.1;
    }
    out.reverse();
    Some(out)
}

/// Chord after chord.
fn one_by_one(passage: &Passage) -> Option<Vec<Taken>> {
    let mut out: Vec<Taken> = Vec::new();
    for chord in 0..passage.chords.len() {
        out.push(one(passage, chord, out.last())?);
    }
    Some(out)
}

/// What is known so far: what it costs from here to the last person, and what this one does.
type Best = Option<(ShareCost, Option<usize>)>;

/// The cheapest share of one chord after another.
fn one(passage: &Passage, number: usize, before: Option<&Taken>) -> Option<Taken> {
    let chord = passage.chords.get(number)?;
    let (tones, people) = (chord.tones.len(), passage.people.len());
    if tones == 0 || tones > MOST_TONES || tones > people {
        return None;
    }
    let masks = 1usize << tones;
    // By person, by notes that are taken, by what the neighbour above of the same voice has (none: `tones`).
    let place = |person: usize, mask: usize, above: usize| (person * masks + mask) * (tones + 1) + above;
    let mut table: Vec<Best> = vec![None; (people + 1) * masks * (tones + 1)];
    for above in 0..=tones {
        if let Some(end) = table.get_mut(place(people, masks - 1, above)) {
            *end = Some((ShareCost::default(), None));
        }
    }
    for (at, person) in passage.people.iter().enumerate().rev() {
        let same = passage.people.get(at + 1).is_some_and(|next| next.voice == person.voice);
        let earlier = before.and_then(|taken| taken.get(at).copied().flatten());
        for mask in 0..masks {
            for above in 0..=tones {
                let mut best: Best = None;
                let choices = (0..tones).rev().map(Some).chain(person.rests.map(|_| None));
                for choice in choices {
                    let (mask, next, cost) = match choice {
                        None => (mask, above, ShareCost::points(person.rests.unwrap_or(0))),
                        Some(tone) => {
                            let mut cost = chord.lying(at, tone);
                            cost = cost.plus(ShareCost::points(passage.way(number, at, earlier, choice)));
                            if mask & (1 << tone) != 0 {
                                cost = cost.plus(chord.doubled(tone));
                            }
                            if above < tones {
                                cost = cost.plus(chord.between(above, tone));
                            }
                            (mask | (1 << tone), tone, cost)
                        }
                    };
                    let next = if same { next } else { tones };
                    let then = table.get(place(at + 1, mask, next)).copied().flatten();
                    let Some((rest, _)) = then else { continue };
                    let sum = cost.plus(rest);
                    if best.is_none_or(|(least, _)| sum < least) {
                        best = Some((sum, choice));
                    }
                }
                if let Some(slot) = table.get_mut(place(at, mask, above)) {
                    *slot = best;
                }
            }
        }
    }
    let (mut mask, mut above) = (0, tones);
    let mut taken: Taken = Vec::new();
    for (at, person) in passage.people.iter().enumerate() {
        let (_, choice) = table.get(place(at, mask, above)).copied().flatten()?;
        if let Some(tone) = choice {
            mask |= 1 << tone;
            above = tone;
        }
        if passage.people.get(at + 1).is_none_or(|next| next.voice != person.voice) {
            above = tones;
        }
        taken.push(choice);
    }
    Some(taken)
}
