//! Players and groups.

use super::telling::Telling;
use super::{Asked, Hover, instrument, phrase, reads};
use crate::assist::playing::{Extreme, Use, Uses};
use crate::assist::playing_time::duration;
use crate::assist::sheet::{time_of, wording};
use crate::notation::Span;
use crate::score::head::Named;
use crate::score::player::{Player, PlayerInstrument};

/// Tells of the player, group or phrase of this name.
pub fn name(asked: Asked<'_>, span: Span) -> Option<Hover> {
    match asked.score().head.names.get(asked.text(span))? {
        Named::Player(index) => player(asked, usize::from(*index), span),
        Named::Group(members) => Some(group(asked, members, span)),
        Named::Phrase => phrase::named(asked, span, span),
        Named::Instrument => None,
    }
}

fn group(asked: Asked<'_>, members: &[u16], span: Span) -> Hover {
    let mut telling = Telling::new(format!("Group {}", asked.text(span)));
    telling.text("Top voice first; a chord is dealt out from the top.");
    for member in members {
        let Some(player) = asked.score().head.players.get(usize::from(*member)) else { continue };
        let label = player.instruments.first().map_or("no known instrument", |i| i.label.as_str());
        telling.fact(reads::called(player), label);
    }
    telling.hover(asked.place.line, span)
}

fn player(asked: Asked<'_>, index: usize, span: Span) -> Option<Hover> {
    let player = asked.score().head.players.get(index)?;
    let mut telling = Telling::new(reads::called(player));
    for (i, held) in player.instruments.iter().enumerate() {
        equipment(player, held, i > 0, &mut telling);
    }
    telling.fact("Level", player.level.word());
    if player.seats > 1 {
        telling.fact("Seats", format!("{} people read this part", player.seats));
    }
    use_of(asked, index, &mut telling);
    Some(telling.hover(asked.place.line, span))
}

/// One instrument in this player's hands.
fn equipment(player: &Player, held: &PlayerInstrument, doubles: bool, telling: &mut Telling) {
    telling.fact(if doubles { "Doubles" } else { "Instrument" }, held.label.clone());
    telling.fact("Reads", instrument::transposition(&held.instrument));
    let limits = &held.limits;
    let read = |midi: i32| reads::read(held, midi, None).to_string();
    let own = match (held.own_bottom, held.own_top) {
        (None, None) => "",
        _ => "; this person's own limits",
    };
    telling.fact(
        "Range as read",
        format!(
            "low {}, comfortable to {}, usual to {}, {} {}{own}",
            read(limits.low),
            read(limits.comfortable),
            read(limits.usual),
            if held.own_top.is_some() { "reaches" } else { "most professionals reach" },
            read(limits.reach)
        ),
    );
    let brings = if held.mutes.is_some() { "Brings mutes" } else { "Mutes" };
    telling.fact(brings, instrument::mutes_of(held));
    if !player.signature && !doubles {
        telling.fact("Signature", "none in the part");
    }
}

/// How much of the score, how high, how low.
fn use_of(asked: Asked<'_>, index: usize, telling: &mut Telling) {
    let Use { bars, playing, lowest, highest } = Uses::default().of(asked.desk, index);
    if let Some(share) = (playing * 100 + bars / 2).checked_div(bars) {
        telling.fact("Plays in", format!("{playing} of {bars} bars ({share} %)"));
    }
    if let Some(time) = time_of(asked.desk, index).filter(|time| time.playing_seconds > 0.0) {
        let whole =
            asked.desk.report().clock.whole().map(|s| format!(" of {}", duration(s))).unwrap_or_default();
        let share = wording::per_cent(time.share);
        telling.fact("Sounds", format!("{}{whole} as played ({share})", duration(time.playing_seconds)));
        telling
            .fact("Longest without a rest", time.longest.as_ref().map(wording::unbroken).unwrap_or_default());
        telling.fact("Up high", wording::high(&time));
    }
    let told = |Extreme { sounding, written, bar }: Extreme| {
        if sounding == written {
            format!("{sounding} in bar {bar}")
        } else {
            format!("{sounding} concert, written {written}, in bar {bar}")
        }
    };
    telling.fact("Highest note", highest.map(told).unwrap_or_default());
    telling.fact("Lowest note", lowest.map(told).unwrap_or_default());
}
