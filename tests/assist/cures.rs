//! What is offered, told under the line it is for.
//!
//! `tests/assist/cures/*.brass` are scores whose faults have their ways out below them, as comments:
//!
//! ```text
//! Tb1 | q q h. : C4 D4 E4 |
//! // bar-length, preferred: Make the last value a quarter shorter (h)
//! // > Tb1 | q q h : C4 D4 E4  |
//! ```
//!
//! `// RULE[, preferred][, safe]: TITLE`, then `// < LINE` for each other line that goes and `// > LINE` for
//! each that comes. The whole file is compared with what is offered; with `BLESS=1` it is written anew, to
//! be read before it is taken in.

use super::text::{desk, place};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use waterkey::assist::{Cures, Extent, Offer, Place};
use waterkey::rules::Settings;
use waterkey::rules::registry::names;
use waterkey::rules::{Desk, Finding};
use waterkey::score::{LoadFault, Loaded, Loader};

/// A text with edits made, worked out from the text alone.
pub fn applied(text: &str, offer: &Offer) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let mut out = String::new();
    for (at, line) in lines.iter().enumerate() {
        let mut line = (*line).to_owned();
        for edit in offer.edits.iter().rev().filter(|e| e.line as usize == at) {
            line.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.with);
        }
        out += &line;
    }
    // What is put at the end of a text stands in a line that has nothing yet.
    for edit in offer.edits.iter().filter(|e| e.line as usize == lines.len()) {
        out += &edit.with;
    }
    out
}

fn is_marker(line: &str) -> bool {
    let Some(said) = line.strip_prefix("// ") else { return false };
    said.starts_with("> ")
        || said.starts_with("< ")
        || said == ">"
        || names().any(|n| said.strip_prefix(n).is_some_and(|rest| rest.starts_with([',', ':'])))
}

fn told(text: &str) -> String {
    let bare: String = text.split_inclusive('\n').filter(|l| !is_marker(l.trim_end())).collect();
    let desk = desk(&bare);
    let cures = Cures::of(&desk);
    let mut out = String::new();
    for (at, line) in bare.split_inclusive('\n').enumerate() {
        out += line;
        for finding in cures.findings().iter().filter(|f| f.line as usize == at) {
            for offer in cures.offers(finding) {
                tell(&bare, finding, &offer, &mut out);
            }
        }
    }
    out
}

fn tell(bare: &str, finding: &Finding, offer: &Offer, out: &mut String) {
    let preferred = if offer.preferred { ", preferred" } else { "" };
    let safe = if offer.safe { ", safe" } else { "" };
    writeln!(out, "// {}{preferred}{safe}: {}", finding.rule, offer.title).unwrap();
    let after = applied(bare, offer);
    let (mut old, mut new): (Vec<&str>, Vec<&str>) = (bare.lines().collect(), after.lines().collect());
    let own = old[finding.line as usize];
    for line in &old.clone() {
        if let Some(at) = new.iter().position(|l| l == line) {
            new.remove(at);
            let at = old.iter().position(|l| l == line).unwrap();
            old.remove(at);
        }
    }
    for line in old.iter().filter(|l| **l != own) {
        writeln!(out, "// < {line}").unwrap();
    }
    for line in new {
        writeln!(out, "{}", format!("// > {line}").trim_end()).unwrap();
    }
}

fn fixtures() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/assist/cures");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    paths
}

#[test]
fn everything_is_offered_that_the_fixtures_tell_and_nothing_else() {
    let mut wrong = String::new();
    let all = fixtures();
    assert!(all.len() > 10);
    for path in all {
        let text = std::fs::read_to_string(&path).unwrap();
        let now = told(&text);
        if now == text {
            continue;
        }
        if std::env::var_os("BLESS").is_some() {
            std::fs::write(&path, &now).unwrap();
        }
        writeln!(wrong, "--- {}", path.file_name().unwrap().to_string_lossy()).unwrap();
        for line in text.lines().filter(|l| !now.lines().any(|n| n == *l)) {
            writeln!(wrong, "told, and not so: {line}").unwrap();
        }
        for line in now.lines().filter(|l| !text.lines().any(|n| n == *l)) {
            writeln!(wrong, "so, and not told: {line}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// Titles and texts of what is offered for a stretch of a line.
fn moves(desk: &Desk, line: &str, from: (&str, usize), to: (&str, usize)) -> Vec<(String, String)> {
    let start = place(desk, (line, 0), from);
    let end = place(desk, (line, 0), to);
    let end = Place { byte: end.byte + to.0.len() as u32, ..end };
    let text = desk.document().text();
    let row = start.line as usize;
    let offers = Cures::of(desk).moves(Extent { from: start, to: end });
    offers.iter().map(|o| (o.title.clone(), applied(&text, o).lines().nth(row).unwrap().to_owned())).collect()
}

const SELECTED: &str = "\
player Tp1 = trumpet in Bb
player Tp2 = trumpet in Bb, level school
player Hn1 = horn in F
player Hn2 = horn in F
group Horns = Hn1 Hn2
phrase call | h : A5 G5 |
bar 1  meter 4/4  tempo q = 72
rhythm | q q q q | h q e e | h h |
Tp2    | F5 /G5 A5 G5:trill=A5 G5 | D5 = G5*2 | play call |
Horns  | (F4 G5) (F4 A5) (F4 G5) F4 | F4 = - | (D4 F4) - |
";

#[test]
fn what_is_selected_goes_where_it_lies_better() {
    let desk = desk(SELECTED);
    let passage = moves(&desk, "Tp2", ("F5", 0), ("G5", 2));
    assert_eq!(
        passage[0],
        (
            "Down an octave: 5 notes, all inside Tp2's comfortable range".to_owned(),
            "Tp2    | F4 /G4 A4 G4:trill=A4 G4 | D5 = G5*2 | play call |".to_owned()
        ),
        "{passage:?}"
    );
    let one = moves(&desk, "Tp2", ("G5*2", 0), ("G5", 3));
    assert_eq!(one[0].1, "Tp2    | F5 /G5 A5 G5:trill=A5 G5 | D5 = G4*2 | play call |", "{one:?}");
    assert!(one[0].0.starts_with("Down an octave: 2 notes"), "{one:?}");
    let played = moves(&desk, "Tp2", ("play call", 0), ("call", 0));
    assert_eq!(
        played[0].1, "Tp2    | F5 /G5 A5 G5:trill=A5 G5 | D5 = G5*2 | play call down P8 |",
        "{played:?}"
    );
    let lies_well = moves(&desk, "Tp2", ("D5", 0), ("=", 1));
    assert!(lies_well.is_empty(), "{lies_well:?}");
    // The upper horn's notes alone.
    let member = moves(&desk, "Horns", ("G5", 0), ("G5", 0));
    assert_eq!(member[0].1, "Horns  | (F4 G4) (F4 A5) (F4 G5) F4 | F4 = - | (D4 F4) - |", "{member:?}");
}

#[test]
fn a_phrase_a_bar_and_a_block_go_where_they_lie_better() {
    let desk = desk(
        "player Tp2 = trumpet in Bb, level school\nbar 12  meter 4/4  tempo q = 72\nTp2 | q q h : C5 A5_ G5 | w : D5 |\n",
    );
    let at = place(&desk, ("Tp2", 0), ("A5", 0));
    let offers = Cures::of(&desk).wider_moves(Extent { from: at, to: at });
    let told: Vec<(&str, String)> = offers
        .iter()
        .map(|o| (o.title.as_str(), applied(&desk.document().text(), o).lines().nth(2).unwrap().to_owned()))
        .collect();
    assert_eq!(
        told,
        [
            (
                "Down an octave: the phrase in bar 12, all inside Tp2's comfortable range",
                "Tp2 | q q h : C5 A4_ G4 | w : D5 |".to_owned()
            ),
            (
                "Down an octave: bar 12, all inside Tp2's comfortable range",
                "Tp2 | q q h : C4 A4_ G4 | w : D5 |".to_owned()
            ),
            (
                "Down an octave: all of bars 12 to 13, all inside Tp2's comfortable range",
                "Tp2 | q q h : C4 A4_ G4 | w : D4 |".to_owned()
            ),
        ]
    );
    let well = place(&desk, ("Tp2", 0), ("D5", 0));
    let around = Cures::of(&desk).wider_moves(Extent { from: well, to: well });
    assert!(around.iter().all(|o| o.title.contains("all of bars 12 to 13")), "{around:?}");
}

#[test]
fn one_of_a_line_end_is_taken_out_with_its_line() {
    for end in ["\n", "\r\n", "\r"] {
        let text = "player Tp1 = trumpet in Bb\nallow too-high for Tp1\nbar 1  meter 4/4  tempo q = 72\nTp1 | w : C5 |\n";
        let desk = desk(&text.replace('\n', end));
        let cures = Cures::of(&desk);
        let idle = cures.findings().iter().find(|f| f.rule == "idle-allowance").unwrap();
        let offers = cures.offers(idle);
        let trial = waterkey::assist::cure::Trial::of(&desk, &offers[0].edits).unwrap();
        let wanted = text.replace("allow too-high for Tp1\n", "").replace('\n', end);
        assert_eq!(trial.desk().document().text(), wanted);
    }
}

#[test]
fn a_new_line_ends_as_the_others_do() {
    for end in ["\n", "\r\n", "\r"] {
        let text =
            "player Tp1 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | w : G6 |\nTpt2 | w : C5 |";
        let desk = desk(&text.replace('\n', end));
        let cures = Cures::of(&desk);
        for finding in cures.findings() {
            for offer in cures.offers(finding) {
                let trial = waterkey::assist::cure::Trial::of(&desk, &offer.edits).unwrap();
                let new = trial.desk().document().text();
                assert_eq!(new.replace(end, "").find(['\n', '\r']), None, "{}: {new:?}", offer.title);
            }
        }
    }
}

/// The crew, in a file of its own.
struct Crew;

impl Loader for Crew {
    fn load(&self, _from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        let text = "player Tp1 = trumpet in Bb, level school\nphrase call | w : A5 |\n".to_owned();
        if relative == "crew.brass" {
            Ok(Loaded { name: relative.to_owned(), text })
        } else {
            Err(LoadFault::Missing)
        }
    }
}

#[test]
fn nothing_is_offered_that_another_file_would_have_to_be_changed_for() {
    let text = "include \"crew.brass\"\ninclude \"nobody.brass\"\nbar 1  meter 4/4  tempo q = 72\nTp1 | play call | w : A5 |\n";
    let desk = Desk::new(text, Settings::default(), &Crew);
    let cures = Cures::of(&desk);
    let high = cures.findings().iter().find(|f| f.rule == "too-high").unwrap();
    let offers = cures.offers(high);
    let titles: Vec<&str> = offers.iter().map(|o| o.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "Down an octave: 2 notes, all inside Tp1's comfortable range",
            "Allow too-high for Tp1 in bars 1 to 2",
            "Allow too-high for Tp1 in this score"
        ]
    );
    assert_eq!(applied(text, &offers[0]).lines().nth(3).unwrap(), "Tp1 | play call down P8 | w : A4 |");
    // The crew is still aboard when the head is read again, and whoever was missing is still missing.
    let trial = waterkey::assist::cure::Trial::of(&desk, &offers[2].edits).unwrap();
    assert!(trial.is_gone(high));
    let rules: Vec<&str> = trial.desk().findings().iter().map(|f| f.rule).collect();
    assert_eq!(rules, ["include-fault"]);
}
