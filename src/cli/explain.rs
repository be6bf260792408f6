//! `waterkey explain`: the page of a rule, or the index of all.

use super::out::Out;
use super::paint::Paint;
use super::report::page::page;
use super::report::wrapped::wrapped;
use super::rule_card::{RuleCard, cards};
use super::{CLEAN, FAILED, width};
use crate::notation::nearest::nearest;
use clap::Args;

/// Tell what a rule is about: why it matters, its numbers and their sources, and the way out
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey explain too-high  the page of one rule\n  \
        waterkey explain           the names of all rules and reading faults")]
pub struct Explain {
    /// The name of a rule or reading fault, as a finding shows it; without it, the index
    #[arg(value_name = "RULE")]
    rule: Option<String>,
}

impl Explain {
    pub fn run(self, out: &mut Out) -> u8 {
        let paint = Paint(out.colour());
        let cards = cards();
        let Some(wanted) = self.rule else {
            out.text(&index(&cards, paint, width()));
            return CLEAN;
        };
        if let Some(card) = cards.iter().find(|card| card.name == wanted) {
            out.text(&page(&card.page, paint, width()));
            return CLEAN;
        }
        let near = nearest(&wanted, cards.iter().map(|card| card.name)).map_or_else(
            || "`waterkey explain` lists them".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        out.trouble(&format!("there is no rule called \"{wanted}\"; {near}"));
        FAILED
    }
}

/// Rules and reading faults with what each is about.
fn index(cards: &[RuleCard], paint: Paint, width: usize) -> String {
    let margin = cards.iter().map(|card| card.name.len()).max().unwrap_or(0) + 2;
    let mut shown = String::new();
    let groups = [
        ("What players would object to", false),
        ("What cannot be read or does not add up (always reported, cannot be set)", true),
    ];
    for (title, reading) in groups {
        let mut group = cards.iter().filter(|card| card.reading == reading).peekable();
        if group.peek().is_none() {
            continue;
        }
        if !shown.is_empty() {
            shown.push('\n');
        }
        shown.push_str(&format!("{}\n\n", paint.strong(title)));
        for card in group {
            let name = format!("{:<margin$}", card.name);
            let severity = format!("{:<13}", card.severity.word());
            shown.push_str(&format!(
                "  {name}{}{}\n",
                paint.severity(card.severity, &severity),
                card.summary()
            ));
        }
    }
    shown
}
