//! Chords shared out: where they have too many notes for their row, and where they are selected.

use super::draft::Draft;
use super::{Cures, Offer, OfferKind};
use crate::assist::hand_over::Declined;
use crate::assist::place::Extent;
use crate::assist::share_out::{Shared, around, on_row, touched};
use crate::rules::{Finding, Severity};

/// Shares that clear a finding: of the chords around it, and of all such chords of the row.
pub fn for_finding(cures: &Cures<'_>, finding: &Finding) -> Vec<Offer> {
    if finding.rule != "too-many-entries" {
        return Vec::new();
    }
    let tries: [&dyn Fn() -> Result<Shared, Declined>; 2] =
        [&|| around(cures.desk, finding.line, finding.span, None), &|| {
            on_row(cures.desk, finding.line, &|_| true, None)
        }];
    let mut found: Vec<Offer> = Vec::new();
    for share in tries {
        let left = cures.trials.get();
        if left == 0 {
            break;
        }
        cures.trials.set(left - 1);
        let Ok(shared) = share() else { continue };
        let weight = (finding.severity, finding.grade);
        let good = shared.trial.is_gone(finding)
            && shared.trial.came().all(|new| (new.severity, new.grade) < weight);
        if good && found.iter().all(|o| o.edits != shared.edits) {
            found.push(Draft::new(shared.title, shared.edits).offer());
        }
    }
    found
}

/// The share of the chords that a stretch of a row touches.
pub fn for_selection(cures: &Cures<'_>, by: Extent) -> Vec<Offer> {
    let Ok(shared) = touched(cures.desk, by, None) else { return Vec::new() };
    let (before, after) = shared.trial.tallies();
    let well = after <= before && shared.trial.came().all(|new| new.severity < Severity::Warning);
    let mended = after.first() < before.first();
    if !well && !mended {
        return Vec::new();
    }
    let draft = Draft::new(shared.title, shared.edits).unlikely();
    vec![Draft { kind: OfferKind::Move, ..draft }.offer()]
}
