//! The chain and the rigs' kernels: everything that does not change with evidence.

use super::bite::Bite;
use super::grid::{Grid, drift};
use super::settings::{FilterSettings, Guess};
use super::water::Water;
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

/// A guess of one of the waters.
#[derive(Clone, Copy, Debug)]
pub(super) struct OneGuess {
    guess: Guess,
    /// Its water's place.
    water: usize,
    /// Its chance before any evidence.
    pub(super) weight: f64,
    /// Where every missed bite is told late: how long before its tap it came, from and to, s.
    pub(super) late_s: Option<(f64, f64)>,
    /// The guess whose tables it has: its own, or that of the same guess with bites told at once.
    table: usize,
}

/// The chain and the rigs' kernels: everything that does not change with evidence.
#[derive(Clone, Debug)]
pub struct Model {
    settings: FilterSettings,
    cells: usize,
    cell_m: f64,
    levels: Vec<f64>,
    waters: Vec<Water>,
    /// The guesses of every water with bites told at once, one water after another; then those with bites told late.
    guesses: Vec<OneGuess>,
    rigs: Vec<RigTable>,
}

/// Blurred Gaussian kernel: 1 at the fish when the hook bait's depth is certain.
fn kernel(hook_m: f64, fish_m: f64, band_m: f64, blur_m: f64) -> f64 {
    let variance = band_m * band_m + blur_m * blur_m;
    band_m / variance.sqrt() * (-(hook_m - fish_m).powi(2) / (2.0 * variance)).exp()
}

/// The guesses of each water; and beside those that have the rig fall, which alone can tell it, that every missed bite is
/// told late.
fn guesses(settings: &FilterSettings, waters: &[Water]) -> Vec<OneGuess> {
    let total: f64 = waters.iter().map(|water| water.weight).sum();
    let (mut all, mut late) = (Vec::new(), Vec::new());
    for (at, water) in waters.iter().enumerate() {
        for &(guess, chance) in &water.guesses {
            let weight = water.weight / total * chance;
            let mut one = OneGuess { guess, water: at, weight, late_s: None, table: all.len() };
            for &late_s in settings.late_s.iter().filter(|_| guess.fall > 0.0) {
                let told_late = weight * settings.late_chance;
                late.push(OneGuess { weight: told_late, late_s: Some(late_s), ..one });
                one.weight -= told_late;
            }
            all.push(one);
        }
    }
    all.extend(late);
    all
}

impl Model {
    /// Builds grid, chain and tables for the usual water. The caller has checked that the depth is 0.2 to 15 m and the
    /// settings sensible.
    #[must_use]
    pub fn new(settings: FilterSettings, water_depth_m: f64, paths: &[Path]) -> Self {
        let usual = Water::usual(&settings, &Grid::new(&settings, water_depth_m));
        Self::of_waters(settings, water_depth_m, paths, vec![usual])
    }

    /// The same where the water may be any of several, each laid on the grid of these settings and this depth.
    #[must_use]
    pub fn of_waters(
        settings: FilterSettings,
        water_depth_m: f64,
        paths: &[Path],
        waters: Vec<Water>,
    ) -> Self {
        let Grid { cells, cell_m, .. } = Grid::new(&settings, water_depth_m);
        let middle = settings.activity_levels / 2;
        let mut levels = Vec::new();
        let mut level = 0.5_f64.powi(i32::try_from(middle).unwrap_or(0));
        for _ in 0..settings.activity_levels {
            levels.push(level);
            level *= 2.0;
        }
        let guesses = guesses(&settings, &waters);
        let mut model = Self { cells, cell_m, levels, guesses, waters, rigs: Vec::new(), settings };
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

    /// How many guesses there are, of all waters.
    #[must_use]
    pub fn guess_count(&self) -> usize {
        self.guesses.len()
    }

    /// The guesses with their chances before any evidence.
    pub(super) fn guesses(&self) -> &[OneGuess] {
        &self.guesses
    }

    /// The water of a guess.
    pub(super) fn water_of(&self, guess: usize) -> &Water {
        &self.waters[self.guesses[guess].water]
    }

    /// Whether some water changes through the day.
    #[must_use]
    pub fn changes_through_the_day(&self) -> bool {
        self.waters.iter().any(|water| water.jump_to.len() > 1)
    }

    /// In a step of `dt_s` seconds: the probability of drifting to the next cell each way, σ² dt / (2 h²) but at
    /// most ¼.
    pub(super) fn drift(&self, dt_s: f64) -> f64 {
        drift(&self.settings, self.cell_m, dt_s)
    }

    fn table(&self, path: &Path, water_depth_m: f64) -> RigTable {
        let fall_s = path.fall_s();
        let rows = path.hook_z_m.len().min(MAX_ROWS);
        let row_s = if rows > 0 { fall_s / rows as f64 } else { 1.0 };
        let mut table = RigTable { row_s, rows, summed: Vec::new(), rest: Vec::new() };
        let own = self.guesses.iter().enumerate().filter(|(at, one)| one.table == *at);
        for (_, &OneGuess { guess: Guess { band_m, fall }, .. }) in own {
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

    /// Appends to `out` the expectation, for each cell at `since_s` seconds since the all-in, of `value` after `dt_s`
    /// (at most one step) for one guess: the step of `Belief::predict` run backwards, activity left out.
    pub fn expect_after(&self, guess: usize, since_s: f64, value: &[f64], dt_s: f64, out: &mut Vec<f64>) {
        let water = self.water_of(guess);
        let (drift, jump) = (self.drift(dt_s), water.jump(dt_s));
        let jumped: f64 = value.iter().zip(water.jump_to_at(since_s)).map(|(value, to)| value * to).sum();
        let mut above = value.first().copied().unwrap_or(0.0);
        for (at, &here) in value.iter().enumerate() {
            let below = value.get(at + 1).copied().unwrap_or(here);
            out.push((1.0 - jump) * (here + drift * (above - 2.0 * here + below)) + jump * jumped);
            above = here;
        }
    }

    /// Adds sign · ∫ kernel dt from lowering to `after_s`, for one guess.
    fn add_summed(&self, out: &mut [f64], rig: &RigTable, guess: usize, after_s: f64, sign: f64) {
        let (table, fall) = self.guesses.get(guess).map_or((0, 1.0), |one| (one.table, one.guess.fall));
        let row_s = rig.row_s * fall;
        if rig.rows > 0 && row_s > 0.0 {
            let place = between(after_s / row_s, 0.0, rig.rows as f64);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= place <= rows")]
            let row = (place as usize).min(rig.rows - 1);
            let share = place - row as f64;
            let base = (table * (rig.rows + 1) + row) * self.cells;
            let before = &rig.summed[base..base + self.cells];
            let after = &rig.summed[base + self.cells..base + 2 * self.cells];
            for ((out, before), after) in out.iter_mut().zip(before).zip(after) {
                *out += sign * (before + share * (after - before));
            }
        }
        let rest_s = after_s - rig.rows as f64 * row_s;
        if rest_s > 0.0 {
            for (out, rest) in out.iter_mut().zip(self.at_rest(rig, guess)) {
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

    /// When a bite came by one guess, from and to, s after its lowering; equal: at rest.
    #[must_use]
    pub fn window(&self, guess: usize, bite: &Bite) -> (f64, f64) {
        bite.window(&self.settings, self.guesses.get(guess).and_then(|one| one.late_s))
    }

    /// The mean kernel for each cell, for one guess, from `from_s` to `to_s` after lowering rig `rig` (equal: at rest).
    #[must_use]
    pub fn bite_kernel(&self, rig: usize, guess: usize, from_s: f64, to_s: f64) -> Vec<f64> {
        if to_s <= from_s {
            return self.rest_kernel(rig, guess).to_vec();
        }
        let mut kernel = self.exposure_s(rig, guess, from_s, to_s);
        for mean in &mut kernel {
            *mean /= to_s - from_s;
        }
        kernel
    }

    /// The kernel of a rig at rest for each cell, for one guess; empty for an unknown rig.
    #[must_use]
    pub fn rest_kernel(&self, rig: usize, guess: usize) -> &[f64] {
        self.rigs.get(rig).map_or(&[], |table| self.at_rest(table, guess))
    }

    fn at_rest<'a>(&self, rig: &'a RigTable, guess: usize) -> &'a [f64] {
        let table = self.guesses.get(guess).map_or(0, |one| one.table);
        &rig.rest[table * self.cells..(table + 1) * self.cells]
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
