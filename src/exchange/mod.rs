//! A score in other forms, and what is made of one for somebody to read. Texts come out of scores that
//! are in memory; who writes them to a file is a layer below.

pub mod form;
pub mod import;
pub mod midi;
pub mod musicxml;
pub mod paper;
pub mod part;
pub mod played;

pub mod sheet;
