//! The laws, for generated scores and the samples.

use super::generated::score;
use super::judge::{desk, judge, tidy};
use super::ways;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;
use waterkey::assist::rewrite::rewritten;
use waterkey::assist::{Extent, Place, rewritings};

/// Every sample that stands alone.
pub fn samples() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    let texts = paths.into_iter().filter(|p| p.extension().is_some_and(|e| e == "brass"));
    let texts = texts.map(|p| {
        (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(p).unwrap())
    });
    texts.filter(|(_, text)| !text.contains("\ninclude ")).collect()
}

#[test]
fn every_way_to_write_a_sample_is_heard_as_it_was() {
    let mut done: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (name, text) in samples() {
        let all = ways::all(&desk(&text));
        let every = all.len().div_ceil(160);
        for (kind, what) in all.into_iter().step_by(every) {
            let (good, refused) = done.entry(kind).or_default();
            match judge(&text, &what) {
                Ok(Some(_)) => *good += 1,
                Ok(None) => *refused += 1,
                Err(why) => panic!("{name}: {why}"),
            }
        }
    }
    println!("{done:#?}");
    for kind in ["pitch", "transpose", "values", "split", "own", "extract", "expand"] {
        assert!(done[kind].0 > 0, "no sample can be written so: {kind}");
    }
}

#[test]
fn every_kind_can_be_done_to_some_score() {
    let mut done: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut why: BTreeMap<&str, BTreeMap<String, usize>> = BTreeMap::new();
    for seed in 0..30 {
        let text = score(seed);
        let desk = desk(&text);
        for (kind, what) in ways::all(&desk).into_iter().step_by(3) {
            match rewritten(&desk, &what) {
                Ok(_) => done.entry(kind).or_default().0 += 1,
                Err(refusal) => {
                    done.entry(kind).or_default().1 += 1;
                    let said: String =
                        refusal.to_string().chars().filter(|c| !c.is_ascii_digit()).take(150).collect();
                    *why.entry(kind).or_default().entry(said).or_default() += 1;
                }
            }
        }
    }
    println!("{done:#?}\n{why:#?}");
    // The last look at what was written is a net below: nothing should have to fall into it.
    let caught: usize = why
        .values()
        .flatten()
        .filter(|(said, _)| {
            ["would play something else", "would last longer", "would have a fault"]
                .iter()
                .any(|w| said.contains(w))
        })
        .map(|(_, n)| *n)
        .sum();
    assert_eq!(caught, 0, "{why:#?}");
    for (kind, (good, _)) in &done {
        assert!(*good > 0, "{kind} is always refused: {:?}", why[kind]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn every_way_to_write_a_generated_score_is_heard_as_it_was(
        seed in any::<u64>(),
        picks in prop::collection::vec(any::<prop::sample::Index>(), 6),
        laid_out in any::<bool>(),
    ) {
        let text = if laid_out { tidy(&score(seed)) } else { score(seed) };
        let all = ways::all(&desk(&text));
        // Kinds first, so that those with many places do not crowd out the others.
        let mut kinds: Vec<&str> = all.iter().map(|(kind, _)| *kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        for pick in picks {
            let kind = pick.get(&kinds);
            let some: Vec<_> = all.iter().filter(|(k, _)| k == kind).collect();
            let (_, what) = pick.get(&some);
            if let Err(why) = judge(&text, what) {
                prop_assert!(false, "{}", why);
            }
        }
    }

    #[test]
    fn what_is_offered_can_be_asked_for_anywhere(
        seed in any::<u64>(),
        line in 0u32..40,
        from in 0u32..60,
        length in 0u32..60,
        down in 0u32..4,
    ) {
        let text = score(seed);
        let desk = desk(&text);
        let at = |line, byte| Place { line, byte };
        let by = Extent { from: at(line, from), to: at(line + down, from + length) };
        for offer in rewritings(&desk, by) {
            prop_assert!(!offer.title.is_empty() && !offer.title.ends_with('.'));
            if let Err(why) = judge(&text, &offer.what) {
                prop_assert!(false, "{}: {}", offer.title, why);
            }
        }
    }
}
