//! How fast pieces of an excess density sink, and which factor on the middle law takes one through the tub in a time.

use super::likelihood::Scale;
use crate::bait::sink::StillWater;
use crate::estimate::Z90;

/// Speeds by the middle law in one water, over the excess density: solved at steps of a factor of 1.2, in straight
/// lines of the logarithms between (within 0.4 %).
pub(super) struct Speeds {
    first: f64,
    /// Logarithm of the middle law's speed, and the standard deviations of ln k below and above 0.
    nodes: Vec<[f64; 3]>,
}

impl Speeds {
    const STEP: f64 = 0.182_321_556_793_954_6;

    /// For excess densities from 0.02 kg/m3 to `most`.
    pub(super) fn new(water: &StillWater, most: f64) -> Self {
        let first = 0.02_f64.ln();
        let count = 2 + crate::bait::whole(((most.ln() - first) / Self::STEP).ceil());
        let nodes = (0..count).map(|i| {
            let laws = water.law_speeds((first + Self::STEP * f64::from(i)).exp());
            let drag = water.drag_factors(laws);
            [laws.mid.ln(), -drag.low.ln() / Z90, drag.high.ln() / Z90]
        });
        Self { first, nodes: nodes.collect() }
    }

    pub(super) fn at(&self, excess: f64) -> [f64; 3] {
        let place = (excess.ln() - self.first) / Self::STEP;
        let index = (crate::bait::whole(place) as usize).min(self.nodes.len() - 2);
        let part = place - index as f64;
        let (a, b) = (self.nodes[index], self.nodes[index + 1]);
        core::array::from_fn(|n| a[n] + part * (b[n] - a[n]))
    }

    /// Logarithm of the speed; minus infinity for a piece that floats.
    pub(super) fn ln_speed(&self, excess: f64) -> f64 {
        if excess > 0.0 { self.at(excess)[0] } else { f64::NEG_INFINITY }
    }

    /// d ln speed / d ln excess: from 1 (Stokes) to 1/2 (constant drag coefficient).
    pub(super) fn exponent(&self, excess: f64) -> f64 {
        (self.ln_speed(1.1 * excess) - self.ln_speed(excess / 1.1)) / (2.0 * 1.1_f64.ln())
    }

    /// Even steps of the logarithm of speed, from 0.02 kg/m3 up.
    pub(super) fn scale(&self, step: f64) -> Scale {
        let mut edges = Vec::new();
        for (i, pair) in self.nodes.windows(2).enumerate() {
            let (a, b) = (pair[0][0], pair[1][0]);
            while self.nodes[0][0] + step * (edges.len() as f64) < b {
                let part = (self.nodes[0][0] + step * edges.len() as f64 - a) / (b - a);
                edges.push((self.first + Self::STEP * (i as f64 + part)).exp());
            }
        }
        Scale { first: self.nodes[0][0], step, edges }
    }
}

/// ln k that takes a piece through `depth_m` in `time_s` from rest, and |d ln k / d ln time|; `ln_speed` is its speed by
/// the middle law and `lag` ln 2 over its first acceleration.
///
/// With v = k V the time is (depth + ln 2 v2/a)/v, where v2/a does not depend on the excess (see
/// [`crate::physics::settling::time_from_rest_s`], its long-fall end): a quadratic in v. `None` when no speed is so fast.
pub(super) fn ln_factor(depth_m: f64, time_s: f64, lag: f64, ln_speed: f64) -> Option<(f64, f64)> {
    let root = time_s * time_s - 4.0 * lag * depth_m;
    if root <= 0.0 {
        return None;
    }
    let root = root.sqrt();
    Some(((2.0 * depth_m / (time_s + root)).ln() - ln_speed, time_s / root))
}
