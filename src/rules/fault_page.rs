//! Pages of the reading faults, which have no file of their own as rules have.

use crate::notation::FaultName;

const PAGES: &str = include_str!("fault_pages.md");

/// The page of a reading fault, from its title on; empty only if there is none, which a test rules out.
pub fn fault_page(name: FaultName) -> &'static str {
    let title = format!("# {}\n", name.word());
    let start = match PAGES.starts_with(&title) {
        true => Some(0),
        false => PAGES.find(&format!("\n{title}")).map(|at| at + 1),
    };
    let Some(page) = start.and_then(|start| PAGES.get(start..)) else { return "" };
    page.find("\n# ").and_then(|end| page.get(..end)).unwrap_or(page).trim_end()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reading_fault_has_a_page() {
        for name in FaultName::ALL {
            let page = fault_page(name);
            assert!(page.starts_with(&format!("# {}\n\n", name.word())), "{}", name.word());
            assert!(page.contains("**Way out.**"), "{}", name.word());
        }
    }
}
