//! Bars as cells of a row: rests gathered, copies as `%`.

use super::bar::{Bar, Content};
use super::marks;

/// Longest `rest` and `improvise`.
const MOST_BARS: usize = 9999;
/// Most bars that one `%` copies.
const MOST_COPIES: usize = 64;

/// What stands between two barlines.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    pub text: String,
    /// How many bars it stands for.
    pub bars: usize,
    /// True for `%`, which needs the cell before it.
    pub copies: bool,
}

/// The cells of a row. `parted` tells for each bar whether it must begin a cell of its own.
pub fn cells(bars: &[Bar], parted: &[bool]) -> Vec<Cell> {
    let mut out = Vec::new();
    let mut at = 0;
    // The list that `%` would repeat.
    let mut before: Option<String> = None;
    while let Some(bar) = bars.get(at) {
        let parts = |i: usize| parted.get(i).copied().unwrap_or(false);
        let run = |like: &dyn Fn(&Bar) -> bool, most: usize| {
            let joins = |i: usize| {
                let (Some(last), Some(next)) = (bars.get(i - 1), bars.get(i)) else { return false };
                like(next) && last.after.is_empty() && next.before.is_empty() && !parts(i)
            };
            (at + 1..at + most).take_while(|i| joins(*i)).count() + 1
        };
        let cell = |what: String, taken: usize, copies: bool| {
            let after = bars.get(at + taken - 1).map_or(&[][..], |b| &b.after);
            let words: Vec<&str> = bar.before.iter().map(String::as_str).chain([what.as_str()]).collect();
            let words = words.into_iter().chain(after.iter().map(String::as_str)).collect::<Vec<_>>();
            Cell { text: words.join(" "), bars: taken, copies }
        };
        let cell = match &bar.what {
            Content::Silence(marks) if !marks.is_empty() => {
                cell(format!("-{}", marks::text(*marks)), 1, false)
            }
            Content::Silence(_) => match run(&Bar::is_rest, MOST_BARS) {
                1 => cell("-".to_owned(), 1, false),
                n => cell(format!("rest {n}"), n, false),
            },
            Content::Held(marks) => cell(format!("={}", marks::text(*marks)), 1, false),
            Content::Improvised => {
                let n = run(&|b| b.what == Content::Improvised, MOST_BARS);
                cell(format!("improvise {n}"), n, false)
            }
            Content::Notes(notes) => {
                let same = |b: &Bar| {
                    b.again && matches!(&b.what, Content::Notes(n) if before.as_ref() == Some(&n.text()))
                };
                let fits =
                    at.checked_sub(1).and_then(|i| bars.get(i)).is_some_and(|b| b.length == bar.length);
                if same(bar) && fits {
                    let length = bar.length;
                    match run(&|b| same(b) && b.length == length, MOST_COPIES) {
                        1 => cell("%".to_owned(), 1, true),
                        n => cell(format!("%*{n}"), n, true),
                    }
                } else {
                    // Written out: what stood beside `%` stands in the list now.
                    let text = notes.within(&bar.before, &bar.after);
                    before = Some(text.clone());
                    Cell { text, bars: 1, copies: false }
                }
            }
        };
        if !matches!(bar.what, Content::Notes(_)) {
            before = None;
        }
        at += cell.bars;
        out.push(cell);
    }
    out
}
