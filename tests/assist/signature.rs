//! Form lines: a comment under a line of a score, whose `|?` says where somebody is typing. Behind it comes
//! the form that must be shown and, behind `>>`, the part of it that comes now (`-` for none of them); a
//! second form behind ` & `; `nothing` where there is none. `|! ` asks as an editor does by itself, after a
//! sign was typed.

use super::laws::soup;
use super::text::{desk, samples};
use proptest::prelude::*;
use std::fmt::Write as _;
use std::path::Path;
use waterkey::assist::{Occasion, Place, Signature, signature};

fn shown(forms: &[Signature]) -> String {
    let one = |s: &Signature| {
        let active = s.active.map_or("-", |a| s.parameters[a].span.of(&s.label));
        format!("{} >> {active}", s.label)
    };
    if forms.is_empty() {
        "nothing".to_owned()
    } else {
        forms.iter().map(one).collect::<Vec<_>>().join(" & ")
    }
}

#[test]
fn every_cursor_is_shown_the_form_of_its_line() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/assist/signature");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    let (mut out, mut seen) = (String::new(), 0);
    for path in paths {
        let text = std::fs::read_to_string(&path).unwrap();
        let desk = desk(&text);
        let lines: Vec<&str> = text.lines().collect();
        let mut above = 0;
        for (i, line) in lines.iter().enumerate() {
            let asked = line.split_once("|? ").map(|(b, s)| (b, s, Occasion::Asked));
            let cursor = asked.or_else(|| line.split_once("|! ").map(|(b, s)| (b, s, Occasion::Typed)));
            let Some((before, wanted, occasion)) = cursor.filter(|_| line.starts_with("//")) else {
                above = i;
                continue;
            };
            let column = before.chars().count();
            let byte = lines[above].char_indices().nth(column).map_or(lines[above].len(), |(b, _)| b);
            let told = shown(&signature(&desk, Place { line: above as u32, byte: byte as u32 }, occasion));
            seen += 1;
            // The narrowest form must be the one; what else is shown need not be said.
            let good =
                told == wanted || (!wanted.contains(" & ") && told.starts_with(&format!("{wanted} & ")));
            if !good {
                writeln!(
                    out,
                    "{}:{}:{column}: wanted\n  {wanted}\nshown\n  {told}",
                    path.display(),
                    above + 1
                )
                .unwrap();
            }
        }
    }
    assert!(out.is_empty(), "\n{out}");
    assert!(seen > 30);
}

fn sound(forms: &[Signature]) {
    for form in forms {
        assert!(!form.label.is_empty() && !form.text.is_empty(), "{form:?}");
        assert!(form.active.is_none_or(|a| a < form.parameters.len()));
        for part in &form.parameters {
            let text = part.span.of(&form.label);
            assert!(!text.is_empty() && !part.text.is_empty());
            // For clients that look for the words of a part: the first place where they stand is theirs.
            assert_eq!(form.label.find(text), Some(part.span.start as usize), "{text} in {}", form.label);
        }
    }
}

#[test]
fn every_form_is_sound() {
    let mut forms = 0;
    let mut all = samples();
    all.push(("typed".to_owned(), desk(include_str!("typed.brass"))));
    for (_, desk) in all {
        for (number, line) in desk.document().lines().iter().enumerate() {
            for byte in line.tokens.iter().map(|t| t.span.end) {
                let place = Place { line: number as u32, byte };
                let asked = signature(&desk, place, Occasion::Asked);
                let typed = signature(&desk, place, Occasion::Typed);
                sound(&asked);
                assert!(typed.is_empty() || typed == asked);
                forms += asked.len();
            }
        }
    }
    assert!(forms > 2000, "{forms}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    #[test]
    fn nothing_can_be_typed_that_has_an_unsound_form(text in soup()) {
        let desk = desk(&text);
        for (number, line) in desk.document().lines().iter().enumerate() {
            for byte in 0..line.text.len() as u32 + 2 {
                let place = Place { line: number as u32, byte };
                sound(&signature(&desk, place, Occasion::Asked));
                sound(&signature(&desk, place, Occasion::Typed));
            }
        }
        let beyond = signature(&desk, Place { line: 9999, byte: 0 }, Occasion::Asked);
        prop_assert!(beyond.is_empty());
    }
}
