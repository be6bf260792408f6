//! Which of two players is meant to be the higher one.

use crate::brass::Kind;
use crate::brass::body::Voice;
use crate::rules::Desk;
use crate::score::player::Player;

/// The voice of a player's first instrument.
pub fn voice(player: &Player) -> Option<Voice> {
    player.instruments.first().map(|i| Voice::of(&i.instrument))
}

/// A number for every player, lower for whoever is meant to play higher: the order of the score. Four horns or
/// more read in pairs, the first and third high, the second and fourth low (the traditional order, which is no
/// crossing).
pub fn order(desk: &Desk) -> Vec<usize> {
    let players = &desk.score().head.players;
    let is_horn = |p: &Player| p.instruments.first().is_some_and(|i| i.instrument.kind == Kind::Horn);
    let horns: Vec<usize> =
        players.iter().enumerate().filter(|(_, p)| is_horn(p)).map(|(at, _)| at).collect();
    let mut order: Vec<usize> = (0..players.len()).collect();
    if horns.len() < 4 {
        return order;
    }
    let high = horns.iter().step_by(2);
    let low = horns.iter().skip(1).step_by(2);
    for (place, horn) in horns.iter().zip(high.chain(low)) {
        if let Some(number) = order.get_mut(*horn) {
            *number = *place;
        }
    }
    order
}
