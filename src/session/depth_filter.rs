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
//! falls, the kernel is widened by the spread of the fall.
//!
//! # Validity
//! Water of 0.2 to 15 m. The rates are those of a stocked lake; the levels of activity span a quarter to four
//! times the usual. No value here is published: all are common practice or judgement, and stand in
//! [`Settings`].
//!
//! # Source
//! Forward algorithm for hidden Markov chains: Rabiner 1989, "A tutorial on hidden Markov models", Proc. IEEE
//! 77:257–286, eqs. 19–21. A point process seen in continuous time weighs a state by exp(−∫λ dt) per stretch
//! without an event and by λ at each event: Snyder 1975, "Random Point Processes", ch. 7 (from memory).

use crate::units::between;
use serde::{Deserialize, Serialize};

/// Every tuning number of the inference, with unit, default and effect.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
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

impl Default for Settings {
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
            landing_s: 20.0,
            fall_spread: 0.1,
            longest_step_s: 60.0,
        }
    }
}

/// The most steps of one prediction; beyond, old evidence is worth nothing anyway.
const MAX_STEPS: usize = 90;
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
    settings: Settings,
    cells: usize,
    cell_m: f64,
    /// Activity of each level.
    levels: Vec<f64>,
    /// Where a jump ends, for each cell.
    jump_to: Vec<f64>,
    rigs: Vec<RigTable>,
}

/// What is believed of the fish: a probability for each guess, level and cell, in this order.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// Probabilities; cells from the surface down run fastest.
    pub p: Vec<f64>,
    /// Natural logarithm of the likelihood of all evidence so far (for comparing settings).
    pub log_likelihood: f64,
}

/// Blurred Gaussian kernel: 1 at the fish when the hook bait's depth is certain.
#[must_use]
pub fn kernel(hook_m: f64, fish_m: f64, band_m: f64, blur_m: f64) -> f64 {
    let variance = band_m * band_m + blur_m * blur_m;
    band_m / variance.sqrt() * (-(hook_m - fish_m).powi(2) / (2.0 * variance)).exp()
}

impl Model {
    /// Builds grid, chain and tables. The caller has checked that the depth is 0.2 to 15 m and the settings
    /// sensible.
    #[must_use]
    pub fn new(settings: Settings, water_depth_m: f64, paths: &[Path]) -> Self {
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
    pub fn settings(&self) -> &Settings {
        &self.settings
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

    /// The belief before any evidence: where a jump ends, activity near 1, every guess alike.
    #[must_use]
    pub fn prior(&self) -> Belief {
        let guesses = self.settings.guesses.len();
        let middle = self.levels.len() / 2;
        let weight = |level: usize| 0.5_f64.powi(i32::try_from(level.abs_diff(middle)).unwrap_or(0));
        let sum: f64 = (0..self.levels.len()).map(weight).sum();
        let mut p = Vec::with_capacity(guesses * self.levels.len() * self.cells);
        for _ in 0..guesses {
            for level in 0..self.levels.len() {
                p.extend(self.jump_to.iter().map(|to| to * weight(level) / sum / guesses as f64));
            }
        }
        Belief { p, log_likelihood: 0.0 }
    }

    /// Moves a belief on by `dt_s` seconds without evidence: drift, jumps, and change of activity.
    ///
    /// The stretch is cut in equal steps of at most `longest_step_s`, at most 90 of them. In each step, first
    /// the depth drifts to a neighbouring cell with probability σ² dt / (2 h²) each way (reflected at surface
    /// and bottom, at most ¼), then jumps with probability 1 − exp(−dt/T), then activity moves a level up or
    /// down with half of 1 − exp(−dt/T') each.
    pub fn predict(&self, belief: &mut Belief, dt_s: f64) {
        if dt_s <= 0.0 {
            return;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let steps =
            between((dt_s / self.settings.longest_step_s - 1e-9).ceil(), 1.0, MAX_STEPS as f64) as usize;
        let step_s = dt_s / steps as f64;
        for _ in 0..steps {
            self.step(&mut belief.p, step_s);
        }
    }

    fn step(&self, p: &mut [f64], dt_s: f64) {
        let settings = &self.settings;
        let drift =
            (settings.drift_m_per_sqrt_s.powi(2) * dt_s / (2.0 * self.cell_m * self.cell_m)).min(0.25);
        let jump = 1.0 - (-dt_s / settings.jump_every_s).exp();
        let shift = 0.5 * (1.0 - (-dt_s / settings.activity_every_s).exp());
        let mut before = vec![0.0; self.cells];
        for cells in p.chunks_exact_mut(self.cells) {
            before.copy_from_slice(cells);
            let jumped = jump * sum(cells);
            let inner = cells.iter_mut().skip(1).zip(self.jump_to.iter().skip(1));
            for ((cell, to), near) in inner.zip(before.windows(3)) {
                let drifted = near[1] + drift * (near[0] - 2.0 * near[1] + near[2]);
                *cell = (1.0 - jump) * drifted + jumped * to;
            }
            // The ends reflect: what would leave stays.
            let last = self.cells - 1;
            for (end, beside) in [(0, 1), (last, last - 1)] {
                let drifted = before[end] + drift * (before[beside] - before[end]);
                cells[end] = (1.0 - jump) * drifted + jumped * self.jump_to[end];
            }
        }
        if self.levels.len() > 1 {
            for guess in p.chunks_exact_mut(self.cells * self.levels.len()) {
                self.shift_activity(guess, shift);
            }
        }
    }

    /// Appends to `out` the expectation, for each cell now, of `value` after `dt_s` (at most one step): the
    /// step of [`Model::predict`] run backwards, activity left out.
    pub fn expect_after(&self, value: &[f64], dt_s: f64, out: &mut Vec<f64>) {
        let settings = &self.settings;
        let drift =
            (settings.drift_m_per_sqrt_s.powi(2) * dt_s / (2.0 * self.cell_m * self.cell_m)).min(0.25);
        let jump = 1.0 - (-dt_s / settings.jump_every_s).exp();
        let jumped: f64 = value.iter().zip(&self.jump_to).map(|(value, to)| value * to).sum();
        let mut above = value.first().copied().unwrap_or(0.0);
        for (at, &here) in value.iter().enumerate() {
            let below = value.get(at + 1).copied().unwrap_or(here);
            out.push((1.0 - jump) * (here + drift * (above - 2.0 * here + below)) + jump * jumped);
            above = here;
        }
    }

    /// A level keeps 1 − 2·shift and gives shift to each neighbour; the end levels keep what would leave.
    fn shift_activity(&self, guess: &mut [f64], shift: f64) {
        let cells = self.cells;
        for level in 1..self.levels.len() {
            // Exchange between neighbours, in one pass: with small shifts this is the tridiagonal step to
            // first order, and it keeps the sum exactly.
            let (lower, upper) = guess.split_at_mut(level * cells);
            let lower = &mut lower[(level - 1) * cells..];
            for (low, high) in lower.iter_mut().zip(upper.iter_mut()) {
                let flow = shift * (*low - *high);
                *low -= flow;
                *high += flow;
            }
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

    /// Weighs a belief by a stretch without a bite, from `from_s` to `to_s` after lowering rig `rig`.
    pub fn no_bite(&self, belief: &mut Belief, rig: usize, from_s: f64, to_s: f64) {
        if to_s <= from_s {
            return;
        }
        let settings = &self.settings;
        let lowest = self.levels.first().copied().unwrap_or(1.0) / 60.0;
        let quiet = settings.background_per_min * (to_s - from_s);
        for (guess, p) in belief.p.chunks_exact_mut(self.cells * self.levels.len()).enumerate() {
            let mut weights = self.exposure_s(rig, guess, from_s, to_s);
            for weight in &mut weights {
                *weight = (-lowest * (quiet + settings.peak_per_min * *weight)).exp();
            }
            for p in p.chunks_exact_mut(self.cells) {
                for (p, weight) in p.iter_mut().zip(&mut weights) {
                    *p *= *weight;
                    // The next level is twice as active: its weight is the square.
                    *weight *= *weight;
                }
            }
        }
        normalise(belief);
    }

    /// Weighs a belief by a bite that came between `from_s` and `to_s` after lowering rig `rig` (equal: at
    /// that moment at rest).
    pub fn bite(&self, belief: &mut Belief, rig: usize, from_s: f64, to_s: f64) {
        let settings = &self.settings;
        let window_s = to_s - from_s;
        for (guess, p) in belief.p.chunks_exact_mut(self.cells * self.levels.len()).enumerate() {
            let mean = if window_s > 0.0 {
                let mut mean = self.exposure_s(rig, guess, from_s, to_s);
                for mean in &mut mean {
                    *mean /= window_s;
                }
                mean
            } else {
                self.rest_kernel(rig, guess).to_vec()
            };
            for (p, level) in p.chunks_exact_mut(self.cells).zip(&self.levels) {
                for (p, mean) in p.iter_mut().zip(&mean) {
                    *p *= level * (settings.background_per_min + settings.peak_per_min * mean);
                }
            }
        }
        normalise(belief);
    }

    /// The kernel of a rig at rest for each cell, for one guess; empty for an unknown rig.
    #[must_use]
    pub fn rest_kernel(&self, rig: usize, guess: usize) -> &[f64] {
        self.rigs.get(rig).map_or(&[], |table| &table.rest[guess * self.cells..(guess + 1) * self.cells])
    }

    /// Σ over levels of probability times activity, for one guess and each cell: what every rate is linear
    /// in.
    #[must_use]
    pub fn active(&self, belief: &Belief, guess: usize) -> Vec<f64> {
        let mut active = vec![0.0; self.cells];
        let size = self.cells * self.levels.len();
        if let Some(p) = belief.p.get(guess * size..(guess + 1) * size) {
            for (p, level) in p.chunks_exact(self.cells).zip(&self.levels) {
                for (active, p) in active.iter_mut().zip(p) {
                    *active += level * p;
                }
            }
        }
        active
    }

    /// The probability of each cell, whatever the activity.
    #[must_use]
    pub fn depths(&self, belief: &Belief) -> Vec<f64> {
        let mut depths = vec![0.0; self.cells];
        for p in belief.p.chunks_exact(self.cells) {
            for (depth, p) in depths.iter_mut().zip(p) {
                *depth += p;
            }
        }
        depths
    }

    /// The expected activity, relative to usual.
    #[must_use]
    pub fn activity(&self, belief: &Belief) -> f64 {
        (0..self.settings.guesses.len()).map(|guess| self.active(belief, guess).iter().sum::<f64>()).sum()
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

/// The sum, in four strands so that one addition need not wait for the one before.
fn sum(values: &[f64]) -> f64 {
    let mut strands = [0.0; 4];
    let fours = values.chunks_exact(4);
    let rest: f64 = fours.remainder().iter().sum();
    for four in fours {
        for (strand, value) in strands.iter_mut().zip(four) {
            *strand += value;
        }
    }
    strands.iter().sum::<f64>() + rest
}

/// Brings the sum back to 1. A belief that lost all its weight (which finite rates do not allow) is left as
/// it is.
fn normalise(belief: &mut Belief) {
    let sum = sum(&belief.p);
    if sum > 0.0 && sum.is_finite() {
        let scale = 1.0 / sum;
        for p in &mut belief.p {
            *p *= scale;
        }
        belief.log_likelihood += sum.ln();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model() -> Model {
        let at_rest = |rest_m| Path { rest_m, sample_dt_s: 1.0, hook_z_m: Vec::new() };
        let falling = Path {
            rest_m: 1.5,
            sample_dt_s: 0.5,
            hook_z_m: (0..30).map(|at| 0.05 * f64::from(at)).collect(),
        };
        Model::new(Settings::default(), 2.0, &[at_rest(0.4), falling])
    }

    fn chance_near(model: &Model, belief: &Belief, depth_m: f64) -> f64 {
        let depths = model.depths(belief);
        (0..model.cells())
            .filter(|&cell| (model.depth_m(cell) - depth_m).abs() < 0.1)
            .map(|cell| depths[cell])
            .sum()
    }

    #[test]
    fn prediction_keeps_the_sum_and_forgets() {
        let model = model();
        let mut belief = model.prior();
        model.bite(&mut belief, 0, 0.0, 0.0);
        let sharp = chance_near(&model, &belief, 0.4);
        model.predict(&mut belief, 90.0 * 60.0);
        assert!((belief.p.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!(chance_near(&model, &belief, 0.4) < sharp);
        // After a long day nothing is left of it but where jumps end, spread a little by the drift since.
        let mut unbitten = model.prior();
        for _ in 0..200 {
            model.predict(&mut belief, 5400.0);
            model.predict(&mut unbitten, 5400.0);
        }
        let off = |a: &Belief, b: &Belief| -> f64 {
            model.depths(a).iter().zip(model.depths(b)).map(|(a, b)| (a - b).abs()).sum::<f64>() / 2.0
        };
        println!("bite {:e}, prior {}", off(&belief, &unbitten), off(&belief, &model.prior()));
        assert!(off(&belief, &unbitten) < 1e-9);
        assert!(off(&belief, &model.prior()) < 0.1, "{}", off(&belief, &model.prior()));
    }

    #[test]
    fn bites_and_waiting_speak_against_each_other() {
        let model = model();
        let prior = chance_near(&model, &model.prior(), 0.4);
        let mut quiet = model.prior();
        model.no_bite(&mut quiet, 0, 0.0, 240.0);
        assert!(chance_near(&model, &quiet, 0.4) < 0.7 * prior);
        let mut bitten = model.prior();
        model.bite(&mut bitten, 0, 5.0, 5.0);
        assert!(chance_near(&model, &bitten, 0.4) > 2.0 * prior);
        assert!(model.activity(&quiet) < model.activity(&model.prior()));
    }

    #[test]
    fn exposure_adds_up_and_ends_at_rest() {
        let model = model();
        for guess in 0..3 {
            let whole = model.exposure_s(1, guess, 0.0, 40.0);
            let parts = [(0.0, 3.3), (3.3, 14.9), (14.9, 40.0)];
            let mut sum = vec![0.0; model.cells()];
            for (from, to) in parts {
                for (sum, part) in sum.iter_mut().zip(model.exposure_s(1, guess, from, to)) {
                    *sum += part;
                }
            }
            assert!(whole.iter().zip(&sum).all(|(a, b)| (a - b).abs() < 1e-12));
            let rest = model.exposure_s(1, guess, 100.0, 101.0);
            assert!(rest.iter().zip(model.rest_kernel(1, guess)).all(|(a, b)| (a - b).abs() < 1e-12));
        }
        assert!(model.exposure_s(9, 0, 0.0, 1.0).iter().all(|e| *e == 0.0));
    }

    #[test]
    fn quantiles_lie_within_cells() {
        let model = model();
        let mut depths = vec![0.0; model.cells()];
        depths[10] = 1.0;
        assert!((model.quantile_m(&depths, 0.5) - 0.525).abs() < 1e-12);
        assert!((model.quantile_m(&depths, 0.05) - 0.5025).abs() < 1e-12);
    }
}
