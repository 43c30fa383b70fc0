//! The grid, the chain and the rigs' kernels: everything that does not change with evidence.

use super::settings::{FilterSettings, Guess};
use crate::units::between;

/// The most rows of a rig's table of the fall.
const MAX_ROWS: usize = 64;

/// The path of the hook bait of one rig after lowering.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Depth of the hook bait at rest, m.
    pub rest_m: f64,
    /// Seconds between samples, above 0.
    pub sample_dt_s: f64,
    /// Depths during the fall, m, the first at the moment of lowering. Empty: at rest at once.
    pub hook_z_m: Vec<f64>,
}

impl Path {
    /// Depth of the hook bait `after_s` after lowering, m: linear between samples, then at rest.
    #[must_use]
    pub fn depth_m(&self, after_s: f64) -> f64 {
        let place = after_s.max(0.0) / self.sample_dt_s;
        if place.is_nan() || place >= self.hook_z_m.len() as f64 {
            return self.rest_m;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= place < len")]
        let before = place as usize;
        let a = self.hook_z_m.get(before).copied().unwrap_or(self.rest_m);
        let b = self.hook_z_m.get(before + 1).copied().unwrap_or(self.rest_m);
        a + (b - a) * (place - before as f64)
    }

    /// How long the fall lasts, s.
    #[must_use]
    pub fn fall_s(&self) -> f64 {
        self.hook_z_m.len() as f64 * self.sample_dt_s
    }
}

/// The kernel of one rig: how strongly each cell is exposed, summed over the time since lowering.
#[derive(Clone, Debug)]
struct RigTable {
    row_s: f64,
    rows: usize,
    /// For each guess, for each row boundary (0 to `rows`), each cell: ∫ kernel dt since lowering, s.
    summed: Vec<f64>,
    /// For each guess, each cell: the kernel at rest.
    rest: Vec<f64>,
}

/// The grid, the chain and the rigs' kernels: everything that does not change with evidence.
#[derive(Clone, Debug)]
pub struct Model {
    settings: FilterSettings,
    cells: usize,
    cell_m: f64,
    levels: Vec<f64>,
    /// Where a jump ends, for each cell.
    jump_to: Vec<f64>,
    rigs: Vec<RigTable>,
}

/// Blurred Gaussian kernel: 1 at the fish when the hook bait's depth is certain.
fn kernel(hook_m: f64, fish_m: f64, band_m: f64, blur_m: f64) -> f64 {
    let variance = band_m * band_m + blur_m * blur_m;
    band_m / variance.sqrt() * (-(hook_m - fish_m).powi(2) / (2.0 * variance)).exp()
}

impl Model {
    /// Builds grid, chain and tables. The caller has checked that the depth is 0.2 to 15 m and the settings
    /// sensible.
    #[must_use]
    pub fn new(settings: FilterSettings, water_depth_m: f64, paths: &[Path]) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 8..=600")]
        let cells = between((water_depth_m / settings.cell_m - 1e-9).ceil(), 8.0, 600.0) as usize;
        let cell_m = water_depth_m / cells as f64;
        let middle = settings.activity_levels / 2;
        let mut levels = Vec::new();
        let mut level = 0.5_f64.powi(i32::try_from(middle).unwrap_or(0));
        for _ in 0..settings.activity_levels {
            levels.push(level);
            level *= 2.0;
        }
        let mut model = Self { cells, cell_m, levels, jump_to: Vec::new(), rigs: Vec::new(), settings };
        model.jump_to = model.jump_prior(water_depth_m);
        model.rigs = paths.iter().map(|path| model.table(path, water_depth_m)).collect();
        model
    }

    /// The settings in force.
    #[must_use]
    pub fn settings(&self) -> &FilterSettings {
        &self.settings
    }

    /// Number of rigs.
    #[must_use]
    pub fn rig_count(&self) -> usize {
        self.rigs.len()
    }

    /// Number of grid cells from surface to bottom.
    #[must_use]
    pub fn cells(&self) -> usize {
        self.cells
    }

    /// Height of a cell, m.
    #[must_use]
    pub fn cell_m(&self) -> f64 {
        self.cell_m
    }

    /// Depth of the middle of a cell, m.
    #[must_use]
    pub fn depth_m(&self, cell: usize) -> f64 {
        (cell as f64 + 0.5) * self.cell_m
    }

    /// Activity of each level, relative to usual.
    #[must_use]
    pub fn levels(&self) -> &[f64] {
        &self.levels
    }

    /// How many probabilities a belief holds for one guess.
    pub(super) fn guess_size(&self) -> usize {
        self.cells * self.levels.len()
    }

    /// Where a jump ends: a probability for each cell.
    pub(super) fn jump_to(&self) -> &[f64] {
        &self.jump_to
    }

    /// In a step of `dt_s` seconds: the probability of drifting to the next cell each way, σ² dt / (2 h²) but at
    /// most ¼, and that of a jump, 1 − exp(−dt/T).
    pub(super) fn drift_and_jump(&self, dt_s: f64) -> (f64, f64) {
        let settings = &self.settings;
        let drift =
            (settings.drift_m_per_sqrt_s.powi(2) * dt_s / (2.0 * self.cell_m * self.cell_m)).min(0.25);
        (drift, 1.0 - (-dt_s / settings.jump_every_s).exp())
    }

    /// Share of each cell that lies between two depths.
    fn overlap(&self, cell: usize, from_m: f64, to_m: f64) -> f64 {
        let top = cell as f64 * self.cell_m;
        ((top + self.cell_m).min(to_m) - top.max(from_m)).max(0.0) / self.cell_m
    }

    fn jump_prior(&self, water_depth_m: f64) -> Vec<f64> {
        let settings = &self.settings;
        let mut prior = vec![0.0; self.cells];
        let bands = [
            (settings.shallow_share, settings.shallow_band_m.0, settings.shallow_band_m.1),
            (settings.bottom_share, water_depth_m - settings.bottom_band_m, water_depth_m),
            (1.0 - settings.shallow_share - settings.bottom_share, 0.0, water_depth_m),
        ];
        for (share, from_m, to_m) in bands {
            let inside: f64 = (0..self.cells).map(|cell| self.overlap(cell, from_m, to_m)).sum();
            if inside > 0.0 {
                for (cell, p) in prior.iter_mut().enumerate() {
                    *p += share * self.overlap(cell, from_m, to_m) / inside;
                }
            }
        }
        let sum: f64 = prior.iter().sum();
        for p in &mut prior {
            *p /= sum;
        }
        prior
    }

    fn table(&self, path: &Path, water_depth_m: f64) -> RigTable {
        let fall_s = path.fall_s();
        let rows = path.hook_z_m.len().min(MAX_ROWS);
        let row_s = if rows > 0 { fall_s / rows as f64 } else { 1.0 };
        let mut table = RigTable { row_s, rows, summed: Vec::new(), rest: Vec::new() };
        for &Guess { band_m, fall } in &self.settings.guesses {
            let start = table.summed.len();
            table.summed.resize(start + self.cells, 0.0);
            for row in 0..rows {
                let hook_m = between(path.depth_m((row as f64 + 0.5) * row_s), 0.0, water_depth_m);
                let blur_m = self.settings.fall_spread * hook_m;
                for cell in 0..self.cells {
                    let before = table.summed[start + row * self.cells + cell];
                    let near = kernel(hook_m, self.depth_m(cell), band_m, blur_m);
                    table.summed.push(before + fall * row_s * near);
                }
            }
            let hook_m = between(path.rest_m, 0.0, water_depth_m);
            table.rest.extend((0..self.cells).map(|cell| kernel(hook_m, self.depth_m(cell), band_m, 0.0)));
        }
        table
    }

    /// Appends to `out` the expectation, for each cell now, of `value` after `dt_s` (at most one step): the
    /// step of `Belief::predict` run backwards, activity left out.
    pub fn expect_after(&self, value: &[f64], dt_s: f64, out: &mut Vec<f64>) {
        let (drift, jump) = self.drift_and_jump(dt_s);
        let jumped: f64 = value.iter().zip(&self.jump_to).map(|(value, to)| value * to).sum();
        let mut above = value.first().copied().unwrap_or(0.0);
        for (at, &here) in value.iter().enumerate() {
            let below = value.get(at + 1).copied().unwrap_or(here);
            out.push((1.0 - jump) * (here + drift * (above - 2.0 * here + below)) + jump * jumped);
            above = here;
        }
    }

    /// Adds sign · ∫ kernel dt from lowering to `after_s`, for one guess.
    fn add_summed(&self, out: &mut [f64], rig: &RigTable, guess: usize, after_s: f64, sign: f64) {
        let row_s = rig.row_s * self.settings.guesses.get(guess).map_or(1.0, |guess| guess.fall);
        if rig.rows > 0 && row_s > 0.0 {
            let place = between(after_s / row_s, 0.0, rig.rows as f64);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= place <= rows")]
            let row = (place as usize).min(rig.rows - 1);
            let share = place - row as f64;
            let base = (guess * (rig.rows + 1) + row) * self.cells;
            let before = &rig.summed[base..base + self.cells];
            let after = &rig.summed[base + self.cells..base + 2 * self.cells];
            for ((out, before), after) in out.iter_mut().zip(before).zip(after) {
                *out += sign * (before + share * (after - before));
            }
        }
        let rest_s = after_s - rig.rows as f64 * row_s;
        if rest_s > 0.0 {
            let rest = &rig.rest[guess * self.cells..(guess + 1) * self.cells];
            for (out, rest) in out.iter_mut().zip(rest) {
                *out += sign * rest_s * rest;
            }
        }
    }

    /// ∫ kernel dt from `from_s` to `to_s` after lowering rig `rig`, for one guess and each cell, s.
    #[must_use]
    pub fn exposure_s(&self, rig: usize, guess: usize, from_s: f64, to_s: f64) -> Vec<f64> {
        let mut out = vec![0.0; self.cells];
        if let Some(rig) = self.rigs.get(rig)
            && to_s > from_s
        {
            self.add_summed(&mut out, rig, guess, to_s.max(0.0), 1.0);
            if from_s > 0.0 {
                self.add_summed(&mut out, rig, guess, from_s, -1.0);
            }
        }
        out
    }

    /// The kernel of a rig at rest for each cell, for one guess; empty for an unknown rig.
    #[must_use]
    pub fn rest_kernel(&self, rig: usize, guess: usize) -> &[f64] {
        self.rigs.get(rig).map_or(&[], |table| &table.rest[guess * self.cells..(guess + 1) * self.cells])
    }

    /// The depth above which the fish are with probability `share`, m, linear within a cell.
    #[must_use]
    pub fn quantile_m(&self, depths: &[f64], share: f64) -> f64 {
        let mut sum = 0.0;
        for (cell, p) in depths.iter().enumerate() {
            if sum + p >= share && *p > 0.0 {
                return (cell as f64 + between((share - sum) / p, 0.0, 1.0)) * self.cell_m;
            }
            sum += p;
        }
        depths.len() as f64 * self.cell_m
    }
}
