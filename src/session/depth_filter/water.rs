//! What a water decides of the chain: where the fish go, how often, how active they are, and how broad their band is.

use super::grid::Grid;
use super::settings::{FilterSettings, Guess};

/// One kind of water that a session may be at, the same all day.
#[derive(Clone, Debug, PartialEq)]
pub struct Water {
    /// Its weight beside the other waters of a model, before any evidence.
    pub weight: f64,
    /// Mean time between jumps to another depth, s.
    pub jump_every_s: f64,
    /// Where jumps end: for each block of the day since the all-in, a probability for each cell. The last block
    /// lasts to the end of the day.
    pub jump_to: Vec<Vec<f64>>,
    /// Length of such a block, s.
    pub block_s: f64,
    /// Chance of each level of activity at the start of the day.
    pub activity: Vec<f64>,
    /// Breadth of the band and truth of the fall, each with its chance.
    pub guesses: Vec<(Guess, f64)>,
}

impl Water {
    /// The water of the settings: nothing is known of it.
    #[must_use]
    pub fn usual(settings: &FilterSettings, grid: &Grid) -> Self {
        let levels = settings.activity_levels;
        let weight = |level: usize| 0.5_f64.powi(i32::try_from(level.abs_diff(levels / 2)).unwrap_or(0));
        let sum: f64 = (0..levels).map(weight).sum();
        let share = 1.0 / settings.guesses.len() as f64;
        Self {
            weight: 1.0,
            jump_every_s: settings.jump_every_s,
            jump_to: vec![usual_jump_to(settings, grid)],
            block_s: 3600.0,
            activity: (0..levels).map(|level| weight(level) / sum).collect(),
            guesses: settings.guesses.iter().map(|&guess| (guess, share)).collect(),
        }
    }

    /// Where a jump ends at `since_s` seconds since the all-in: a probability for each cell.
    #[must_use]
    pub fn jump_to_at(&self, since_s: f64) -> &[f64] {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative; saturates"
        )]
        let block = (since_s / self.block_s).max(0.0) as usize;
        self.jump_to.get(block).or(self.jump_to.last()).map_or(&[], Vec::as_slice)
    }

    /// The probability of a jump in `dt_s` seconds, 1 − exp(−dt/T).
    #[must_use]
    pub fn jump(&self, dt_s: f64) -> f64 {
        1.0 - (-dt_s / self.jump_every_s).exp()
    }
}

fn usual_jump_to(settings: &FilterSettings, grid: &Grid) -> Vec<f64> {
    let depth_m = grid.water_depth_m;
    let mut prior = vec![0.0; grid.cells];
    let bands = [
        (settings.shallow_share, settings.shallow_band_m.0, settings.shallow_band_m.1),
        (settings.bottom_share, depth_m - settings.bottom_band_m, depth_m),
        (1.0 - settings.shallow_share - settings.bottom_share, 0.0, depth_m),
    ];
    for (share, from_m, to_m) in bands {
        let inside: f64 = (0..grid.cells).map(|cell| grid.overlap(cell, from_m, to_m)).sum();
        if inside > 0.0 {
            for (cell, p) in prior.iter_mut().enumerate() {
                *p += share * grid.overlap(cell, from_m, to_m) / inside;
            }
        }
    }
    let sum: f64 = prior.iter().sum();
    for p in &mut prior {
        *p /= sum;
    }
    prior
}
