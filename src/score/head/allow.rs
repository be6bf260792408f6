//! Allowances: findings that somebody has looked at and wants to hear no more of.

use super::{HeadLine, Names};
use crate::notation::line::Line;
use crate::notation::tree::{AllowLine, LineTree};
use crate::notation::{Fault, FaultName, Span};

/// `allow RULE … [for ID …]`.
#[derive(Debug, Clone)]
pub struct Allowance {
    /// Line of the score, or lines below the header of the block it stands in.
    pub line: u32,
    /// Each rule with its place on the line.
    pub rules: Vec<(String, Span)>,
    /// The players it is for; `None` for all.
    pub players: Option<Vec<u16>>,
    /// The line of an included text that it stands on, where nobody is told that it silences nothing.
    pub brought: Option<HeadLine>,
}

/// Reads one `allow` line. Whether its rules exist is for the rules to say.
pub fn read(tree: &AllowLine, line: &Line, at: u32, names: &Names, faults: &mut Vec<Fault>) -> Allowance {
    let mut players = Vec::new();
    for span in &tree.players {
        let name = span.of(&line.text);
        match names.players(name) {
            Some(found) => players.extend(found),
            None => {
                let fault = Fault::new(
                    FaultName::UnknownPlayer,
                    *span,
                    format!("No player or group is called `{name}`."),
                );
                faults.push(match names.nearest_player(name) {
                    Some(near) => fault.fixed_by(format!("Write `{near}`"), *span, near),
                    None => fault,
                });
            }
        }
    }
    Allowance {
        line: at,
        rules: tree.rules.iter().map(|span| (span.of(&line.text).to_owned(), *span)).collect(),
        players: (!tree.players.is_empty()).then_some(players),
        brought: None,
    }
}

/// The head's allowances.
pub fn allowances(all: &[HeadLine], names: &Names, faults: &mut Vec<(u32, Fault)>) -> Vec<Allowance> {
    let mut allows = Vec::new();
    for head_line in all {
        let LineTree::Allow(tree) = &head_line.line.tree else { continue };
        let mut found = Vec::new();
        let mut allowance = read(tree, &head_line.line, head_line.at, names, &mut found);
        allowance.brought = head_line.from.is_some().then(|| head_line.clone());
        faults.extend(found.into_iter().map(|f| head_line.place(f)));
        allows.push(allowance);
    }
    allows
}
