//! Lengths and numbers as musicians say them.

use crate::music::Fraction;

/// The first letter made a capital.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| format!("{}{}", first.to_uppercase(), chars.as_str()))
}

/// A small number in a word, others in digits.
pub fn number(n: usize) -> String {
    const WORDS: [&str; 13] = [
        "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    WORDS.get(n).map_or_else(|| n.to_string(), |w| (*w).to_owned())
}

/// `there is one`, `there are three`.
pub fn there_are(n: usize) -> String {
    format!("there {} {}", if n == 1 { "is" } else { "are" }, number(n))
}

/// `a quarter`, `a dotted half`, else `5/8`.
pub fn length(length: Fraction) -> String {
    match value_name(length) {
        Some(name) => format!("{} {name}", if name == "eighth" { "an" } else { "a" }),
        None => length.to_string(),
    }
}

/// `four quarters`, `one dotted half`; `3 times 5/8` where there is no such value.
pub fn lengths(n: usize, each: Fraction) -> String {
    match value_name(each) {
        Some(name) if n == 1 => format!("one {name}"),
        Some(name) => format!("{} {}", number(n), plural(&name)),
        None => format!("{n} times {each}"),
    }
}

fn plural(name: &str) -> String {
    match name.strip_suffix("half") {
        Some(start) => format!("{start}halves"),
        None => format!("{name}s"),
    }
}

/// The name of a length that one value with at most two dots has.
fn value_name(length: Fraction) -> Option<String> {
    let (n, d) = (length.numerator(), length.denominator());
    let (dots, base_num, base_den) = match n {
        1 | 2 => (0, n, d),
        3 => (1, 2, d),
        7 => (2, 4, d),
        _ => return None,
    };
    let base = Fraction::new(base_num, base_den)?;
    let name = match (base.numerator(), base.denominator()) {
        (2, 1) => "double whole note",
        (1, 1) => "whole note",
        (1, 2) => "half",
        (1, 4) => "quarter",
        (1, 8) => "eighth",
        (1, 16) => "16th",
        (1, 32) => "32nd",
        (1, 64) => "64th",
        _ => return None,
    };
    let dotted = ["", "dotted ", "double-dotted "].get(dots).copied().unwrap_or("");
    Some(format!("{dotted}{name}"))
}

/// A length as a bar is counted: in quarters where they come out even, else the plain fraction.
pub fn in_meter(length: Fraction) -> String {
    let (n, d) = (length.numerator(), length.denominator());
    match d {
        1 => format!("{}/4", n * 4),
        2 => format!("{}/4", n * 2),
        _ => format!("{n}/{d}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_named_as_players_name_them() {
        let f = |n, d| Fraction::new(n, d).unwrap();
        assert_eq!(length(f(1, 8)), "an eighth");
        assert_eq!(length(f(3, 8)), "a dotted quarter");
        assert_eq!(length(f(7, 16)), "a double-dotted quarter");
        assert_eq!(length(f(5, 8)), "5/8");
        assert_eq!(lengths(4, f(1, 4)), "four quarters");
        assert_eq!(lengths(2, f(1, 2)), "two halves");
        assert_eq!(in_meter(f(1, 1)), "4/4");
        assert_eq!(in_meter(f(7, 8)), "7/8");
    }
}
