//! What is told about a rule or a reading fault: its name, its page, how much it matters.

use crate::notation::FaultName;
use crate::rules::Severity;
use crate::rules::fault_page::fault_page;

/// A card of the index.
#[derive(Debug, Clone)]
pub struct RuleCard {
    pub name: &'static str,
    pub severity: Severity,
    /// In Markdown, with its title.
    pub page: String,
    /// True for a reading fault: always reported, cannot be set.
    pub reading: bool,
}

impl RuleCard {
    /// The first paragraph of the page.
    pub fn summary(&self) -> String {
        let body = self.page.lines().skip_while(|line| line.starts_with('#') || line.trim().is_empty());
        body.take_while(|line| !line.trim().is_empty()).map(str::trim).collect::<Vec<_>>().join(" ")
    }
}

/// Everything that can be reported, rules first.
pub fn cards() -> Vec<RuleCard> {
    FaultName::ALL.into_iter().map(fault).collect()
}

fn fault(name: FaultName) -> RuleCard {
    let page = fault_page(name).to_owned();
    let severity = if page.contains("This is a hint") { Severity::Hint } else { Severity::Error };
    RuleCard { name: name.word(), severity, page, reading: true }
}
