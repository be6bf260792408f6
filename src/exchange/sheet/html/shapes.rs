//! Shapes of findings. Each says by itself, without its colour, how much the finding matters.

use crate::exchange::sheet::words;
use crate::rules::{Finding, Severity};

/// Half the width of a shape.
pub const HALF: i32 = 7;

/// The shapes, once for the whole page: a diamond, a filled triangle, an open one, a ring.
pub const SHAPES: &str = concat!(
    r#"<svg class="shapes" width="0" height="0" aria-hidden="true" focusable="false"><defs>"#,
    r#"<symbol id="s-error" viewBox="-8 -8 16 16"><path class="full alarm" d="M0-7.2 7.2 0 0 7.2-7.2 0Z"/><path class="cut" d="M-2.6-2.6 2.6 2.6M2.6-2.6-2.6 2.6"/></symbol>"#,
    r#"<symbol id="s-strong" viewBox="-8 -8 16 16"><path class="full dawn" d="M0-6.6 7.2 5.8H-7.2Z"/><path class="cut" d="M0-2.4V2M0 3.4v1"/></symbol>"#,
    r#"<symbol id="s-warning" viewBox="-8 -8 16 16"><path class="open dawn" d="M0-5.8 6.4 5.2H-6.4Z"/></symbol>"#,
    r#"<symbol id="s-information" viewBox="-8 -8 16 16"><circle class="open calm" r="5.2"/></symbol>"#,
    "</defs></svg>"
);

/// Which shape a finding has.
pub fn shape(finding: &Finding) -> &'static str {
    match finding.severity {
        Severity::Error => "s-error",
        Severity::Warning if finding.grade > 1 => "s-strong",
        Severity::Warning => "s-warning",
        Severity::Information | Severity::Hint => "s-information",
    }
}

/// The shape in a line of text.
pub fn inline(id: &str) -> String {
    format!(r##"<svg class="shape" width="14" height="14" aria-hidden="true"><use href="#{id}"/></svg>"##)
}

/// What the shapes mean.
pub fn legend() -> String {
    let entry = |id: &str, word: &str| format!("<li>{} {word}</li>", inline(id));
    [
        entry("s-error", "error"),
        entry("s-strong", "strong warning"),
        entry("s-warning", "warning"),
        entry("s-information", "information"),
    ]
    .concat()
}

/// The order of importance, most first.
pub fn rank(finding: &Finding) -> (std::cmp::Reverse<Severity>, std::cmp::Reverse<u8>) {
    (std::cmp::Reverse(finding.severity), std::cmp::Reverse(finding.grade))
}

/// `warning, too-high in bar 12`.
pub fn said(finding: &Finding) -> String {
    let bar = finding.bar.map(|bar| format!(" in bar {bar}")).unwrap_or_default();
    format!("{}, {}{bar}", words::weight(finding), finding.rule)
}
