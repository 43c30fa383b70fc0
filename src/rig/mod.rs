//! Rigs: the shot that dots a float, where the shot goes, how the rig falls, and tackle that holds.

pub mod balance;
pub mod fall;
pub mod glass;
pub mod layout;
pub mod search;
pub mod sheet;
pub mod shot;
pub mod tackle;
