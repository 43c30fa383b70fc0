//! Every tuning number of the inference.

use serde::{Deserialize, Serialize};

/// The tuning numbers, each with unit, default and effect.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct FilterSettings {
    /// Largest height of a grid cell, m. Default 0.05. Smaller is finer and slower.
    pub cell_m: f64,
    /// Standard deviation of the fishes' drift in one second, m/√s. Default 0.01/√20: 1 cm in 20 s. Larger
    /// forgets faster.
    pub drift_m_per_sqrt_s: f64,
    /// Mean time between jumps to another depth, s. Default 3000. Smaller doubts old evidence sooner.
    pub jump_every_s: f64,
    /// Share of jumps that end in the shallow band. Default 0.55.
    pub shallow_share: f64,
    /// Upper and lower edge of the shallow band, m. Default 0.2 and 0.8.
    pub shallow_band_m: (f64, f64),
    /// Share of jumps that end in the band above the bottom; the rest may end anywhere. Default 0.25.
    pub bottom_share: f64,
    /// Height of the band above the bottom, m. Default 0.5.
    pub bottom_band_m: f64,
    /// Bites without fish at the depth of the hook bait, 1/min at activity 1. Default 0.05.
    pub background_per_min: f64,
    /// Bites with the hook bait right at the fish, 1/min at activity 1. Default 1.2.
    pub peak_per_min: f64,
    /// Ways the water may be that the session learns to tell apart. Default: a band of 0.06 or 0.12 m with
    /// the fall as simulated, and one of 0.10 m with the bait at rest at once, in case the simulated fall is
    /// far too slow. More cost time in proportion.
    pub guesses: Vec<Guess>,
    /// How many levels of activity, each twice the one below, the middle one being 1. Default 5: a quarter to
    /// four times.
    pub activity_levels: usize,
    /// Mean time for which activity stays at a level, s. Default 20000: a slow day mostly stays slow.
    pub activity_every_s: f64,
    /// A missed bite is tapped at most this long after it came, s. Default 1.
    pub reaction_s: f64,
    /// How long before its tap a missed bite came, from and to, s, where somebody tells every one late: ways that a session
    /// tells apart. Default 2 to 4 and 4 to 6. More cost time in proportion.
    pub late_s: Vec<(f64, f64)>,
    /// The chance of each of them before any evidence. Default 0.03.
    pub late_chance: f64,
    /// A fish is tapped at most this long after its bite, s. Default 20.
    pub landing_s: f64,
    /// Spread of the rig's fall: uncertainty of the hook bait's depth while falling, as a share of that
    /// depth. Default 0.1.
    pub fall_spread: f64,
    /// Longest step of the chain, s. Default 60. Longer stretches are cut.
    pub longest_step_s: f64,
}

/// One way the water may be, the same all day.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Guess {
    /// Breadth of the band in which the fish take, one standard deviation, m.
    pub band_m: f64,
    /// How long rigs really take to fall, as a share of the simulated time; 0: at rest at once.
    pub fall: f64,
}

impl Default for FilterSettings {
    fn default() -> Self {
        Self {
            cell_m: 0.05,
            drift_m_per_sqrt_s: 0.002_236_068,
            jump_every_s: 3000.0,
            shallow_share: 0.55,
            shallow_band_m: (0.2, 0.8),
            bottom_share: 0.25,
            bottom_band_m: 0.5,
            background_per_min: 0.05,
            peak_per_min: 1.2,
            guesses: [(0.06, 1.0), (0.12, 1.0), (0.10, 0.0)]
                .map(|(band_m, fall)| Guess { band_m, fall })
                .to_vec(),
            activity_levels: 5,
            activity_every_s: 20_000.0,
            reaction_s: 1.0,
            late_s: vec![(2.0, 4.0), (4.0, 6.0)],
            late_chance: 0.03,
            landing_s: 20.0,
            fall_spread: 0.1,
            longest_step_s: 60.0,
        }
    }
}
