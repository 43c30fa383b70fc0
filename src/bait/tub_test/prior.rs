//! What is open before the first drop of how heavy the pieces are.

use super::TubSettings;

/// The least typical excess density that is told from floating, kg/m3: a 6 mm cube takes two minutes for 0.2 m then.
pub(super) const MIN_EXCESS: f64 = 0.2;
/// The least standard deviation that is believed of a density before the first drop, kg/m3.
pub(super) const MIN_SD: f64 = 2.0;

/// One value of the typical excess density, kg/m3.
pub(super) struct Node {
    pub(super) excess: f64,
    /// Halfway to its neighbours.
    pub(super) low: f64,
    pub(super) high: f64,
    /// Prior probability, up to a common factor.
    pub(super) weight: f64,
}

/// Excess densities: from [`MIN_EXCESS`] up by a factor of 1.2, below zero (where a typical piece floats) in wider steps,
/// and close together around the label's.
pub(super) fn excess_nodes(expected: f64, sd: f64, settings: &TubSettings) -> Vec<Node> {
    const FLOATING: [f64; 13] = [0.1, 0.4, 1.0, 2.0, 3.5, 5.5, 8.0, 12.0, 18.0, 26.0, 40.0, 65.0, 100.0];
    let normal = |sd: f64| move |excess: f64| (-0.5 * ((excess - expected) / sd).powi(2)).exp() / sd;
    let (right, wrong) = (normal(sd), normal(settings.wrong_label_sd_kg_per_m3.max(sd)));
    let most = expected.max(0.0) + 4.0 * settings.wrong_label_sd_kg_per_m3.max(sd);
    let mut places: Vec<f64> = FLOATING.iter().map(|e| -e).collect();
    places.push(0.5 * MIN_EXCESS);
    places.extend((0..200).map(|i| MIN_EXCESS * 1.2_f64.powi(i)).take_while(|e| *e < most));
    places.extend((-6..=6).map(|i| expected + 0.5 * f64::from(i) * sd));
    crate::small::sort_by(&mut places, |a, b| a.total_cmp(b).is_lt());
    (0..places.len())
        .map(|i| {
            let excess = places[i];
            let low = 0.5 * (places[i.saturating_sub(1)] + excess);
            let high = 0.5 * (excess + places[(i + 1).min(places.len() - 1)]);
            let density = (1.0 - settings.wrong_label_share) * right(excess)
                + settings.wrong_label_share * wrong(excess);
            Node { excess, low, high, weight: density * (high - low) }
        })
        .collect()
}
