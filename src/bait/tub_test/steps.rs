//! What is told of lists of numbers: middle, ends, and quantiles of a density in steps.

use crate::estimate::Estimate;

pub(super) fn median(mut values: Vec<f64>) -> f64 {
    crate::small::sort_by(&mut values, |a, b| a.total_cmp(b).is_lt());
    let n = values.len();
    match (values.get(n / 2), values.get(n.saturating_sub(1) / 2)) {
        (Some(a), Some(b)) => 0.5 * (a + b),
        _ => 0.0,
    }
}

pub(super) fn ends(values: &[f64]) -> Option<(f64, f64)> {
    let low = values.iter().copied().reduce(f64::min)?;
    Some((low, values.iter().copied().fold(low, f64::max)))
}

/// 5th, 50th and 95th percentile of weights that lie evenly over steps, each from its low to its high end, in order.
pub(super) fn quantiles_of_steps(steps: &[((f64, f64), f64)]) -> Estimate {
    let total: f64 = steps.iter().map(|step| step.1).sum();
    let at = |share: f64| {
        let (wanted, mut sum, mut last) = (share * total, 0.0, 0.0);
        for &((low, high), weight) in steps {
            if weight > 0.0 && sum + weight >= wanted {
                return low + (high - low) * (wanted - sum) / weight;
            }
            sum += weight;
            last = high;
        }
        last
    };
    Estimate { low: at(0.05), mid: at(0.5), high: at(0.95) }
}
