//! Notes that lie farther out than a child's arm reaches.

use super::super::finding::Severity;
use super::super::rule::{Found, LocalFinding, View, runs};
use super::super::wording::capital;
use super::RULE;
use crate::brass::plan::bound;
use crate::brass::{How, Instrument, Level};
use crate::score::event::Event;

pub fn check(view: &View<'_>, found: &mut Found<'_>) {
    if view.player.level != Level::School || !slides(view) {
        return;
    }
    let limit = RULE.limit(view.settings, "reach");
    let out = |event: &Event, _| {
        let cm = centimetres(&view.instrument(event)?.instrument, event)?;
        (cm > limit).then_some(())
    };
    for ((), run) in runs(view, out) {
        let cm = |event: &Event| Some((centimetres(&view.instrument(event)?.instrument, event)?, *event));
        let reached = run.events.iter().filter_map(|e| cm(e)).max_by(|a, b| a.0.total_cmp(&b.0));
        let Some((cm, event)) = reached else { continue };
        let Some(held) = view.instrument(&event) else { continue };
        found.push(LocalFinding {
            measured: Some(format!("{cm:.0} cm")),
            limit: Some(format!("{limit:.0} cm")),
            ..run.finding(
                found.rule,
                view,
                Severity::Warning,
                format!(
                    "{} on the {} needs the slide {cm:.0} cm out, which is out of a child's reach (limit {limit:.0} cm for a school player, about a tenor's seventh position, after an elementary teacher). An octave up, an attachment, or another note of the chord helps.",
                    capital(&view.told(&event)),
                    held.label
                ),
            )
        });
    }
}

fn slides(view: &View<'_>) -> bool {
    view.player.instruments.iter().any(|i| i.instrument.build.slide().is_some())
}

/// How far the slide has to go out for a note: the nearest of all ways, or the one that is chosen.
fn centimetres(tube: &Instrument, event: &Event) -> Option<f64> {
    tube.build.slide()?;
    let midi = event.sounding.midi();
    let chosen = event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits));
    if let Some(way) = chosen.and_then(|how| bound(tube, how, midi)) {
        return Some(tube.slide_centimetres(&way));
    }
    tube.ways(midi).iter().map(|way| tube.slide_centimetres(way)).min_by(f64::total_cmp)
}
