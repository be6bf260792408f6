//! What a settings file or an editor may change.

use super::finding::Severity;
use crate::brass::Level;
use std::collections::BTreeMap;

/// Settings in force for a score. The score's own lines win over them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// Level of players who name none, in scores that name none.
    pub level: Option<Level>,
    /// A4 in hundredths of a hertz, for scores that name none.
    pub tuning: Option<u32>,
    /// Severity by rule name; `None` switches the rule off.
    pub severities: BTreeMap<String, Option<Severity>>,
    /// Limits by rule name and key.
    pub limits: BTreeMap<(String, String), f64>,
}
