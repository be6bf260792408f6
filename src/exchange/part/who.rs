//! Finding the player that somebody names.

use crate::notation::nearest::nearest;
use crate::score::Score;
use crate::score::names::normal;
use std::fmt;

/// Why there is no part for a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoPlayer {
    /// Nobody has this ID or name.
    Unknown { asked: String, nearest: Option<String>, ids: Vec<String> },
    /// Several players have this name; their IDs.
    Several { asked: String, ids: Vec<String> },
}

impl fmt::Display for NoPlayer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoPlayer::Unknown { asked, nearest: Some(near), .. } => {
                write!(f, "no player is called \"{asked}\"; did you mean {near}?")
            }
            NoPlayer::Unknown { asked, ids, .. } if ids.is_empty() => {
                write!(f, "no player is called \"{asked}\": the score has no players")
            }
            NoPlayer::Unknown { asked, ids, .. } => {
                write!(f, "no player is called \"{asked}\"; its players are {}", ids.join(", "))
            }
            NoPlayer::Several { asked, ids } => {
                write!(f, "several players are called \"{asked}\"; say which: {}", ids.join(", "))
            }
        }
    }
}

/// The player of this ID, or else of this name, as an index into the score's players.
pub fn find_player(score: &Score, asked: &str) -> Result<usize, NoPlayer> {
    let players = &score.head.players;
    let id = normal(asked);
    if let Some(at) = players.iter().position(|p| p.id == *id) {
        return Ok(at);
    }
    let named: Vec<usize> = players
        .iter()
        .enumerate()
        .filter(|(_, p)| p.name.as_deref().is_some_and(|name| normal(name) == id))
        .map(|(at, _)| at)
        .collect();
    let ids = |which: &mut dyn Iterator<Item = usize>| -> Vec<String> {
        which.filter_map(|at| players.get(at)).map(|p| p.id.clone()).collect()
    };
    match named.as_slice() {
        [one] => Ok(*one),
        [] => {
            let known = players.iter().flat_map(|p| [Some(p.id.as_str()), p.name.as_deref()]).flatten();
            Err(NoPlayer::Unknown {
                asked: asked.to_owned(),
                nearest: nearest(&id, known).map(str::to_owned),
                ids: ids(&mut (0..players.len())),
            })
        }
        several => Err(NoPlayer::Several { asked: asked.to_owned(), ids: ids(&mut several.iter().copied()) }),
    }
}
