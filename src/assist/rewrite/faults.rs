//! What must be mended before anything is written anew.

use super::Refusal;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Finding, Severity};

/// Refused where anything in the score cannot be read.
pub fn sound_everywhere(desk: &Desk) -> Result<(), Refusal> {
    first(&desk.findings())
}

/// Refused where anything in these blocks cannot be read.
pub fn sound_in(desk: &Desk, blocks: &[usize]) -> Result<(), Refusal> {
    let lines: Vec<(u32, u32)> = blocks
        .iter()
        .filter_map(|b| {
            let placed = desk.score().blocks.get(*b)?;
            Some((placed.line, placed.line + placed.read.block.text.lines.len() as u32))
        })
        .collect();
    let mut found = desk.findings_of(blocks);
    found.retain(|f| lines.iter().any(|(from, to)| (*from..*to).contains(&f.line)));
    first(&found)
}

fn first(found: &[Finding]) -> Result<(), Refusal> {
    let fault = found.iter().find(|f| is_reading_fault(f.rule) && f.severity == Severity::Error);
    match fault {
        Some(fault) => {
            let where_ = match fault.bar {
                Some(bar) => format!("bar {bar}"),
                None => format!("line {}", fault.line + 1),
            };
            Err(Refusal::new(format!("mend what cannot be read first: {where_}, {}", fault.message)))
        }
        None => Ok(()),
    }
}
