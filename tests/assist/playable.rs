//! Blocks made playable: what is chosen, and what holds of whatever is.

use super::generated::score;
use super::text::{desk, samples};
use proptest::prelude::*;
use std::collections::BTreeSet;
use waterkey::assist::cure::{Cures, OfferKind, Tally, Trial, tally};
use waterkey::assist::playable::{NoMoves, Playable, playable};
use waterkey::assist::{Extent, Place};
use waterkey::rules::registry::is_reading_fault;
use waterkey::rules::{Desk, Finding, Severity};
use waterkey::score::event::EventKind;

fn made(text: &str, block: usize) -> (Result<Playable, NoMoves>, Desk) {
    let before = desk(text);
    let found = playable(&before, block..block + 1, &mut |_| true);
    let after = match &found {
        Ok(found) => Trial::of(&before, &found.edits).unwrap().into_desk(),
        Err(_) => before,
    };
    (found, after)
}

const QUINTET: &str = "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb\nplayer Hn1 = horn in F\n\
                       player Tb1 = trombone\nplayer Tu = F tuba\n";

#[test]
fn what_is_far_too_high_comes_down() {
    let text = format!(
        "{QUINTET}bar 1  meter 4/4  tempo q = 96\nTp1 | q : C5 E6 F6 E6 | w : D5 |\nHn1 | w : C4 | w : D4 |\n"
    );
    let (found, after) = made(&text, 0);
    let found = found.unwrap();
    assert!(found.exact && found.left.is_empty(), "{found:#?}");
    assert_eq!(found.steps.len(), 1, "{:?}", found.steps);
    assert!(found.steps[0].to_string().starts_with("bar 1, Tp1: Down an octave"), "{:?}", found.steps);
    assert!(after.findings().is_empty(), "{:?}", after.findings());
}

#[test]
fn nothing_is_done_where_nothing_is_wrong_and_nothing_where_nothing_helps() {
    let fine = format!("{QUINTET}bar 1  meter 4/4  tempo q = 96\nTp1 | w : C5 |\n");
    assert_eq!(made(&fine, 0).0.unwrap_err(), NoMoves::Fine);
    // A slip of writing is for others to mend.
    let slip = format!("{QUINTET}bar 1  meter 4/4  tempo q = 96\nTp1 | q : C5 |\n");
    assert_eq!(made(&slip, 0).0.unwrap_err(), NoMoves::Fine);
    let alone = "player Tb1 = trombone\nbar 1  meter 4/4  tempo q = 60\nTb1 | w : E2:gliss | w : Bb3 |\n";
    let (found, _) = made(alone, 0);
    if let Err(why) = found {
        assert!(matches!(why, NoMoves::NothingHelps { .. }), "{why}");
        assert!(why.to_string().contains("no octave"), "{why}");
    }
}

#[test]
fn it_stops_when_nobody_waits() {
    let text = format!("{QUINTET}bar 1  meter 4/4  tempo q = 96\nTp1 | w : E6 |\n");
    let mut asked = 0;
    let found = playable(&desk(&text), 0..1, &mut |_| {
        asked += 1;
        false
    });
    assert_eq!((found.unwrap_err(), asked), (NoMoves::Stopped, 1));
}

fn hurting(desk: &Desk) -> Vec<Finding> {
    let mut all = desk.findings_of(&[0]);
    all.retain(|f| !is_reading_fault(f.rule) && f.severity > Severity::Hint);
    all
}

type Called = (&'static str, Option<String>, Option<i64>);

/// The best that any moves in any order can do, all of them tried: findings, and moves.
fn by_force(desk: &Desk, left: &BTreeSet<Called>, moves: usize) -> (Tally, usize) {
    let all = hurting(desk);
    let called = |f: &Finding| (f.rule, f.player.clone(), f.bar);
    let mut open: Vec<&Finding> = all.iter().filter(|f| !left.contains(&called(f))).collect();
    open.sort_by_key(|f| (std::cmp::Reverse((f.severity, f.grade)), f.line, f.span));
    let Some(finding) = open.first() else { return (tally(&all), moves) };
    let mut with = left.clone();
    with.insert(called(finding));
    let mut best = by_force(desk, &with, moves);
    let at = |byte| Place { line: finding.line, byte };
    let here = Extent { from: at(finding.span.start), to: at(finding.span.end) };
    let cures = Cures::of(desk);
    let offers = cures.offers(finding).into_iter().filter(|o| o.kind != OfferKind::Allow);
    for offer in offers.chain(cures.moves(here)).chain(cures.wider_moves(here)) {
        if offer.edits.iter().any(|e| e.line < desk.score().blocks[0].line) {
            continue;
        }
        let trial = Trial::of(desk, &offer.edits).unwrap();
        let weight = (finding.severity, finding.grade);
        let (before, after) = trial.tallies();
        if trial.is_gone(finding) && trial.came().all(|f| (f.severity, f.grade) < weight) && after < before {
            best = best.min(by_force(&trial.into_desk(), left, moves + 1));
        }
    }
    best
}

/// A few bars for three players, some of whose notes lie badly.
fn small() -> impl Strategy<Value = String> {
    let pitch = prop_oneof![4 => 50u8..76, 1 => 34u8..92].prop_map(|midi| {
        let names = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
        format!("{}{}", names[usize::from(midi % 12)], midi / 12 - 1)
    });
    let bar = prop_oneof![3 => prop::collection::vec(pitch, 2).prop_map(Some), 1 => Just(None)];
    prop::collection::vec(prop::collection::vec(bar, 2), 3).prop_map(|rows| {
        let mut text = "player Tp1 = trumpet in Bb\nplayer Hn1 = horn in F\nplayer Tb1 = trombone\n\
                        bar 1  meter 2/4  tempo q = 84\n"
            .to_owned();
        for (id, bars) in ["Tp1", "Hn1", "Tb1"].iter().zip(rows) {
            let said: Vec<String> = bars
                .into_iter()
                .map(|bar| bar.map_or("-".to_owned(), |notes| format!("q : {}", notes.join(" "))))
                .collect();
            text += &format!("{id} | {} |\n", said.join(" | "));
        }
        text
    })
}

/// What holds of every answer.
fn judge(before: &Desk, found: &Playable, blocks: &std::ops::Range<usize>) -> Result<(), String> {
    let text = before.document().text();
    let trial = Trial::of(before, &found.edits).ok_or("the edits do not fit")?;
    let (was, is) = (tally(&before.findings()), tally(&trial.desk().findings()));
    let after = trial.desk().document().text();
    let fail = |why: String| Err(format!("{why}\n{:?}\n{text}\n----\n{after}", found.steps));
    if is >= was {
        return fail(format!("{was:?} became {is:?}"));
    }
    let faults = |desk: &Desk| {
        desk.findings().iter().filter(|f| is_reading_fault(f.rule) && f.severity > Severity::Hint).count()
    };
    if faults(trial.desk()) > faults(before) {
        return fail("a new fault of reading".into());
    }
    // Who plays it may change, and in which octave; what sounds, and when, may not. Lines that others double may
    // rest, so sounds are sets.
    let heard = |desk: &Desk, block: usize| -> BTreeSet<String> {
        let people = 0..desk.score().head.players.len();
        let all = people.flat_map(|p| desk.report().events(desk.score(), block, p));
        all.filter(|e| e.kind == EventKind::Note)
            .map(|e| format!("{} {} {}", e.bar, e.onset, e.sounding.midi().rem_euclid(12)))
            .collect()
    };
    for block in 0..before.score().blocks.len() {
        if heard(before, block) != heard(trial.desk(), block) {
            return fail(format!("block {block} sounds otherwise"));
        }
        let lines = |desk: &Desk| -> Vec<String> {
            let placed = &desk.score().blocks[block];
            placed.read.block.text.lines.iter().map(|l| l.text.to_string()).collect()
        };
        if !blocks.contains(&block) && lines(before) != lines(trial.desk()) {
            return fail(format!("block {block} is another text"));
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]

    #[test]
    fn nothing_better_can_be_put_together(text in small()) {
        let before = desk(&text);
        prop_assume!(hurting(&before).len() < 4);
        let best = by_force(&before, &BTreeSet::new(), 0);
        let got = match playable(&before, 0..1, &mut |_| true) {
            Ok(found) => {
                prop_assume!(found.exact);
                if let Err(why) = judge(&before, &found, &(0..1)) {
                    prop_assert!(false, "{}", why);
                }
                (tally(&found.left), found.steps.len())
            }
            Err(_) => (tally(&hurting(&before)), 0),
        };
        prop_assert_eq!(got, best, "{}", text);
    }

    #[test]
    fn a_generated_score_is_never_worse_for_it(seed in any::<u64>(), at in any::<prop::sample::Index>()) {
        let before = desk(&score(seed));
        let blocks = before.score().blocks.len();
        prop_assume!(blocks > 0);
        let block = at.index(blocks);
        if let Ok(found) = playable(&before, block..block + 1, &mut |_| true)
            && let Err(why) = judge(&before, &found, &(block..block + 1))
        {
            prop_assert!(false, "{}", why);
        }
    }
}

#[test]
fn the_samples_can_be_played_or_are_the_better_for_it() {
    let mut changed = 0;
    for (name, before) in samples() {
        for block in 0..before.score().blocks.len() {
            match playable(&before, block..block + 1, &mut |_| true) {
                Ok(found) => {
                    judge(&before, &found, &(block..block + 1)).unwrap_or_else(|why| panic!("{name}: {why}"));
                    changed += 1;
                }
                Err(why) => assert_ne!(why, NoMoves::Stopped),
            }
        }
    }
    assert!(changed >= 2, "{changed}");
}
