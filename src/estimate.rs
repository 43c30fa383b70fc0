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

#[cfg(test)]
mod tests {
    use super::*;

    /// The normal distribution's tables: 0.5, 0.8413, 0.95, 0.9772.
    #[test]
    fn the_chance_is_the_normal_tables_within_a_hundredth() {
        for (z, chance) in [(0.0, 0.5), (1.0, 0.8413), (Z90, 0.95), (2.0, 0.9772), (-1.0, 0.1587)] {
            assert!((chance_below(z) - chance).abs() < 0.01, "{z}");
        }
    }
}
