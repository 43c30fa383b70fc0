//! The search: every set that the box allows, and of those the ones that no other beats.

use super::request::{BalanceRequest, TIES_KEPT};
use super::weights::NG_PER_TENTH_MG;
use crate::physics::water::weight_in_water_ng;

/// A size as the search sees it.
#[derive(Clone, Copy)]
pub(super) struct Size {
    pub(super) index: usize,
    pub(super) weight: i64,
    /// The least and the most of it in a set that uses it.
    pub(super) least: u32,
    pub(super) most: u32,
    pub(super) fixed: u32,
}

/// A set as the search finds it: counts beside `SetSearch::sizes`.
#[derive(Clone)]
pub(super) struct FoundSet {
    pub(super) counts: Vec<u32>,
    pub(super) remainder: i64,
    pub(super) equals: u32,
}

impl FoundSet {
    pub(super) fn distance(&self) -> u64 {
        self.remainder.unsigned_abs()
    }
}

/// The best sets of one number of sizes and one number of shots.
#[derive(Clone, Default)]
struct Cell {
    sets: Vec<FoundSet>,
    equals: u32,
}

/// The exhaustive search over whole numbers.
pub(super) struct SetSearch {
    /// Sizes that are in the box, heaviest in water first.
    pub(super) sizes: Vec<Size>,
    wanted: i64,
    /// A set may be heavier than wanted by so much (else the float goes under), and lighter by so much.
    over: i64,
    under: i64,
    max_sizes: usize,
    max_shots: usize,
    /// Whether counts below the nearest are tried too (fewer shots, farther off).
    walk: bool,
    /// Distance in the best set of at most so many sizes and at most so many shots: row per size number.
    best: Vec<i64>,
    cells: Vec<Cell>,
    /// The choice of sizes being searched and its counts.
    chosen: Vec<usize>,
    counts: Vec<u32>,
}

/// Rounds up a division by a positive number.
fn ceil_div(a: i64, b: i64) -> i64 {
    a.div_euclid(b) + i64::from(a.rem_euclid(b) != 0)
}

impl SetSearch {
    pub(super) fn new(request: &BalanceRequest, water: f64, wanted: i64, over: i64) -> Self {
        let mut sizes: Vec<Size> = Vec::with_capacity(request.shot_box.len());
        for (index, shot) in request.shot_box.iter().enumerate() {
            if shot.count > 0 {
                let mass_ng = f64::from(shot.mass_tenth_mg.0) * NG_PER_TENTH_MG;
                let weight = weight_in_water_ng(mass_ng, shot.density_kg_per_m3, water).max(1);
                let least = shot.fixed.max(1);
                let most = shot.count.min(request.max_shots);
                sizes.push(Size { index, weight, least, most, fixed: shot.fixed });
            }
        }
        crate::small::sort_by_key(&mut sizes, |size| (core::cmp::Reverse(size.weight), size.index));
        let max_sizes = request.max_sizes as usize;
        let max_shots = request.max_shots as usize;
        let cells = (max_sizes + 1) * (max_shots + 1);
        Self {
            sizes,
            wanted,
            over,
            under: 0,
            max_sizes,
            max_shots,
            walk: true,
            best: vec![i64::MAX; cells],
            cells: vec![Cell::default(); cells],
            chosen: Vec::new(),
            counts: Vec::new(),
        }
    }

    pub(super) fn clear(&mut self) {
        self.best.fill(i64::MAX);
        self.cells.fill(Cell::default());
    }

    /// Searches every choice of sizes, fewest first, for sets at most `under` lighter than wanted.
    pub(super) fn run(&mut self, under: i64, walk: bool) {
        self.under = under;
        self.walk = walk;
        let needed = self.sizes.iter().filter(|size| size.fixed > 0).count();
        for choose in needed..=self.max_sizes.min(self.sizes.len()) {
            self.choose(0, choose);
        }
    }

    /// Completes the choice with `left` more sizes from `start` on; every fixed size has to be in it.
    fn choose(&mut self, start: usize, left: usize) {
        if left == 0 {
            if self.sizes.iter().skip(start).all(|size| size.fixed == 0) {
                self.solve();
            }
            return;
        }
        for i in start..=self.sizes.len().saturating_sub(left) {
            self.chosen.push(i);
            self.choose(i + 1, left - 1);
            self.chosen.pop();
            if self.sizes.get(i).is_none_or(|size| size.fixed > 0) {
                break;
            }
        }
    }

    /// The chosen size at this place of the choice: its weight and how many more than its least it allows.
    fn size(&self, level: usize) -> Option<(i64, i64)> {
        let size = self.sizes.get(*self.chosen.get(level)?)?;
        Some((size.weight, i64::from(size.most) - i64::from(size.least)))
    }

    /// Searches all counts of the chosen sizes.
    fn solve(&mut self) {
        let (mut rest, mut used) = (self.wanted, 0);
        self.counts.clear();
        for &i in &self.chosen {
            if let Some(size) = self.sizes.get(i) {
                rest -= size.weight * i64::from(size.least);
                used += size.least as usize;
                self.counts.push(0);
            }
        }
        if used <= self.max_shots && rest >= -self.over {
            self.descend(0, rest, used);
        }
    }

    /// Shots that are left when so many are used.
    fn left(&self, used: usize) -> i64 {
        i64::try_from(self.max_shots.saturating_sub(used)).unwrap_or(0)
    }

    /// Runs through the counts of the size at this place and hands the remainder down.
    fn descend(&mut self, level: usize, rest: i64, used: usize) {
        let left = self.left(used);
        let Some((weight, most)) = self.size(level) else {
            self.consider(rest, used);
            return;
        };
        let most = most.min(left);
        let Some((next_weight, next_most)) = self.size(level + 1) else {
            self.last(level, weight, most, rest, used);
            return;
        };
        let high = most.min((rest + self.over).div_euclid(weight));
        // What is left has to be reachable with the lighter sizes: by shots left, and by shots in the box if one is left.
        let short = rest - self.under;
        let mut low = 0;
        if weight > next_weight {
            low = ceil_div(short - left * next_weight, weight - next_weight).max(low);
        } else if short > left * weight {
            return;
        }
        if self.chosen.len() == level + 2 {
            low = ceil_div(short - next_most.min(left) * next_weight, weight).max(low);
            self.pair(level, [weight, next_weight], next_most, [low, high], rest, used);
            return;
        }
        for count in low..=high {
            self.set_count(level, count);
            self.descend(level + 1, rest - count * weight, used + as_index(count));
        }
    }

    /// The last two sizes of a choice of three or more, or both of two: as `descend` and `last`, but the remainder is
    /// carried from one count to the next instead of divided anew.
    fn pair(
        &mut self,
        level: usize,
        [heavy, light]: [i64; 2],
        light_most: i64,
        [low, high]: [i64; 2],
        rest: i64,
        used: usize,
    ) {
        if low > high {
            return;
        }
        let (step_count, step_rest) = (heavy.div_euclid(light), heavy.rem_euclid(light));
        let start = rest - low * heavy;
        let (mut count, mut over) = (start.div_euclid(light), start.rem_euclid(light));
        let left = self.left(used);
        // The bound that a set has to meet is loosest with the fewest shots that can still be light enough.
        let steps = if self.walk { self.under / light + 1 } else { 0 };
        for heavy_count in low..=high {
            let most = light_most.min(left - heavy_count);
            let near = if count < 0 { -count * light - over } else { over.min(light - over) };
            let loosest = self.bound(used + as_index(heavy_count) + as_index(count - steps));
            if near <= loosest || count > most {
                self.set_count(level, heavy_count);
                let used = used + as_index(heavy_count);
                self.around(level + 1, light, most, [count, over], used);
            }
            count -= step_count;
            over -= step_rest;
            if over < 0 {
                over += light;
                count -= 1;
            }
        }
    }

    /// Finds the counts of the last size from the remainder.
    fn last(&mut self, level: usize, weight: i64, most: i64, rest: i64, used: usize) {
        self.around(level, weight, most, [rest.div_euclid(weight), rest.rem_euclid(weight)], used);
    }

    /// Considers the counts around the one that leaves a remainder just not below nothing.
    fn around(&mut self, level: usize, weight: i64, most: i64, [count, over]: [i64; 2], used: usize) {
        // One more, or none when all is too heavy already: heavier than wanted. Any further is beaten by it.
        let heavier = (count + 1).max(0);
        let remainder = over + (count - heavier) * weight;
        if heavier <= most && remainder >= -self.over && (over > 0 || count < 0) {
            self.offer(level, heavier, remainder, used);
        }
        let mut at = count.min(most);
        let mut remainder = over + (count - at) * weight;
        while at >= 0 && remainder <= self.under {
            self.offer(level, at, remainder, used);
            if !self.walk {
                break;
            }
            at -= 1;
            remainder += weight;
        }
    }

    /// Offers one set, given by the last count; most are turned down here.
    fn offer(&mut self, level: usize, count: i64, remainder: i64, used: usize) {
        let shots = used + as_index(count);
        if remainder.abs() <= self.bound(shots) {
            self.set_count(level, count);
            self.consider(remainder, shots);
        }
    }

    fn set_count(&mut self, level: usize, count: i64) {
        if let Some(slot) = self.counts.get_mut(level) {
            *slot = u32::try_from(count).unwrap_or(0);
        }
    }

    /// The distance that a set of the chosen sizes and so many shots must not exceed.
    fn bound(&self, shots: usize) -> i64 {
        self.best.get(self.chosen.len() * (self.max_shots + 1) + shots).copied().unwrap_or(-1)
    }

    /// Takes a set if nothing beats it so far.
    #[cold]
    fn consider(&mut self, remainder: i64, shots: usize) {
        let (row, distance) = (self.max_shots + 1, remainder.abs());
        if remainder > self.under || -remainder > self.over || distance > self.bound(shots) {
            return;
        }
        let mut counts = vec![0; self.sizes.len()];
        for (&i, &count) in self.chosen.iter().zip(&self.counts) {
            if let (Some(slot), Some(size)) = (counts.get_mut(i), self.sizes.get(i)) {
                *slot = count + size.least;
            }
        }
        let Some(cell) = self.cells.get_mut(self.chosen.len() * row + shots) else { return };
        if cell.sets.first().is_some_and(|set| set.remainder.abs() > distance) {
            *cell = Cell::default();
        }
        cell.equals = cell.equals.saturating_add(1);
        cell.sets.push(FoundSet { counts, remainder, equals: 1 });
        crate::small::sort_by(&mut cell.sets, |a, b| {
            b.remainder.cmp(&a.remainder).then_with(|| b.counts.cmp(&a.counts)).is_lt()
        });
        cell.sets.truncate(TIES_KEPT);
        for line in self.best.chunks_mut(row).skip(self.chosen.len()) {
            for best in line.iter_mut().skip(shots) {
                *best = distance.min(*best);
            }
        }
    }

    /// The sets that no other beats.
    pub(super) fn front(&self) -> Vec<FoundSet> {
        let row = self.max_shots + 1;
        let mut front = Vec::new();
        for (i, cell) in self.cells.iter().enumerate() {
            let Some(first) = cell.sets.first() else { continue };
            let of = |j: Option<usize>| j.and_then(|j| self.best.get(j)).copied().unwrap_or(i64::MAX);
            let fewer_sizes = of(i.checked_sub(row));
            let fewer_shots = if i % row == 0 { i64::MAX } else { of(i.checked_sub(1)) };
            let distance = first.remainder.abs();
            if distance < fewer_sizes && distance < fewer_shots {
                front.extend(cell.sets.iter().map(|set| FoundSet { equals: cell.equals, ..set.clone() }));
            }
        }
        front
    }
}

/// A count, which is never below nothing, as an index.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "counts are from 0 to 60")]
fn as_index(count: i64) -> usize {
    count.max(0) as usize
}
