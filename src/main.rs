//! The `waterkey` command.
fn main() {}
