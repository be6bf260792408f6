//! The head of a part: the piece, the player with what they play, the road map.

use super::allow::head_rules;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use crate::score::names::normal;
use crate::score::player::Player;

/// The lines of the head, a blank one after each group of them.
pub fn lines(desk: &Desk, index: usize) -> Vec<String> {
    let head = &desk.score().head;
    let mut out = vec!["brass 1".to_owned()];
    let fields = [
        ("title", &head.title),
        ("composer", &head.composer),
        ("arranger", &head.arranger),
        ("rights", &head.rights),
    ];
    out.extend(fields.into_iter().filter_map(|(word, text)| Some(format!("{word} \"{}\"", text.as_ref()?))));
    out.extend(head.level.map(|level| format!("level {}", level.word())));
    out.push("pitch written".to_owned());
    out.extend(head.tuning.map(|hundredths| format!("tuning A4 = {}", decimal(hundredths))));
    out.push(String::new());
    let Some(player) = head.players.get(index) else { return out };
    out.extend(own_instruments(player));
    out.push(format!("player {} = {}", player.id, behind_equals(&player.line)));
    out.push(String::new());
    let before = out.len();
    let map = head.roadmap.as_ref().and_then(|(at, _)| head.lines.get(*at as usize));
    out.extend(map.map(|line| bare(line).to_owned()));
    let rules = head_rules(desk, index);
    if !rules.is_empty() {
        out.push(format!("allow {}", rules.join(" ")));
    }
    if out.len() > before {
        out.push(String::new());
    }
    out
}

/// Hundredths as a number with as few decimals as it takes.
fn decimal(hundredths: u32) -> String {
    let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The lines of the score's own instruments that this player plays.
fn own_instruments(player: &Player) -> Vec<String> {
    let plays = |id: &str| player.instruments.iter().any(|i| normal(&i.words) == normal(id));
    let line = |line: &std::sync::Arc<Line>| match &line.tree {
        LineTree::Instrument(tree) => {
            let id = tree.id?.of(&line.text);
            plays(id).then(|| format!("instrument {} = {}", normal(id), behind_equals(line)))
        }
        _ => None,
    };
    player.given.own.iter().filter_map(line).collect()
}

/// A line without its remark and without blanks at its ends.
fn bare(line: &Line) -> &str {
    let end = line.tokens.last().filter(|t| t.kind == Kind::Comment).map(|t| t.span.start as usize);
    let text = end.and_then(|end| line.text.get(..end)).unwrap_or(&line.text);
    text.trim_start_matches('\u{FEFF}').trim()
}

/// What stands behind the first `=`.
fn behind_equals(line: &Line) -> &str {
    bare(line).split_once('=').map_or("", |(_, rest)| rest.trim())
}
