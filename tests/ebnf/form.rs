//! A grammar in the form of ISO/IEC 14977, read: as much of it as `grammar/brass.ebnf` uses.

use std::collections::BTreeMap;

/// What a text may be.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Exactly this.
    Text(String),
    /// What a rule of this name says.
    Rule(String),
    /// What is told in words.
    Told(String),
    /// One after the other.
    All(Vec<Form>),
    /// One of them.
    One(Vec<Form>),
    /// Or nothing.
    Maybe(Box<Form>),
    /// As often as one likes, but no fewer times than this.
    Many(Box<Form>, usize),
}

/// The rules by name.
pub type Grammar = BTreeMap<String, Form>;

/// Reads a grammar; says what is wrong with it.
pub fn read(text: &str) -> Result<Grammar, String> {
    let mut reader = Reader { rest: text };
    let mut grammar = Grammar::new();
    loop {
        reader.skip();
        if reader.rest.is_empty() {
            return Ok(grammar);
        }
        let name = reader.name()?;
        reader.expect("=")?;
        let form = reader.one()?;
        reader.expect(";")?;
        if grammar.insert(name.clone(), form).is_some() {
            return Err(format!("two rules are called `{name}`"));
        }
    }
}

struct Reader<'t> {
    rest: &'t str,
}

impl Reader<'_> {
    /// Passes over blanks and comments.
    fn skip(&mut self) {
        loop {
            self.rest = self.rest.trim_start();
            match self.rest.strip_prefix("(*").and_then(|inside| inside.split_once("*)")) {
                Some((_, after)) => self.rest = after,
                None => return,
            }
        }
    }

    fn take(&mut self, sign: &str) -> bool {
        self.skip();
        let after = self.rest.strip_prefix(sign);
        self.rest = after.unwrap_or(self.rest);
        after.is_some()
    }

    fn expect(&mut self, sign: &str) -> Result<(), String> {
        if self.take(sign) { Ok(()) } else { Err(format!("`{sign}` is missing before {}", self.here())) }
    }

    fn here(&self) -> String {
        self.rest.chars().take(40).collect()
    }

    fn name(&mut self) -> Result<String, String> {
        self.skip();
        let end = self
            .rest
            .find(|c: char| !c.is_alphanumeric() && c != ' ' && c != '\n')
            .unwrap_or(self.rest.len());
        let (name, after) = self.rest.split_at(end);
        self.rest = after;
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        if name.is_empty() { Err(format!("a name is missing before {}", self.here())) } else { Ok(name) }
    }

    fn one(&mut self) -> Result<Form, String> {
        let mut all = vec![self.all()?];
        while self.take("|") {
            all.push(self.all()?);
        }
        Ok(if all.len() == 1 { all.remove(0) } else { Form::One(all) })
    }

    fn all(&mut self) -> Result<Form, String> {
        let mut all = vec![self.single()?];
        while self.take(",") {
            all.push(self.single()?);
        }
        Ok(if all.len() == 1 { all.remove(0) } else { Form::All(all) })
    }

    fn single(&mut self) -> Result<Form, String> {
        for quote in ["\"", "'"] {
            if self.take(quote) {
                let (text, after) = self.rest.split_once(quote).ok_or("a quote is not closed")?;
                self.rest = after;
                return Ok(Form::Text(text.to_owned()));
            }
        }
        if self.take("?") {
            let (told, after) = self.rest.split_once('?').ok_or("a `?` is not closed")?;
            self.rest = after;
            return Ok(Form::Told(told.split_whitespace().collect::<Vec<_>>().join(" ")));
        }
        if self.take("[") {
            let inside = self.one()?;
            self.expect("]")?;
            return Ok(Form::Maybe(Box::new(inside)));
        }
        if self.take("{") {
            let inside = self.one()?;
            self.expect("}")?;
            let least = usize::from(self.take("-"));
            return Ok(Form::Many(Box::new(inside), least));
        }
        if self.take("(") {
            let inside = self.one()?;
            self.expect(")")?;
            return Ok(inside);
        }
        Ok(Form::Rule(self.name()?))
    }
}

/// Names that are used and that no rule has, and rules that nothing uses.
pub fn loose(grammar: &Grammar, start: &str) -> Vec<String> {
    fn used(form: &Form, out: &mut Vec<String>) {
        match form {
            Form::Rule(name) => out.push(name.clone()),
            Form::All(all) | Form::One(all) => all.iter().for_each(|f| used(f, out)),
            Form::Maybe(inside) | Form::Many(inside, _) => used(inside, out),
            Form::Text(_) | Form::Told(_) => {}
        }
    }
    let mut all = vec![start.to_owned()];
    grammar.values().for_each(|form| used(form, &mut all));
    let unknown = all.iter().filter(|name| !grammar.contains_key(*name)).cloned();
    let idle = grammar.keys().filter(|name| !all.contains(name)).cloned();
    unknown.chain(idle).collect()
}
