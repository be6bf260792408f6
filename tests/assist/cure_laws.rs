//! What holds for every way out of every finding.

use super::cures::applied;
use super::text::{desk, samples};
use proptest::prelude::*;
use std::path::{Path, PathBuf};
use waterkey::assist::cure::{Trial, is_leap, tally};
use waterkey::assist::{Cures, Extent, Offer, OfferKind, Place};
use waterkey::host::FolderLoader;
use waterkey::notation::tree::{LineTree, RowKind};
use waterkey::rules::lie;
use waterkey::rules::registry::{is_reading_fault, names};
use waterkey::rules::{Desk, Finding, Settings, Severity};
use waterkey::score::event::EventKind;

/// Everything that is heard or rested: block, player, seat, kind, bar, onset, length, sounding height.
pub type Heard = Vec<(usize, String, u32, EventKind, u32, String, String, i32)>;

pub fn heard(desk: &Desk) -> Heard {
    let score = desk.score();
    let mut all = Vec::new();
    for block in 0..score.blocks.len() {
        for (index, player) in score.head.players.iter().enumerate() {
            for seat in 0..player.seats.clamp(1, 8) {
                for e in desk.report().events_of_seat(score, block, index, seat) {
                    let note = matches!(e.kind, EventKind::Note | EventKind::Grace);
                    let height = if note { e.sounding.midi() } else { 0 };
                    let (onset, length) = (e.onset.to_string(), e.length.to_string());
                    all.push((block, player.id.clone(), seat, e.kind, e.bar, onset, length, height));
                }
            }
        }
    }
    all
}

fn same_but_octaves(a: &Heard, b: &Heard) -> bool {
    let without = |all: &Heard| -> Vec<_> {
        all.iter()
            .map(|e| (e.0, e.1.clone(), e.2, e.3, e.4, e.5.clone(), e.6.clone(), e.7.rem_euclid(12)))
            .collect()
    };
    without(a) == without(b)
}

/// True where a new fault may have been there all along, unseen: on the line of the fault of reading that
/// was mended, in its block if others depend on the line, and anywhere if it stands in the head.
fn may_uncover(desk: &Desk, finding: &Finding, new: &Finding, shift: i64) -> bool {
    if !is_reading_fault(finding.rule) {
        return false;
    }
    let (old, now) = (desk.score().block_at(finding.line), desk.score().block_at(new.line));
    let line = &desk.document().lines().get(finding.line as usize).unwrap().tree;
    let music = matches!(line, LineTree::Row(row) if row.kind == RowKind::Music);
    match old {
        None => true,
        Some(_) if i64::from(new.line) == i64::from(finding.line) + shift => true,
        // Lines may have come above.
        Some(_) => !music && (old == now || shift != 0),
    }
}

/// Checks a finding's offers; how many there are.
fn check(desk: &Desk, cures: &Cures<'_>, finding: &Finding) -> usize {
    let offers = cures.offers(finding);
    assert!(offers.iter().filter(|o| o.preferred).count() <= 1, "{offers:#?}");
    for offer in &offers {
        check_offer(desk, cures, finding, offer);
    }
    offers.len()
}

fn check_offer(desk: &Desk, cures: &Cures<'_>, finding: &Finding, offer: &Offer) {
    let text = desk.document().text();
    let say = |what: &str| {
        format!("{what}\n{} {}: {}\n{:?}\n{text}", finding.rule, finding.message, offer.title, offer.edits)
    };
    assert!(!offer.edits.is_empty(), "{}", say("nothing is changed"));
    assert!(
        !offer.title.trim().is_empty() && !offer.title.ends_with('.'),
        "{}",
        say("a title is no sentence")
    );
    assert!(offer.title.chars().count() <= 400, "{}", say("a title is short"));
    for pair in offer.edits.windows(2) {
        let ends = (pair[0].line, pair[0].span.end) <= (pair[1].line, pair[1].span.start);
        assert!(ends, "{}", say("edits overlap"));
    }
    let trial = Trial::of(desk, &offer.edits).unwrap_or_else(|| panic!("{}", say("it does not fit")));
    assert!(trial.is_gone(finding), "{}", say("the finding stays"));
    // Lines are counted by line ends in one way only.
    if !text.contains('\r') {
        assert_eq!(trial.desk().document().text(), applied(&text, offer), "{}", say("other edits"));
    }
    untouched(&text, &trial.desk().document().text(), offer);
    let fresh = Desk::new(&trial.desk().document().text(), desk.settings().clone(), &again(desk));
    let after = trial.desk().findings();
    assert_eq!(fresh.findings(), after, "{}", say("reading it anew finds something else"));
    // Looking only where something may have changed misses nothing; hints of idle allowances aside.
    let (was, is) = trial.tallies();
    let (all_was, all_is) = (tally(cures.findings()), tally(&after));
    for n in 0..4 {
        let (whole, part) = (all_is[n] as i64 - all_was[n] as i64, is[n] as i64 - was[n] as i64);
        assert_eq!(whole, part, "{}", say("a change was overlooked"));
    }
    let shift = i64::from(trial.line_of(finding)) - i64::from(finding.line);
    for new in trial.came() {
        let milder = (new.severity, new.grade) < (finding.severity, finding.grade);
        // A player who was nobody before has findings of their own.
        let declared = offer.title.starts_with("Declare");
        // A note that can be played is the better for a leap to it.
        let leap = offer.title.contains("octave") && is_leap(new.rule);
        assert!(
            milder || declared || leap || may_uncover(desk, finding, new, shift),
            "{}\nnew: {new:?}",
            say("something as grave comes in its place")
        );
    }
    match offer.kind {
        OfferKind::Allow => {
            assert_eq!(heard(desk), heard(trial.desk()), "{}", say("an allowance changes nothing"));
            let count = |all: &[Finding], rule: &str| all.iter().filter(|f| f.rule == rule).count();
            let idle = |all| count(all, "idle-allowance");
            assert!(idle(&after) <= idle(cures.findings()), "{}", say("it silences nothing"));
            for other in names().filter(|n| *n != finding.rule && *n != "idle-allowance") {
                let (before, after) = (count(cures.findings(), other), count(&after, other));
                assert_eq!(before, after, "{}", say("another rule is silenced"));
            }
        }
        OfferKind::Move => unreachable!("moves are not for a finding"),
        OfferKind::Mend => {
            if offer.title.ends_with("which sounds the same")
                || (offer.safe && !is_reading_fault(finding.rule))
            {
                assert_eq!(heard(desk), heard(trial.desk()), "{}", say("something else is heard"));
            }
            if offer.title.starts_with("Up ") || offer.title.starts_with("Down ") {
                assert!(
                    same_but_octaves(&heard(desk), &heard(trial.desk())),
                    "{}",
                    say("not the same notes")
                );
            }
        }
    }
}

/// Lines that no edit names are there still, in the same order, byte for byte.
fn untouched(before: &str, after: &str, offer: &Offer) {
    let mut rest = after;
    for (at, line) in before.split_inclusive('\n').enumerate() {
        if before.contains('\r') || offer.edits.iter().any(|e| e.line as usize == at) {
            continue;
        }
        let found = rest.find(line).unwrap_or_else(|| panic!("{}: {line:?} is gone", offer.title));
        rest = &rest[found + line.len()..];
    }
}

/// What was included, once more.
fn again(desk: &Desk) -> waterkey::score::head::ReadAlready {
    waterkey::score::head::ReadAlready(std::sync::Arc::clone(&desk.score().head))
}

fn errors(findings: &[Finding]) -> usize {
    findings.iter().filter(|f| f.severity == Severity::Error).count()
}

/// All at once, and once more.
fn check_all(desk: &Desk, cures: &Cures<'_>) -> bool {
    let Some(offer) = cures.all() else { return false };
    assert!(!offer.edits.is_empty() && cures.any_safe());
    let trial = Trial::of(desk, &offer.edits).unwrap();
    assert!(errors(&trial.desk().findings()) <= errors(cures.findings()));
    let again = Cures::of(trial.desk()).all();
    assert_eq!(again, None, "{}", trial.desk().document().text());
    true
}

fn check_everything(desk: &Desk) -> usize {
    let cures = Cures::of(desk);
    check_all(desk, &cures);
    cures.findings().iter().map(|finding| check(desk, &cures, finding)).sum()
}

fn files(folder: &Path, all: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, all);
        } else if path.extension().is_some_and(|e| e == "brass") {
            all.push(path);
        }
    }
}

/// The scores of the rules' fixtures, those of the cures, and the samples.
fn texts() -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = Vec::new();
    for folder in ["tests/fixtures", "tests/assist/cures", "samples"] {
        files(&root.join(folder), &mut all);
    }
    all.iter().map(|p| std::fs::read_to_string(p).unwrap()).filter(|t| t.len() < 12_000).collect()
}

#[test]
fn every_offer_for_the_fixtures_mends_what_it_is_for() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let mut paths = Vec::new();
    files(&root, &mut paths);
    let mut offers = 0;
    for path in paths {
        let text = std::fs::read_to_string(&path).unwrap();
        let desk = Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[]));
        offers += check_everything(&desk);
    }
    assert!(offers > 250, "{offers}");
}

#[test]
fn every_offer_for_the_samples_mends_what_it_is_for() {
    let offers: usize = samples().iter().map(|(_, desk)| check_everything(desk)).sum();
    assert!(offers > 50, "{offers}");
}

#[test]
fn every_octave_that_a_selection_is_offered_is_better() {
    let (mut moved, mut wider) = (0, 0);
    for text in texts() {
        let desk = desk(&text);
        let cures = Cures::of(&desk);
        for (at, line) in desk.document().lines().iter().enumerate() {
            let LineTree::Row(row) = &line.tree else { continue };
            for bar in &row.bars {
                let place = |byte| Place { line: at as u32, byte };
                let by = Extent { from: place(bar.span.start), to: place(bar.span.end) };
                for offer in cures.wider_moves(by) {
                    let trial = Trial::of(&desk, &offer.edits).unwrap();
                    assert!(same_but_octaves(&heard(&desk), &heard(trial.desk())), "{}\n{text}", offer.title);
                    assert!(badly(trial.desk()) <= badly(&desk), "{}\n{text}", offer.title);
                    untouched(&text, &trial.desk().document().text(), &offer);
                    wider += 1;
                }
                for offer in cures.moves(by) {
                    let trial = Trial::of(&desk, &offer.edits).unwrap();
                    assert!(same_but_octaves(&heard(&desk), &heard(trial.desk())), "{}\n{text}", offer.title);
                    let weight = |all: &[Finding]| {
                        let mut all: Vec<_> = all.iter().map(|f| (f.severity, f.grade)).collect();
                        all.sort_by(|a, b| b.cmp(a));
                        all
                    };
                    let less = weight(&trial.desk().findings()) < weight(cures.findings());
                    // Part of a passage may leave a finding on the rest.
                    let part = badly(trial.desk()) < badly(&desk)
                        && trial.came().all(|f| f.severity == Severity::Hint || is_leap(f.rule));
                    assert!(less || part, "{}\n{text}", offer.title);
                    moved += 1;
                }
            }
        }
    }
    assert!(moved > 40 && wider > 20, "{moved} {wider}");
}

/// How many notes do not lie well.
fn badly(desk: &Desk) -> usize {
    let score = desk.score();
    let mut count = 0;
    for block in 0..score.blocks.len() {
        for (index, player) in score.head.players.iter().enumerate() {
            for seat in 0..player.seats.clamp(1, 8) {
                let events = desk.report().events_of_seat(score, block, index, seat);
                count += events.iter().filter(|e| lie::of(player, e) != lie::Lie::Fine).count();
            }
        }
    }
    count
}

/// What damages a score.
const BITS: [&str; 36] = [
    "",
    " ",
    "\n",
    "\r\n",
    "C5",
    "d4",
    "Bb1",
    "G6 ",
    "E#4",
    "|",
    " | ",
    "q :",
    "(",
    ")",
    "{3:2 e*3}",
    "=",
    "%",
    "- ",
    "[mute cup]",
    "[rit] ",
    "rest 2",
    "𝄞",
    "é",
    "bar 3\n",
    "bar\n",
    "Tp1 | w : C5 |\n",
    "Zz | w : C5 |\n",
    "// note\n",
    "player Hn3 = horn in F\n",
    "allow too-high\n",
    "repeat 2 to 2",
    "key C# major",
    "D5*3",
    ":",
    "“",
    "@12",
];

fn boundary(text: &str, mut at: usize) -> usize {
    at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(160) })]

    #[test]
    fn every_offer_for_a_damaged_score_mends_what_it_is_for(
        which in any::<prop::sample::Index>(),
        damage in prop::collection::vec((any::<usize>(), 0usize..6, 0..BITS.len()), 1..4),
    ) {
        let all = texts();
        let mut text = which.get(&all).clone();
        for (at, length, bit) in damage {
            let from = boundary(&text, at % (text.len() + 1));
            let to = boundary(&text, from + length).max(from);
            text.replace_range(from..to, BITS[bit]);
        }
        let desk = desk(&text);
        check_everything(&desk);
    }

    #[test]
    fn every_offer_for_rubbish_mends_what_it_is_for(text in super::laws::soup(), at in 0u32..30, byte in 0u32..40) {
        let desk = desk(&text);
        check_everything(&desk);
        let place = |line, byte| Place { line, byte };
        let _ = Cures::of(&desk).moves(Extent { from: place(at, byte), to: place(at, byte + 9) });
        let _ = Cures::of(&desk).touched(Extent { from: place(at, byte), to: place(at + 5, 0) });
    }
}
