//! Who could play it instead, and what it would cost them: solvers over a score, pure, without text.
//!
//! A [`Stretch`] is what one player does from one place of a block to another. [`rank()`] puts the others of the
//! section in order by what taking it over would cost each of them; every point of a cost has a reason in
//! words. Points are estimates: they put players in order and are no limits of anybody. [`share_out()`] deals the
//! notes of chords to people at the least cost.

pub mod compare;
pub mod cost;
pub mod force;
pub mod gap;
pub mod harmony;
pub mod rank;
pub mod share;
pub mod share_lies;
pub mod share_out;
pub mod stretch;
pub mod voices;

pub use cost::{Cost, Part, Why};
pub use rank::{Candidate, Standing, rank};
pub use share_out::share_out;
pub use stretch::{At, Open, Stretch};
