//! Music for brass, written as plain text, read and checked for what players can do.
//!
//! The modules below are layers: each may use only those that stand before it in this list.
//! Everything up to `rules` is pure: no files, no clock, no globals.
//! `DEVELOPERS.md` has the map.
#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic))]

pub mod music;

pub mod brass;

pub mod notation;

pub mod score;

pub mod rules;

pub mod section;

pub mod assist;

pub mod exchange;

pub mod host;

pub mod server;

pub mod cli;
