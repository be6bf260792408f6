//! Words over a part that mean something to the notation.

/// What words ask of everybody: `[rit]`.
pub fn of_everybody(words: &str) -> Option<&'static str> {
    let plain = words.trim().trim_end_matches(['.', '-', ' ']).to_lowercase();
    Some(match plain.as_str() {
        "rit" | "ritard" | "ritardando" | "rall" | "rallentando" | "poco rit" | "molto rit" | "poco rall" => {
            "[rit]"
        }
        "accel" | "accelerando" | "string" | "stringendo" => "[accel]",
        "a tempo" => "[a-tempo]",
        _ => return None,
    })
}

/// `cresc` or `dim`.
pub fn level(words: &str) -> Option<&'static str> {
    let plain = words.trim().trim_end_matches(['.', '-', ' ']).to_lowercase();
    Some(match plain.as_str() {
        "cresc" | "crescendo" => "cresc",
        "dim" | "dimin" | "diminuendo" | "decresc" | "decrescendo" => "dim",
        _ => return None,
    })
}

/// A text in the notation's quotes.
pub fn quoted(text: &str) -> Option<String> {
    let plain: String = text
        .chars()
        .map(|c| match c {
            '"' | '“' | '”' | '„' => '\'',
            c if c.is_control() => ' ',
            c => c,
        })
        .take(200)
        .collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    (!plain.is_empty()).then(|| format!("\"{plain}\""))
}
