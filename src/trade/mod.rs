//! Facts of the trade, with their sources.

pub mod lead;
