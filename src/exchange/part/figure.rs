//! Figures as text: one that stands in the score, or one made anew for given lengths.

use crate::music::Fraction;
use crate::notation::tree::{FigureNode, PlaceKind};
use crate::score::figure::{Timed, is_single_value, value_letters};

/// Largest number in a tuplet.
const TUPLET: i64 = 64;

/// The figure as it stands, single blanks between its places.
pub fn of_nodes(nodes: &[FigureNode], text: &str) -> String {
    let mut out = String::new();
    for node in nodes {
        let span = match node {
            FigureNode::Place(place) => place.span,
            FigureNode::Open { span, .. } | FigureNode::Close { span, .. } => *span,
        };
        if !(out.is_empty() || matches!(node, FigureNode::Close { .. })) {
            out.push(' ');
        }
        out.push_str(span.of(text));
    }
    out
}

/// Where a place from `start` to `end` may be cut so that it has an edge at `at`: there alone, or also on
/// the beats around, which makes for simpler figures where the edge lies inside a tuplet of others.
pub fn ways_to_cut(start: Fraction, end: Fraction, at: Fraction) -> Vec<Vec<Fraction>> {
    let grid = |n: i64| {
        let unit = Fraction::new(1, n)?;
        let units = at.over(unit)?;
        let below = unit.times(Fraction::new(units.numerator().div_euclid(units.denominator()), 1)?)?;
        let above = if below == at { at } else { below.plus(unit)? };
        let mut cuts = vec![below, at, above];
        cuts.dedup();
        let fits = below >= start && above <= end;
        cuts.retain(|cut| *cut > start && *cut < end);
        (fits && cuts.len() > usize::from(at < end)).then_some(cuts)
    };
    let plain: Vec<Fraction> = if at < end { vec![at] } else { Vec::new() };
    std::iter::once(plain).chain([2, 4, 8, 16, 32].into_iter().filter_map(grid)).collect()
}

/// A figure for these places, one after the other; `None` where values and tuplets cannot say it.
pub fn write(places: &[Timed]) -> Option<String> {
    let mut words: Vec<String> = Vec::new();
    let mut at = 0;
    while let Some(place) = places.get(at) {
        if let Some(letters) = value_letters(place.length) {
            words.push(word(&letters, place));
            at += 1;
            continue;
        }
        let (text, taken) = tuplet(places.get(at..)?)?;
        words.push(text);
        at += taken;
    }
    (!words.is_empty()).then(|| words.join(" "))
}

fn word(letters: &str, place: &Timed) -> String {
    let kind = match place.kind {
        PlaceKind::Entry => "",
        PlaceKind::Silence => "-",
        PlaceKind::Hold => "=",
    };
    format!("{letters}{kind}{}", if place.fermata { ":fermata" } else { "" })
}

/// The shortest tuplet that begins here, and how many places it takes.
fn tuplet(places: &[Timed]) -> Option<(String, usize)> {
    let mut sum = Fraction::ZERO;
    let mut odd = 1i64;
    for (i, place) in places.iter().enumerate() {
        sum = sum.plus(place.length)?;
        let part = place.length.denominator() >> place.length.denominator().trailing_zeros();
        odd = odd / gcd(odd, part) * part;
        if odd > TUPLET {
            return None;
        }
        let whole = u64::try_from(sum.denominator()).is_ok_and(u64::is_power_of_two);
        if let Some(text) = whole.then(|| braced(places.get(..=i)?, sum, odd)).flatten() {
            return Some((text, i + 1));
        }
    }
    None
}

/// These places in braces: `odd` in the time of the nearest power of two below, or of another number that
/// makes single values.
fn braced(places: &[Timed], sum: Fraction, odd: i64) -> Option<String> {
    let usual = (1..).map(|n| 1i64 << n).take_while(|n| *n < odd).last().unwrap_or(1);
    let mut normals = std::iter::once(usual).chain(1..=TUPLET);
    normals.find_map(|normal| {
        let unit = sum.over(Fraction::new(normal, 1)?)?;
        let odd = odd * (normal >> normal.trailing_zeros());
        if odd > TUPLET {
            return None;
        }
        let factor = Fraction::new(odd, normal)?;
        let letters = |place: &Timed| Some(word(&value_letters(place.length.times(factor)?)?, place));
        let inside: Option<Vec<String>> = places.iter().map(letters).collect();
        inside.filter(|_| is_single_value(unit)).map(|all| format!("{{{odd}:{normal} {}}}", all.join(" ")))
    })
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.max(1) } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::line::{Ending, read_line};
    use crate::notation::tree::LineTree;
    use crate::score::figure::expand;
    use proptest::prelude::*;

    fn places(lengths: &[(i64, i64)]) -> Vec<Timed> {
        let mut onset = Fraction::ZERO;
        let mut all = Vec::new();
        for (n, d) in lengths {
            let length = Fraction::new(*n, *d).unwrap();
            all.push(Timed { onset, length, kind: PlaceKind::Entry, fermata: false });
            onset = onset.plus(length).unwrap();
        }
        all
    }

    fn read(figure: &str) -> Vec<Timed> {
        let line = read_line(&format!("rhythm | {figure} |"), Ending::None);
        assert!(line.faults.is_empty(), "{figure}: {:?}", line.faults);
        let LineTree::Row(row) = &line.tree else { panic!("{figure}") };
        let mut out = Vec::new();
        expand(row.bars[0].nodes.of(&row.nodes), &mut out).unwrap();
        out
    }

    #[test]
    fn figures_look_as_one_would_write_them() {
        assert_eq!(write(&places(&[(3, 8), (1, 8), (1, 2)])).unwrap(), "q. e h");
        assert_eq!(write(&places(&[(1, 12), (1, 12), (1, 12), (3, 4)])).unwrap(), "{3:2 e e e} h.");
        assert_eq!(write(&places(&[(1, 12), (11, 12)])).unwrap(), "{3:2 e w+q.}");
        assert_eq!(write(&places(&[(1, 20); 5])).unwrap(), "{5:4 s s s s s}");
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back(cuts in prop::collection::btree_set(1i64..48, 0..6), of in 1i64..5) {
            let whole = 48;
            let mut lengths = Vec::new();
            let mut before = 0;
            for cut in cuts.into_iter().chain([whole]) {
                lengths.push(((cut - before) * of, whole * 4));
                before = cut;
            }
            let wanted = places(&lengths);
            // A few cannot be said, most can; what is said is right.
            if let Some(figure) = write(&wanted) {
                prop_assert_eq!(read(&figure), wanted, "{}", figure);
            }
        }
    }
}
