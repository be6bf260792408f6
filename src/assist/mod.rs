//! What an editor can ask about a score, as plain data: lines and bytes, no protocol, nothing kept.
//!
//! Every question takes a [`Desk`](crate::rules::Desk) and, most of them, a [`Place`].

pub mod chord_name;
pub mod counting;
pub mod definition;
pub mod folding;
pub mod glossary;
pub mod highlight;
pub mod hover;
pub mod interval_words;
pub mod landmarks;
pub mod links;
pub mod loosely;
pub mod name;
pub mod place;
pub mod references;
pub mod rename;
pub mod selection;
pub mod sounding;
pub mod symbols;
pub mod volume;

pub use definition::{Elsewhere, definition, included_definition};
pub use folding::{Fold, FoldKind, folding};
pub use highlight::highlight;
pub use hover::{Hover, hover, hover_timed};
pub use landmarks::{Landmark, LandmarkKind, landmarks};
pub use links::{Link, brings, links};
pub use loosely::{Distance, distance};
pub use name::{Mention, Name, NameKind, name_at};
pub use place::{Extent, Place, Stretch, TextEdit};
pub use references::references;
pub use rename::{Renaming, named, prepare, rename};
pub use selection::selection;
pub use symbols::{Symbol, SymbolKind, symbols};
pub use volume::{Body, Change, Found, Gap, Volume};
