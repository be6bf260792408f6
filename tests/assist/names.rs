//! Names: where they are declared, where they are used, and other names for them.

use super::text::{desk, place, sample, samples};
use waterkey::assist::{
    Place, Stretch, TextEdit, definition, highlight, included_definition, name_at, prepare, references,
    rename,
};
use waterkey::rules::Desk;

const SCORE: &str = "\
instrument skiff = slide, fundamental Bb1
player Tp1 = trumpet in Bb, doubles skiff
player Tp2 = skiff
group Pair = Tp1 Tp2
phrase riff | q : C5 D5 E5 F5 |
allow too-high for Tp1 Pair
roadmap A \"Two Lights\" A
bar 1  mark A
Tp1 | play riff up M2 |
Pair | [switch skiff] - |
bar 3  mark \"Two Lights\"
Tp1 Tp2 | play riff |
";

fn at(desk: &Desk, stretch: Stretch) -> String {
    let line = desk.document().lines().get(stretch.line as usize).unwrap();
    format!("{}:{}", stretch.line, stretch.span.of(&line.text))
}

fn told(what: (&str, usize), on: (&str, usize)) -> (Option<String>, Vec<String>) {
    let desk = desk(SCORE);
    let place = place(&desk, on, what);
    let declared = definition(&desk, place).map(|s| at(&desk, s));
    (declared, references(&desk, place, false).into_iter().map(|s| at(&desk, s)).collect())
}

#[test]
fn a_name_leads_to_its_declaration_and_to_its_uses() {
    let (declared, used) = told(("Tp1", 0), ("Tp1 | ", 0));
    assert_eq!(declared.as_deref(), Some("1:Tp1"));
    assert_eq!(used, ["3:Tp1", "5:Tp1", "8:Tp1", "11:Tp1"]);
    let (declared, used) = told(("riff", 0), ("Tp1 | ", 0));
    assert_eq!(declared.as_deref(), Some("4:riff"));
    assert_eq!(used, ["8:riff", "11:riff"]);
    let (declared, used) = told(("skiff", 0), ("player Tp2", 0));
    assert_eq!(declared.as_deref(), Some("0:skiff"));
    assert_eq!(used, ["1:skiff", "2:skiff", "9:skiff"]);
    let (declared, used) = told(("Two", 0), ("roadmap", 0));
    assert_eq!(declared.as_deref(), Some("10:Two Lights"));
    assert_eq!(used, ["6:Two Lights"]);
    let (declared, used) = told(("Pair", 0), ("allow", 0));
    assert_eq!(declared.as_deref(), Some("3:Pair"));
    assert_eq!(used, ["5:Pair", "9:Pair"]);
}

#[test]
fn what_is_no_name_leads_nowhere() {
    for (what, on) in [("trumpet", "player Tp1"), ("C5", "phrase"), ("too-high", "allow"), ("mark", "bar 1")]
    {
        let desk = desk(SCORE);
        let place = place(&desk, (on, 0), (what, 0));
        assert_eq!(definition(&desk, place), None, "{what}");
        assert!(highlight(&desk, place).is_empty(), "{what}");
        assert!(prepare(&desk, place).is_err(), "{what}");
    }
}

fn apply(desk: &Desk, edits: &[TextEdit]) -> String {
    let mut text = desk.document().text();
    for edit in edits.iter().rev() {
        let start = desk.document().lines().start_of_line(edit.line as usize);
        text.replace_range(start + edit.span.start as usize..start + edit.span.end as usize, &edit.with);
    }
    text
}

/// The new text, or why not.
fn renamed(text: &str, on: (&str, usize), what: (&str, usize), new: &str) -> Result<String, String> {
    let desk = desk(text);
    let place = place(&desk, on, what);
    rename(&desk, place, new).map(|edits| apply(&desk, &edits))
}

#[test]
fn a_name_changes_everywhere() {
    let text = renamed(SCORE, ("player Tp1", 0), ("Tp1", 0), "Lead").unwrap();
    assert!(!text.contains("Tp1"), "{text}");
    assert_eq!(text.matches("Lead").count(), 5);
    let text = renamed(SCORE, ("bar 1", 0), ("A", 0), "Low Water").unwrap();
    assert!(text.contains("roadmap \"Low Water\" \"Two Lights\" \"Low Water\"\n"), "{text}");
    assert!(text.contains("bar 1  mark \"Low Water\"\n"), "{text}");
}

#[test]
fn names_that_will_not_do_are_refused_in_a_sentence() {
    for (new, said) in [
        ("Tp2", "taken"),
        ("riff", "taken"),
        ("2nd", "no name"),
        ("", "no name"),
        ("bar", "begins a line"),
        ("First Trumpet", "no name"),
        ("a|b", "no name"),
    ] {
        let said_here = renamed(SCORE, ("player Tp1", 0), ("Tp1", 0), new).unwrap_err();
        assert!(said_here.contains(said), "{new}: {said_here}");
    }
    assert!(renamed(SCORE, ("bar 1", 0), ("A", 0), "Two Lights").unwrap_err().contains("already"));
    assert!(renamed(SCORE, ("bar 1", 0), ("A", 0), "a\"b").is_err());
    assert!(renamed(SCORE, ("instrument", 0), ("skiff", 0), "trombone").unwrap_err().contains("catalogue"));
}

#[test]
fn there_and_back_is_the_text_as_it_was() {
    for (file, desk) in samples() {
        let lines = desk.document().lines().clone();
        for (number, line) in lines.iter().enumerate() {
            for token in &line.tokens {
                let place = Place { line: number as u32, byte: token.span.start };
                let Some((name, stretch)) = name_at(&desk, place) else { continue };
                if prepare(&desk, place).is_err()
                    || !highlight(&desk, place).iter().any(|m| m.at == stretch && m.declares)
                {
                    continue;
                }
                let new = "Zz9";
                let edits = rename(&desk, place, new).unwrap_or_else(|e| panic!("{file} {name:?}: {e}"));
                assert_eq!(edits.len(), highlight(&desk, place).len());
                let other = super::text::desk(&apply(&desk, &edits));
                let there = Place {
                    line: number as u32,
                    byte: edits.iter().find(|e| e.line == stretch.line).unwrap().span.start,
                };
                let old = stretch.span.of(&line.text);
                let back = rename(&other, there, old).unwrap_or_else(|e| panic!("{file} {name:?} back: {e}"));
                assert_eq!(apply(&other, &back), desk.document().text(), "{file} {name:?}");
            }
        }
    }
}

#[test]
fn an_included_name_is_found_in_its_file_and_not_renamed_here() {
    let desk = sample("quay-chorale.brass");
    let place = place(&desk, ("Upper", 0), ("Upper", 0));
    assert_eq!(definition(&desk, place), None);
    let found = included_definition(&desk, place).unwrap();
    assert!(found.file.ends_with("crew.brass"), "{found:?}");
    let text = sample("crew.brass").document().lines().get(found.at.line as usize).unwrap().text.to_string();
    assert!(text.starts_with("group  Upper"), "{text}");
    assert!(prepare(&desk, place).unwrap_err().contains("included file"));
}
