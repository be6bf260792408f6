//! What stands before the music.

use crate::exchange::import::instrument::usual_clef;
use crate::exchange::import::music::{Music, Part};
use std::fmt::Write as _;

pub fn fields(music: &Music) -> String {
    let mut out = String::from("brass 1\n");
    let all = [
        ("title", &music.title),
        ("composer", &music.composer),
        ("arranger", &music.arranger),
        ("rights", &music.rights),
    ];
    for (word, said) in all {
        if let Some(said) = said.as_deref().and_then(quoted) {
            let _ = writeln!(out, "{word} {said}");
        }
    }
    out.push('\n');
    out
}

/// A text in quotes, without what cannot stand in them; nothing if nothing is left.
pub fn quoted(said: &str) -> Option<String> {
    let plain: String = said
        .chars()
        .map(|c| match c {
            '"' | '“' | '”' | '„' => '\'',
            c if c.is_control() => ' ',
            c => c,
        })
        .take(300)
        .collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    (!plain.is_empty()).then(|| format!("\"{plain}\""))
}

/// The line of a player: of several that one part is shared to, the one of this number.
pub fn player(part: &Part, id: &str, number: usize, players: usize) -> String {
    let instrument = part.instruments.first().map_or("", String::as_str);
    let mut out = format!("player {id} = {instrument}");
    if part.seats > 1 && players == 1 {
        let _ = write!(out, ", seats {}", part.seats);
    }
    let name = if players > 1 { format!("{} ({})", part.name, number + 1) } else { part.name.clone() };
    let plain = |text: &str| text.chars().filter(|c| c.is_alphanumeric()).collect::<String>();
    if plain(&name) != plain(id)
        && let Some(name) = quoted(&name)
    {
        let _ = write!(out, ", name {name}");
    }
    if part.no_signature {
        out += ", signature none";
    }
    if let Some(clef) =
        part.clef.filter(|clef| part.clef_stays || usual_clef(instrument).is_some_and(|usual| usual != *clef))
    {
        let _ = write!(out, ", clef {clef}");
    }
    let mut before = vec![instrument];
    for other in part.instruments.iter().skip(1) {
        if !before.contains(&other.as_str()) {
            let _ = write!(out, ", doubles {other}");
            before.push(other);
        }
    }
    out.push('\n');
    out
}
