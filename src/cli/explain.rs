//! `waterkey explain`: the page of a rule, or the index of all.

use super::out::Out;
use super::paint::Paint;
use super::report::page::page as shown_page;
use super::report::wrapped::wrapped;
use super::{CLEAN, FAILED, width};
use crate::notation::nearest::nearest;
use crate::rules::Severity;
use crate::rules::page::{Page, page, pages};
use crate::rules::registry::names;
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
        let Some(wanted) = self.rule else {
            out.text(&index(&pages(), paint, width()));
            return CLEAN;
        };
        if let Some(found) = page(&wanted) {
            out.text(&shown_page(&found.text, paint, width()));
            out.text(&limits(&found, paint));
            return CLEAN;
        }
        let near = nearest(&wanted, names()).map_or_else(
            || "`waterkey explain` lists them".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        out.trouble(&format!("there is no rule called \"{wanted}\"; {near}"));
        FAILED
    }
}

/// What experienced players also watch and no rule looks at, so that silence is not taken for approval.
const NOT_CHECKED: &str = "how much a practice or harmon mute tires, cold and wet instruments, circular \
    breathing, the load of a whole programme, sung multiphonics, air sounds and split tones, the intonation of \
    high or soft unisons, seconds and octaves between players, the joints of a tone-colour melody, undeclared \
    divisions, the conventions of horn signatures, horn clefs and brass-band parts, courtesy accidentals, the \
    grouping of rests, page turns, headers and lists, and reminders of the state after a long rest.";

/// What a settings file can change about a rule.
fn limits(page: &Page, paint: Paint) -> String {
    if page.limits.is_empty() {
        return String::new();
    }
    let mut shown =
        format!("\n{} (in waterkey.toml, under [limits.{}])\n", paint.strong("Limits"), page.name);
    for limit in page.limits {
        shown.push_str(&format!("  {} = {}  {}; {}\n", limit.key, limit.default, limit.unit, limit.source));
    }
    shown
}

/// Rules and reading faults with what each is about.
fn index(pages: &[Page], paint: Paint, width: usize) -> String {
    let margin = pages.iter().map(|page| page.name.len()).max().unwrap_or(0) + 2;
    let mut shown = String::new();
    let groups = [
        ("What players would object to", false),
        ("What cannot be read or does not add up (always reported, cannot be set)", true),
    ];
    for (title, reading) in groups {
        let mut group = pages.iter().filter(|page| page.reading == reading).peekable();
        if group.peek().is_none() {
            continue;
        }
        if !shown.is_empty() {
            shown.push('\n');
        }
        shown.push_str(&format!("{}\n\n", paint.strong(title)));
        for page in group {
            let severity = format!("{:<13}", page.severity);
            let colour = Severity::from_word(page.severity).unwrap_or(Severity::Warning);
            let inset = " ".repeat(2 + margin + severity.len());
            let about =
                wrapped(&page.summary, width.saturating_sub(inset.len()).max(24)).join(&format!("\n{inset}"));
            shown.push_str(&format!(
                "  {:<margin$}{}{about}\n",
                page.name,
                paint.severity(colour, &severity)
            ));
        }
    }
    shown.push('\n');
    for line in wrapped(&format!("Nothing is said about {NOT_CHECKED}"), width) {
        shown.push_str(&line);
        shown.push('\n');
    }
    shown
}
