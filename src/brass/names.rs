//! Names that come near a wrong one.

/// Names of the trade that the catalogue has under another name.
const ALSO: [(&str, &str); 22] = [
    ("french horn", "horn"),
    ("double horn", "horn"),
    ("hand horn", "natural horn"),
    ("alto horn", "tenor horn"),
    ("tenor trombone", "trombone"),
    ("solo trombone", "trombone"),
    ("flugel", "flugelhorn"),
    ("flugel horn", "flugelhorn"),
    ("solo cornet", "cornet"),
    ("repiano cornet", "cornet"),
    ("soprano", "soprano cornet"),
    ("solo horn", "tenor horn"),
    ("f horn", "horn"),
    ("bb trumpet", "trumpet"),
    ("bb cornet", "cornet"),
    ("bbb bass", "bass"),
    ("baritone", "baritone horn"),
    ("saxhorn", "tenor horn"),
    ("baroque trumpet", "natural trumpet"),
    ("eb bass", "bass"),
    ("bb bass", "bass"),
    ("bass tuba", "F tuba"),
];

/// Words for instruments that sound by a reed, an edge, a string or a skin.
const NOT_BRASS: [&str; 40] = [
    "saxophone",
    "sax",
    "flute",
    "piccolo",
    "clarinet",
    "oboe",
    "bassoon",
    "contrabassoon",
    "recorder",
    "fife",
    "whistle",
    "flageolet",
    "ocarina",
    "panpipes",
    "bagpipes",
    "shawm",
    "dulcian",
    "crumhorn",
    "harmonica",
    "accordion",
    "organ",
    "piano",
    "harpsichord",
    "celesta",
    "harp",
    "guitar",
    "lute",
    "banjo",
    "mandolin",
    "ukulele",
    "violin",
    "viola",
    "cello",
    "violoncello",
    "drum",
    "drums",
    "timpani",
    "marimba",
    "vibraphone",
    "xylophone",
];

/// Horns by name that are woodwinds.
const REED_HORNS: [&str; 4] = ["english horn", "cor anglais", "basset horn", "heckelphone"];

/// True for the name of an instrument that is no brass instrument: what makes brass is the lips, not the metal.
pub fn is_not_brass(name: &str) -> bool {
    let name = name.to_lowercase();
    let last = name.split_whitespace().next_back().unwrap_or("");
    NOT_BRASS.contains(&last)
        || last.strip_suffix('s').is_some_and(|one| NOT_BRASS.contains(&one))
        || REED_HORNS.contains(&name.as_str())
}

/// At most four of the names that somebody who wrote `wrong` may have meant, nearest first.
pub fn nearest<'a>(wrong: &str, names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let wrong: String = wrong.to_lowercase().chars().take(60).collect();
    let meant = ALSO.iter().find(|(other, _)| *other == wrong).map(|(_, name)| *name);
    if let Some(meant) = meant {
        return names.filter(|name| *name == meant).take(1).collect();
    }
    let mut near: Vec<(usize, &str)> = names
        .filter_map(|name| {
            let lower = name.to_lowercase();
            let distance = edits(&wrong, &lower);
            let shares = wrong.split(' ').any(|word| word.len() > 2 && lower.split(' ').any(|w| w == word));
            (shares || distance <= 1 + wrong.chars().count() / 4).then_some((distance, name))
        })
        .collect();
    near.sort();
    near.dedup_by_key(|(_, name)| *name);
    if let Some((0, exact)) = near.first() {
        return vec![exact];
    }
    near.into_iter().take(4).map(|(_, name)| name).collect()
}

/// Letters inserted, left out, changed or swapped with their neighbour to get from one text to the other.
pub fn edits(from: &str, to: &str) -> usize {
    let (from, to): (Vec<char>, Vec<char>) = (from.chars().collect(), to.chars().collect());
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, b) in to.iter().enumerate() {
            let at = |row: &[usize], j: usize| row.get(j).copied().unwrap_or(usize::MAX - 1);
            let changed = at(&last, j) + usize::from(a != b);
            let mut best = changed.min(at(&last, j + 1) + 1).min(at(&row, j) + 1);
            let swapped = i > 0 && j > 0 && from.get(i - 1) == Some(b) && to.get(j - 1) == Some(a);
            if swapped {
                best = best.min(at(&before, j - 1) + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut last, row);
    }
    last.last().copied().unwrap_or(0)
}
