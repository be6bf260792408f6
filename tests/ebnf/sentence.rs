//! Sentences of a grammar, chosen by chance.

use super::form::{Form, Grammar};
use super::told;

/// A sentence of a rule; the same for the same seed.
pub fn sentence(grammar: &Grammar, rule: &str, seed: u64) -> String {
    let mut speaker = Speaker { grammar, chance: seed | 1, tuplets: 0, out: String::new() };
    speaker.say(&Form::Rule(rule.to_owned()));
    speaker.out
}

/// How deep tuplets may stand in each other.
const DEEPEST: usize = 3;

struct Speaker<'g> {
    grammar: &'g Grammar,
    chance: u64,
    tuplets: usize,
    out: String,
}

impl Speaker<'_> {
    fn below(&mut self, count: usize) -> usize {
        // Marsaglia, Xorshift RNGs, 2003; the upper bits, since the lower ones are weak.
        self.chance ^= self.chance << 13;
        self.chance ^= self.chance >> 7;
        self.chance ^= self.chance << 17;
        (self.chance >> 33) as usize % count.max(1)
    }

    fn say(&mut self, form: &Form) {
        match form {
            Form::Text(text) => self.out.push_str(text),
            Form::Told(told) => {
                let examples = told::examples(told);
                let which = self.below(examples.len());
                self.out.push_str(&examples[which]);
            }
            Form::Rule(name) => {
                let deeper = usize::from(name == "tuplet");
                self.tuplets += deeper;
                let form = &self.grammar[name];
                self.say(form);
                self.tuplets -= deeper;
            }
            Form::All(all) => all.iter().for_each(|form| self.say(form)),
            Form::One(all) => {
                let tuplet = Form::Rule("tuplet".to_owned());
                let may: Vec<&Form> =
                    all.iter().filter(|f| self.tuplets < DEEPEST || **f != tuplet).collect();
                let which = self.below(may.len());
                self.say(may[which]);
            }
            Form::Maybe(inside) => {
                if self.below(2) == 0 {
                    self.say(inside);
                }
            }
            Form::Many(inside, least) => {
                let times = least + self.below(4);
                (0..times).for_each(|_| self.say(inside));
            }
        }
    }
}
