//! Reads the tables.

use std::collections::HashMap;
use waterkey::brass::How;
use waterkey::music::Pitch;

/// A row, by column.
pub struct Row(HashMap<&'static str, &'static str>);

impl Row {
    pub fn get(&self, column: &str) -> &'static str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub fn pitch(&self, column: &str) -> Pitch {
        pitch(self.get(column))
    }

    pub fn number<T: std::str::FromStr>(&self, column: &str) -> T {
        let text = self.get(column).trim_start_matches('+');
        text.parse().unwrap_or_else(|_| panic!("{column}: no number {text}"))
    }

    /// The source of the row, to be named beside a disagreement.
    pub fn source(&self) -> &'static str {
        self.get("source")
    }
}

pub fn pitch(text: &str) -> Pitch {
    Pitch::parse(text).unwrap_or_else(|| panic!("no pitch {text}"))
}

/// All rows of a table.
pub fn rows(table: &'static str) -> Vec<Row> {
    let mut lines = table.lines();
    let head: Vec<&str> = lines.next().unwrap().split('\t').collect();
    lines.map(|line| Row(head.iter().copied().zip(line.split('\t')).collect())).collect()
}

/// A cell such as `123/p2/+54` or `7/p5/6.86`.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    pub how: How,
    pub partial: u16,
    pub number: f64,
}

/// The cells of a column, parted by blanks; `-` for none.
pub fn cells(text: &str) -> Vec<Cell> {
    text.split(' ').filter(|cell| *cell != "-").map(cell).collect()
}

fn cell(text: &str) -> Cell {
    let parts: Vec<&str> = text.split('/').collect();
    let [how, partial, number] = parts.as_slice() else { panic!("no cell {text}") };
    Cell {
        how: How::parse(how).unwrap(),
        partial: partial.strip_prefix('p').unwrap().parse().unwrap(),
        number: number.trim_start_matches('+').parse().unwrap(),
    }
}
