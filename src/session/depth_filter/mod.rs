//! At which depth the fish feed, read from bites and from casts without a bite.
//!
//! The model is a hidden Markov chain. Its hidden state is the depth of the fish on a grid of at most 5 cm, a
//! level of activity, and a guess at how broad the band is they feed in and how true the simulated fall.
//! Between taps the depth diffuses slowly, and now and then jumps: mostly into the shallow band or the band
//! above the bottom. Activity moves between neighbouring levels.
//!
//! While the hook bait hangs at depth z and the fish feed at depth D with activity a, bites come at the rate
//!
//! λ = a · (b + p · exp(−(z − D)² / (2 w²)))
//!
//! A cast exposes the hook bait along the rig's simulated fall, then at rest. A stretch of water time without
//! a bite weighs each state by exp(−∫λ dt). A bite weighs it by λ averaged over a window before the tap,
//! since the tap comes later than the bite: a short window (reaction) for a missed bite, a longer one
//! (playing the fish) for a fish landed. Water time is counted to the middle of that window. While the rig
//! falls, the kernel is widened by the spread of the fall. Another guess has every missed bite told some seconds
//! late: its window lies so much earlier, in the cast before where need be.
//!
//! # Validity
//! Water of 0.2 to 15 m. The rates are those of a stocked lake; the levels of activity span a quarter to four
//! times the usual. No value here is published: all are common practice or judgement, and stand in
//! [`FilterSettings`].
//!
//! # Source
//! Forward algorithm for hidden Markov chains: Rabiner 1989, "A tutorial on hidden Markov models", Proc. IEEE
//! 77:257–286, eqs. 19–21. A point process seen in continuous time weighs a state by exp(−∫λ dt) per stretch
//! without an event and by λ at each event: Snyder 1975, "Random Point Processes", ch. 7 (from memory).

mod belief;
mod bite;
mod grid;
mod lines;
mod model;
mod settings;
#[cfg(test)]
mod tests;
mod water;

pub use belief::{Belief, Witness};
pub(super) use belief::{drift_and_jump, shift_activity, sum, sum_of_products};
pub use bite::Bite;
pub use grid::Grid;
pub(super) use grid::drift;
pub use lines::{Beliefs, Line, Lines, Watcher};
pub use model::{Model, Path};
pub use settings::{FilterSettings, Guess};
pub use water::Water;
