//! Rules about passages: what one person does from block to block, in the order and time of playing.
//!
//! Such a rule is an automaton. It hears a person's line visit by visit (a visit is a block as it comes
//! round; repeats, endings and the road map are played out) and carries a small state from one visit to the
//! next: the seconds since the last rest, the litres left, where the passage began. The state is all that a
//! visit's findings depend on besides the visit, so after an edit the line is heard again only from the first
//! visit that changed to the first that is reached with the state it was reached with before. Therefore:
//!
//! - A state holds no time from the beginning of the piece, no bar number, no line of the file: only what has
//!   gone by *since* something, and [`Spot`]s, which count visits backwards.
//! - A state forgets: after a long enough silence it is the default again. Where a rule needs a window of the
//!   last so many seconds, it keeps in its state what lies in the window and drops the rest.
//! - A rule tells a passage when it is over ([`Passage::ends`] says that nothing follows), once, with its
//!   number and its limit, at the place where the limit was passed.
//! - Where time is unknown everybody begins afresh; the rule is silent there, unless it needs no time
//!   ([`Passage::events`], [`Carried::without_time`]).
//!
//! The plan of slide and fingers is made once for all rules: [`Passage::steps`].
//!
//! The same written place found in several passes is one finding, the worst, which names its pass.

mod carried;
mod line;
mod planned;
mod spot;
mod tell;
mod told;
mod view;

pub use carried::Carried;
pub use line::Line;
pub use planned::{FREE_SECONDS, PlannedStep, Planning};
pub use spot::Spot;
pub use told::{PassageFinding, Told};
pub use view::{Passage, Tools};

pub(super) use line::{Hearing, hear, listen, listen_to_sounds};
pub(super) use tell::{InBlock, differing, tell, tell_shared};

/// Seconds below which two times are one; keeps a rest of exactly the limit from failing by a rounding.
pub const SAME_SECONDS: f64 = 1e-6;
