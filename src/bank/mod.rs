//! The live session at the bank: its log, the feed clock, and the depth at which fish are feeding.

pub mod choice;
pub mod depth;
pub mod feed_clock;
pub mod log;
pub mod session;
