//! Plans are the true optimum, and behave as players expect.

use crate::laws::any_instrument;
use crate::reading::instrument;
use crate::rows::pitch;
use proptest::prelude::*;
use waterkey::brass::plan::{Effort, Joined, Legato, Plan, PlanNote, Planner, Weight, bound};
use waterkey::brass::{How, Instrument, Level, Way};

/// Paths that brute force walks at most.
const MOST_PATHS: usize = 50_000;

fn planner(made: &Instrument) -> Planner {
    Planner::new(made, Effort::at(Level::Professional))
}

fn plan(planner: &Planner, notes: &[PlanNote]) -> Plan {
    let mut plan = Plan::default();
    planner.plan(notes, &mut plan);
    plan
}

/// `Bb2 C3*` at so many seconds each: a star slurs to the note, a `~` glides to it.
fn notes(text: &str, seconds: f32) -> Vec<PlanNote> {
    let words = text.split(' ').enumerate();
    words
        .map(|(i, word)| PlanNote {
            midi: pitch(word.trim_end_matches(['*', '~'])).midi(),
            after_seconds: seconds,
            joined: match word.chars().last() {
                _ if i == 0 => Joined::Afresh,
                Some('*') => Joined::Slurred,
                Some('~') => Joined::Glides,
                _ => Joined::Tongued,
            },
            bound: None,
        })
        .collect()
}

fn told(plan: &Plan) -> String {
    let ways = plan.steps.iter().map(|s| s.way.map_or("-".to_owned(), |w| w.how.to_string()));
    ways.collect::<Vec<_>>().join(" ")
}

fn any_notes() -> impl Strategy<Value = Vec<(i32, f32, u8, bool)>> {
    let seconds = prop_oneof![0.02f32..0.2, 0.1f32..1.0];
    prop::collection::vec((0i32..48, seconds, 0u8..12, prop::bool::weighted(0.15)), 1..7)
}

/// Notes on this instrument, few enough for brute force.
fn on(made: &Instrument, planner: &Planner, raw: &[(i32, f32, u8, bool)]) -> Vec<PlanNote> {
    let lowest = made.lowest() - 8;
    let (mut after_seconds, mut paths) = (0.0, 1);
    let mut all = Vec::new();
    for (step, seconds, joined, chosen) in raw {
        let midi = lowest + step;
        let joined = match joined {
            0 => Joined::Afresh,
            1 | 2 => Joined::Glides,
            3..=6 => Joined::Slurred,
            _ => Joined::Tongued,
        };
        let ways = made.ways(midi);
        let choice = ways.get(*step as usize % ways.len().max(1)).filter(|_| *chosen);
        let bound = choice.and_then(|way| bound(made, way.how, midi));
        paths *= planner.ways(midi).count().max(1);
        if paths > MOST_PATHS {
            break;
        }
        all.push(PlanNote { midi, after_seconds, joined, bound });
        after_seconds = *seconds;
    }
    all
}

/// Valves, thumb and second attachment.
fn bits(way: &Way, slides: bool) -> u32 {
    let digits = if slides { 0 } else { u32::from(way.how.digits) };
    digits | u32::from(way.how.thumb) << 8 | u32::from(way.how.second) << 9
}

/// The least weight over all paths, each weighed whole.
fn by_force(planner: &Planner, notes: &[PlanNote]) -> Weight {
    let choices: Vec<Vec<Option<Way>>> = notes
        .iter()
        .map(|note| match note.bound {
            Some(way) => vec![Some(way)],
            None => {
                let ways: Vec<_> = planner.ways(note.midi).map(Some).collect();
                if ways.is_empty() { vec![None] } else { ways }
            }
        })
        .collect();
    let mut at = vec![0; notes.len()];
    let mut least: Option<Weight> = None;
    loop {
        let path: Vec<Option<Way>> = at.iter().zip(&choices).map(|(i, ways)| ways[*i]).collect();
        let weight = planner.weigh(notes, &path);
        least = Some(least.map_or(weight, |l| l.min(weight)));
        let Some(turn) = (0..at.len()).rev().find(|i| at[*i] + 1 < choices[*i].len()) else { break };
        at[turn] += 1;
        at[turn + 1..].fill(0);
    }
    least.unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn the_plan_is_the_best_of_all_paths(made in any_instrument(), raw in any_notes(), level in 0usize..3) {
        let planner = Planner::new(&made, Effort::at(Level::ALL[level]));
        let notes = on(&made, &planner, &raw);
        let plan = plan(&planner, &notes);
        let ways: Vec<Option<Way>> = plan.steps.iter().map(|s| s.way).collect();
        prop_assert_eq!(planner.weigh(&notes, &ways), plan.weight, "what is told is what was found");
        prop_assert_eq!(by_force(&planner, &notes), plan.weight);
        for (note, step) in notes.iter().zip(&plan.steps) {
            prop_assert_eq!(step.way.is_some(), !made.ways(note.midi).is_empty() || note.bound.is_some());
            if let Some(way) = note.bound {
                prop_assert_eq!(step.way, Some(way), "a choice binds");
            }
        }
    }

    #[test]
    fn the_plan_is_never_worse_than_the_usual_ways(made in any_instrument(), raw in any_notes()) {
        let planner = planner(&made);
        let notes: Vec<PlanNote> =
            on(&made, &planner, &raw).into_iter().map(|n| PlanNote { bound: None, ..n }).collect();
        let usual: Vec<Option<Way>> = notes.iter().map(|n| made.note(n.midi).usual).collect();
        prop_assert!(plan(&planner, &notes).weight <= planner.weigh(&notes, &usual));
    }

    /// Added up here in another way. Where the usual ways are late or jump, the plan may go farther to spare that.
    #[test]
    fn the_plan_is_never_longer_than_the_usual_path(made in any_instrument(), raw in any_notes()) {
        let planner = planner(&made);
        let notes: Vec<PlanNote> = on(&made, &planner, &raw)
            .into_iter()
            .map(|n| PlanNote { bound: None, after_seconds: 5.0 * n.after_seconds, ..n })
            .filter(|n| made.note(n.midi).usual.is_some() && n.joined != Joined::Glides)
            .collect();
        let slides = made.build.slide().is_some();
        // Centimetres, and three more for an attachment; or fingers, the third alone one and a half, exchanges double.
        let length = |ways: &[Way]| -> f64 {
            let pairs = ways.windows(2).zip(&notes[1.min(notes.len())..]);
            let moves = pairs.filter(|(_, note)| note.joined != Joined::Afresh).map(|(pair, _)| {
                let [a, b] = [pair[0], pair[1]];
                let (before, after) = (bits(&a, slides), bits(&b, slides));
                if slides {
                    let cm = |way: &Way| f64::from(way.slide) * made.tube.centimetres() / 2.0;
                    return (cm(&a) - cm(&b)).abs() + if before == after { 0.0 } else { 3.0 };
                }
                let (down, up) = (after & !before, before & !after);
                match (down.count_ones() + up.count_ones(), down != 0 && up != 0) {
                    (1, _) if down | up == 0b100 => 1.5,
                    (n, exchange) => f64::from(n) * if exchange { 2.0 } else { 1.0 },
                }
            });
            moves.sum()
        };
        let plan = plan(&planner, &notes);
        let planned: Vec<Way> = plan.steps.iter().filter_map(|s| s.way).collect();
        let usual: Vec<Way> = notes.iter().filter_map(|n| made.note(n.midi).usual).collect();
        prop_assert_eq!(planned.len(), usual.len());
        let all: Vec<Option<Way>> = usual.iter().copied().map(Some).collect();
        let weight = planner.weigh(&notes, &all);
        prop_assume!(weight.late() + weight.strongly_late() == 0 && weight.effort() < 100_000);
        prop_assert!(length(&planned) <= length(&usual) + 0.02 * notes.len() as f64, "{} {}", length(&planned), length(&usual));
    }

    #[test]
    fn slower_is_never_worse(made in any_instrument(), raw in any_notes(), slower in 1.0f32..4.0) {
        let planner = planner(&made);
        let notes = on(&made, &planner, &raw);
        let slow: Vec<PlanNote> =
            notes.iter().map(|n| PlanNote { after_seconds: n.after_seconds * slower, ..*n }).collect();
        let (fast, slow) = (plan(&planner, &notes), plan(&planner, &slow));
        prop_assert!(slow.weight <= fast.weight);
        prop_assert!(slow.weight.strongly_late() <= fast.weight.strongly_late());
        if fast.weight.late() + fast.weight.strongly_late() == 0 {
            prop_assert_eq!(slow.weight.late() + slow.weight.strongly_late(), 0);
        }
    }

    #[test]
    fn repeats_cost_nothing(made in any_instrument(), step in 0i32..40, copies in 1usize..9) {
        let planner = planner(&made);
        let midi = made.lowest() + step;
        let note = |_: usize| PlanNote { midi, after_seconds: 0.05, joined: Joined::Tongued, bound: None };
        let all: Vec<PlanNote> = (0..copies).map(note).collect();
        let plan = plan(&planner, &all);
        prop_assert_eq!(plan.weight, Weight::default());
        prop_assert!(plan.steps.iter().all(|s| s.way == made.note(midi).usual));
        prop_assert_eq!(plan.travel_cm(), 0.0);
    }

    #[test]
    fn a_plan_of_two_passages_is_two_plans(made in any_instrument(), a in any_notes(), b in any_notes()) {
        let planner = planner(&made);
        let (first, mut second) = (on(&made, &planner, &a), on(&made, &planner, &b));
        if let Some(note) = second.first_mut() {
            note.joined = Joined::Afresh;
        }
        let both: Vec<PlanNote> = first.iter().chain(&second).copied().collect();
        let mut buffer = Plan::default();
        planner.plan(&both, &mut buffer);
        let whole = buffer.clone();
        planner.plan(&first, &mut buffer);
        let (effort, steps) = (buffer.weight.effort(), buffer.steps.clone());
        prop_assert_eq!(&whole.steps[..steps.len()], &steps[..]);
        planner.plan(&second, &mut buffer);
        prop_assert_eq!(whole.weight.effort(), effort + buffer.weight.effort());
    }
}

#[test]
fn alternates_spare_the_arm() {
    let straight = planner(&instrument("straight trombone"));
    // F3 is also in sixth, beside C3 and C4.
    assert_eq!(told(&plan(&straight, &notes("C3 F3 C3 F3 C4", 0.2))), "6 6 6 6 6");
    // Alone it stays in first.
    assert_eq!(told(&plan(&straight, &notes("Bb3 F3 Bb3", 0.2))), "1 1 1");
    // The break that trombonists know: B♭2 to B2 is first to seventh, and the attachment spares it.
    let forced = plan(&straight, &notes("Bb2 B2 Bb2", 0.15));
    assert_eq!(told(&forced), "1 7 1");
    assert_eq!(forced.weight.late(), 2);
    let (shift, share) = forced.tightest().unwrap();
    assert!(shift == 1 && share < 0.7 && share > 0.5, "{share}");
    let with_f = planner(&instrument("trombone"));
    let spared = plan(&with_f, &notes("Bb2 B2 Bb2", 0.15));
    assert_eq!((told(&spared).as_str(), spared.weight.late()), ("T3 T2 T3", 0));
    assert_eq!(told(&plan(&with_f, &notes("Bb2 C3 Bb2", 0.15))), "1 T1 1");
}

#[test]
fn a_choice_binds_and_its_neighbours_follow() {
    let made = instrument("straight trombone");
    let planner = planner(&made);
    let mut passage = notes("D4 F4 D4", 0.1);
    passage[0].bound = bound(&made, How::parse("4").unwrap(), passage[0].midi);
    let plan = plan(&planner, &passage);
    assert_eq!(told(&plan), "4 4 4", "F4 joins D4 in fourth on the seventh harmonic");
    assert_eq!(bound(&made, How::parse("2").unwrap(), passage[0].midi), None);
}

#[test]
fn slurs_are_natural_by_lips_or_against_the_slide() {
    let straight = planner(&instrument("straight trombone"));
    let legato = |text: &str| plan(&straight, &notes(text, 0.5)).steps.last().unwrap().legato;
    assert_eq!(legato("Bb3 D4*"), Legato::Lips);
    assert_eq!(legato("Bb3 C4*"), Legato::AgainstTheSlide);
    assert_eq!(legato("Bb2 A2*"), Legato::Tongued);
    assert_eq!(legato("Bb3 A3~"), Legato::Glide);
    assert_eq!(legato("Bb3 Bb3*"), Legato::Same);
    assert_eq!(legato("Bb3 A3"), Legato::None);
    let with_f = planner(&instrument("trombone"));
    assert_eq!(plan(&with_f, &notes("Bb2 C3*", 0.5)).steps[1].legato, Legato::Valve);
    let trumpet = planner(&instrument("trumpet in Bb"));
    assert_eq!(plan(&trumpet, &notes("C5 D5*", 0.5)).steps[1].legato, Legato::Valve);
}

#[test]
fn a_glissando_holds_its_harmonic() {
    let straight = planner(&instrument("straight trombone"));
    let long = plan(&straight, &notes("E3 Bb3~ E3~", 0.1));
    assert_eq!((told(&long).as_str(), long.weight.broken()), ("7 1 7", 0));
    assert_eq!(plan(&straight, &notes("E3 B3~", 0.5)).weight.broken(), 1);
}

#[test]
fn fingers_take_the_path_that_changes_least() {
    let trumpet = instrument("trumpet in C");
    let planner = planner(&trumpet);
    // E5 with 1-2 beside A5 with 1-2; nothing is gained by it once.
    assert_eq!(told(&plan(&planner, &notes("A5 E5 A5 E5 A5", 0.08))), "12 12 12 12 12");
    assert_eq!(told(&plan(&planner, &notes("E5", 0.08))), "0");
    let exchange = plan(&planner, &notes("Ab4 F4 Ab4", 0.2));
    assert_eq!(told(&exchange), "23 1 23");
    assert_eq!(exchange.steps[1].finger_moves, 6.0, "three fingers, and they change places");
}

#[test]
fn a_note_without_a_way_parts_the_passage() {
    let straight = planner(&instrument("straight trombone"));
    let plan = plan(&straight, &notes("Bb2 Eb2 E2", 0.1));
    assert_eq!(told(&plan), "1 - 7");
    assert_eq!((plan.weight, plan.travel_cm()), (Weight::default(), 0.0));
}

/// `MOST_WAYS` cuts nothing off on any instrument of the catalogue.
#[test]
fn every_way_that_players_use_is_weighed() {
    for entry in waterkey::brass::catalogue::entries() {
        let made = entry.instrument().unwrap();
        let planner = planner(&made);
        for midi in 20..100 {
            assert!(planner.ways(midi).count() < waterkey::brass::plan::MOST_WAYS, "{} {midi}", made.name);
        }
    }
}
