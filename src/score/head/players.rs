//! Player lines made into players.

use super::names::{Declaration, Kind};
use super::{Head, HeadLine};
use crate::brass::Mute;
use crate::brass::catalogue::{self, CatalogueFault};
use crate::brass::instrument::Instrument;
use crate::brass::own::{OwnInstrument, OwnKind};
use crate::music::{Clef, Pitch};
use crate::notation::fault::Weight;
use crate::notation::line::Line;
use crate::notation::tree::{
    InstrumentLine, LineTree, OptionKind, OwnBuild, PlayerLine, PlayerOption, ReadIn,
};
use crate::notation::{Fault, FaultName, Span};
use crate::score::names::normal;
use crate::score::player::{Given, Player, PlayerInstrument};
use crate::score::wording::capital;
use std::sync::Arc;

/// An instrument the score declares, worked out.
struct Own {
    name: String,
    instrument: Option<Arc<Instrument>>,
}

/// All players in order. A player of an unchanged line, with the same level and phrases, is taken over.
pub fn players(
    all: &[HeadLine],
    declared: &[Declaration],
    head: &Head,
    before: Option<&Head>,
    faults: &mut Vec<(u32, Fault)>,
) -> Vec<Arc<Player>> {
    let own: Vec<Own> = declared
        .iter()
        .filter(|d| d.kind == Kind::Instrument)
        .filter_map(|d| Some(own_instrument(d, all.get(d.line)?, faults)))
        .collect();
    let own_lines = declared
        .iter()
        .filter(|d| d.kind == Kind::Instrument)
        .filter_map(|d| Some(Arc::clone(&all.get(d.line)?.line)))
        .collect();
    let given = Given { default_level: head.default_level, own: own_lines };
    let mut found: Vec<Arc<Instrument>> = Vec::new();
    let mut players: Vec<Arc<Player>> = Vec::new();
    for declaration in declared.iter().filter(|d| d.kind == Kind::Player) {
        let Some(head_line) = all.get(declaration.line) else { continue };
        let LineTree::Player(tree) = &head_line.line.tree else { continue };
        if players.len() >= usize::from(u16::MAX) {
            break;
        }
        let same = before.and_then(|old| old.players.get(players.len())).filter(|old| {
            Arc::ptr_eq(&old.line, &head_line.line)
                && Arc::ptr_eq(&old.phrases, &head.phrases)
                && old.given.same(&given)
        });
        let player = match same {
            Some(same) => Arc::clone(same),
            None => {
                let mut maker =
                    Maker { line: &head_line.line, own: &own, found: &mut found, faults: Vec::new() };
                let player = maker.player(tree, &declaration.name, head, &given);
                Arc::new(Player { faults: maker.faults, ..player })
            }
        };
        faults.extend(player.faults.iter().map(|f| head_line.place(f.clone())));
        players.push(player);
    }
    players
}

fn own_instrument(declaration: &Declaration, head_line: &HeadLine, faults: &mut Vec<(u32, Fault)>) -> Own {
    let name = declaration.name.clone();
    let LineTree::Instrument(tree) = &head_line.line.tree else { return Own { name, instrument: None } };
    // What could not be read is told already; without the way it is built there is nothing to work out.
    let Some(kind) = own_kind(tree) else { return Own { name, instrument: None } };
    let declared = OwnInstrument {
        name: &name,
        kind,
        fundamental: tree.fundamental.map(|(_, pitch)| pitch),
        read_in: tree.read_in.map(|r| (r.key, r.register)),
        valves: tree.valves.as_deref(),
        range: tree.range,
        comfortable: tree.comfortable,
    };
    match declared.build() {
        Ok(instrument) => Own { name, instrument: Some(Arc::new(instrument)) },
        Err(fault) => {
            let span = tree
                .fundamental
                .map(|(span, _)| span)
                .or(tree.id)
                .unwrap_or_else(|| super::word_span(&head_line.line));
            if head_line.line.faults.is_empty() {
                let text = sentence(&fault.to_string());
                faults.push(head_line.place(Fault::new(FaultName::UnknownInstrument, span, text)));
            }
            Own { name, instrument: None }
        }
    }
}

fn own_kind(tree: &InstrumentLine) -> Option<OwnKind> {
    Some(match tree.build? {
        OwnBuild::Valved => OwnKind::Valved,
        OwnBuild::Slide => OwnKind::Slide,
        OwnBuild::Natural => OwnKind::Natural,
    })
}

/// What options say of the instrument before them.
#[derive(Default)]
struct Options {
    top: Option<(Span, Pitch)>,
    bottom: Option<(Span, Pitch)>,
    mutes: Option<Vec<Mute>>,
    valves: Option<(Span, u8, bool)>,
    clef: Option<Clef>,
}

struct Maker<'a> {
    line: &'a Arc<Line>,
    own: &'a [Own],
    /// Instruments of the catalogue worked out already: four horns share one.
    found: &'a mut Vec<Arc<Instrument>>,
    faults: Vec<Fault>,
}

impl Maker<'_> {
    fn player(&mut self, tree: &PlayerLine, id: &str, head: &Head, given: &Given) -> Player {
        let mut player = Player {
            id: id.to_owned(),
            name: None,
            level: head.default_level,
            seats: 1,
            signature: true,
            instruments: Vec::new(),
            phrases: Arc::clone(&head.phrases),
            line: Arc::clone(self.line),
            faults: Vec::new(),
            given: given.clone(),
        };
        for option in &tree.options {
            match option.what {
                OptionKind::Level(level) => player.level = level,
                OptionKind::Seats(n) => player.seats = n.clamp(1, crate::score::state::MOST_SEATS),
                OptionKind::Name(span) => player.name = Some(span.of(&self.line.text).to_owned()),
                OptionKind::SignatureNone => player.signature = false,
                _ => {}
            }
        }
        if let Some(words) = tree.instrument {
            let own: Vec<&PlayerOption> =
                tree.options.iter().take_while(|o| !matches!(o.what, OptionKind::Doubles { .. })).collect();
            let first = self.instrument(words, tree.read_in, &own, &player);
            player.instruments.extend(first);
        }
        for (i, option) in tree.options.iter().enumerate() {
            let OptionKind::Doubles { instrument, read_in } = option.what else { continue };
            let own: Vec<&PlayerOption> = tree
                .options
                .iter()
                .skip(i + 1)
                .take_while(|o| !matches!(o.what, OptionKind::Doubles { .. }))
                .collect();
            let doubled = self.instrument(instrument, read_in, &own, &player);
            player.instruments.extend(doubled);
        }
        player
    }

    fn instrument(
        &mut self,
        words: Span,
        read_in: Option<ReadIn>,
        options: &[&PlayerOption],
        player: &Player,
    ) -> Option<PlayerInstrument> {
        let mut options = gather(options);
        let name = words.of(&self.line.text).split_whitespace().collect::<Vec<_>>().join(" ");
        let whole = read_in.map_or(words, |r| words.to(r.span));
        let mut instrument = self.find(&name, words, whole, read_in)?;
        if let Some((span, count, plain)) = options.valves {
            match instrument.with_valves(count, plain) {
                Ok(other) => instrument = Arc::new(other),
                Err(fault) => {
                    self.faults.push(Fault::new(FaultName::BadNumber, span, sentence(&fault.to_string())))
                }
            }
        }
        if let (Some((_, bottom)), Some((span, top))) = (options.bottom, options.top)
            && bottom.midi() > top.midi()
        {
            (options.top, options.bottom) = (None, None);
            self.faults.push(Fault::new(
                FaultName::BadNumber,
                span,
                format!("The top {top} lies below the bottom {bottom}."),
            ));
        }
        let sounding = |own: Option<(Span, Pitch)>| {
            own.map(|(_, written)| instrument.reads.apply_respelled(written).midi())
        };
        let limits =
            instrument.limits(player.level).of_person(sounding(options.top), sounding(options.bottom));
        Some(PlayerInstrument {
            label: instrument.name.clone(),
            words: name,
            read_in,
            limits,
            own_top: options.top.map(|(_, p)| p),
            own_bottom: options.bottom.map(|(_, p)| p),
            mutes: options.mutes,
            clef: options.clef,
            instrument,
        })
    }

    fn find(
        &mut self,
        name: &str,
        words: Span,
        whole: Span,
        read_in: Option<ReadIn>,
    ) -> Option<Arc<Instrument>> {
        if let Some(own) = self.own.iter().find(|o| o.name == normal(name)) {
            if let Some(read_in) = read_in {
                self.faults.push(Fault::new(
                    FaultName::UnknownInstrument,
                    read_in.span,
                    format!("The key of `{name}` stands on its `instrument` line, not here."),
                ));
            }
            return own.instrument.clone();
        }
        match catalogue::find(name, read_in.map(|r| r.key), read_in.and_then(|r| r.register)) {
            Ok(found) => {
                if let Some(register) = found.assumed {
                    let text = format!(
                        "This is read as {} {}. Write the word after the key to be sure.",
                        whole.of(&self.line.text),
                        register.word()
                    );
                    self.faults.push(Fault::new(FaultName::WhichOctave, whole, text).weighing(Weight::Hint));
                }
                let same = self.found.iter().find(|i| ***i == found.instrument).map(Arc::clone);
                Some(same.unwrap_or_else(|| {
                    let new = Arc::new(found.instrument);
                    self.found.push(Arc::clone(&new));
                    new
                }))
            }
            Err(fault) => {
                let text = sentence(&fault.to_string());
                let (span, fix) = match &fault {
                    CatalogueFault::Unknown { nearest, .. } => (words, nearest.first().cloned()),
                    CatalogueFault::NeedsKey { name, keys } => {
                        (words, keys.first().map(|key| format!("{name} in {key}")))
                    }
                    CatalogueFault::OtherKey { .. } => (read_in.map_or(words, |r| r.span), None),
                    CatalogueFault::NotBrass { .. } => (words, None),
                };
                let fault = Fault::new(FaultName::UnknownInstrument, span, text);
                self.faults.push(match fix {
                    Some(with) => fault.fixed_by(format!("Write `{with}`"), span, with),
                    None => fault,
                });
                None
            }
        }
    }
}

fn gather(options: &[&PlayerOption]) -> Options {
    let mut all = Options::default();
    for option in options {
        match &option.what {
            OptionKind::Top(pitch) => all.top = Some((option.span, *pitch)),
            OptionKind::Bottom(pitch) => all.bottom = Some((option.span, *pitch)),
            OptionKind::Mutes(mutes) => all.mutes = Some(mutes.to_vec()),
            OptionKind::Valves { count, plain } => all.valves = Some((option.span, *count, *plain)),
            OptionKind::Clef(clef) => all.clef = Some(*clef),
            _ => {}
        }
    }
    all
}

/// A message of another layer as a sentence: capital first, full stop last.
fn sentence(text: &str) -> String {
    let stop = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{}{stop}", capital(text))
}
