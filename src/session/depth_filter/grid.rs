//! The depths that are told apart, and how fish drift between them.

use super::settings::FilterSettings;
use crate::units::between;

/// The depths that are told apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Depth of the water, m.
    pub water_depth_m: f64,
    /// Cells from surface to bottom.
    pub cells: usize,
    /// Height of a cell, m.
    pub cell_m: f64,
}

impl Grid {
    /// The grid of these settings in water of this depth.
    #[must_use]
    pub fn new(settings: &FilterSettings, water_depth_m: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 8..=600")]
        let cells = between((water_depth_m / settings.cell_m - 1e-9).ceil(), 8.0, 600.0) as usize;
        Self { water_depth_m, cells, cell_m: water_depth_m / cells as f64 }
    }

    /// Share of a cell that lies between two depths.
    #[must_use]
    pub fn overlap(&self, cell: usize, from_m: f64, to_m: f64) -> f64 {
        let top = cell as f64 * self.cell_m;
        ((top + self.cell_m).min(to_m) - top.max(from_m)).max(0.0) / self.cell_m
    }
}

/// The probability of drifting to the next cell each way in a step of `dt_s` seconds, σ² dt / (2 h²) but at most ¼.
pub(in crate::session) fn drift(settings: &FilterSettings, cell_m: f64, dt_s: f64) -> f64 {
    (settings.drift_m_per_sqrt_s.powi(2) * dt_s / (2.0 * cell_m * cell_m)).min(0.25)
}
