//! Text put into a page.

use crate::music::Pitch;

/// A text as it may stand between tags and inside quotation marks. What no page may hold (control characters)
/// becomes the sign for a character that cannot be shown.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{7f}'..='\u{9f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
    }
    out
}

/// A message, with what stands between backquotes as code.
pub fn message(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, from)) = rest.split_once('`') {
        let Some((code, after)) = from.split_once('`') else { break };
        out.push_str(&format!("{}<code>{}</code>", escaped(before), escaped(code)));
        rest = after;
    }
    out + &escaped(rest)
}

/// A name that somebody gave, kept from turning what stands beside it round.
pub fn name(text: &str) -> String {
    format!("<bdi>{}</bdi>", escaped(text))
}

/// The beginning of a text that must not be long.
pub fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// A pitch with the signs of music.
pub fn pitch(pitch: Pitch) -> String {
    let sign = match pitch.alter {
        -2 => "♭♭",
        -1 => "♭",
        1 => "♯",
        2 => "♯♯",
        _ => "",
    };
    format!("{}{sign}{}", pitch.step.letter(), pitch.octave)
}

/// A number with at most two decimals.
pub fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if matches!(text, "" | "-0") { "0".to_owned() } else { text.to_owned() }
}

/// A number with one decimal, for paths.
pub fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_gets_out_of_its_place() {
        assert_eq!(
            escaped("<b a='\"'>&\u{0}\u{1b}\n𝄞"),
            "&lt;b a=&#39;&quot;&#39;&gt;&amp;\u{fffd}\u{fffd} 𝄞"
        );
        assert_eq!(message("No `<a>` or `b"), "No <code>&lt;a&gt;</code> or `b");
        assert_eq!(shortened("The lighthouse", 5), "The…");
        assert_eq!(shortened("quay", 4), "quay");
        assert_eq!(
            (number(0.004), number(-0.001), number(12.5), number(100.0)),
            ("0".into(), "0".into(), "12.5".into(), "100".into())
        );
    }
}
