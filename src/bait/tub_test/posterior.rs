//! The grid of a tub test: what is open before the first drop, what each drop says, and what is left open.
//!
//! Three quantities span it: u, minus the logarithm of the time a typical piece takes through the tub; E, its excess
//! density; and the spread of ln speed between pieces. Given E, u fixes k, so that the prior of (E, k) is one of (E, u);
//! the drops speak of u and the spread alone. All curves are on even steps of u and come by sums, without sampling.

use super::likelihood::{SPREADS, TIMES, fitting, floater_likelihood, likelihood, smooth, wide};
use super::{TubSettings, TubTest};
use crate::bait::sink::StillWater;
use crate::estimate::{Estimate, Z90};
use crate::units::between;
use core::f64::consts::LN_2;

/// Nodes in excess density.
const EXCESSES: usize = 32;
/// The lightest typical piece that is considered, kg/m3: those below it are not timed.
pub(super) const MIN_EXCESS: f64 = 1.0;
/// The least standard deviation that is believed of a density before the first drop, kg/m3.
pub(super) const MIN_SD: f64 = 2.0;

/// One value of the excess density, with all that depends on it alone.
pub(super) struct Node {
    pub(super) excess: f64,
    /// Prior weight: density times the width of the node.
    weight: f64,
    /// Logarithm of the speed by the middle law, m/s.
    ln_speed: f64,
    /// Standard deviation of ln k below and above 0.
    ln_k_sd: (f64, f64),
    /// First acceleration, m/s2.
    acceleration: f64,
    /// d ln speed / d ln excess.
    exponent: f64,
}

/// Excess densities around the label's, close together in the middle and far apart at the ends.
pub(super) fn excess_nodes(expected: f64, sd: f64, tub: &StillWater, settings: &TubSettings) -> Vec<Node> {
    let normal = |sd: f64, x: f64| (-0.5 * (x / sd) * (x / sd)).exp() / sd;
    let step = 7.2 / (EXCESSES - 1) as f64;
    // What was timed has sunk: around a label that says it floats, the nodes start at the water's own density.
    let middle = expected.max(0.0);
    let places: Vec<(f64, f64)> = (0..EXCESSES)
        .map(|i| -3.6 + step * i as f64)
        .map(|z| (middle + sd / 1.2 * z.sinh(), z.cosh()))
        .filter(|&(excess, _)| excess >= MIN_EXCESS)
        .collect();
    let laws = interpolated(places.iter().map(|p| p.0), |excess| {
        let laws = tub.law_speeds(excess);
        let drag = tub.drag_factors(laws);
        [laws.mid.ln(), -drag.low.ln() / Z90, drag.high.ln() / Z90]
    });
    let mut nodes: Vec<Node> = places
        .iter()
        .zip(laws)
        .map(|(&(excess, width), [ln_speed, slow, fast])| {
            let off = excess - expected;
            let density = (1.0 - settings.wrong_label_share) * normal(sd, off)
                + settings.wrong_label_share * normal(settings.wrong_label_sd_kg_per_m3.max(sd), off);
            Node {
                excess,
                weight: density * width,
                ln_speed,
                ln_k_sd: (slow, fast),
                acceleration: tub.acceleration_m_per_s2(excess),
                exponent: 0.5,
            }
        })
        .collect();
    // From 1/2 (constant drag coefficient) to 1 (Stokes), by differences between neighbours.
    for i in 0..nodes.len() {
        let (a, b) = (&nodes[i.saturating_sub(1)], &nodes[(i + 1).min(nodes.len() - 1)]);
        let exponent = (b.ln_speed - a.ln_speed) / (b.excess / a.excess).ln();
        nodes[i].exponent = if exponent.is_finite() { between(exponent, 0.4, 1.0) } else { 0.5 };
    }
    nodes
}

/// `of` at rising places: worked out where the last one worked out is a factor of 1.2 or more away (and at the ends),
/// and in straight lines of the logarithm of the place between. Speeds of the laws come out within 0.3 %.
pub(super) fn interpolated<const N: usize>(
    places: impl ExactSizeIterator<Item = f64>,
    of: impl Fn(f64) -> [f64; N],
) -> Vec<[f64; N]> {
    let mut out: Vec<[f64; N]> = Vec::with_capacity(places.len());
    let mut waiting: Vec<f64> = Vec::with_capacity(places.len());
    let mut last: Option<(f64, [f64; N])> = None;
    let end = places.len().saturating_sub(1);
    for (i, place) in places.enumerate() {
        let Some((from, before)) = last else {
            let value = of(place);
            last = Some((place, value));
            out.push(value);
            continue;
        };
        if i < end && place < 1.2 * from {
            waiting.push(place);
            continue;
        }
        let value = of(place);
        for between in waiting.drain(..) {
            let part = (between / from).ln() / (place / from).ln();
            out.push(core::array::from_fn(|n| before[n] + part * (value[n] - before[n])));
        }
        out.push(value);
        last = Some((place, value));
    }
    out
}

/// What is left open after the drops, on the grid.
pub(super) struct Posterior<'a> {
    pub(super) nodes: &'a [Node],
    /// u: minus the logarithm of the tub's typical time, 1/s.
    times: Vec<f64>,
    /// Weight of (node, u), node by node.
    weights: Vec<f64>,
    /// ln k of (node, u), node by node.
    pub(super) ln_k: Vec<f64>,
    /// Spread of ln speed at each spread node, and the weight of (node, spread).
    spreads: [f64; SPREADS],
    spread_weights: Vec<f64>,
    pub(super) spread_share: f64,
    /// d ln speed / d ln excess in the middle.
    pub(super) exponent: f64,
    /// Mean logarithm of a typical piece's steady speed in the tub.
    pub(super) mean_ln_speed: f64,
    /// All weight together.
    pub(super) total: f64,
}

impl<'a> Posterior<'a> {
    pub(super) fn new(test: &TubTest, settings: &TubSettings, nodes: &'a [Node], times_s: &[f64]) -> Self {
        let spreads: [f64; SPREADS] =
            core::array::from_fn(|k| 0.015 * (0.5_f64 / 0.015).powf(k as f64 / (SPREADS - 1) as f64));
        let y: Vec<f64> = times_s.iter().map(|t| -t.ln()).collect();
        let exponent = nodes.get(nodes.len() / 2).map_or(0.5, |node| node.exponent);
        let shared = shared_sd(test, settings, times_s);
        let times = time_grid(test, nodes, &y, shared);
        let likelihood =
            smooth(&likelihood(&times, &spreads, &y, times_s, exponent, settings), &times, shared);

        // How light a piece must be to float, in spreads: 1/spread of ln excess = exponent/spread of ln speed.
        let floats: [f64; SPREADS] =
            core::array::from_fn(|k| floater_likelihood(exponent / spreads[k], test.pieces, test.light));
        let seconds: Vec<f64> = times.iter().map(|u| (-u).exp()).collect();

        let mut weights = vec![0.0; nodes.len() * TIMES];
        let mut ln_k = vec![0.0; nodes.len() * TIMES];
        let mut spread_weights = vec![0.0; nodes.len() * SPREADS];
        let mut ln_speed = 0.0;
        for (r, node) in nodes.iter().enumerate() {
            let prior: [f64; SPREADS] = core::array::from_fn(|k| {
                let kg_per_m3 = spreads[k] * node.excess / node.exponent;
                let z = (kg_per_m3 / settings.spread_kg_per_m3).ln() / settings.spread_ln_sd;
                (-0.5 * z * z).exp() * floats[k]
            });
            for (u, &time_s) in seconds.iter().enumerate() {
                let Some((ln, jacobian)) = ln_factor(test.tub_depth_m, time_s, node) else {
                    continue;
                };
                let sd = if ln < 0.0 { node.ln_k_sd.0 } else { node.ln_k_sd.1 };
                let before = node.weight * (-0.5 * (ln / sd) * (ln / sd)).exp() / sd * jacobian;
                let row = &likelihood[u];
                let mut sum = 0.0;
                for ((likely, prior), spread) in
                    row.iter().zip(&prior).zip(&mut spread_weights[r * SPREADS..(r + 1) * SPREADS])
                {
                    let w = likely * prior;
                    sum += w;
                    *spread += before * w;
                }
                weights[r * TIMES + u] = before * sum;
                ln_speed += before * sum * (ln + node.ln_speed);
                ln_k[r * TIMES + u] = ln;
            }
        }
        let total: f64 = spread_weights.iter().sum();
        let square: f64 = spread_weights
            .chunks(SPREADS)
            .map(|row| row.iter().zip(&spreads).map(|(w, s)| w * s * s).sum::<f64>())
            .sum();
        let spread_share = if total > 0.0 { (square / total).sqrt() } else { 0.0 };
        Self {
            nodes,
            times,
            weights,
            ln_k,
            spreads,
            spread_weights,
            spread_share,
            exponent,
            mean_ln_speed: ln_speed / total,
            total,
        }
    }

    /// 5th, 50th and 95th percentile of a function of (node, u).
    pub(super) fn quantiles(&self, of: impl Fn(usize, usize) -> f64) -> Estimate {
        let mut values = Vec::with_capacity(self.weights.len());
        for r in 0..self.nodes.len() {
            for u in 0..TIMES {
                let w = self.weights[r * TIMES + u];
                if w > 0.0 {
                    values.push((of(r, u), w));
                }
            }
        }
        weighted_quantiles(&values)
    }

    /// The logarithm of the tub's typical time.
    pub(super) fn ln_time(&self) -> Estimate {
        let values: Vec<(f64, f64)> =
            (0..TIMES).map(|u| (-self.times[u], self.weights.iter().skip(u).step_by(TIMES).sum())).collect();
        weighted_quantiles(&values)
    }

    pub(super) fn excess(&self) -> Estimate {
        let values: Vec<(f64, f64)> = self
            .nodes
            .iter()
            .zip(self.weights.chunks(TIMES))
            .map(|(node, row)| (node.excess, row.iter().sum()))
            .collect();
        weighted_quantiles(&values)
    }

    pub(super) fn spread(&self) -> Estimate {
        let mut values = Vec::with_capacity(self.spread_weights.len());
        for (node, row) in self.nodes.iter().zip(self.spread_weights.chunks(SPREADS)) {
            for (s, &w) in self.spreads.iter().zip(row) {
                values.push(((s * node.excess / node.exponent).ln(), w));
            }
        }
        let ln = weighted_quantiles(&values);
        ln.map(f64::exp)
    }

    /// Drops that the wide curve explains better than the typical piece with its spread.
    pub(super) fn odd_drops(&self, times_s: &[f64], settings: &TubSettings) -> Vec<usize> {
        let middle = -self.ln_time().mid;
        let odd = |&(_, &t): &(usize, &f64)| {
            let sd = self.spread_share.hypot(settings.tap_sd_s / t);
            let z = -t.ln() - middle;
            fitting(z, sd) * (1.0 - settings.odd_share) < wide(z) * settings.odd_share
        };
        times_s.iter().enumerate().filter(odd).map(|(i, _)| i).collect()
    }
}

/// What all drops share, as a standard deviation of the logarithm of time.
fn shared_sd(test: &TubTest, settings: &TubSettings, times_s: &[f64]) -> f64 {
    let depth = settings.depth_sd_m / test.tub_depth_m;
    if times_s.is_empty() { depth } else { depth.hypot(settings.late_sd_s / median(times_s.to_vec())) }
}

fn median(mut values: Vec<f64>) -> f64 {
    crate::small::sort_by(&mut values, |a, b| a.total_cmp(b).is_lt());
    let n = values.len();
    match (values.get(n / 2), values.get(n.saturating_sub(1) / 2)) {
        (Some(a), Some(b)) => 0.5 * (a + b),
        _ => 0.0,
    }
}

/// Where the tub's typical time may lie: around the drops' median, and with few drops around the label's too.
fn time_grid(test: &TubTest, nodes: &[Node], y: &[f64], shared: f64) -> Vec<f64> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    if !y.is_empty() {
        let middle = median(y.to_vec());
        let apart = median(y.iter().map(|v| (v - middle).abs()).collect());
        let sd = (1.5 * apart).max(0.1);
        let reach = (6.0 * (1.25 * sd / (y.len() as f64).sqrt()).hypot(shared)).max(0.06);
        (low, high) = (middle - reach, middle + reach);
    }
    if y.len() <= 1 {
        let (mut total, mut sum) = (1e-300, 0.0);
        for node in nodes {
            total += node.weight;
            sum += node.weight * (node.ln_speed - test.tub_depth_m.ln());
        }
        let middle = sum / total;
        low = low.min(middle - 1.0);
        high = high.max(middle + 0.8);
    }
    (0..TIMES).map(|i| low + (high - low) * i as f64 / (TIMES - 1) as f64).collect()
}

/// ln k that takes a piece of this excess through `depth_m` in `time_s` from rest, and |d ln k / d ln time|.
///
/// With v = k V the time is (depth + ln 2 v2/a)/v, where v2/a does not depend on the excess (see
/// [`crate::physics::settling::time_from_rest_s`], its long-fall end): a quadratic in v. `None` when no speed is so fast.
fn ln_factor(depth_m: f64, time_s: f64, node: &Node) -> Option<(f64, f64)> {
    let c = LN_2 / node.acceleration;
    let root = time_s * time_s - 4.0 * c * depth_m;
    if root <= 0.0 {
        return None;
    }
    let root = root.sqrt();
    Some(((2.0 * depth_m / (time_s + root)).ln() - node.ln_speed, time_s / root))
}

/// 5th, 50th and 95th percentile of weighted values, by a histogram of 512 bins with the weight spread evenly in each.
fn weighted_quantiles(values: &[(f64, f64)]) -> Estimate {
    const BINS: usize = 512;
    let total: f64 = values.iter().map(|v| v.1).sum();
    // Values without weight are left out of the range, so that the bins are narrow where the weight is.
    let seen = values.iter().filter(|v| v.1 > 1e-9 * total);
    let (low, high) = seen.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v.0), b.max(v.0)));
    if low.is_nan() || high <= low {
        let only = if low.is_finite() { low } else { 0.0 };
        return Estimate::exact(only);
    }
    let scale = (BINS - 1) as f64 / (high - low);
    let mut bins = [0.0; BINS];
    for &(value, weight) in values {
        let place = between((value - low) * scale, 0.0, (BINS - 1) as f64);
        let whole = place.floor();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the bins")]
        let index = (whole as usize).min(BINS - 2);
        let part = place - index as f64;
        bins[index] += weight * (1.0 - part);
        bins[index + 1] += weight * part;
    }
    let at = |share: f64| {
        let wanted = share * total;
        let mut sum = 0.0;
        for (i, weight) in bins.iter().enumerate() {
            if sum + weight >= wanted && *weight > 0.0 {
                return low + (i as f64 - 0.5 + (wanted - sum) / weight) / scale;
            }
            sum += weight;
        }
        high
    };
    Estimate { low: at(0.05), mid: at(0.5), high: at(0.95) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speeds_between_nodes_are_within_three_in_a_thousand() {
        use crate::bait::shape::Shape;
        for shape in
            [Shape::Cube { edge_mm: 4.0 }, Shape::Cube { edge_mm: 10.0 }, Shape::Sphere { diameter_mm: 8.0 }]
        {
            let water = StillWater::new(shape, 10.0, 9.81);
            let places: Vec<f64> = (0..60).map(|i| 1.08_f64.powi(i)).collect();
            let of = |excess: f64| [water.law_speeds(excess).mid.ln()];
            let quick = interpolated(places.iter().copied(), of);
            assert_eq!(quick.len(), places.len());
            let off = |(place, [ln]): (&f64, [f64; 1])| (ln - of(*place)[0]).abs();
            let worst = places.iter().zip(quick).map(off).fold(0.0, f64::max);
            println!("{shape:?} {worst}");
            assert!(worst < 3e-3, "{shape:?} {worst}");
        }
        assert!(interpolated([].into_iter(), |x| [x]).is_empty());
        assert_eq!(interpolated([2.0].into_iter(), |x| [x]), [[2.0]]);
    }

    #[test]
    fn quantiles_of_even_weights_are_those_of_the_line() {
        let values: Vec<(f64, f64)> = (0..=10_000).map(|i| (f64::from(i) / 10_000.0, 1.0)).collect();
        let band = weighted_quantiles(&values);
        assert!(
            (band.low - 0.05).abs() < 2e-3
                && (band.mid - 0.5).abs() < 2e-3
                && (band.high - 0.95).abs() < 2e-3
        );
        let one = weighted_quantiles(&[(3.0, 2.0)]);
        assert_eq!((one.low, one.mid, one.high), (3.0, 3.0, 3.0));
    }
}
