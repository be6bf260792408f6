//! What the grammar tells in words: how long it is in a text, and examples of it.

use waterkey::notation::line::LINE_WORDS;

/// Where a stretch that is told in words may end, as bytes from its beginning; the longest only, since names,
/// numbers and blanks never stand beside their like.
pub fn end(told: &str, text: &str) -> Option<usize> {
    let run = |is: fn(char) -> bool| text.find(|c| !is(c)).unwrap_or(text.len());
    let some = |end: usize| (end > 0).then_some(end);
    if let Some((from, to)) = range(told) {
        let end = some(run(|c| c.is_ascii_digit()))?;
        return text[..end].parse::<u32>().is_ok_and(|n| (from..=to).contains(&n)).then_some(end);
    }
    match told {
        "a blank, then anything to the end of the line" => {
            text.starts_with([' ', '\t']).then_some(text.len())
        }
        "hertz from 300 to 600" => some(run(|c| c.is_ascii_digit() || c == '.')),
        "letters, digits and hyphens; not \"for\"" => {
            some(run(|c| c.is_alphanumeric() || c == '-')).filter(|end| &text[..*end] != "for")
        }
        r#"two notes with ".." between, the lower first"# => {
            some(run(|c| c.is_alphanumeric() || "#.♭♯𝄪𝄫".contains(c)))
        }
        "one to six numbers from 1 to 24 with blanks between" => {
            let end = run(|c| c.is_ascii_digit() || c == ' ' || c == '\t');
            some(text[..end].trim_end().len())
        }
        r#"numbers with "+" between, of 1 to 99 in sum"# => {
            let end = run(|c| c.is_ascii_digit() || c == '+');
            let beats: Option<Vec<u32>> =
                text[..end].split('+').map(|n| n.parse().ok().filter(|n| *n > 0)).collect();
            beats.is_some_and(|all| (1..=99).contains(&all.iter().sum::<u32>())).then_some(end)
        }
        "letters, digits, hyphens and low lines" => {
            some(run(|c| c.is_alphanumeric() || c == '-' || c == '_'))
        }
        r#"letters of any script, digits, hyphens and low lines, a letter first; not "in""# => {
            let end = run(|c| c.is_alphanumeric() || c == '-' || c == '_');
            (text.starts_with(char::is_alphabetic) && &text[..end] != "in").then_some(end)
        }
        "beats a minute, from 1 to 999" => {
            let end = run(|c| c.is_ascii_digit() || c == '.');
            text[..end].parse::<f64>().is_ok_and(|n| (1.0..1000.0).contains(&n)).then_some(end)
        }
        "digits from 1 to 7, each once" => some(run(|c| ('1'..='7').contains(&c))),
        "whatever follows of a chord symbol" => Some(run(|c| !" \t|".contains(c))),
        "digit" => text.starts_with(|c: char| c.is_ascii_digit()).then_some(1),
        "text without a quote" => Some(run(|c| c != '"')),
        "a letter of any script, then letters, digits or low lines; no word that begins a line" => {
            let is = |c: char| {
                c.is_alphanumeric() || c == '_' || unicode_normalization::char::is_combining_mark(c)
            };
            let end = text.find(|c| !is(c)).unwrap_or(text.len());
            let good = text.starts_with(char::is_alphabetic) && !LINE_WORDS.contains(&&text[..end]);
            good.then_some(end)
        }
        "spaces and tabs" => some(run(|c| c == ' ' || c == '\t')),
        other => panic!("nobody knows what this means: {other}"),
    }
}

/// `number from A to B`.
fn range(told: &str) -> Option<(u32, u32)> {
    let (from, to) = told.strip_prefix("number from ")?.split_once(" to ")?;
    Some((from.parse().unwrap(), to.parse().unwrap()))
}

/// Examples of it.
pub fn examples(told: &str) -> Vec<String> {
    if let Some((from, to)) = range(told) {
        return [from, from + 1, from + (to - from) / 2, to].iter().map(u32::to_string).collect();
    }
    let all: &[&str] = match told {
        "a blank, then anything to the end of the line" => &[" ", " Lantern | q : \"", "\tüber 🎺 [ ( {"],
        "hertz from 300 to 600" => &["440", "442", "415.3", "600"],
        "letters, digits and hyphens; not \"for\"" => &["too-high", "no-breath", "mute"],
        r#"two notes with ".." between, the lower first"# => &["E2..Bb4", "C3..C#3", "B♭1..G5"],
        "one to six numbers from 1 to 24 with blanks between" => &["2", "2 1 3 5", "1 24 1 24 1 24"],
        r#"numbers with "+" between, of 1 to 99 in sum"# => &["4", "3+2", "2+2+3", "99"],
        "digits from 1 to 7, each once" => &["1", "2", "13", "123", "4", "24", "7"],
        "whatever follows of a chord symbol" => &["", "6", "m7", "maj7/D", "7(b9)", "m7b5"],
        "letters, digits, hyphens and low lines" => &["A", "12", "tail", "Trio_2", "un-named"],
        r#"letters of any script, digits, hyphens and low lines, a letter first; not "in""# => {
            &["horn", "Nebelhorn_2", "Ur-Horn"]
        }
        "beats a minute, from 1 to 999" => &["1", "60", "66.5", "999"],
        "digit" => &["1", "2", "3", "4", "5"],
        "text without a quote" => &["", "Calm", "Harbour at First Light", "ruhig, 🌅 [ | ]"],
        "a letter of any script, then letters, digits or low lines; no word that begins a line" => {
            &["Tp1", "Hörner", "C1", "Zug_2", "q", "rest", "Ω", "Öl"]
        }
        "spaces and tabs" => &[" ", " ", "  ", "\t"],
        other => panic!("nobody knows what this means: {other}"),
    };
    all.iter().map(|s| (*s).to_owned()).collect()
}
