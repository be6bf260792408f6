//! What somebody says about the instruments of parts.

use super::instrument::parse;
use super::trouble::Trouble;

/// By part: its name, abbreviation, ID in the file or number from 1; `*` is every part that nothing else is said of.
#[derive(Debug, Clone, Default)]
pub struct Map {
    all: Vec<(String, Option<String>)>,
}

impl Map {
    /// Reads `Part name=horn in F`; `Part name=none` leaves a part out.
    pub fn add(&mut self, said: &str) -> Result<(), Trouble> {
        let Some((part, instrument)) = said.rsplit_once('=') else {
            let why = format!("\"{said}\" has no `=`; say for example \"Part name=horn in F\"");
            return Err(Trouble::Map(why));
        };
        let instrument = match instrument.trim() {
            "none" => None,
            name => Some(parse(name)?),
        };
        self.all.push((part.trim().to_lowercase(), instrument));
        Ok(())
    }

    /// What is said of a part: nothing, to leave it out, or its instrument.
    pub fn of(&self, names: &[&str], number: usize) -> Option<Option<&str>> {
        let number = (number + 1).to_string();
        let is = |said: &str| said == number || names.iter().any(|name| name.trim().to_lowercase() == said);
        let named = self.all.iter().find(|(part, _)| is(part));
        named.map(|(_, instrument)| instrument.as_deref())
    }

    /// What is said of all others.
    pub fn others(&self) -> Option<Option<&str>> {
        self.all.iter().find(|(part, _)| part == "*").map(|(_, instrument)| instrument.as_deref())
    }
}
