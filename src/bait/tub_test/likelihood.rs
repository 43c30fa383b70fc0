//! What the drops and the floaters of a tub test say: likelihoods on the grid of typical time and spread.

use super::TubSettings;
use crate::bait::whole;
use core::f64::consts::{PI, SQRT_2};

/// Nodes in the logarithm of the tub's typical time, and in spread.
pub(super) const TIMES: usize = 48;
pub(super) const SPREADS: usize = 10;

/// Density of a drop that is a piece like the others.
pub(super) fn fitting(z: f64, sd: f64) -> f64 {
    (-0.5 * (z / sd) * (z / sd)).exp() / (sd * (2.0 * PI).sqrt())
}

/// Density of a drop that fits no piece: Cauchy's curve, half its mass within a factor of 1.65 of the typical time.
pub(super) fn wide(z: f64) -> f64 {
    const WIDTH: f64 = 0.5;
    WIDTH / (PI * (z * z + WIDTH * WIDTH))
}

/// Likelihood of all drops at each (spread, u), up to a common factor.
pub(super) fn likelihood(
    times: &[f64],
    spreads: &[f64; SPREADS],
    y: &[f64],
    times_s: &[f64],
    exponent: f64,
    settings: &TubSettings,
) -> [[f64; TIMES]; SPREADS] {
    let mut table = [[1.0; TIMES]; SPREADS];
    let Some((&first, &last)) = times.first().zip(times.last()) else { return table };
    let step = (last - first) / (TIMES - 1) as f64;
    for (&y, &t) in y.iter().zip(times_s) {
        let odd: [f64; TIMES] = core::array::from_fn(|u| settings.odd_share * wide(y - times[u]));
        let tap = settings.tap_sd_s / t;
        for (s, row) in spreads.iter().zip(&mut table) {
            let sd = s.hypot(tap);
            // Speed bends with density: pieces spread evenly in density are on the whole slower than the typical piece,
            // by sd2/(2 exponent) in the logarithm.
            let slower = (0.5 * s * s / exponent).min(0.1);
            let curve = normal_on_steps(y + slower - first, step, sd);
            let top = (1.0 - settings.odd_share) / (sd * (2.0 * PI).sqrt());
            for ((cell, curve), odd) in row.iter_mut().zip(&curve).zip(&odd) {
                // Fifty factors between 1e-4 and 30 stay far inside the range of a float.
                *cell *= top * curve + odd;
            }
        }
    }
    let most = table.iter().flatten().copied().fold(0.0, f64::max);
    if most > 0.0 {
        table.iter_mut().flatten().for_each(|cell| *cell /= most);
    }
    table
}

/// exp(-z2/(2 sd2)) at z = `start`, `start` - `step`, ...: from the node nearest the top outwards, each from the one
/// before by two products, as the logarithm's second difference is constant.
fn normal_on_steps(start: f64, step: f64, sd: f64) -> [f64; TIMES] {
    let mut out = [0.0; TIMES];
    let inside = -0.5 / (sd * sd);
    let top = (whole((start / step).round()) as usize).min(TIMES - 1);
    let z = start - top as f64 * step;
    let height = (inside * z * z).exp();
    let bend = (2.0 * inside * step * step).exp();
    let (mut g, mut change) = (height, (inside * step * (step - 2.0 * z)).exp());
    for cell in &mut out[top..] {
        *cell = g;
        g *= change;
        change *= bend;
    }
    (g, change) = (height, (inside * step * (step + 2.0 * z)).exp());
    for cell in out[..top].iter_mut().rev() {
        g *= change;
        change *= bend;
        *cell = g;
    }
    out
}

/// The likelihood with what all drops share: each row smoothed along u by a normal curve of that width; turned to (u,
/// spread).
pub(super) fn smooth(table: &[[f64; TIMES]; SPREADS], times: &[f64], sd: f64) -> Vec<[f64; SPREADS]> {
    let step =
        times.first().zip(times.last()).map_or(1.0, |(first, last)| (last - first) / (TIMES - 1) as f64);
    let reach = (whole((4.0 * sd / step).ceil()) as usize).min(TIMES - 1);
    let taps: Vec<f64> = (0..=reach)
        .map(|j| {
            let z = j as f64 * step / sd;
            if j == 0 { 1.0 } else { (-0.5 * z * z).exp() }
        })
        .collect();
    let mut out = vec![[0.0; SPREADS]; TIMES];
    for (k, row) in table.iter().enumerate() {
        for (u, cells) in out.iter_mut().enumerate() {
            // Beyond the ends the likelihood is taken as nothing, so the taps are not made to add up to 1 there.
            let (from, to) = (u.saturating_sub(reach), (u + reach).min(TIMES - 1));
            cells[k] = row[from..=to].iter().zip(from..).map(|(cell, v)| cell * taps[u.abs_diff(v)]).sum();
        }
    }
    out
}

/// Likelihood of `light` light pieces of `pieces`, when a piece is light below `-depth` standard deviations; a rogue
/// piece (a lump of fat, a void) is light anyway, and how many are rogue is left open.
pub(super) fn floater_likelihood(depth: f64, pieces: u32, light: u32) -> f64 {
    const ROGUES: [(f64, f64); 4] = [(0.002, 0.4), (0.01, 0.3), (0.04, 0.2), (0.12, 0.1)];
    if pieces == 0 {
        return 1.0;
    }
    let lighter = normal_below(-depth);
    ROGUES
        .iter()
        .map(|&(rogue, weight)| {
            let p = rogue + (1.0 - rogue) * lighter;
            // The logarithm keeps hundreds of pieces inside the range of a float; the worst, 10 000 of them, may be 0
            // for all but the best spread, which is right.
            let ln = f64::from(light) * p.ln() + f64::from(pieces - light) * (-p).ln_1p();
            weight * (ln - best_ln(pieces, light)).exp()
        })
        .sum()
}

/// The largest the binomial logarithm can be.
fn best_ln(pieces: u32, light: u32) -> f64 {
    let (n, k) = (f64::from(pieces), f64::from(light));
    let term = |x: f64| if x > 0.0 { x * (x / n).ln() } else { 0.0 };
    term(k) + term(n - k)
}

/// Share of a normal distribution below `z`.
///
/// # Source
/// Abramowitz and Stegun 1964, 7.1.26 (error below 1.5e-7).
fn normal_below(z: f64) -> f64 {
    let x = z.abs() / SQRT_2;
    let t = 1.0 / (1.0 + 0.3275911 * x);
    let poly =
        t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
    let tail = 0.5 * poly * (-x * x).exp();
    if z < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_curve_by_steps_is_the_normal_curve() {
        for (start, step, sd) in
            [(0.3, 0.01, 0.05), (-0.2, 0.01, 0.015), (2.0, 0.04, 0.5), (0.1001, 0.005, 0.1)]
        {
            for (i, ours) in normal_on_steps(start, step, sd).into_iter().enumerate() {
                let z = start - step * i as f64;
                let exact = (-0.5 * z * z / (sd * sd)).exp();
                assert!(
                    (ours - exact).abs() < 1e-12 + 1e-10 * exact,
                    "{start} {step} {sd} at {i}: {ours} {exact}"
                );
            }
        }
    }

    #[test]
    fn the_normal_share_is_that_of_the_tables() {
        for (z, share) in
            [(0.0, 0.5), (-1.0, 0.158655254), (-1.959963985, 0.025), (-3.0, 0.001349898), (1.0, 0.841344746)]
        {
            assert!((normal_below(z) - share).abs() < 1.5e-7, "{z}");
        }
    }
}
