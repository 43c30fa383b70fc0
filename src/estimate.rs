//! The one way in which a figure that is not known exactly is told: its low end, its middle and its high end.

use serde::{Deserialize, Serialize, Serializer};

/// The 95th percentile of the normal distribution, in standard deviations: half of a 90 % band.
pub const Z90: f64 = 1.6448536269514722;

/// A figure with its doubt. Where nothing else is said, `low` to `high` holds the truth with about 90 % probability.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "Band"))]
pub struct Estimate {
    /// The low end.
    pub low: f64,
    /// The middle.
    pub mid: f64,
    /// The high end.
    pub high: f64,
}

impl Estimate {
    /// A figure without doubt.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self { low: value, mid: value, high: value }
    }

    /// Each of the three by a function that rises.
    #[must_use]
    pub fn map(self, rising: impl Fn(f64) -> f64) -> Self {
        Self { low: rising(self.low), mid: rising(self.mid), high: rising(self.high) }
    }

    /// Each of the three multiplied by a number that is not negative.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        self.map(|value| value * factor)
    }
}

/// The probability that a normal quantity lies below `z` standard deviations, 0 to 1 (a logistic curve, within 0.01).
///
/// # Source
/// Bowling et al. 2009, J. Ind. Eng. Manag. 2:114 (the one-parameter curve, 1.702; from memory).
#[must_use]
pub fn chance_below(z: f64) -> f64 {
    1.0 / (1.0 + (-1.702 * z).exp())
}

/// A band of times as a plain object.
#[derive(Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub(crate) struct TimeBand {
    /// The low end, s.
    low: f64,
    /// The middle, s.
    mid: f64,
    /// The high end, s; nothing where a piece may never come down.
    #[serde(with = "never")]
    #[cfg_attr(feature = "types", schemars(with = "Option<f64>"))]
    high: f64,
}

/// The serde form of a band of times whose high end may be infinite.
#[expect(clippy::ref_option, reason = "serde's signature")]
pub(crate) fn open_ended<S: Serializer>(time_s: &Option<Estimate>, serializer: S) -> Result<S::Ok, S::Error> {
    time_s.map(|Estimate { low, mid, high }| TimeBand { low, mid, high }).serialize(serializer)
}

/// The serde form of a time that may be infinite: nothing where it never comes, for a plain object cannot hold infinity.
pub mod never {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    /// Writes it.
    ///
    /// # Errors
    /// As the serializer fails.
    pub fn serialize<S: Serializer>(time: &f64, serializer: S) -> Result<S::Ok, S::Error> {
        Some(*time).filter(|time| time.is_finite()).serialize(serializer)
    }

    /// Reads it.
    ///
    /// # Errors
    /// As the deserializer fails.
    pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
        Ok(Option::deserialize(deserializer)?.unwrap_or(f64::INFINITY))
    }
}

/// Several measurements of one quantity, joined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joined {
    /// How many were joined.
    pub count: usize,
    /// The mean, in the unit of the measurements.
    pub mean: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    /// How much the measured thing differs from one measurement to the next beyond their own uncertainties, as a
    /// standard deviation: 0 where these explain all.
    pub between: f64,
}

/// Joins measurements, each a value and its standard uncertainty (above 0); `None` without one that can be used.
///
/// Each is weighed by the inverse of its variance, to which the variance between measurements is added: the moment
/// estimate, which is too small for two or three measurements as often as not.
///
/// # Source
/// `DerSimonian` & Laird 1986, "Meta-analysis in clinical trials", Controlled Clinical Trials 7:177–188, eqs. 8 and 9.
#[must_use]
pub fn join(measured: impl IntoIterator<Item = (f64, f64)>) -> Option<Joined> {
    let usable =
        |&(value, standard): &(f64, f64)| value.is_finite() && standard.is_finite() && standard > 0.0;
    let measured: Vec<(f64, f64)> = measured.into_iter().filter(usable).collect();
    let weighed = |between: f64| {
        let weights = measured.iter().map(|(value, standard)| (value, 1.0 / (standard * standard + between)));
        weights.fold((0.0, 0.0), |(sum, all), (value, weight)| (sum + weight * value, all + weight))
    };
    let (sum, all) = weighed(0.0);
    if measured.is_empty() || !all.is_finite() {
        return None;
    }
    let squares: f64 = measured.iter().map(|(_, standard)| standard.powi(-4)).sum();
    let q: f64 = measured.iter().map(|(value, standard)| ((value - sum / all) / standard).powi(2)).sum();
    let freedom = measured.len() as f64 - 1.0;
    let between = if freedom > 0.0 { ((q - freedom) / (all - squares / all)).max(0.0) } else { 0.0 };
    let (sum, all) = weighed(between);
    Some(Joined { count: measured.len(), mean: sum / all, standard: all.powf(-0.5), between: between.sqrt() })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: w = 100, 25; mean 10.2, Q = 100·0.04 + 25·0.64 = 20, τ² = 19 / (125 − 10625/125) = 0.475.
    #[test]
    fn two_that_disagree_are_told_apart() {
        let joined = join([(10.0, 0.1), (11.0, 0.2)]).unwrap();
        assert!((joined.between - 0.475_f64.sqrt()).abs() < 1e-9, "{joined:?}");
        let (a, b) = (1.0 / 0.485, 1.0 / 0.515);
        assert!((joined.mean - (10.0 * a + 11.0 * b) / (a + b)).abs() < 1e-9);
        assert!((joined.standard - (a + b).powf(-0.5)).abs() < 1e-9);
    }

    #[test]
    fn one_is_itself_and_equal_ones_share_their_doubt() {
        assert_eq!(join([(3.0, 0.5)]), Some(Joined { count: 1, mean: 3.0, standard: 0.5, between: 0.0 }));
        let four = join([(3.0, 0.5); 4]).unwrap();
        assert!((four.standard - 0.25).abs() < 1e-12 && four.between == 0.0 && four.count == 4);
    }

    /// The normal distribution's tables: 0.5, 0.8413, 0.95, 0.9772.
    #[test]
    fn the_chance_is_the_normal_tables_within_a_hundredth() {
        for (z, chance) in [(0.0, 0.5), (1.0, 0.8413), (Z90, 0.95), (2.0, 0.9772), (-1.0, 0.1587)] {
            assert!((chance_below(z) - chance).abs() < 0.01, "{z}");
        }
    }

    #[test]
    fn what_cannot_be_used_is_left_out() {
        assert_eq!(join([]), None);
        assert_eq!(join([(f64::NAN, 1.0), (1.0, 0.0), (1.0, f64::INFINITY)]), None);
        assert_eq!(join([(1.0, 1.0), (f64::INFINITY, 1.0)]).unwrap().count, 1);
    }
}
