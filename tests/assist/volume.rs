//! Names that several texts have in common.

use proptest::prelude::*;
use std::collections::BTreeMap;
use waterkey::assist::{Body, Gap, Name, NameKind, Volume, distance};
use waterkey::notation::Document;
use waterkey::rules::{Desk, Settings};
use waterkey::score::{LoadFault, Loaded, Loader};

/// Files in memory, by name; the one that is the score itself has none.
struct Files<'a> {
    all: &'a BTreeMap<String, String>,
    own: &'a str,
}

impl Loader for Files<'_> {
    fn load(&self, _: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        let text = self.all.get(relative).ok_or(LoadFault::Missing)?.clone();
        let name = if relative == self.own { String::new() } else { relative.to_owned() };
        Ok(Loaded { name, text })
    }
}

fn desk(all: &BTreeMap<String, String>, own: &str) -> Desk {
    Desk::new(&all[own], Settings::default(), &Files { all, own })
}

/// Every text as a score with what it includes.
fn volume(all: &BTreeMap<String, String>) -> Volume {
    let number = |name: &str| all.keys().position(|n| n == name).unwrap();
    let score = |own: &String| {
        let included: Vec<usize> =
            desk(all, own).score().head.included.iter().map(|file| number(&file.name)).collect();
        std::iter::once(number(own)).chain(included).collect()
    };
    let bodies = all.iter().enumerate().map(|(at, (name, text))| {
        // However a text is given, it is the same.
        let document = Document::new(text);
        let mut body = match at % 3 {
            0 => Body::of(&document),
            1 => Body::of_lines(document.lines().iter().cloned().collect()),
            _ => Body::of_text(text.clone()),
        };
        body.called = format!("`{name}`");
        body
    });
    Volume { texts: bodies.collect(), scores: all.keys().map(score).collect(), gaps: Vec::new() }
}

fn files(texts: &[(&str, &str)]) -> BTreeMap<String, String> {
    texts.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
}

fn renamed(
    all: &BTreeMap<String, String>,
    volume: &Volume,
    from: usize,
    name: &Name,
    new: &str,
) -> Result<BTreeMap<String, String>, String> {
    let mut texts = all.clone();
    let names: Vec<String> = all.keys().cloned().collect();
    let mut changes = volume.rename(from, name, new)?;
    changes.sort_by_key(|c| (c.text, c.edit.line, c.edit.span));
    for change in changes.iter().rev() {
        let text = texts.get_mut(&names[change.text]).unwrap();
        let start = Document::new(text).lines().start_of_line(change.edit.line as usize);
        let (from, to) = (start + change.edit.span.start as usize, start + change.edit.span.end as usize);
        text.replace_range(from..to, &change.edit.with);
    }
    Ok(texts)
}

fn name(kind: NameKind, text: &str) -> Name {
    Name { kind, text: text.to_owned() }
}

#[test]
fn a_file_that_says_a_name_ties_scores_together_and_one_that_does_not_parts_them() {
    let all = files(&[
        ("crew", "player A = trombone\n"),
        ("pier", "include \"crew\"\ngroup G = A\n"),
        ("quay", "include \"crew\"\nplayer B = trombone\nbar 1\nA B | |\n"),
        ("slip", "include \"crew\"\nplayer B = trombone\n"),
    ]);
    let volume = volume(&all);
    let texts = |from: usize, kind, text: &str| {
        let mut found: Vec<usize> = volume.mentions(from, &name(kind, text)).iter().map(|f| f.text).collect();
        found.dedup();
        found
    };
    assert_eq!(texts(0, NameKind::Player, "A"), [0, 1, 2]);
    assert_eq!(texts(2, NameKind::Player, "A"), [2, 0, 1], "the text itself first");
    assert_eq!(texts(2, NameKind::Player, "B"), [2], "the other B is somebody else");
    // Free in all that would change, though not everywhere.
    assert!(volume.rename(2, &name(NameKind::Player, "B"), "G").is_ok());
    let taken = volume.rename(1, &name(NameKind::Player, "A"), "B").unwrap_err();
    assert!(taken.contains("`quay`"), "{taken}");
    let declared = volume.declaration(2, &name(NameKind::Player, "A")).unwrap();
    assert_eq!((declared.text, declared.mention.at.line), (0, 0));
}

#[test]
fn what_is_not_known_or_not_ours_is_a_refusal() {
    let all =
        files(&[("crew", "player A = trombone\n"), ("quay", "include \"crew\"\nbar 1 mark M\nA | |\n")]);
    let mut volume = volume(&all);
    volume.gaps.push(Gap { texts: vec![0], why: "Nobody knows.".into() });
    assert_eq!(volume.rename(1, &name(NameKind::Player, "A"), "B").unwrap_err(), "Nobody knows.");
    assert!(volume.rename(1, &name(NameKind::Mark, "M"), "B").is_ok(), "marks are each text's own");
    volume.gaps.clear();
    volume.texts[0].locked = Some("Not ours.".into());
    assert_eq!(volume.rename(1, &name(NameKind::Player, "A"), "B").unwrap_err(), "Not ours.");
    assert!(volume.rename(1, &name(NameKind::Player, "Z"), "B").unwrap_err().contains("nowhere"));
    assert!(volume.rename(9, &name(NameKind::Player, "A"), "B").is_err(), "no such text");
}

/// Names for people, phrases and instruments; the first two of all are one, typed in two ways.
const NAMES: [[&str; 4]; 3] = [
    ["\u{e9}t\u{e9}", "e\u{301}te\u{301}", "A", "B"],
    ["r", "\u{10428}", "oars", "Q"],
    ["K", "skiff", "U", "\u{10429}"],
];

/// Now and then somebody else's.
fn a_name(of: usize) -> impl Strategy<Value = &'static str> {
    (0..12usize, 0..4usize)
        .prop_map(move |(odd, which)| NAMES[if odd == 0 { (of + 1) % 3 } else { of }][which])
}

fn line() -> impl Strategy<Value = String> {
    let names = (a_name(0), a_name(0), a_name(1), a_name(1), a_name(2), a_name(2));
    (0..10, names, 0..4).prop_map(|(kind, (a, b, r, s, i, j), file)| match kind {
        0 => format!("player {a} = trombone\n"),
        1 => format!("player {a} = {i}, doubles {j}\r\n"),
        2 => format!("group {a} = {b} {b}\n"),
        3 => format!("instrument {i} = slide, fundamental Bb1\n"),
        4 => format!("phrase {r} | q : C4 D4 \"{a}\" E4 F4 | play {s} |\n"),
        5 => format!("allow too-high for {a} {b}\n"),
        6 => format!("bar mark {a}\n{a} {b} | play {r} | [switch {i}] - |\n"),
        7 => format!("// {a} | {b}\nroadmap {a}\n"),
        _ => format!("include \"f{file}\"\n"),
    })
}

fn texts() -> impl Strategy<Value = BTreeMap<String, String>> {
    let text = prop::collection::vec(line(), 0..8).prop_map(|lines| lines.concat());
    prop::collection::vec(text, 4)
        .prop_map(|texts| texts.into_iter().enumerate().map(|(at, text)| (format!("f{at}"), text)).collect())
}

/// Rule and line of everything found in every score, and what each includes.
fn read(all: &BTreeMap<String, String>) -> Vec<String> {
    all.keys()
        .map(|own| {
            let desk = desk(all, own);
            let found: Vec<_> = desk.findings().iter().map(|f| (f.rule, f.line)).collect();
            let included: Vec<_> = desk.score().head.included.iter().map(|file| file.name.clone()).collect();
            format!("{own}: {found:?} {included:?}")
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn whatever_changes_its_name_every_score_reads_as_before(
        all in texts(),
        from in 0usize..4,
        kind in prop::sample::select(&[NameKind::Player, NameKind::Phrase, NameKind::Instrument, NameKind::Mark][..]),
        old in prop::sample::select(&["A", "\u{e9}t\u{e9}", "r", "\u{10428}", "K", "skiff"][..]),
        new in prop::sample::select(&["Zz9", "B", "\u{1043c}x", "bar", "start", "no name", "e\u{301}te\u{301}"][..]),
    ) {
        let old = name(kind, old);
        let before = volume(&all);
        let stands = before.mentions(from, &old).first().is_some_and(|found| found.text == from);
        let Some(after) = stands.then(|| renamed(&all, &before, from, &old, new).ok()).flatten() else {
            return Ok(());
        };
        // A name that two things had is free for one of them now; else all is as it was.
        let kinds = [NameKind::Player, NameKind::Phrase, NameKind::Instrument];
        let twice = kinds.into_iter().filter(|k| *k != kind && kind != NameKind::Mark).any(|kind| {
            let other = Name { kind, text: old.text.clone() };
            (0..4).any(|text| !before.mentions(text, &other).is_empty())
        });
        prop_assert!(twice || read(&after) == read(&all), "{after:?}\n{:?}\n{:?}", read(&after), read(&all));
        let there = volume(&after);
        let places = |volume: &Volume, name: &Name| {
            volume.mentions(from, name).iter().map(|f| (f.text, f.mention.at.line)).collect::<Vec<_>>()
        };
        let new: String = unicode_normalization::UnicodeNormalization::nfc(new).collect();
        let new = name(kind, &new);
        prop_assert_eq!(places(&there, &new), places(&before, &old));
        if new != old {
            prop_assert!(there.mentions(from, &old).is_empty());
            let back = renamed(&after, &there, from, &new, &old.text);
            prop_assert!(twice || back.is_ok(), "{back:?}");
            let Ok(back) = back else { return Ok(()) };
            let plain = |all: &BTreeMap<String, String>| -> Vec<String> {
                all.values().map(|t| unicode_normalization::UnicodeNormalization::nfc(t.as_str()).collect()).collect()
            };
            // A mark that got quotes keeps them.
            prop_assert!(kind == NameKind::Mark || plain(&back) == plain(&all), "{back:?} {all:?}");
        }
    }

    #[test]
    fn letters_in_their_order_are_found_and_others_are_not(
        name in "[a-zA-Z\u{e9}\u{10428} _]{1,12}",
        keep in prop::collection::vec(any::<bool>(), 12),
        other in "[0-9]",
    ) {
        let typed: String = name.chars().zip(&keep).filter(|(_, keep)| **keep).map(|(c, _)| c).collect();
        let some = distance(&typed, &name);
        prop_assert!(some.is_some(), "{typed} {name}");
        let strange = typed.clone() + &other;
        prop_assert!(distance(&strange, &name).is_none());
        let nearest = distance(&name, &name).unwrap();
        prop_assert!(nearest <= some.unwrap());
        prop_assert!(distance(&name.to_uppercase(), &name) >= Some(nearest));
    }
}

#[test]
fn the_nearest_comes_first() {
    let mut names = ["Tuba", "Solo Tb", "xTb", "TB", "Tb1", "Tb", "Timber"];
    names.sort_by_key(|name| distance("Tb", name));
    assert_eq!(names, ["Tb", "TB", "Tb1", "Solo Tb", "xTb", "Tuba", "Timber"]);
}
