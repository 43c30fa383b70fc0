//! What to change before the rig is used, in words.

use crate::physics::rubber::STRETCH_RANGE;
use crate::units::fixed;
use core::fmt;
use serde::{Deserialize, Serialize};

/// Something to change before the rig is used.
#[non_exhaustive]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "code")]
pub enum TackleWarning {
    /// The hook is tied to the main line: a break takes the rig.
    NoHooklength,
    /// The hooklength is as strong as the main line, or stronger.
    HooklengthNotWeaker {
        /// Hooklength over main line, middle figures.
        ratio: f64,
    },
    /// The hooklength is weaker, but by less than knots differ.
    HooklengthClose {
        /// Hooklength over main line, middle figures.
        ratio: f64,
    },
    /// One strength is from a spool, the other from a rule of thumb, and their bands overlap.
    MixedSources,
    /// The elastic is longer than the kit and hangs slack.
    ElasticSlack {
        /// By so many metres.
        slack_m: f64,
    },
    /// The run stretches the elastic beyond the published points.
    ElasticBeyondPoints {
        /// The stretch.
        stretch: f64,
    },
    /// Within the run, the elastic reaches the strength of the weakest link by the middle figures.
    ElasticBreaksLine {
        /// Pull at the run, N.
        pull_n: f64,
        /// Strength, N.
        strength_n: f64,
    },
    /// Within the run, the elastic may reach it: stiffest rubber, weakest knot.
    ElasticMayBreakLine {
        /// Pull at the run, N, high.
        pull_n: f64,
        /// Strength, N, low.
        strength_n: f64,
    },
}

impl fmt::Display for TackleWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = |ratio: &f64| fixed(ratio * 100.0, 0);
        match self {
            Self::NoHooklength => f.write_str(
                "The hook is tied to the main line: a break may leave the whole rig in the fish. Use a weaker hooklength.",
            ),
            Self::HooklengthNotWeaker { ratio } => write!(
                f,
                "The hooklength has {} % of the main line's strength: the main line may break first. Use a thinner hooklength.",
                percent(ratio)
            ),
            Self::HooklengthClose { ratio } => write!(
                f,
                "The hooklength has {} % of the main line's strength; knots differ by more. Use a thinner hooklength.",
                percent(ratio)
            ),
            Self::MixedSources => f.write_str(
                "One strength is from a spool and the other from a rule of thumb: they may be the other way round. Enter both spools' figures.",
            ),
            Self::ElasticSlack { slack_m } => write!(
                f,
                "The elastic is {} m longer than the kit and hangs slack. Shorten it.",
                fixed(*slack_m, 2)
            ),
            Self::ElasticBeyondPoints { stretch } => write!(
                f,
                "The run stretches the elastic {} times; nothing is known beyond {} times. Use a longer elastic, or add sections.",
                fixed(*stretch, 1),
                fixed(STRETCH_RANGE[1], 1)
            ),
            Self::ElasticBreaksLine { pull_n, strength_n } => write!(
                f,
                "At full run the elastic pulls {} N and the weakest link holds {} N. Use a softer or longer elastic.",
                fixed(*pull_n, 1),
                fixed(*strength_n, 1)
            ),
            Self::ElasticMayBreakLine { pull_n, strength_n } => write!(
                f,
                "At full run a stiff elastic may pull {} N and a poor knot hold {} N. Test it by hand before you fish.",
                fixed(*pull_n, 1),
                fixed(*strength_n, 1)
            ),
        }
    }
}
