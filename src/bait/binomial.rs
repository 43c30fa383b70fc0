//! What a count out of so many says of the share behind it.
//!
//! Jeffreys' interval: the 2.5, 50 and 97.5 percent points of Beta(k + 1/2, n - k + 1/2), with the lower end 0 when none
//! was counted and the upper end 1 when all were. Exact for any n up to a million.
//!
//! Source: Brown, Cai and Das Gupta 2001, Stat. Sci. 16:101–133 (the interval and its ends).

use crate::estimate::Estimate;

/// 95 % interval and median of a share, when `k` of `n` were counted; `k` above `n` counts as `n`.
///
/// # Example
/// ```
/// let share = dotdown::bait::binomial::jeffreys(5, 50);
/// assert!((share.mid - 0.1027).abs() < 1e-4);
/// ```
#[must_use]
pub fn jeffreys(k: u32, n: u32) -> Estimate {
    let k = k.min(n);
    let (a, b) = (f64::from(k) + 0.5, f64::from(n - k) + 0.5);
    Estimate {
        low: if k == 0 { 0.0 } else { beta_quantile(a, b, 0.025) },
        mid: beta_quantile(a, b, 0.5),
        high: if k == n { 1.0 } else { beta_quantile(a, b, 0.975) },
    }
}

/// The x at which the regularised incomplete beta function is `share`, by halving to 1e-12.
fn beta_quantile(a: f64, b: f64, share: f64) -> f64 {
    let ln_front = ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b);
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if beta_below(a, b, middle, ln_front) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Regularised incomplete beta function, a and b above 0, x from 0 to 1: the continued fraction of Abramowitz and
/// Stegun 1964, 26.5.8, evaluated by Lentz's method on the side where it converges fast. `ln_front` is
/// ln Gamma(a + b) - ln Gamma(a) - ln Gamma(b).
fn beta_below(a: f64, b: f64, x: f64, ln_front: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front = (ln_front + a * x.ln() + b * (-x).ln_1p()).exp();
    if x < (a + 1.0) / (a + b + 2.0) {
        front * beta_fraction(a, b, x) / a
    } else {
        1.0 - front * beta_fraction(b, a, 1.0 - x) / b
    }
}

fn beta_fraction(a: f64, b: f64, x: f64) -> f64 {
    let never_zero = |v: f64| if v.abs() < 1e-300 { 1e-300 } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / never_zero(1.0 - (a + b) * x / (a + 1.0));
    let mut product = d;
    for step in 1..2000 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut change = 1.0;
        for term in [even, odd] {
            d = 1.0 / never_zero(1.0 + term * d);
            c = never_zero(1.0 + term / c);
            change = c * d;
            product *= change;
        }
        if (change - 1.0).abs() < 1e-13 {
            break;
        }
    }
    product
}

/// Logarithm of the gamma function for x > 0: Stirling's series from 10 up, the recurrence below (error under 1e-12).
fn ln_gamma(x: f64) -> f64 {
    let (mut x, mut shift) = (x, 0.0);
    while x < 10.0 {
        shift -= x.ln();
        x += 1.0;
    }
    let i2 = 1.0 / (x * x);
    let series =
        (1.0 / 12.0 - i2 * (1.0 / 360.0 - i2 * (1.0 / 1260.0 - i2 * (1.0 / 1680.0 - i2 / 1188.0)))) / x;
    shift + (x - 0.5) * x.ln() - x + 0.5 * core::f64::consts::TAU.ln() + series
}
