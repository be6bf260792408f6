//! Rules about several players at once.
//!
//! There are two kinds, by what they need to know:
//!
//! - What stands in one block: `Check::Block`. Such a rule sees [`Together`]: every player's notes in the block
//!   as it is first played, and the block cut into [`Moment`]s, in each of which the same notes sound, from the
//!   lowest to the highest, with player, instrument, family of the bore and dynamic. Chord spacing, balance,
//!   crossing are of this kind. A block is checked again when anybody in it changed.
//! - What has gone by: `Check::Together`. One half of such a rule is a passage rule that hears each line alone
//!   and leaves a [`Trace`] where the others matter: an entry after silence, a breath inside a tone. The other
//!   half sees the [`Company`] of each visit in which somebody left something: all traces, everybody's notes in
//!   this visit and the visit before. What it must remember it carries from visit to visit in [`Carried`], as
//!   lines do, with the same duty: nothing absolute, and the default again when there is nothing to remember.
//!
//! A finding names the players it is about; it belongs to the first of them, and an allowance for any of them
//! silences it.

mod blocks;
mod harmony;
mod moment;
mod note;
mod section;
mod trace;
mod visits;

pub use blocks::{Blocks, Shared, SharedFound, Together};
pub use harmony::{classes, root_of, root_of_bare, third_of_major};
pub use moment::{Moment, Moments, Part, Sounding};
pub use note::{Note, SAME_PLACE};
pub use section::Chair;
pub use trace::{Left, Trace};
pub use visits::{Carried, Company, SharedPassage, SharedTold, Visits};

pub(super) use blocks::Before;
pub(super) use note::add;
pub(super) use visits::State;
