//! What a player's body can do: air, lips, tongue, arm and hands.
//!
//! Times are seconds, volumes litres, distances centimetres. Every number is a named constant with its
//! source, or it says that it is an estimate; what a rule may let its user change is a field of a small
//! struct that begins with these constants. Nothing here knows a score: who calls says how long a note
//! lasts, how high and how loud it is.

pub mod air;
pub mod arm;
pub mod effects;
pub mod hands;
pub mod left_hand;
pub mod lips;
pub mod loudness;
pub mod speech;
pub mod tongue;
pub mod voice;

pub use air::{Air, Lungs};
pub use arm::Arm;
pub use hands::{Bell, HandTime, Hands};
pub use lips::Lips;
pub use loudness::Loudness;
pub use tongue::Tongue;
pub use voice::Voice;
