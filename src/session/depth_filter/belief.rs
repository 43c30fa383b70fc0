//! What is believed of the fish: moved on in time, weighed by bites and by waiting.

use super::bite::Bite;
use super::model::{Model, OneGuess};
use crate::units::between;

/// The most steps of one prediction; beyond, old evidence is worth nothing anyway.
const MAX_STEPS: usize = 90;

/// What takes in the evidence of a day in the order of time.
pub trait Witness {
    /// `dt_s` seconds pass.
    fn predict(&mut self, model: &Model, dt_s: f64);
    /// No bite came from `from_s` to `to_s` after lowering rig `rig`; those seconds have passed.
    fn no_bite(&mut self, model: &Model, rig: usize, from_s: f64, to_s: f64);
    /// A bite came to rig `rig`.
    fn bite(&mut self, model: &Model, rig: usize, bite: &Bite);
}

/// A probability for each guess, level of activity and cell, in this order.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// Probabilities; cells from the surface down run fastest.
    pub p: Vec<f64>,
    /// The moment they hold for, s since the all-in.
    pub since_s: f64,
}

impl Belief {
    /// The belief before any evidence: where a jump ends at the all-in, activity and guesses as each water has them.
    #[must_use]
    pub fn prior(model: &Model) -> Self {
        let mut p = Vec::with_capacity(model.guess_count() * model.guess_size());
        for (guess, one) in model.guesses().iter().enumerate() {
            let water = model.water_of(guess);
            for level in &water.activity {
                p.extend(water.jump_to_at(0.0).iter().map(|to| to * level * one.weight));
            }
        }
        Self { p, since_s: 0.0 }
    }

    fn step(&mut self, model: &Model, dt_s: f64) {
        let drift = model.drift(dt_s);
        let mut before = vec![0.0; model.cells()];
        for (guess, levels) in self.p.chunks_exact_mut(model.guess_size()).enumerate() {
            let water = model.water_of(guess);
            let (jump, jump_to) = (water.jump(dt_s), water.jump_to_at(self.since_s));
            for cells in levels.chunks_exact_mut(model.cells()) {
                before.copy_from_slice(cells);
                drift_and_jump(cells, &before, 1.0, drift, jump, jump_to);
            }
        }
        self.since_s += dt_s;
        if model.levels().len() > 1 {
            let shift = 0.5 * (1.0 - (-dt_s / model.settings().activity_every_s).exp());
            for guess in self.p.chunks_exact_mut(model.guess_size()) {
                shift_activity(guess, model.cells(), shift);
            }
        }
    }

    /// The chance of each guess, of all waters.
    #[must_use]
    pub fn guess_chances(&self, model: &Model) -> Vec<f64> {
        self.p.chunks_exact(model.guess_size()).map(sum).collect()
    }

    /// How long before its tap each missed bite came, from and to, s, where it is at least so likely that all are told late.
    #[must_use]
    pub fn told_late(&self, model: &Model, sure: f64) -> Option<(f64, f64)> {
        let chances = self.guess_chances(model);
        let chance = |late_s: (f64, f64)| -> f64 {
            let one = |(guess, chance): (&OneGuess, &f64)| (guess.late_s == Some(late_s)).then_some(*chance);
            model.guesses().iter().zip(&chances).filter_map(one).sum()
        };
        let ways = &model.settings().late_s;
        let all: f64 = ways.iter().map(|&late_s| chance(late_s)).sum();
        let likeliest = || ways.iter().copied().max_by(|&a, &b| chance(a).total_cmp(&chance(b)));
        (all >= sure).then(likeliest)?
    }

    /// Brings the sum back to 1. A belief that lost all its weight (which finite rates do not allow) is left
    /// as it is.
    fn normalise(&mut self) {
        let sum = sum(&self.p);
        if sum > 0.0 && sum.is_finite() {
            let scale = 1.0 / sum;
            for p in &mut self.p {
                *p *= scale;
            }
        }
    }

    /// Σ over levels of probability times activity, for each guess and cell: what every rate is linear in.
    #[must_use]
    pub fn active(&self, model: &Model) -> Vec<f64> {
        self.over_levels(model, |level, p| level * p)
    }

    /// The probability of each guess and cell, whatever the activity.
    #[must_use]
    pub fn of_guesses(&self, model: &Model) -> Vec<f64> {
        self.over_levels(model, |_, p| p)
    }

    fn over_levels(&self, model: &Model, term: impl Fn(f64, f64) -> f64) -> Vec<f64> {
        let cells = model.cells();
        let mut sums = vec![0.0; model.guess_count() * cells];
        for (sums, p) in sums.chunks_exact_mut(cells).zip(self.p.chunks_exact(model.guess_size())) {
            for (p, &level) in p.chunks_exact(cells).zip(model.levels()) {
                for (sum, &p) in sums.iter_mut().zip(p) {
                    *sum += term(level, p);
                }
            }
        }
        sums
    }

    /// The probability of each cell, whatever the activity and the guess.
    #[must_use]
    pub fn depths(&self, model: &Model) -> Vec<f64> {
        let mut depths = vec![0.0; model.cells()];
        for p in self.p.chunks_exact(model.cells()) {
            for (depth, p) in depths.iter_mut().zip(p) {
                *depth += p;
            }
        }
        depths
    }

    /// The expected activity, relative to usual.
    #[must_use]
    pub fn activity(&self, model: &Model) -> f64 {
        self.active(model).chunks_exact(model.cells()).map(|active| active.iter().sum::<f64>()).sum()
    }
}

impl Witness for Belief {
    /// Moves on by `dt_s` seconds without evidence: drift, jumps, and change of activity.
    ///
    /// The stretch is cut in equal steps of at most `longest_step_s`, at most 90 of them. In each step, first
    /// the depth drifts to a neighbouring cell (reflected at surface and bottom), then jumps, each with the
    /// probability of `Model::drift` and `Water::jump`, then activity moves a level up or down with half of
    /// 1 − exp(−dt/T') each.
    fn predict(&mut self, model: &Model, dt_s: f64) {
        if dt_s <= 0.0 {
            return;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let steps =
            between((dt_s / model.settings().longest_step_s - 1e-9).ceil(), 1.0, MAX_STEPS as f64) as usize;
        let step_s = dt_s / steps as f64;
        for _ in 0..steps {
            self.step(model, step_s);
        }
    }

    /// Weighs by a stretch without a bite, from `from_s` to `to_s` after lowering rig `rig`.
    fn no_bite(&mut self, model: &Model, rig: usize, from_s: f64, to_s: f64) {
        if to_s <= from_s {
            return;
        }
        let settings = model.settings();
        let lowest = model.levels().first().copied().unwrap_or(1.0) / 60.0;
        let quiet = settings.background_per_min * (to_s - from_s);
        for (guess, p) in self.p.chunks_exact_mut(model.guess_size()).enumerate() {
            let mut weights = model.exposure_s(rig, guess, from_s, to_s);
            for weight in &mut weights {
                *weight = (-lowest * (quiet + settings.peak_per_min * *weight)).exp();
            }
            for p in p.chunks_exact_mut(model.cells()) {
                for (p, weight) in p.iter_mut().zip(&mut weights) {
                    *p *= *weight;
                    // The next level is twice as active: its weight is the square.
                    *weight *= *weight;
                }
            }
        }
        self.normalise();
    }

    /// Weighs by a bite to rig `rig`, which came when each guess has it.
    fn bite(&mut self, model: &Model, rig: usize, bite: &Bite) {
        let settings = model.settings();
        for (guess, p) in self.p.chunks_exact_mut(model.guess_size()).enumerate() {
            let (from_s, to_s) = model.window(guess, bite);
            let mean = model.bite_kernel(rig, guess, from_s, to_s);
            for (p, level) in p.chunks_exact_mut(model.cells()).zip(model.levels()) {
                for (p, mean) in p.iter_mut().zip(&mean) {
                    *p *= level * (settings.background_per_min + settings.peak_per_min * mean);
                }
            }
        }
        self.normalise();
    }
}

/// One step of the depth from `share` of `before`: its drift, the ends reflecting, then the jumps.
pub(in crate::session) fn drift_and_jump(
    after: &mut [f64],
    before: &[f64],
    share: f64,
    drift: f64,
    jump: f64,
    jump_to: &[f64],
) {
    let (stay, jumped) = (share * (1.0 - jump), share * jump * sum(before));
    let inner = after.iter_mut().skip(1).zip(jump_to.iter().skip(1));
    for ((cell, to), near) in inner.zip(before.windows(3)) {
        let drifted = near[1] + drift * (near[0] - 2.0 * near[1] + near[2]);
        *cell = stay * drifted + jumped * to;
    }
    // The ends reflect: what would leave stays.
    let last = before.len() - 1;
    for (end, beside) in [(0, 1), (last, last - 1)] {
        let drifted = before[end] + drift * (before[beside] - before[end]);
        after[end] = stay * drifted + jumped * jump_to[end];
    }
}

/// A level keeps 1 − 2·shift and gives shift to each neighbour; the end levels keep what would leave.
pub(in crate::session) fn shift_activity(guess: &mut [f64], cells: usize, shift: f64) {
    for level in 1..guess.len() / cells {
        // Exchange between neighbours, in one pass: with small shifts this is the tridiagonal step to first
        // order, and it keeps the sum exactly.
        let (lower, upper) = guess.split_at_mut(level * cells);
        let lower = &mut lower[(level - 1) * cells..];
        for (low, high) in lower.iter_mut().zip(upper.iter_mut()) {
            let flow = shift * (*low - *high);
            *low -= flow;
            *high += flow;
        }
    }
}

/// The sum, in four strands so that one addition need not wait for the one before.
pub(in crate::session) fn sum(values: &[f64]) -> f64 {
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

/// The sum of the products of two lists, in strands as [`sum`].
pub(in crate::session) fn sum_of_products(a: &[f64], b: &[f64]) -> f64 {
    let mut strands = [0.0; 4];
    let (fours_a, fours_b) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = fours_a.remainder().iter().zip(fours_b.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in fours_a.zip(fours_b) {
        for ((strand, a), b) in strands.iter_mut().zip(a).zip(b) {
            *strand += a * b;
        }
    }
    strands.iter().sum::<f64>() + rest
}
