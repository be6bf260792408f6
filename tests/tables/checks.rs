//! Gathers agreements and disagreements of one table.

use std::collections::BTreeSet;

/// Rows that are known to disagree, each with the reason.
pub type Exceptions = &'static [(&'static str, &'static str)];

pub struct Checks {
    table: &'static str,
    exceptions: Exceptions,
    met: BTreeSet<&'static str>,
    rows: usize,
    wrong: Vec<String>,
}

impl Checks {
    pub fn new(table: &'static str, exceptions: Exceptions) -> Checks {
        Checks { table, exceptions, met: BTreeSet::new(), rows: 0, wrong: Vec::new() }
    }

    /// Records the outcome for a row, known by its key; several outcomes may have the same key.
    pub fn row(&mut self, key: &str, source: &str, outcome: Result<(), String>) {
        self.rows += 1;
        let exception = self.exceptions.iter().find(|(row, _)| *row == key);
        match (exception, outcome) {
            (Some((row, _)), Err(_)) => {
                self.met.insert(row);
            }
            (None, Err(why)) => self.wrong.push(format!("{key}: {why} (source: {source})")),
            (_, Ok(())) => {}
        }
    }

    /// Fails with every disagreement that is not listed, every listed one that is none, and if fewer rows than
    /// expected were looked at.
    pub fn finish(mut self, at_least: usize) {
        for (row, reason) in self.exceptions {
            if !self.met.contains(row) {
                self.wrong.push(format!("{row} is listed as an exception ({reason}) but agrees"));
            }
        }
        assert!(self.rows >= at_least, "{}: only {} rows looked at", self.table, self.rows);
        assert!(self.wrong.is_empty(), "{}:\n{}", self.table, self.wrong.join("\n"));
    }
}

/// `Ok` if they are equal.
pub fn same<T: PartialEq + std::fmt::Display>(what: &str, derived: T, published: T) -> Result<(), String> {
    if derived == published {
        Ok(())
    } else {
        Err(format!("{what}: derived {derived}, published {published}"))
    }
}

/// `Ok` if they differ by no more than `within`.
pub fn near(what: &str, derived: f64, published: f64, within: f64) -> Result<(), String> {
    if (derived - published).abs() <= within {
        Ok(())
    } else {
        Err(format!("{what}: derived {derived:.3}, published {published}"))
    }
}

#[test]
#[should_panic(expected = "but agrees")]
fn an_exception_that_agrees_fails() {
    let mut checks = Checks::new("test", &[("a", "because")]);
    checks.row("a", "nobody", Ok(()));
    checks.finish(1);
}

#[test]
#[should_panic(expected = "b: 1 is not 2 (source: somebody)")]
fn a_disagreement_that_is_not_listed_fails() {
    let mut checks = Checks::new("test", &[("a", "because")]);
    checks.row("a", "nobody", Err("known".into()));
    checks.row("b", "somebody", Err("1 is not 2".into()));
    checks.finish(2);
}
