//! Rigs: the shot that dots a float, where the shot goes, how the rig falls, and tackle that holds.

pub mod fall;
pub mod search;
