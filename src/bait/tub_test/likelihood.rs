//! What the drops and the floaters of a tub test say of one kind of pieces: those of one typical excess density and one
//! spread.
//!
//! Pieces' excess densities are normal about the typical one. Those below zero float and are not timed, so that the
//! timed ones are the normal curve above zero. The likelihood of a drop is the density of the logarithm of its speed,
//! taken cell by cell of one fixed scale from differences of the normal share: no spread is too narrow for the scale.

use crate::bait::whole;
use core::f64::consts::{PI, SQRT_2};

/// Even cells in the logarithm of speed by the middle law, and the excess density at their edges.
pub(super) struct Scale {
    pub(super) first: f64,
    pub(super) step: f64,
    /// Rising, kg/m3; one more than there are cells.
    pub(super) edges: Vec<f64>,
}

/// Pieces of one typical excess density and one spread.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Pieces {
    /// Excess density of a typical piece, kg/m3; below 0 it floats.
    pub(super) excess: f64,
    /// Standard deviation between pieces, kg/m3.
    pub(super) spread: f64,
}

impl Pieces {
    /// Share of the pieces that sink.
    pub(super) fn sinking(self) -> f64 {
        normal_below(self.excess / self.spread)
    }

    /// Share of the pieces that sink and are lighter than `excess`, of those that sink.
    fn lighter(self, excess: f64) -> f64 {
        let floating = normal_below(-self.excess / self.spread);
        (normal_below((excess - self.excess) / self.spread) - floating).max(0.0) / self.sinking()
    }

    /// The middle one of those that sink, kg/m3.
    pub(super) fn middle(self) -> f64 {
        if self.excess > 4.0 * self.spread {
            return self.excess;
        }
        let half = 1.0 - 0.5 * self.sinking();
        let (mut low, mut high) = (0.0, self.excess.max(0.0) + self.spread);
        for _ in 0..20 {
            let middle = 0.5 * (low + high);
            let below = normal_below((middle - self.excess) / self.spread);
            *(if below < half { &mut low } else { &mut high }) = middle;
        }
        0.5 * (low + high)
    }
}

/// Density of the logarithm of a drop's speed, for one kind of pieces.
pub(super) struct Curve {
    /// Place on the scale of the first value.
    from: i64,
    /// At the middles of the cells.
    values: Vec<f64>,
}

/// What makes a curve besides the pieces.
pub(super) struct Taps {
    /// Error of a drop's two taps, as a standard deviation of the logarithm of time.
    pub(super) sd: f64,
    /// Probability that a drop fits no piece.
    pub(super) odd_share: f64,
}

impl Curve {
    /// The curve of `pieces`, whose middle one falls at `middle` (logarithm), between two logarithms of speed.
    pub(super) fn new(
        pieces: Pieces,
        middle: f64,
        scale: &Scale,
        (low, high): (f64, f64),
        taps: &Taps,
    ) -> Self {
        let kernel = kernel(taps.sd / scale.step);
        let reach = i64::try_from(kernel.len()).unwrap_or(1) - 1;
        let (from, to) = (scale.cell(low) - 1, scale.cell(high) + 2);
        let floating = normal_below(-pieces.excess / pieces.spread);
        let share = 1.0 / (pieces.sinking() * scale.step);
        let mut before = f64::NAN;
        let exact: Vec<f64> = (from - reach..=to + reach + 1)
            .map(|cell| {
                let below = match scale.edge(cell) {
                    Some(excess) => normal_below((excess - pieces.excess) / pieces.spread),
                    None if cell < 0 => floating,
                    None => 1.0,
                };
                let value = (below - before).max(0.0) * share;
                before = below;
                value
            })
            .skip(1)
            .collect();
        let values = (from..=to).enumerate().map(|(i, cell)| {
            let at = i + kernel.len() - 1;
            let blurred: f64 = kernel
                .iter()
                .enumerate()
                .map(|(j, k)| if j == 0 { k * exact[at] } else { k * (exact[at - j] + exact[at + j]) })
                .sum();
            let z = scale.first + (cell as f64 + 0.5) * scale.step - middle;
            (1.0 - taps.odd_share) * blurred + taps.odd_share * wide(z)
        });
        Self { from, values: values.collect() }
    }

    /// Multiplies `cells` by the curve at logarithms of speed that fall by one step from `first` on.
    pub(super) fn multiply(&self, cells: &mut [f64], first: f64, scale: &Scale) {
        let place = (first - scale.first) / scale.step - 0.5;
        let part = place - place.floor();
        let end = scale.cell(first - 0.5 * scale.step) - self.from + 2;
        let values = usize::try_from(end).ok().and_then(|end| self.values.get(..end)).unwrap_or_default();
        for (cell, pair) in cells.iter_mut().zip(values.windows(2).rev()) {
            *cell *= (1.0 - part) * pair[0] + part * pair[1];
        }
    }
}

impl Scale {
    /// The cell that a logarithm of speed lies in; below 0 and beyond the last there are none.
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates far outside the scale")]
    fn cell(&self, ln_speed: f64) -> i64 {
        ((ln_speed - self.first) / self.step).floor() as i64
    }

    fn edge(&self, cell: i64) -> Option<f64> {
        usize::try_from(cell).ok().and_then(|cell| self.edges.get(cell)).copied()
    }

    /// Probability that a piece is slower than `ln_speed`, so that it has not landed when it was given up; `z` from the
    /// middle piece's.
    pub(super) fn slower(&self, pieces: Pieces, ln_speed: f64, z: f64, odd_share: f64) -> f64 {
        let excess = self.edge(self.cell(ln_speed).max(0)).unwrap_or(f64::INFINITY);
        let odd = 0.5 + (z / WIDTH).atan() / PI;
        (1.0 - odd_share) * pieces.lighter(excess) + odd_share * odd
    }
}

/// Half the mass of [`wide`] lies within this of the middle: a factor of 1.65.
const WIDTH: f64 = 0.5;

/// Density of a drop that fits no piece: Cauchy's curve.
pub(super) fn wide(z: f64) -> f64 {
    WIDTH / (PI * (z * z + WIDTH * WIDTH))
}

/// A normal curve of `sd` steps from its top outwards, one side, all of it (both sides) adding up to 1.
fn kernel(sd: f64) -> Vec<f64> {
    if sd < 0.25 {
        return vec![1.0];
    }
    let reach = whole((3.5 * sd).ceil()).min(200);
    let mut side: Vec<f64> = (0..=reach).map(|j| (-0.5 * (f64::from(j) / sd).powi(2)).exp()).collect();
    let total = 2.0 * side.iter().sum::<f64>() - 1.0;
    for value in &mut side {
        *value /= total;
    }
    side
}

/// `cells` smoothed by a normal curve of `sd` steps; beyond the ends they are taken as nothing.
pub(super) fn smooth(cells: &[f64], sd: f64) -> Vec<f64> {
    let kernel = kernel(sd);
    (0..cells.len())
        .map(|i| {
            let (from, to) = (i.saturating_sub(kernel.len() - 1), (i + kernel.len()).min(cells.len()));
            cells[from..to].iter().zip(from..).map(|(cell, at)| cell * kernel[at.abs_diff(i)]).sum()
        })
        .collect()
}

/// Likelihood of `light` light pieces of `pieces`, when `floating` of them are lighter than water; a rogue piece (a lump of
/// fat, a void) is light anyway, and how many are rogue is left open.
pub(super) fn floater_likelihood(floating: f64, pieces: u32, light: u32) -> f64 {
    if pieces == 0 {
        return 1.0;
    }
    ROGUES
        .iter()
        .map(|&(rogue, weight)| {
            let p = rogue + (1.0 - rogue) * floating;
            // The logarithm keeps hundreds of pieces inside the range of a float; the worst, 10 000 of them, may be 0
            // for all but the best spread, which is right.
            let sinks = if light < pieces { f64::from(pieces - light) * (-p).ln_1p() } else { 0.0 };
            weight * (f64::from(light) * p.ln() + sinks - best_ln(pieces, light)).exp()
        })
        .sum()
}

/// Shares of rogue pieces with their probabilities; judgement, no published source.
pub const ROGUES: [(f64, f64); 4] = [(0.002, 0.4), (0.01, 0.3), (0.04, 0.2), (0.12, 0.1)];

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
    fn a_curve_is_the_density_of_those_that_sink() {
        // A scale on which speed is proportional to excess.
        let (first, step) = (-9.0, 0.01);
        let edges = (0..=1500).map(|j| (first + step * f64::from(j)).exp()).collect();
        let scale = Scale { first, step, edges };
        for (excess, spread, sd) in [(30.0, 3.0, 0.05), (2.0, 3.0, 0.02), (-3.0, 2.0, 0.0), (40.0, 0.05, 0.0)]
        {
            let pieces = Pieces { excess, spread };
            let middle = pieces.middle().ln();
            let curve = Curve::new(pieces, middle, &scale, (-8.5, 5.5), &Taps { sd, odd_share: 0.0 });
            let total: f64 = curve.values.iter().sum::<f64>() * step;
            assert!((total - 1.0).abs() < 2e-3, "{excess} {spread}: {total}");
            let mut below = [1.0];
            curve.multiply(&mut below, middle, &scale);
            if sd == 0.0 && spread > 1.0 {
                let e = pieces.middle();
                let normal = (-0.5 * ((e - excess) / spread).powi(2)).exp() / (spread * (2.0 * PI).sqrt());
                let exact = e * normal / pieces.sinking();
                assert!((below[0] / exact - 1.0).abs() < 1e-3, "{} {exact}", below[0]);
            }
            assert!((pieces.lighter(pieces.middle()) - 0.5).abs() < 1e-4);
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
