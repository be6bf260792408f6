//! A player of a score, named on the command line by the score and the player's name.

use super::settings::RunSettings;
use crate::brass::Instrument;
use crate::host::setting_check::Vocabulary;
use crate::host::{FolderLoader, read_score};
use crate::notation::Document;
use crate::notation::nearest::nearest;
use crate::score::{Score, Sources};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use unicode_normalization::UnicodeNormalization;

/// What a player holds, first the instrument in hand at the beginning, and the score's tuning note in hertz.
pub struct ScorePlayer {
    pub instruments: Vec<Arc<Instrument>>,
    pub tuning: f64,
}

/// True if a word names a score rather than an instrument.
pub fn is_score(word: &str) -> bool {
    word.ends_with(".brass") || Path::new(word).is_file()
}

/// Looks a player up in a score.
pub fn player(score: &str, id: &str) -> Result<ScorePlayer, String> {
    let path = PathBuf::from(score);
    let text = read_score(&path).map_err(|why| format!("{score}: {why}"))?;
    let all = RunSettings::read(std::slice::from_ref(&path), false, &Vocabulary::of_rules());
    let settings = all.of(Some(&path));
    let loader = FolderLoader::for_score(&path, &[]);
    let sources = Sources { level: settings.level, loader: &loader, files: 0 };
    let read = Score::read(Document::new(&text).lines(), None, &sources);
    let wanted: String = id.nfc().collect();
    let Some(player) = read.head.players.iter().find(|player| player.id == wanted) else {
        let ids = || read.head.players.iter().map(|player| player.id.as_str());
        let offer = match nearest(&wanted, ids()) {
            Some(near) => format!("did you mean {near}?"),
            None if ids().next().is_none() => "it has no players".to_owned(),
            None => format!("its players are {}", ids().collect::<Vec<_>>().join(", ")),
        };
        return Err(format!("{score} has no player \"{id}\"; {offer}"));
    };
    let instruments: Vec<_> = player.instruments.iter().map(|i| Arc::clone(&i.instrument)).collect();
    if instruments.is_empty() {
        return Err(format!("{score} does not say what {id} plays; `waterkey check {score}` tells more"));
    }
    Ok(ScorePlayer { instruments, tuning: read.head.a4(settings.tuning) })
}
