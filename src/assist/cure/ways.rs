//! Which ways out are looked for, by what is wrong.

use super::case::Case;
use super::draft::Draft;
use super::{
    apart, bracket, chord, declare, double, everybody, given, held, instrument, key, length, missing_octave,
    names, octave, order, own_limit, places, short_row, slurs, tempo, value, whole_line, written_out,
};

type Way = for<'a, 'b> fn(&'a Case<'b>) -> Vec<Draft>;

/// All of them, the best first.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let mut all = given::drafts(case);
    all.extend(octave::drafts(case));
    all.extend(slurs::drafts(case));
    all.extend(found(case.finding.rule).iter().flat_map(|way| way(case)));
    all
}

/// Those that are found here.
fn found(rule: &str) -> &'static [Way] {
    match rule {
        "unreadable" => &[missing_octave::drafts, everybody::drafts, bracket::drafts],
        "bad-number" => &[missing_octave::drafts, names::limits_swapped],
        "unknown-word" => &[whole_line::barlines],
        "unknown-player" => &[declare::drafts],
        "unknown-instrument" => &[instrument::unknown],
        "which-octave" => &[instrument::register],
        "unknown-name" => &[names::unknown],
        "duplicate-name" => &[names::twice],
        "missing-value" => &[value::drafts],
        "bar-length" => &[length::drafts, written_out::drafts],
        "place-count" => &[places::drafts],
        "two-at-once" => &[double::drafts],
        "nothing-held" => &[held::drafts],
        "nothing-to-repeat" => &[written_out::drafts],
        "row-short" => &[short_row::drafts],
        "block-order" => &[order::drafts],
        "misplaced-line" => &[whole_line::moved],
        "too-many-entries" => &[chord::too_many],
        "chord-order" => &[chord::upwards],
        "crossed-parts" => &[chord::upwards],
        "mixed-transposition" => &[apart::drafts],
        "idle-allowance" => &[names::allowance_out],
        "no-tempo" => &[tempo::drafts],
        "wrong-fingering" => &[own_limit::no_choice],
        "too-high" | "too-low" | "pedal-care" => &[own_limit::drafts],
        "off-series" => &[own_limit::off_series],
        "hard-key" => &[key::drafts],
        _ => &[],
    }
}
