//! Where in the water to start: points for and against, from the weather.
//!
//! Common practice, no published source: warm, bright, still, and a high or rising pressure speak for fishing
//! shallow; overcast, wind, a low or falling pressure and cold speak for the bottom. The points are shown, the user
//! may overrule them, and a rig for either is always carried.

use crate::plan::{Plan, Sky, Start, Trend, Wind};
use serde::Serialize;

/// One thing that speaks for or against fishing shallow.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "WeatherPoint"))]
pub struct Point {
    /// What was found.
    pub what: &'static str,
    /// For shallow when positive, for the bottom when negative.
    pub points: i32,
}

/// Sum from which the points speak for shallow.
const SHALLOW_FROM: i32 = 1;

/// The points of a plan's weather and water.
pub(super) fn points(plan: &Plan) -> Vec<Point> {
    let w = &plan.weather;
    let water = match plan.water.surface_tenth_c {
        180.. => ("warm water, 18 °C or more", 2),
        140..=179 => ("mild water, 14 °C or more", 1),
        100..=139 => ("cool water, under 14 °C", -1),
        _ => ("cold water, under 10 °C", -3),
    };
    let sky = match w.sky {
        Sky::Bright => ("bright sky", 1),
        Sky::Mixed => ("sun and cloud", 0),
        Sky::Overcast => ("overcast", -1),
    };
    let wind = match w.wind {
        Wind::Still => ("still", 1),
        Wind::Light => ("light wind", 0),
        Wind::Fresh => ("fresh wind", -1),
        Wind::Strong => ("strong wind", -2),
    };
    let pressure = match w.pressure_hpa {
        1018.. => ("high pressure", 1),
        1008..=1017 => ("middling pressure", 0),
        _ => ("low pressure", -1),
    };
    let trend = match w.trend {
        Trend::Rising => ("pressure rising", 1),
        Trend::Steady => ("pressure steady", 0),
        Trend::Falling => ("pressure falling", -1),
    };
    [water, sky, wind, pressure, trend].map(|(what, points)| Point { what, points }).to_vec()
}

/// Whether to start shallow: as the reader chose, else as the points say.
pub(super) fn start_shallow(plan: &Plan, points: &[Point]) -> bool {
    match plan.weather.start {
        Start::Shallow => true,
        Start::Bottom => false,
        Start::ByThePoints => points.iter().map(|p| p.points).sum::<i32>() >= SHALLOW_FROM,
    }
}
