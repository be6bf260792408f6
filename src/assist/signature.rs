//! Signature help: the form of the line while it is being typed.
/// The form of something.
pub struct Signature;
/// Nothing yet.
pub fn signature() {}
