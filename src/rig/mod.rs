//! Rigs: the shot that dots a float, where the shot goes, how the rig falls, and tackle that holds.

pub mod balance;
pub mod fall;
pub mod finder;
pub mod glass_test;
pub mod layout;
pub mod make_up;
pub mod shot;
pub mod tackle;
