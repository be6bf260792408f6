//! What an editor can ask about a score, as plain data: lines and bytes, no protocol, nothing kept.
//!
//! Every question takes a [`Desk`](crate::rules::Desk) and, most of them, a [`Place`].

pub mod chart;
pub mod chord_name;
pub mod colour;
pub mod completion;
pub mod counting;
pub mod cure;
pub mod definition;
pub mod folding;
pub mod glossary;
pub mod hand_over;
pub mod highlight;
pub mod hover;
pub mod inlay;
pub mod instrument_words;
pub mod interval_words;
pub mod landmarks;
pub mod lens;
pub mod links;
pub mod loosely;
pub mod name;
pub mod parts;
pub mod place;
pub mod playing;
pub mod playing_time;
pub mod references;
pub mod rename;
pub mod selection;
pub mod signature;
pub mod sounding;
pub mod symbols;
pub mod typing;
pub mod volume;

pub use chart::chart_text;
pub use colour::{Colour, Coloured, Ground, colours};
pub use completion::{Completions, Item, ItemKind, about, completion};
pub use cure::{Cures, Offer, OfferKind};
pub use definition::{Elsewhere, definition, included_definition};
pub use folding::{Fold, FoldKind, folding};
pub use highlight::highlight;
pub use hover::{Hover, hover, hover_timed};
pub use inlay::{Hint, HintKind, Wanted, hints, reason};
pub use instrument_words::instrument;
pub use landmarks::{Landmark, LandmarkKind, landmarks};
pub use lens::{Lens, lenses};
pub use links::{Link, brings, links};
pub use loosely::{Distance, distance};
pub use name::{Mention, Name, NameKind, name_at};
pub use place::{Extent, Place, Stretch, TextEdit};
pub use references::references;
pub use rename::{Renaming, named, prepare, rename};
pub use selection::selection;
pub use signature::{Occasion, Parameter, Signature, signature};
pub use symbols::{Symbol, SymbolKind, symbols};
pub use volume::{Body, Change, Found, Gap, Volume};
