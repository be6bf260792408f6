//! Whether a grammar takes a text, by following every way it offers.

use super::form::{Form, Grammar};
use super::told;
use std::collections::{BTreeMap, BTreeSet};

/// True if the whole text is what the rule says.
pub fn accepts(grammar: &Grammar, rule: &str, text: &str) -> bool {
    Acceptor { grammar, text, known: BTreeMap::new() }.rule(rule, 0).contains(&text.len())
}

struct Acceptor<'g> {
    grammar: &'g Grammar,
    text: &'g str,
    known: BTreeMap<(String, usize), BTreeSet<usize>>,
}

impl Acceptor<'_> {
    fn rule(&mut self, name: &str, from: usize) -> BTreeSet<usize> {
        if let Some(ends) = self.known.get(&(name.to_owned(), from)) {
            return ends.clone();
        }
        let form = &self.grammar[name];
        let ends = self.ends(form, from);
        self.known.insert((name.to_owned(), from), ends.clone());
        ends
    }

    fn ends(&mut self, form: &Form, from: usize) -> BTreeSet<usize> {
        match form {
            Form::Text(text) => self.text[from..]
                .starts_with(text.as_str())
                .then_some(from + text.len())
                .into_iter()
                .collect(),
            Form::Told(told) => told::end(told, &self.text[from..]).map(|n| from + n).into_iter().collect(),
            Form::Rule(name) => self.rule(name, from),
            Form::All(all) => all.iter().fold(BTreeSet::from([from]), |froms, form| {
                froms.into_iter().flat_map(|from| self.ends(form, from)).collect()
            }),
            Form::One(all) => all.iter().flat_map(|form| self.ends(form, from)).collect(),
            Form::Maybe(inside) => {
                let mut ends = self.ends(inside, from);
                ends.insert(from);
                ends
            }
            Form::Many(inside, least) => {
                let mut ends = BTreeSet::new();
                let mut new = if *least == 0 { BTreeSet::from([from]) } else { self.ends(inside, from) };
                while !new.is_empty() {
                    ends.extend(&new);
                    let next: BTreeSet<usize> =
                        new.into_iter().flat_map(|at| self.ends(inside, at)).collect();
                    new = next.difference(&ends).copied().collect();
                }
                ends
            }
        }
    }
}
