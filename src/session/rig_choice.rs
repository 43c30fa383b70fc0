//! Whether another rig is worth picking up, weighed in bites.
//!
//! Swapping costs water time. It pays when the rig in the box is likely enough to be the better one for long
//! enough: about until the fish move again. Trying a rig also teaches something, whether a bite comes or not.
//! Both are counted: the value of each choice is the bites expected while it is tried for a short block, plus
//! the value of what is believed afterwards in either case, looked ahead a block or more. At the end of the
//! look ahead one rig is kept for a while (`reveal_s`), after which the fish are taken to be found.
//!
//! The advice holds (`Adviser::choose`): it is thought over after a bite, a fish, another rig, line or phase, or a
//! correction; otherwise it changes when another rig has been better, by more than a share of what the change costs, for
//! two casts, and goes when it is no longer worth what it costs. A feed never changes it.
//!
//! # Validity
//! As the model in [`super::depth_filter`]. Values are bites discounted over `horizon_s`, at the activity believed.
//!
//! # Source
//! Value iteration: Bellman 1957, "Dynamic Programming". The value of a state of belief bounded by that of
//! knowing the state (QMDP): Littman, Cassandra & Kaelbling 1995, "Learning policies for partially observable
//! environments", sect. 2 (from memory). The delayed revealing and the look ahead by blocks are our own.

use super::depth_filter::{Belief, Model, Witness};
use crate::units::between;

/// Tuning numbers of the choice.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(default)]
pub struct ChoiceSettings {
    /// Water time lost by picking up another rig, s. Default 40. Larger makes the advice stay longer.
    pub swap_s: f64,
    /// Time over which bites to come are counted, s (discounted by exp(−t/horizon)). Default 1500.
    pub horizon_s: f64,
    /// For how long a rig is kept after the look ahead before the fish are taken to be found, s. Default 150.
    /// Larger makes trying rigs worth more.
    pub reveal_s: f64,
    /// Length of one block of the look ahead, s. Default 120.
    pub block_s: f64,
    /// Blocks looked ahead. Default 1. Each multiplies the work by twice the number of rigs.
    pub blocks: usize,
    /// A swap is advised when it is worth this many bites more than staying. Default 0.05. Larger advises
    /// fewer swaps.
    pub begin_bites: f64,
    /// And worth this many times what it costs more, times the chance of a bite on the rig in hand within a minute, which would
    /// have the advice taken back. Default 3.
    pub begin_share: f64,
    /// And this many times what it costs besides, for a while after an advice to change was taken back. Default 2.
    pub again_share: f64,
    /// For how long, s. Default 300.
    pub again_s: f64,
    /// A swap once advised stays advised until it is worth less than this many bites more than staying.
    /// Default 0.
    pub keep_bites: f64,
}

impl Default for ChoiceSettings {
    fn default() -> Self {
        Self {
            swap_s: 40.0,
            horizon_s: 1500.0,
            reveal_s: 150.0,
            block_s: 120.0,
            blocks: 1,
            begin_bites: 0.05,
            begin_share: 3.0,
            again_share: 2.0,
            again_s: 300.0,
            keep_bites: 0.0,
        }
    }
}

/// Step of the value iteration, s.
const STEP_S: f64 = 20.0;

/// What does not change with evidence: for each rig, the worth of every fish depth.
#[derive(Clone, Debug)]
pub struct Planner {
    settings: ChoiceSettings,
    /// The cast length for which the kernels were averaged, s.
    cast_s: f64,
    /// The moment from which on the worths count, s since the all-in.
    since_s: f64,
    /// For each rig: bites per second at activity 1, over guesses and cells.
    rate: Vec<Vec<f64>>,
    /// For each rig: bites to come if it is kept in the water for now.
    stay: Vec<Vec<f64>>,
    /// For each rig: bites to come if it is picked up now.
    swap: Vec<Vec<f64>>,
}

impl Planner {
    /// Works out the worth of each rig for casts of `cast_s` seconds, from `since_s` seconds after the all-in on.
    #[must_use]
    pub fn new(settings: ChoiceSettings, model: &Model, cast_s: f64, since_s: f64) -> Self {
        let rate = rates_per_s(model, cast_s);
        let mut planner = Self { settings, cast_s, since_s, rate, stay: Vec::new(), swap: Vec::new() };
        planner.solve(model);
        planner
    }

    /// The cast length the worths were computed for, s.
    #[must_use]
    pub fn cast_s(&self) -> f64 {
        self.cast_s
    }

    /// For each rig: bites per second at activity 1, over guesses and cells.
    pub(super) fn rates(&self) -> &[Vec<f64>] {
        &self.rate
    }

    /// The moment the worths were computed for, s since the all-in.
    #[must_use]
    pub fn since_s(&self) -> f64 {
        self.since_s
    }

    fn discount(&self, dt_s: f64) -> f64 {
        (-dt_s / self.settings.horizon_s).exp()
    }

    /// Value when the fishes' depth is known from now on, then the worth of keeping a rig until that is so.
    fn solve(&mut self, model: &Model) {
        let swap_s = self.settings.swap_s;
        let (gamma, gamma_swap) = (self.discount(STEP_S), self.discount(swap_s));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let steps = |time_s: f64| between((time_s / STEP_S).round(), 0.0, 400.0) as usize;
        let mut value: Vec<Vec<f64>> = self.rate.iter().map(|rate| vec![0.0; rate.len()]).collect();
        for step in (0..steps(3.0 * self.settings.horizon_s)).rev() {
            let at_s = self.since_s + STEP_S * step as f64;
            let swapped: Vec<Vec<f64>> = value.iter().map(|value| back(model, value, at_s, swap_s)).collect();
            for (rate, value) in self.rate.iter().zip(&mut value) {
                let staying = back(model, value, at_s, STEP_S);
                for (cell, value) in value.iter_mut().enumerate() {
                    let best = swapped.iter().map(|swapped| swapped[cell]).fold(0.0, f64::max);
                    *value = (rate[cell] * STEP_S + gamma * staying[cell]).max(gamma_swap * best);
                }
            }
        }
        for (rate, value) in self.rate.iter().zip(value) {
            let mut stay = value;
            for _ in 0..steps(self.settings.reveal_s) {
                stay = back(model, &stay, self.since_s, STEP_S);
                for (stay, rate) in stay.iter_mut().zip(rate) {
                    *stay = rate * STEP_S + gamma * *stay;
                }
            }
            let swap =
                back(model, &stay, self.since_s, swap_s).iter().map(|value| gamma_swap * value).collect();
            self.stay.push(stay);
            self.swap.push(swap);
        }
    }

    /// For each rig, the bites to come when it is chosen now with rig `in_hand` in hand: staying for
    /// `in_hand`, a swap for the others.
    #[must_use]
    pub fn worths(&self, model: &Model, belief: &Belief, in_hand: usize) -> Vec<f64> {
        self.look(model, belief, in_hand, self.settings.blocks)
    }

    fn look(&self, model: &Model, belief: &Belief, in_hand: usize, blocks: usize) -> Vec<f64> {
        if blocks == 0 {
            let active = belief.active(model);
            return (0..self.rate.len())
                .map(|rig| {
                    let worth = if rig == in_hand { self.stay.get(rig) } else { self.swap.get(rig) };
                    worth.map_or(0.0, |worth| dot(worth, &active))
                })
                .collect();
        }
        let mut swapped = belief.clone();
        swapped.predict(model, self.settings.swap_s);
        let (stay, swap) = (self.block(model, belief.clone()), self.block(model, swapped));
        let choose = |rig: usize| {
            let (block, discount) =
                if rig == in_hand { (&stay, 1.0) } else { (&swap, self.discount(self.settings.swap_s)) };
            discount * self.try_block(model, block, rig, blocks)
        };
        (0..self.rate.len()).map(choose).collect()
    }

    /// A block that begins with a belief: how active the fish are at its start, and what is believed at its end if nothing is
    /// seen. It is the same for every rig.
    fn block(&self, model: &Model, mut belief: Belief) -> (Vec<f64>, Belief) {
        let active = belief.active(model);
        belief.predict(model, self.settings.block_s);
        (active, belief)
    }

    /// Bites to come when `rig` is in the water now for one block, then the best is done.
    fn try_block(&self, model: &Model, block: &(Vec<f64>, Belief), rig: usize, blocks: usize) -> f64 {
        let block_s = self.settings.block_s;
        let rate = &self.rate[rig];
        let now = dot(rate, &block.0) * block_s;
        let mut none = block.1.clone();
        // Weighed without bringing the sum back to 1: the value is linear in the weight, so that each outcome
        // counts by its chance. What is taken from `none` is what goes with at least one bite.
        let mut some = none.clone();
        let levels = model.levels();
        let cells = model.cells();
        for (block, (none, some)) in
            none.p.chunks_exact_mut(cells).zip(some.p.chunks_exact_mut(cells)).enumerate()
        {
            let guess = block / levels.len();
            let level = levels[block % levels.len()] * block_s;
            let rate = &rate[guess * cells..(guess + 1) * cells];
            for ((none, some), rate) in none.iter_mut().zip(some).zip(rate) {
                *none *= (-level * rate).exp();
                *some -= *none;
            }
        }
        let best = |belief: &Belief| {
            let worths = self.look(model, belief, rig, blocks - 1);
            worths.into_iter().fold(0.0, f64::max)
        };
        now + self.discount(block_s) * (best(&none) + best(&some))
    }

    /// The chance that the fish are where picking up `rig` is worth more than keeping `in_hand`.
    #[must_use]
    pub fn chance_swap_pays(&self, model: &Model, belief: &Belief, in_hand: usize, rig: usize) -> f64 {
        let (Some(stay), Some(swap)) = (self.stay.get(in_hand), self.swap.get(rig)) else { return 0.0 };
        let p = belief.of_guesses(model);
        p.iter().zip(stay.iter().zip(swap)).filter(|(_, (stay, swap))| swap > stay).map(|(p, _)| p).sum()
    }

    /// The chance that the fish are where keeping `in_hand` is worth at least as much as any swap.
    #[must_use]
    pub fn chance_stay_pays(&self, model: &Model, belief: &Belief, in_hand: usize) -> f64 {
        let Some(stay) = self.stay.get(in_hand) else { return 0.0 };
        let mut sum = 0.0;
        for (cell, p) in belief.of_guesses(model).iter().enumerate() {
            let mut others = self.swap.iter().enumerate().filter(|(rig, _)| *rig != in_hand);
            if others.all(|(_, swap)| swap[cell] <= stay[cell]) {
                sum += p;
            }
        }
        sum
    }
}

/// For each rig, its bites per second at activity 1 for each guess and cell, averaged over casts of `cast_s`
/// seconds, the fall included.
#[must_use]
pub fn rates_per_s(model: &Model, cast_s: f64) -> Vec<Vec<f64>> {
    let s = model.settings();
    let of_rig = |rig| {
        let exposures = (0..model.guess_count()).flat_map(|guess| model.exposure_s(rig, guess, 0.0, cast_s));
        exposures.map(|e| (s.background_per_min + s.peak_per_min * e / cast_s) / 60.0).collect()
    };
    (0..model.rig_count()).map(of_rig).collect()
}

/// The bites per minute expected with each rig in the water now; `rates` as from [`rates_per_s`].
#[must_use]
pub fn expected_per_min(model: &Model, belief: &Belief, rates: &[Vec<f64>]) -> Vec<f64> {
    let active = belief.active(model);
    rates.iter().map(|rate| 60.0 * dot(rate, &active)).collect()
}

/// The chance that each rig is the one with the most bites where the fish are; `rates` as from
/// [`rates_per_s`].
#[must_use]
pub fn chances_best(model: &Model, belief: &Belief, rates: &[Vec<f64>]) -> Vec<f64> {
    let mut chances = vec![0.0; rates.len()];
    for (cell, p) in belief.of_guesses(model).iter().enumerate() {
        let rate = |rig: usize| rates[rig].get(cell).copied().unwrap_or(0.0);
        let best = (0..rates.len()).max_by(|&a, &b| rate(a).total_cmp(&rate(b)));
        if let Some(chance) = best.and_then(|best| chances.get_mut(best)) {
            *chance += p;
        }
    }
    chances
}

/// The expected value `dt_s` after `at_s`, for each state then: the chain run backwards (drift is symmetric).
fn back(model: &Model, value: &[f64], at_s: f64, dt_s: f64) -> Vec<f64> {
    let mut out = Vec::with_capacity(value.len());
    for (guess, value) in value.chunks_exact(model.cells()).enumerate() {
        model.expect_after(guess, at_s, value, dt_s, &mut out);
    }
    out
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::depth_filter::{Bite, FilterSettings, Path};

    fn model() -> Model {
        let rigs = [0.4, 0.6, 1.9].map(|rest_m| Path { rest_m, sample_dt_s: 1.0, hook_z_m: Vec::new() });
        Model::new(FilterSettings::default(), 2.0, &rigs)
    }

    fn best(worths: &[f64]) -> usize {
        (0..worths.len()).max_by(|&a, &b| worths[a].total_cmp(&worths[b])).unwrap()
    }

    #[test]
    fn goes_where_the_bites_were() {
        let model = model();
        let planner = Planner::new(ChoiceSettings::default(), &model, 20.0, 0.0);
        for rig in 0..3 {
            let mut belief = Belief::prior(&model);
            for _ in 0..4 {
                belief.no_bite(&model, rig, 0.0, 20.0);
                belief.bite(&model, rig, &Bite::default());
            }
            for in_hand in 0..3 {
                assert_eq!(best(&planner.worths(&model, &belief, in_hand)), rig, "with {in_hand} in hand");
            }
            let rates = rates_per_s(&model, 20.0);
            assert_eq!(best(&chances_best(&model, &belief, &rates)), rig);
            assert_eq!(best(&expected_per_min(&model, &belief, &rates)), rig);
            assert!(planner.chance_stay_pays(&model, &belief, rig) > 0.7);
            let away = (rig + 1) % 3;
            assert!(planner.chance_swap_pays(&model, &belief, away, rig) > 0.5);
        }
    }

    #[test]
    fn a_dear_swap_is_not_made_for_little() {
        let model = model();
        let dear = ChoiceSettings { swap_s: 600.0, ..ChoiceSettings::default() };
        let planner = Planner::new(dear, &model, 20.0, 0.0);
        let belief = Belief::prior(&model);
        for in_hand in 0..2 {
            assert_eq!(best(&planner.worths(&model, &belief, in_hand)), in_hand);
        }
    }

    #[test]
    fn worths_are_bites_of_one_horizon() {
        let model = model();
        let settings = ChoiceSettings::default();
        // No more than the highest rate of the highest activity for the whole horizon.
        let most = 4.0 * 1.25 / 60.0 * settings.horizon_s;
        for blocks in 0..3 {
            let settings = ChoiceSettings { blocks, ..settings.clone() };
            let worths = Planner::new(settings, &model, 20.0, 0.0).worths(&model, &Belief::prior(&model), 0);
            assert!(worths.iter().all(|worth| *worth > 0.0 && *worth < most), "{worths:?}");
        }
    }
}
