//! A day gone through forwards and backwards: how well a water foretells it, and what it says of the water.

use super::record::{DayRecord, Minute, STEP_S};
use crate::session::depth_filter::{Water, drift, drift_and_jump, shift_activity, sum, sum_of_products};

/// What a day says of the water, each expected under the water it was gone through with.
#[derive(Clone, Debug, Default)]
pub(super) struct DayCounts {
    /// For each block of the day, how many jumps ended in each cell of the day's grid; the start of the day counts as
    /// one.
    pub(super) landings: Vec<Vec<f64>>,
    /// Jumps, the start not counted.
    pub(super) jumps: f64,
    /// How long the day was, s.
    pub(super) time_s: f64,
    /// Chance of each guess.
    pub(super) guesses: Vec<f64>,
    /// Chance of each level of activity at the start.
    pub(super) levels: Vec<f64>,
    /// For each block, how likely the fish were in each cell, summed over its minutes.
    pub(super) stay: Vec<Vec<f64>>,
}

/// One guess of the water that has a chance.
struct Lane {
    guess: usize,
    chance: f64,
}

/// A water at a day.
struct Chain<'a> {
    day: &'a DayRecord,
    water: &'a Water,
    lanes: Vec<Lane>,
    cells: usize,
    levels: usize,
    drift: f64,
    jump: f64,
    shift: f64,
}

impl<'a> Chain<'a> {
    fn new(day: &'a DayRecord, water: &'a Water) -> Self {
        let lanes = water.guesses.iter().enumerate().filter(|(_, (_, chance))| *chance > 1e-3);
        let settings = &day.settings;
        Self {
            day,
            water,
            lanes: lanes.map(|(guess, &(_, chance))| Lane { guess, chance }).collect(),
            cells: day.grid.cells,
            levels: water.activity.len(),
            drift: drift(settings, day.grid.cell_m, STEP_S),
            jump: water.jump(STEP_S),
            shift: 0.5 * (1.0 - (-STEP_S / settings.activity_every_s).exp()),
        }
    }

    /// The belief at the start of the day.
    fn start(&self) -> Vec<f64> {
        let jump_to = self.water.jump_to_at(0.0);
        let lane = |lane: &Lane| {
            let chance = lane.chance;
            self.water
                .activity
                .iter()
                .flat_map(move |level| jump_to.iter().map(move |to| to * level * chance))
        };
        self.lanes.iter().flat_map(lane).collect()
    }

    /// The belief after a step that begins `since_s` after the all-in, from `share` of the belief before it.
    fn step(&self, before: &[f64], share: f64, after: &mut [f64], since_s: f64) {
        let jump_to = self.water.jump_to_at(since_s);
        let lane = self.cells * self.levels;
        for (before, after) in before.chunks_exact(lane).zip(after.chunks_exact_mut(lane)) {
            for (before, after) in before.chunks_exact(self.cells).zip(after.chunks_exact_mut(self.cells)) {
                drift_and_jump(after, before, share, self.drift, self.jump, jump_to);
            }
            shift_activity(after, self.cells, self.shift);
        }
    }

    /// Weighs `share` of `p` by what a minute showed. The bites' levels, and what bites count alike in every state, are in.
    fn weigh(&self, p: &mut [f64], share: f64, minute: &Minute) {
        let mut weights = vec![0.0; self.cells];
        let middle = i32::try_from(self.levels / 2).unwrap_or(0);
        for (lane, p) in self.lanes.iter().zip(p.chunks_exact_mut(self.cells * self.levels)) {
            let cells = lane.guess * self.cells..(lane.guess + 1) * self.cells;
            weights.copy_from_slice(&minute.quiet[cells.clone()]);
            let rate = minute.rate.get(cells);
            for (level, p) in (-middle..).zip(p.chunks_exact_mut(self.cells)) {
                let bites = share * 2.0_f64.powi(level * minute.bites);
                match rate {
                    Some(rate) => {
                        for ((p, weight), rate) in p.iter_mut().zip(&mut weights).zip(rate) {
                            *p *= *weight * rate * bites;
                            // The next level is twice as active: its weight is the square.
                            *weight *= *weight;
                        }
                    }
                    None => {
                        for (p, weight) in p.iter_mut().zip(&mut weights) {
                            *p *= *weight * share;
                            *weight *= *weight;
                        }
                    }
                }
            }
        }
    }

    /// Goes forwards. Hands to `see`, for each minute, the belief before its step, and by what it must be multiplied to sum
    /// to 1; gives, for each minute, what its evidence was likely to be.
    fn forwards(&self, mut see: impl FnMut(&[f64], f64)) -> Vec<f64> {
        let mut p = self.start();
        let mut next = p.clone();
        let mut share = 1.0;
        let mut scales: Vec<f64> = Vec::with_capacity(self.day.minutes.len());
        for (at, minute) in self.day.minutes.iter().enumerate() {
            see(&p, share);
            self.step(&p, share, &mut next, STEP_S * at as f64);
            std::mem::swap(&mut p, &mut next);
            let mut scale = 1.0;
            if let Some(minute) = minute {
                self.weigh(&mut p, 1.0, minute);
                let total = sum(&p);
                if total > 0.0 && total.is_finite() {
                    scale = total;
                }
            }
            share = 1.0 / scale;
            scales.push(scale);
        }
        scales
    }

    /// Undoes [`Chain::step`] on what is expected afterwards, `after`, which it uses up: gives what was expected before.
    /// Where jumps of the step ended goes to `landings`, weighed by `mass`, the belief before the step for each lane and
    /// level.
    fn step_back(
        &self,
        after: &mut [f64],
        before: &mut [f64],
        since_s: f64,
        mass: &[f64],
        landings: &mut [f64],
    ) {
        let mut expected = vec![0.0; self.cells];
        let jump_to = self.water.jump_to_at(since_s);
        let stay = 1.0 - self.jump;
        let lane = self.cells * self.levels;
        let lanes = after.chunks_exact_mut(lane).zip(before.chunks_exact_mut(lane));
        for ((after, before), masses) in lanes.zip(mass.chunks_exact(self.levels)) {
            shift_back(after, self.cells, self.shift);
            let levels = after.chunks_exact(self.cells).zip(before.chunks_exact_mut(self.cells));
            for ((after, before), mass) in levels.zip(masses) {
                for (expected, after) in expected.iter_mut().zip(after) {
                    *expected += mass * after;
                }
                let jumped = self.jump * sum_of_products(jump_to, after);
                for (cell, near) in before.iter_mut().skip(1).zip(after.windows(3)) {
                    *cell = stay * (near[1] + self.drift * (near[0] - 2.0 * near[1] + near[2])) + jumped;
                }
                let last = self.cells - 1;
                for (end, beside) in [(0, 1), (last, last - 1)] {
                    before[end] = stay * (after[end] + self.drift * (after[beside] - after[end])) + jumped;
                }
            }
        }
        for ((landed, to), expected) in landings.iter_mut().zip(jump_to).zip(expected) {
            *landed += self.jump * to * expected;
        }
    }
}

/// The exchange of levels, run backwards: the same exchanges in the opposite order.
fn shift_back(lane: &mut [f64], cells: usize, shift: f64) {
    for level in (1..lane.len() / cells).rev() {
        let (lower, upper) = lane.split_at_mut(level * cells);
        let lower = &mut lower[(level - 1) * cells..];
        for (low, high) in lower.iter_mut().zip(upper.iter_mut()) {
            let flow = shift * (*low - *high);
            *low -= flow;
            *high += flow;
        }
    }
}

/// How well the water foretells the day: the logarithm of the chance of its evidence, up to what is the same for every
/// water.
pub(super) fn score(day: &DayRecord, water: &Water) -> f64 {
    Chain::new(day, water).forwards(|_, _| ()).iter().map(|scale| scale.ln()).sum()
}

/// What the day says of the water, the day being cut in `blocks` blocks; where the fish stayed only if `stay`.
pub(super) fn counts(day: &DayRecord, water: &Water, blocks: usize, stay: bool) -> DayCounts {
    let chain = Chain::new(day, water);
    let (cells, levels) = (chain.cells, chain.levels);
    let mut masses: Vec<f64> = Vec::new();
    let mut beliefs: Vec<f64> = Vec::new();
    let scales = chain.forwards(|p, share| {
        masses.extend(p.chunks_exact(cells).map(|p| share * sum(p)));
        if stay {
            beliefs.extend(p.iter().map(|p| share * p));
        }
    });
    let start = chain.start();
    let mut counts = DayCounts {
        landings: vec![vec![0.0; cells]; blocks],
        time_s: STEP_S * day.minutes.len() as f64,
        guesses: vec![0.0; water.guesses.len()],
        levels: vec![0.0; levels],
        stay: vec![vec![0.0; cells]; if stay { blocks } else { 0 }],
        ..DayCounts::default()
    };
    let mut after = vec![1.0; start.len()];
    let mut before = after.clone();
    let lanes = start.len() / cells;
    for (at, minute) in day.minutes.iter().enumerate().rev() {
        if let Some(minute) = minute {
            chain.weigh(&mut after, 1.0 / scales.get(at).copied().unwrap_or(1.0), minute);
        }
        let since_s = STEP_S * at as f64;
        let block = block_of(since_s, water.block_s, blocks);
        let mass = &masses[at * lanes..(at + 1) * lanes];
        if let Some(landings) = counts.landings.get_mut(block) {
            chain.step_back(&mut after, &mut before, since_s, mass, landings);
            std::mem::swap(&mut after, &mut before);
        }
        if let (true, Some(stay)) = (stay, counts.stay.get_mut(block)) {
            let belief = &beliefs[at * start.len()..(at + 1) * start.len()];
            for (p, after) in belief.chunks_exact(cells).zip(after.chunks_exact(cells)) {
                for ((stay, p), after) in stay.iter_mut().zip(p).zip(after) {
                    *stay += p * after;
                }
            }
        }
    }
    counts.jumps = counts.landings.iter().flatten().sum();
    for (at, (start, after)) in start.chunks_exact(cells).zip(after.chunks_exact(cells)).enumerate() {
        let here: f64 = start.iter().zip(after).map(|(start, after)| start * after).sum();
        counts.guesses[chain.lanes[at / levels].guess] += here;
        counts.levels[at % levels] += here;
        if let Some(first) = counts.landings.first_mut() {
            for ((landed, start), after) in first.iter_mut().zip(start).zip(after) {
                *landed += start * after;
            }
        }
    }
    counts
}

/// The block of a moment.
pub(super) fn block_of(since_s: f64, block_s: f64, blocks: usize) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative; saturates")]
    let block = (since_s / block_s).max(0.0) as usize;
    block.min(blocks.saturating_sub(1))
}
