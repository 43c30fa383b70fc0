//! From days to numbers: expectation and maximisation within a run of days, and how long the run is.

use super::MAX_WATERS;
use super::chain::{DayCounts, counts, score};
use super::depths::carried;
use super::record::{DayRecord, learning_settings};
use crate::session::depth_filter::{FilterSettings, Grid, Guess, Water};
use crate::small::sort_by_key;

/// How the learning weighs what it sees against what it takes for granted; all by judgement and trial.
#[derive(Clone, Debug)]
pub(super) struct LearnSettings {
    /// What the prior of where and how often fish move is worth, days. Default 0.5.
    prior_days: f64,
    /// What the prior of the band is worth, days. Default 1.
    band_days: f64,
    /// What the prior of the activity is worth, days. Default 5.
    activity_days: f64,
    /// Chance in the prior of the bands that are not among the usual guesses. Default 0.3.
    other_bands: f64,
    /// Moves that pull a block of the day towards the whole day. Default 6.
    pooling: f64,
    /// Blocks of the day. Default 6; the last lasts to the end of the day.
    blocks: usize,
    /// Length of a block, s. Default 3600.
    block_s: f64,
    /// By how much places are smoothed, one standard deviation, m. Default 0.1.
    smooth_m: f64,
    /// Chance that the water changes from one day to the next. Default 0.05.
    change: f64,
    /// Chance, before any day, that the course through the day matters. Default 0.3.
    course: f64,
    /// Runs of days that are followed besides the newest. Default 3. More cost time in proportion.
    runs: usize,
    /// Passes over the days of a run at the end. Default 4.
    passes: usize,
    /// Least and most chance that a day is a usual one after all. Default 0.1 and 0.5.
    pub(super) usual: (f64, f64),
}

impl Default for LearnSettings {
    fn default() -> Self {
        Self {
            prior_days: 0.5,
            band_days: 1.0,
            activity_days: 5.0,
            other_bands: 0.3,
            pooling: 6.0,
            blocks: 6,
            block_s: 3600.0,
            smooth_m: 0.1,
            change: 0.05,
            course: 0.3,
            runs: 3,
            passes: 4,
            usual: (0.1, 0.5),
        }
    }
}

/// A usual day, s: what a day of prior is worth.
const DAY_S: f64 = 18_000.0;
/// A run of less weight is not gone through again at the end.
const MIN_RUN_WEIGHT: f64 = 0.1;

/// What is common to all days of a water.
pub(super) struct Learner<'a> {
    days: &'a [DayRecord],
    settings: LearnSettings,
    /// The usual water with every band, on the grid of the common depth.
    usual: Water,
    pub(super) grid: Grid,
}

/// A run of days at one kind of water, from a day on.
#[derive(Clone, Debug)]
pub(super) struct Run {
    /// Its first day.
    start: usize,
    /// What each of its days said.
    counts: Vec<DayCounts>,
    /// Logarithm of the weight of this run without and with a course through the day.
    log_weight: [f64; 2],
}

/// What became of the days.
pub(super) struct Learnt {
    /// The runs that may go on, the likeliest first.
    runs: Vec<Run>,
    /// Logarithm of the chance of all days by the usual water, and by what was learned on the way.
    pub(super) usual: f64,
    pub(super) learned: f64,
}

impl Run {
    /// Logarithm of its weight.
    fn weight(&self) -> f64 {
        log_sum(self.log_weight.into_iter())
    }

    /// Whether the course through the day matters, as far as is known.
    fn has_course(&self) -> bool {
        self.log_weight[1] > self.log_weight[0]
    }
}

impl Learnt {
    /// The first day that counts.
    pub(super) fn start(&self) -> usize {
        self.runs.first().map_or(0, |run| run.start)
    }
}

/// Logarithm of the sum of numbers told by their logarithms.
fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if most.is_finite() { most + logs.map(|log| (log - most).exp()).sum::<f64>().ln() } else { most }
}

impl<'a> Learner<'a> {
    pub(super) fn new(days: &'a [DayRecord], settings: LearnSettings) -> Self {
        let mut depths: Vec<f64> = days.iter().map(|day| day.grid.water_depth_m).collect();
        sort_by_key(&mut depths, |depth_m| *depth_m);
        let water_depth_m = depths.get(depths.len() / 2).copied().unwrap_or(1.0);
        let filter = learning_settings(water_depth_m);
        let grid = Grid::new(&filter, water_depth_m);
        let mut usual = Water::usual(&filter, &grid);
        let known = FilterSettings::default().guesses.len();
        let more = usual.guesses.len() - known;
        for (at, (_, chance)) in usual.guesses.iter_mut().enumerate() {
            *chance = if at < known {
                (1.0 - settings.other_bands) / known as f64
            } else {
                settings.other_bands / more as f64
            };
        }
        Self { days, settings, usual, grid }
    }

    /// The usual water as a session without habits has it.
    fn default_water(&self) -> Water {
        let known = FilterSettings::default().guesses.len();
        let mut water = self.usual.clone();
        for (at, (_, chance)) in water.guesses.iter_mut().enumerate() {
            *chance = if at < known { 1.0 / known as f64 } else { 0.0 };
        }
        water
    }

    /// A water of the common grid at one day.
    pub(super) fn at_day(&self, water: &Water, day: &DayRecord) -> Water {
        let to = day.grid;
        let lay = |block: &Vec<f64>| carried(block, self.grid.water_depth_m, to.water_depth_m, to.cells);
        Water { jump_to: water.jump_to.iter().map(lay).collect(), ..water.clone() }
    }

    /// Goes through a day with a water of the common grid; places come back on that grid.
    fn counts(&self, day: &DayRecord, water: &Water) -> DayCounts {
        let mut counts = counts(day, &self.at_day(water, day), self.settings.blocks, false);
        for block in &mut counts.landings {
            *block = carried(block, day.grid.water_depth_m, self.grid.water_depth_m, self.grid.cells);
        }
        counts
    }

    /// The water that these days make likeliest with the prior: the maximisation.
    pub(super) fn water(&self, counts: &[DayCounts], course: bool) -> Water {
        let (s, usual) = (&self.settings, &self.usual);
        let prior_jumps = s.prior_days * DAY_S / usual.jump_every_s;
        let jumps: f64 = counts.iter().map(|day| day.jumps).sum();
        let time_s: f64 = counts.iter().map(|day| day.time_s).sum();
        // The start of a day says where fish go as well as a jump does.
        let landed = self.landed(counts);
        let mut whole: Vec<f64> =
            usual.jump_to_at(0.0).iter().map(|to| to * (prior_jumps + s.prior_days)).collect();
        for block in &landed {
            add(&mut whole, block, 1.0);
        }
        scale(&mut whole);
        let jump_to = if course {
            let pooled = |mut block: Vec<f64>| {
                add(&mut block, &whole, s.pooling);
                scale(&mut block);
                block
            };
            landed.into_iter().map(pooled).collect()
        } else {
            vec![whole]
        };
        let days = counts.len() as f64;
        let learned = |prior: f64, worth: f64, seen: f64| (worth * prior + seen) / (worth + days);
        let guess = |(at, &(guess, prior)): (usize, &(Guess, f64))| {
            let seen = counts.iter().filter_map(|day| day.guesses.get(at)).sum();
            (guess, learned(prior, s.band_days, seen))
        };
        let level = |(at, &prior): (usize, &f64)| {
            let seen = counts.iter().filter_map(|day| day.levels.get(at)).sum();
            learned(prior, s.activity_days, seen)
        };
        Water {
            weight: 1.0,
            jump_every_s: (s.prior_days * DAY_S + time_s) / (prior_jumps + jumps),
            jump_to,
            block_s: s.block_s,
            activity: usual.activity.iter().enumerate().map(level).collect(),
            guesses: usual.guesses.iter().enumerate().map(guess).collect(),
        }
    }

    /// For each block of the day, where the jumps of these days ended, smoothed.
    fn landed(&self, counts: &[DayCounts]) -> Vec<Vec<f64>> {
        let mut landed = vec![vec![0.0; self.grid.cells]; self.settings.blocks];
        for day in counts {
            for (sum, block) in landed.iter_mut().zip(&day.landings) {
                add(sum, block, 1.0);
            }
        }
        for block in &mut landed {
            smooth(block, self.settings.smooth_m / self.grid.cell_m);
        }
        landed
    }

    /// Goes through the days in order, each foretold by the runs before it.
    pub(super) fn learn(&self) -> Learnt {
        let s = &self.settings;
        let usual = self.default_water();
        let (mut runs, mut by_usual, mut by_learned): (Vec<Run>, f64, f64) = (Vec::new(), 0.0, 0.0);
        for (at, day) in self.days.iter().enumerate() {
            let usual_score = score(day, &self.at_day(&usual, day));
            by_usual += usual_score;
            let (before, change) = if runs.is_empty() { (0.0, 1.0_f64) } else { (all(&runs), s.change) };
            for run in &mut runs {
                for (course, weight) in run.log_weight.iter_mut().enumerate() {
                    let water = self.water(&run.counts, course == 1);
                    *weight += (1.0 - s.change).ln() + score(day, &self.at_day(&water, day));
                }
            }
            let fresh = before + change.ln() + usual_score;
            let log_weight = [fresh + (1.0 - s.course).ln(), fresh + s.course.ln()];
            runs.push(Run { start: at, counts: Vec::new(), log_weight });
            by_learned += all(&runs) - before;
            sort_by_key(&mut runs, |run| -run.weight());
            // The newest run is as yet the least likely: it is kept for what it may become.
            if let Some(newest) = runs.iter().position(|run| run.start == at).filter(|place| *place > s.runs)
            {
                runs.swap(newest, s.runs);
            }
            runs.truncate(s.runs + 1);
            for run in &mut runs {
                let water = self.water(&run.counts, false);
                run.counts.push(self.counts(day, &water));
            }
        }
        let sum = if runs.is_empty() { 0.0 } else { all(&runs) };
        let carried = runs.iter_mut().take(MAX_WATERS);
        for run in carried.filter(|run| (run.weight() - sum).exp() > MIN_RUN_WEIGHT) {
            self.go_through_again(run);
        }
        Learnt { runs, usual: by_usual, learned: by_learned }
    }

    /// Each day's counts are made anew from what all the others and its old ones say: half as many passes come as far as
    /// when a pass made all of them from one water.
    fn go_through_again(&self, run: &mut Run) {
        let course = run.has_course();
        for _ in 0..self.settings.passes {
            for (at, day) in self.days.iter().skip(run.start).enumerate() {
                let water = self.water(&run.counts, course);
                if let Some(counts) = run.counts.get_mut(at) {
                    *counts = self.counts(day, &water);
                }
            }
        }
    }

    /// The waters of the runs, with their weights, the likeliest first.
    pub(super) fn waters(&self, learnt: &Learnt) -> Vec<Water> {
        let sum = all(&learnt.runs);
        let mut waters: Vec<Water> = Vec::new();
        for run in &learnt.runs {
            for (course, weight) in run.log_weight.iter().enumerate() {
                let weight = (weight - sum).exp().min(1.0);
                waters.push(Water { weight, ..self.water(&run.counts, course == 1) });
            }
        }
        sort_by_key(&mut waters, |water| -water.weight);
        waters
    }
}

/// Logarithm of the weight of all runs.
fn all(runs: &[Run]) -> f64 {
    log_sum(runs.iter().flat_map(|run| run.log_weight))
}

/// Adds `times` as much of `more`.
fn add(sum: &mut [f64], more: &[f64], times: f64) {
    for (sum, more) in sum.iter_mut().zip(more) {
        *sum += times * more;
    }
}

/// Brings the sum to 1.
fn scale(shares: &mut [f64]) {
    let sum: f64 = shares.iter().sum();
    for share in shares {
        *share = (*share / sum).min(1.0);
    }
}

/// Smooths by so many cells (one standard deviation), reflected at both ends: the sum is kept.
fn smooth(shares: &mut [f64], by_cells: f64) {
    // Each pass of (1, 2, 1)/4 adds half a cell squared.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and not negative")]
    let passes = (2.0 * by_cells * by_cells).round().min(100.0) as usize;
    let mut before = shares.to_vec();
    for _ in 0..passes {
        before.copy_from_slice(shares);
        let last = shares.len() - 1;
        for (at, share) in shares.iter_mut().enumerate() {
            let (above, below) = (before[at.saturating_sub(1)], before[(at + 1).min(last)]);
            *share = 0.25 * above + 0.5 * before[at] + 0.25 * below;
        }
    }
}
