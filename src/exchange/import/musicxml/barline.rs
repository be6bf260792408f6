//! Repeats and endings.

use super::shared::Shared;
use crate::exchange::import::tree::Node;

pub fn barline(node: &Node, out: &mut Shared) {
    if let Some(repeat) = node.one("repeat") {
        if repeat.is("direction", "forward") {
            out.opens = true;
        } else {
            let times = repeat.attribute("times").and_then(|t| t.parse().ok()).unwrap_or(2);
            out.closes = Some(u32::clamp(times, 2, 9));
        }
    }
    if let Some(ending) = node.one("ending") {
        let numbers = ending.attribute("number").unwrap_or_default();
        let passes: Vec<u32> = numbers
            .split([',', ' ', '.'])
            .filter_map(|n| n.parse().ok())
            .filter(|n| (1..10).contains(n))
            .collect();
        if ending.is("type", "start") {
            out.ending = Some(passes);
        } else {
            out.ending_stops = true;
        }
    }
}
