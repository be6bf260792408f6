//! Sharing chords out, compared with trying everything.

use proptest::prelude::*;
use waterkey::section::harmony::Role;
use waterkey::section::share::{Chord, Lying, Passage, Person, ShareCost, Taken, Tone, points};
use waterkey::section::share_out;

fn lying() -> impl Strategy<Value = Lying> {
    let beyond = prop_oneof![6 => Just(0u32), 1 => 1u32..5];
    (prop::bool::weighted(0.1), beyond, 0u32..80).prop_map(|(unplayable, beyond_semitones, points)| Lying {
        unplayable,
        beyond_semitones,
        points,
    })
}

fn chord(people: usize) -> impl Strategy<Value = Chord> {
    let role = prop::sample::select(vec![Role::Root, Role::Fifth, Role::Third, Role::Other, Role::Unknown]);
    let tone = (40..80i32, role, prop::bool::weighted(0.3));
    let tones = prop::collection::vec(tone, 1..=people.min(4));
    tones.prop_flat_map(move |mut tones| {
        tones.sort_by_key(|t| t.0);
        let count = tones.len();
        let tones: Vec<Tone> =
            tones.into_iter().map(|(sounding, role, leading)| Tone { sounding, role, leading }).collect();
        let lies = prop::collection::vec(prop::collection::vec(lying(), count), people);
        (Just(tones), lies).prop_map(|(tones, lies)| Chord { tones, lies })
    })
}

fn passage(chords: usize) -> impl Strategy<Value = Passage> {
    (1..=4usize, 1..=chords).prop_flat_map(|(people, chords)| {
        let near = || prop::option::of(40..80i32);
        let person = (0..2u32, prop::option::of(0..50u32), 0..40u32, near(), near());
        let people_of = prop::collection::vec(person, people).prop_map(|mut all| {
            all.sort_by_key(|p| p.0);
            let one = |(voice, rests, enters, before, after)| Person { voice, rests, enters, before, after };
            all.into_iter().map(one).collect::<Vec<_>>()
        });
        (people_of, prop::collection::vec(chord(people), chords))
            .prop_map(|(people, chords)| Passage { people, chords })
    })
}

/// Every way to give each person a note or none.
fn every(people: usize, tones: usize) -> Vec<Taken> {
    let mut all: Vec<Taken> = vec![Vec::new()];
    for _ in 0..people {
        all = all
            .iter()
            .flat_map(|t| (0..=tones).map(|n| [t.clone(), vec![(n < tones).then_some(n)]].concat()))
            .collect();
    }
    all
}

/// Every way through a passage.
fn every_way(passage: &Passage) -> Vec<Vec<Taken>> {
    let mut all: Vec<Vec<Taken>> = vec![Vec::new()];
    for chord in &passage.chords {
        let shares = every(passage.people.len(), chord.tones.len());
        all = all.iter().flat_map(|w| shares.iter().map(|s| [w.clone(), vec![s.clone()]].concat())).collect();
    }
    all
}

/// The cost told once more, from the words of the pages: pair by pair, person by person.
fn told(passage: &Passage, shares: &[Taken]) -> Option<ShareCost> {
    let mut sum = ShareCost::default();
    let people = &passage.people;
    let height = |chord: usize, tone: usize| passage.chords[chord].tones[tone].sounding;
    let leap = |a: i32, b: i32| points::SEMITONE * (a - b).unsigned_abs().min(12);
    for (c, taken) in shares.iter().enumerate() {
        let chord = &passage.chords[c];
        for (t, tone) in chord.tones.iter().enumerate() {
            let who = taken.iter().filter(|x| **x == Some(t)).count() as u32;
            let more = who.checked_sub(1)?;
            sum.leading += if tone.leading { more } else { 0 };
            sum.points += more
                * match tone.role {
                    Role::Root => points::DOUBLED_ROOT,
                    Role::Fifth => points::DOUBLED_FIFTH,
                    Role::Third => points::DOUBLED_THIRD,
                    Role::Other => points::DOUBLED_OTHER,
                    Role::Unknown => points::DOUBLED_UNKNOWN,
                };
        }
        for (p, person) in people.iter().enumerate() {
            let Some(t) = taken[p] else {
                sum.points += person.rests?;
                continue;
            };
            let lies = chord.lies[p][t];
            sum.unplayable += u32::from(lies.unplayable);
            sum.beyond_semitones += lies.beyond_semitones;
            sum.points += lies.points;
            let before = if c == 0 { person.before } else { shares[c - 1][p].map(|t| height(c - 1, t)) };
            sum.points += before.map_or(0, |from| leap(from, height(c, t)));
            if c == 0 || shares[c - 1][p].is_none() {
                sum.points += person.enters;
            }
            if c + 1 == shares.len() {
                sum.points += person.after.map_or(0, |to| leap(to, height(c, t)));
            }
            // The next below of the same voice who plays.
            let below =
                (p + 1..people.len()).find(|q| people[*q].voice == person.voice && taken[*q].is_some());
            if let Some(lower) = below.and_then(|q| taken[q]) {
                let apart = height(c, t) - height(c, lower);
                sum.points += if apart < 0 { points::CROSSED } else { 0 };
                sum.points += if apart.abs() > 12 { points::WIDE } else { 0 };
            }
        }
    }
    Some(sum)
}

fn cheapest(passage: &Passage) -> Option<ShareCost> {
    every_way(passage).iter().filter_map(|way| told(passage, way)).min()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn a_chord_is_shared_as_well_as_can_be(passage in passage(1)) {
        let found = share_out(&passage);
        prop_assert_eq!(found.as_ref().map(|(_, cost)| *cost), cheapest(&passage));
        if let Some((shares, cost)) = found {
            prop_assert_eq!(told(&passage, &shares), Some(cost));
        }
    }

    #[test]
    fn costs_are_what_the_pages_say(passage in passage(2), at in any::<prop::sample::Index>()) {
        let all = every_way(&passage);
        let way = &all[at.index(all.len())];
        prop_assert_eq!(passage.weigh(way), told(&passage, way));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(60) })]

    #[test]
    fn a_passage_is_shared_as_well_as_can_be(passage in passage(3).prop_filter("few", |p| {
        p.people.len() < 4 || p.chords.len() < 3
    })) {
        let found = share_out(&passage);
        prop_assert_eq!(found.map(|(_, cost)| cost), cheapest(&passage));
    }
}

/// People of one voice for whom everything lies alike.
fn alike(people: usize, tones: &[(i32, Role, bool)]) -> Passage {
    let tones: Vec<Tone> = tones
        .iter()
        .map(|(sounding, role, leading)| Tone { sounding: *sounding, role: *role, leading: *leading })
        .collect();
    let lies = vec![vec![Lying::default(); tones.len()]; people];
    Passage { people: vec![Person::default(); people], chords: vec![Chord { tones, lies }] }
}

#[test]
fn who_is_alike_does_not_cross_and_doubles_the_root() {
    let chord = [(48, Role::Root, false), (52, Role::Third, false), (55, Role::Fifth, false)];
    let (shares, _) = share_out(&alike(4, &chord)).unwrap();
    assert_eq!(shares, [[Some(2), Some(1), Some(0), Some(0)].to_vec()]);
    // Of a dominant the root too, and the fifth before the leading note where there is no root.
    let dominant = [(50, Role::Fifth, false), (59, Role::Third, true)];
    let (shares, cost) = share_out(&alike(3, &dominant)).unwrap();
    assert_eq!((shares, cost.leading), (vec![vec![Some(1), Some(0), Some(0)]], 0));
    assert!(share_out(&alike(2, &chord)).is_none());
    // Crossing is cheaper than a note that cannot be played.
    let mut passage = alike(2, &chord[..2]);
    passage.chords[0].lies[0][1].unplayable = true;
    assert_eq!(share_out(&passage).unwrap().0, [[Some(0), Some(1)].to_vec()]);
}

#[test]
fn many_people_and_long_passages_are_shared_chord_after_chord() {
    let tones: Vec<(i32, Role, bool)> =
        (0..8).map(|n| (48 + 3 * n, if n == 0 { Role::Root } else { Role::Other }, false)).collect();
    let mut passage = alike(12, &tones);
    let chord = passage.chords[0].clone();
    passage.chords = vec![chord; 16];
    let (shares, cost) = share_out(&passage).unwrap();
    assert_eq!(passage.weigh(&shares), Some(cost));
    assert!(shares.iter().all(|taken| taken.is_sorted_by(|a, b| a >= b)));
    // Everybody else doubles the root.
    assert_eq!(cost.points, 16 * 4 * points::DOUBLED_ROOT);
}
