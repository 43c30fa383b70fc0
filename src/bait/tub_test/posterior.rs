//! The grid of a tub test: what is open before the first drop, what each drop says, and what is left open.
//!
//! Three quantities span it: E, the excess density of a typical piece, which may float; the spread between pieces; and u,
//! minus the logarithm of the time that the middle one of those that sink takes through the tub. Given E and the spread,
//! u fixes k, so that the prior of k is one of u; the drops speak of u for each E and spread. All curves are on even steps
//! of u and come by sums, without sampling.

use super::likelihood::{Curve, Pieces, Scale, Taps, floater_likelihood, smooth, wide};
use super::prior::{MIN_EXCESS, Node};
use super::speeds::{Speeds, ln_factor};
use super::steps::{ends, median, quantiles_of_steps};
use super::{MAX_SECONDS, TubSettings, TubTest};
use crate::bait::sink::StillWater;
use crate::estimate::Estimate;
use crate::units::between;
use core::f64::consts::LN_2;

/// Nodes in u, and with a single drop, which leaves more open.
const TIMES: usize = 32;
const TIMES_OF_ONE: usize = 96;
/// Nodes in spread, in standard deviations of its logarithm from its middle: close together where ten drops usually point,
/// and far down for pieces that are all alike.
const SPREADS: [f64; 11] = [-5.6, -4.2, -3.1, -2.3, -1.65, -1.05, -0.45, 0.15, 0.8, 1.55, 2.5];
/// Nobody times the one in three hundred that sinks.
const MIN_SINKING: f64 = 0.003;

/// One point of the grid that is left open.
pub(super) struct Cell {
    /// Its pieces.
    pub(super) pieces: Pieces,
    /// Logarithm of k.
    pub(super) ln_k: f64,
    /// Minus the logarithm of a typical piece's time through the tub; minus infinity where it floats.
    ln_rate: f64,
    /// Logarithm of the steady speed of the middle one of those that sink.
    ln_sinking: f64,
    pub(super) weight: f64,
}

/// What is left open after the drops, on the grid.
pub(super) struct Posterior<'a> {
    nodes: &'a [Node],
    spreads: [f64; SPREADS.len()],
    pub(super) cells: Vec<Cell>,
    by_excess: Vec<f64>,
    by_spread: [f64; SPREADS.len()],
    /// Of the logarithms of speed.
    step: f64,
    /// Places of the drops that fit no piece.
    pub(super) odd_drops: Vec<usize>,
    /// Spread between pieces as a standard deviation of the logarithm of speed.
    pub(super) spread_share: f64,
    /// All weight together.
    pub(super) total: f64,
}

/// What is the same for every kind of pieces.
struct Common<'a> {
    test: &'a TubTest,
    settings: &'a TubSettings,
    water: &'a StillWater,
    speeds: &'a Speeds,
    /// Logarithms of the drops' rates (1/s), and of those that never landed.
    y: Vec<f64>,
    unlanded: Vec<f64>,
    /// First u, step, number.
    times: (f64, f64, usize),
    scale: Scale,
    taps: Taps,
    shared: f64,
}

impl<'a> Posterior<'a> {
    pub(super) fn new(
        test: &TubTest,
        settings: &TubSettings,
        nodes: &'a [Node],
        water: &StillWater,
        speeds: &Speeds,
    ) -> Self {
        let common = Common::new(test, settings, nodes, water, speeds);
        let spreads = SPREADS.map(|z| settings.spread_kg_per_m3 * (settings.spread_ln_sd * z).exp());
        let mut out = Self {
            nodes,
            spreads,
            cells: Vec::new(),
            by_excess: vec![0.0; nodes.len()],
            by_spread: [0.0; SPREADS.len()],
            step: if test.drops.is_empty() { 0.0 } else { common.times.1 },
            odd_drops: Vec::new(),
            spread_share: 0.0,
            total: 0.0,
        };
        let (mut best, mut likeliest) = (0.0, None);
        for (r, node) in nodes.iter().enumerate() {
            for (k, &spread) in spreads.iter().enumerate() {
                let z = SPREADS[k];
                let width = SPREADS[(k + 1).min(SPREADS.len() - 1)] - SPREADS[k.saturating_sub(1)];
                let prior = node.weight * width * (-0.5 * z * z).exp();
                let from = out.cells.len();
                common.pieces(node, Pieces { excess: node.excess, spread }, prior, &mut out.cells);
                let sum: f64 = out.cells[from..].iter().map(|cell| cell.weight).sum();
                out.by_excess[r] += sum;
                out.by_spread[k] += sum;
                out.total += sum;
                if sum > best {
                    let top = out.cells[from..].iter().fold((0.0, 0.0), |top, cell| {
                        if cell.weight > top.0 { (cell.weight, cell.ln_k) } else { top }
                    });
                    (best, likeliest) = (sum, Some((out.cells[from].pieces, top.1)));
                }
            }
        }
        // Points that weigh next to nothing beside the heaviest only cost time from here on.
        let heaviest = out.cells.iter().map(|cell| cell.weight).fold(0.0, f64::max);
        out.cells.retain(|cell| cell.weight > 1e-4 * heaviest);
        if let Some((pieces, ln_k)) = likeliest {
            out.odd_drops = common.odd_drops(pieces, ln_k);
        }
        // Beyond its own excess a spread in density says no more: some of the pieces float.
        let square = |cell: &Cell| {
            let Pieces { excess, spread } = cell.pieces;
            if spread < excess { (speeds.exponent(excess) * spread / excess).powi(2) } else { 1.0 }
        };
        let squares: f64 = out.cells.iter().map(|cell| cell.weight * square(cell)).sum();
        out.spread_share = (squares / out.total).sqrt();
        out
    }

    /// 5th, 50th and 95th percentile of a function of the cells, which may be minus infinity.
    fn quantiles(&self, of: impl Fn(&Cell) -> f64) -> Estimate {
        let values: Vec<(f64, f64)> = self.cells.iter().map(|cell| (of(cell), cell.weight)).collect();
        weighted_quantiles(&values, self.step)
    }

    /// Percentiles of the logarithm of the speed at a target, of pieces at these places: standard deviations of density
    /// from the typical one.
    pub(super) fn ln_speed<const N: usize>(&self, places: [f64; N], speeds: &Speeds, shift: f64) -> Estimate {
        let mut values = Vec::with_capacity(N * self.cells.len());
        let mut of = (None, [0.0; N]);
        for cell in &self.cells {
            if of.0 != Some(cell.pieces) {
                let Pieces { excess, spread } = cell.pieces;
                of = (Some(cell.pieces), places.map(|z| speeds.ln_speed(excess + shift + z * spread)));
            }
            values.extend(of.1.map(|ln| (ln + cell.ln_k, cell.weight)));
        }
        weighted_quantiles(&values, self.step)
    }

    /// Minus the logarithm of a typical piece's time through the tub.
    pub(super) fn ln_rate(&self) -> Estimate {
        self.quantiles(|cell| cell.ln_rate)
    }

    /// Probability that a typical piece is lighter than the tub's water.
    pub(super) fn floating(&self) -> f64 {
        let sum = self.nodes.iter().zip(&self.by_excess).filter(|(node, _)| node.excess <= 0.0);
        // A sum of nearly all weights may pass the whole by a rounding.
        (sum.map(|(_, weight)| weight).sum::<f64>() / self.total).min(1.0)
    }

    /// Mean logarithm of the steady speed in the tub of the middle one of those that sink.
    pub(super) fn mean_ln_speed(&self) -> f64 {
        self.mean(|cell| cell.ln_sinking)
    }

    /// Variance of the logarithm of that speed.
    pub(super) fn variance(&self) -> f64 {
        let mean = self.mean_ln_speed();
        self.mean(|cell| (cell.ln_sinking - mean).powi(2))
    }

    fn mean(&self, of: impl Fn(&Cell) -> f64) -> f64 {
        self.cells.iter().map(|cell| cell.weight * of(cell)).sum::<f64>()
            / self.cells.iter().map(|cell| cell.weight).sum::<f64>()
    }

    pub(super) fn excess(&self) -> Estimate {
        let edges = self.nodes.iter().map(|node| (node.low, node.high));
        quantiles_of_steps(&edges.zip(self.by_excess.iter().copied()).collect::<Vec<_>>())
    }

    pub(super) fn spread(&self) -> Estimate {
        let ln = self.spreads.map(f64::ln);
        let between = |i: usize, j: usize| 0.5 * (ln[i] + ln[j.min(ln.len() - 1)]);
        let edges = (0..ln.len()).map(|k| (between(k.saturating_sub(1), k), between(k, k + 1)));
        quantiles_of_steps(&edges.zip(self.by_spread).collect::<Vec<_>>()).map(f64::exp)
    }
}

impl<'a> Common<'a> {
    fn new(
        test: &'a TubTest,
        settings: &'a TubSettings,
        nodes: &[Node],
        water: &'a StillWater,
        speeds: &'a Speeds,
    ) -> Self {
        let (mut y, mut unlanded, mut seconds) = (Vec::new(), Vec::new(), Vec::new());
        for drop in &test.drops {
            let took = drop.landed_s - drop.dropped_s;
            let place = -(took - settings.late_s).max(0.05).ln();
            (if took < MAX_SECONDS { &mut y } else { &mut unlanded }).push(place);
            seconds.push(took);
        }
        let middle_s = median(seconds).max(0.3);
        let depth = test.tub_depth_sd_m / test.tub_depth_m;
        let shared = depth.hypot(settings.late_sd_s / middle_s);
        let times = time_grid(test, nodes, speeds, &y, &unlanded, shared);
        let taps = Taps { sd: settings.tap_sd_s / middle_s, odd_share: settings.odd_share };
        Self { test, settings, water, speeds, y, unlanded, times, scale: speeds.scale(times.1), taps, shared }
    }

    /// Adds the cells of one kind of pieces.
    fn pieces(&self, node: &Node, pieces: Pieces, prior: f64, cells: &mut Vec<Cell>) {
        let sinking = pieces.sinking();
        // Where floaters were counted, such as sink were dropped; else whatever came to hand.
        let any = self.test.pieces == 0;
        let landed = if any { sinking.powf(self.y.len() as f64) } else { 1.0 };
        let prior = prior * landed * floater_likelihood(1.0 - sinking, self.test.pieces, self.test.light);
        let none = self.test.drops.is_empty();
        let afloat = sinking < MIN_SINKING;
        if prior <= 0.0 || (afloat && !self.y.is_empty()) {
            return;
        }
        // Without a drop no piece was chosen for sinking.
        let middle = if none || afloat { pieces.excess.max(0.5 * MIN_EXCESS) } else { pieces.middle() };
        let [ln_speed, slow, fast] = self.speeds.at(middle);
        // The doubt in k, with the width of the node beside it.
        let width = self.speeds.exponent(middle) * (node.high - node.low) / middle.max(node.high - node.low);
        let (slow, fast) = (slow.hypot(0.29 * width), fast.hypot(0.29 * width));
        let sd = |k: f64| if k < 0.0 { slow } else { fast };
        let typical = self.speeds.ln_speed(pieces.excess);
        let cell = |ln_k: f64, u: f64, weight: f64| Cell {
            pieces,
            ln_k,
            ln_rate: u + typical - ln_speed,
            ln_sinking: ln_speed + ln_k,
            weight,
        };
        let lag = LN_2 / self.water.acceleration_m_per_s2(middle);
        let depth = self.test.tub_depth_m;
        if none || afloat {
            // Half a standard deviation for each step of u, which others are on.
            let prior = if none { prior } else { prior * 0.5 / self.times.1 };
            for i in -6..=6 {
                let z = 0.5 * f64::from(i);
                let ln_k = z * sd(z);
                let v = (ln_speed + ln_k).exp();
                let u = -(depth / v + lag * v).ln();
                // Half of the probability lies on each side of the middle law.
                cells.push(cell(ln_k, u, prior * (-0.5 * z * z).exp()));
            }
            return;
        }
        let (first, step, count) = self.times;
        let factor = |u: f64| ln_factor(depth, (-u).exp(), lag, ln_speed);
        let far = |k: f64| k.abs() > 4.5 * sd(k);
        let last = first + step * (count - 1) as f64;
        let (Some((low, _)), high) = (factor(first), factor(last)) else { return };
        if high.is_some_and(|(high, _)| low * high > 0.0 && far(low) && far(high)) || (low > 0.0 && far(low))
        {
            return;
        }
        let mut likely = vec![1.0; count];
        if let Some((slowest, fastest)) = ends(&self.y) {
            let curve = Curve::new(
                pieces,
                ln_speed,
                &self.scale,
                (ln_speed + slowest - last, ln_speed + fastest - first),
                &self.taps,
            );
            for y in &self.y {
                curve.multiply(&mut likely, ln_speed + y - first, &self.scale);
            }
        }
        for y in &self.unlanded {
            for (i, cell) in likely.iter_mut().enumerate() {
                let z = y - first - step * i as f64;
                let slower = self.scale.slower(pieces, ln_speed + z, z, self.settings.odd_share);
                *cell *= if any { 1.0 - sinking + sinking * slower } else { slower };
            }
        }
        let likely = smooth(&likely, self.shared / step);
        let most = likely.iter().copied().fold(0.0, f64::max);
        for (i, likely) in likely.into_iter().enumerate().filter(|(_, likely)| *likely > 1e-6 * most) {
            let u = first + step * i as f64;
            let Some((ln_k, jacobian)) = factor(u) else { continue };
            let sd = sd(ln_k);
            let before = (-0.5 * (ln_k / sd).powi(2)).exp() / sd * jacobian;
            let weight = prior * before * likely;
            if weight > 0.0 {
                cells.push(cell(ln_k, u, weight));
            }
        }
    }

    /// Drops that the wide curve explains better than pieces of this kind.
    fn odd_drops(&self, pieces: Pieces, ln_k: f64) -> Vec<usize> {
        let Some((slowest, fastest)) = ends(&self.y) else { return Vec::new() };
        let ln_speed = self.speeds.at(pieces.middle())[0];
        let v = (ln_speed + ln_k).exp();
        let lag = LN_2 / self.water.acceleration_m_per_s2(pieces.middle());
        let u = -(self.test.tub_depth_m / v + lag * v).ln();
        let fitting = Taps { odd_share: 0.0, ..self.taps };
        let reach = (ln_speed + slowest - u, ln_speed + fastest - u);
        let curve = Curve::new(pieces, ln_speed, &self.scale, reach, &fitting);
        let odd_share = self.settings.odd_share;
        let odd = |drop: &super::Drop| {
            let took = drop.landed_s - drop.dropped_s;
            let z = -(took - self.settings.late_s).max(0.05).ln() - u;
            let mut fits = [1.0 - odd_share];
            curve.multiply(&mut fits, ln_speed + z, &self.scale);
            took < MAX_SECONDS && fits[0] < odd_share * wide(z)
        };
        self.test.drops.iter().enumerate().filter(|(_, drop)| odd(drop)).map(|(i, _)| i).collect()
    }
}

/// Where u may lie: around the drops' median, with few drops around the label's too, and far below where most drops never
/// landed. First, step and number.
fn time_grid(
    test: &TubTest,
    nodes: &[Node],
    speeds: &Speeds,
    y: &[f64],
    unlanded: &[f64],
    shared: f64,
) -> (f64, f64, usize) {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    if !y.is_empty() {
        let middle = median(y.to_vec());
        let apart = median(y.iter().map(|v| (v - middle).abs()).collect());
        let sd = (1.5 * apart).max(0.1);
        let reach = (6.0 * (1.25 * sd / (y.len() as f64).sqrt()).hypot(shared)).max(0.06);
        (low, high) = (middle - reach, middle + reach);
    }
    if y.len() + unlanded.len() <= 1 {
        let (mut total, mut sum) = (1e-300, 0.0);
        for node in nodes.iter().filter(|node| node.excess > 0.0) {
            total += node.weight;
            sum += node.weight * (speeds.ln_speed(node.excess) - test.tub_depth_m.ln());
        }
        let middle = sum / total;
        low = low.min(middle - 1.0);
        high = high.max(middle + 0.8);
    }
    if let Some((slow, _)) = ends(unlanded) {
        low = low.min(slow - if unlanded.len() > y.len() { 4.0 } else { 1.0 });
        high = high.max(slow + 1.5);
    }
    let count = if y.len() <= 1 || !unlanded.is_empty() { TIMES_OF_ONE } else { TIMES };
    (low, (high - low) / (count - 1) as f64, count)
}

/// 5th, 50th and 95th percentile of weighted values, by a histogram whose bins are `step` wide (at most 2000 of them) with the
/// weight spread evenly in each; minus infinity counts below all. Values that lie on a grid want its step, for in
/// narrower bins the percentiles would jump from one place of the grid to the next.
pub(super) fn weighted_quantiles(values: &[(f64, f64)], step: f64) -> Estimate {
    let total: f64 = values.iter().map(|v| v.1).sum();
    let below: f64 = values.iter().filter(|v| v.0 == f64::NEG_INFINITY).map(|v| v.1).sum();
    // Values without weight are left out of the range, so that the bins are narrow where the weight is.
    let seen = values.iter().filter(|v| v.0.is_finite() && v.1 > 1e-9 * total);
    let (low, high) = seen.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v.0), b.max(v.0)));
    let floor = |share: f64, value: f64| if share * total < below { f64::NEG_INFINITY } else { value };
    if low.is_nan() || high <= low {
        let only = if low.is_finite() { low } else { f64::NEG_INFINITY };
        return Estimate { low: floor(0.05, only), mid: floor(0.5, only), high: floor(0.95, only) };
    }
    let step = step.max((high - low) / 2000.0);
    let scale = 1.0 / step;
    let last = crate::bait::whole((high - low) * scale) as usize + 1;
    let mut bins = vec![0.0; last + 1];
    for &(value, weight) in values.iter().filter(|v| v.0.is_finite()) {
        let place = between((value - low) * scale, 0.0, last as f64);
        let index = (crate::bait::whole(place) as usize).min(last - 1);
        let part = place - index as f64;
        bins[index] += weight * (1.0 - part);
        bins[index + 1] += weight * part;
    }
    let at = |share: f64| {
        let wanted = share * total;
        let mut sum = below;
        for (i, weight) in bins.iter().enumerate() {
            if sum + weight >= wanted && *weight > 0.0 {
                return floor(share, low + (i as f64 - 0.5 + (wanted - sum) / weight) / scale);
            }
            sum += weight;
        }
        floor(share, high)
    };
    Estimate { low: at(0.05), mid: at(0.5), high: at(0.95) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speeds_between_nodes_are_within_four_in_a_thousand() {
        use crate::bait::shape::Shape;
        for shape in
            [Shape::Cube { edge_mm: 4.0 }, Shape::Cube { edge_mm: 10.0 }, Shape::Sphere { diameter_mm: 8.0 }]
        {
            let water = StillWater::new(shape, 10.0, 9.81);
            let speeds = Speeds::new(&water, 110.0);
            let off = |i| {
                let excess = 0.1 * 1.07_f64.powi(i);
                (speeds.ln_speed(excess) - water.law_speeds(excess).mid.ln()).abs()
            };
            let worst = (0..100).map(off).fold(0.0, f64::max);
            println!("{shape:?} {worst}");
            assert!(worst < 4e-3, "{shape:?} {worst}");
            // The scale is the same curve read the other way.
            let scale = speeds.scale(0.01);
            for (j, excess) in scale.edges.iter().enumerate().step_by(50) {
                let ln = scale.first + 0.01 * j as f64;
                assert!((speeds.ln_speed(*excess) - ln).abs() < 1e-9, "{excess}");
            }
        }
    }

    #[test]
    fn quantiles_of_even_weights_are_those_of_the_line() {
        let values: Vec<(f64, f64)> = (0..=10_000).map(|i| (f64::from(i) / 10_000.0, 1.0)).collect();
        let near = |band: Estimate, low: f64| {
            assert!(
                (band.low - low).abs() < 2e-3
                    && (band.mid - 0.5).abs() < 2e-3
                    && (band.high - 0.95).abs() < 2e-3,
                "{band:?}"
            );
        };
        near(weighted_quantiles(&values, 0.0), 0.05);
        // On a grid each value stands for its step: 21 of them from -0.025 to 1.025.
        let grid: Vec<_> = values.iter().step_by(500).copied().collect();
        assert!((weighted_quantiles(&grid, 0.05).low - (0.05 * 1.05 - 0.025)).abs() < 1e-9);
        near(quantiles_of_steps(&[((0.0, 0.4), 4.0), ((0.4, 1.0), 6.0)]), 0.05);
        let one = weighted_quantiles(&[(3.0, 2.0)], 0.1);
        assert_eq!((one.low, one.mid, one.high), (3.0, 3.0, 3.0));
        // The tenth that floats lies below all.
        let floating = weighted_quantiles(&[(f64::NEG_INFINITY, 1.0), (1.0, 4.5), (2.0, 4.5)], 0.01);
        assert!(floating.low.is_infinite());
        assert!((0.9..2.1).contains(&floating.mid));
    }
}
