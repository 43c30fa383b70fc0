//! The course of a day's feeding: how much has gone in by when, and until when the tins last.

use super::AmountRequest;
use serde::Serialize;

/// Steps of the picture of feed over the day.
const SERIES_STEPS: u32 = 60;

/// One point of the picture of feed over the day.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct FeedPoint {
    /// Minutes after the all-in.
    pub minute: f64,
    /// Feed put in by then, cubes.
    pub cubes: u32,
    /// The same, g.
    pub grams: f64,
}

/// How long the tins in hand last.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Lasts {
    /// Tins that this is about.
    pub tins: u32,
    /// Cubes for feeding in them, hook baits set aside.
    pub cubes: u32,
    /// Minutes after the all-in when a feed first cannot be made whole; `None` when they last all phases.
    pub runs_out_min: Option<f64>,
    /// Cubes left at that moment, or at the end.
    pub left_cubes: u32,
}

/// How long `tins` last over the phases: feeds in the order of time, ties in the order of the phases.
pub(super) fn lasts(request: &AmountRequest, tins: u32, cubes_per_tin: u32) -> Lasts {
    let cubes = tins.saturating_mul(cubes_per_tin).saturating_sub(request.hook_baits);
    let used = |minute: f64| -> u64 {
        request.phases.iter().map(|p| u64::from(p.feeds_before(minute)) * u64::from(p.cubes_per_feed)).sum()
    };
    if used(f64::INFINITY) <= u64::from(cubes) {
        let left = u64::from(cubes) - used(f64::INFINITY);
        return Lasts {
            tins,
            cubes,
            runs_out_min: None,
            left_cubes: u32::try_from(left).unwrap_or(u32::MAX),
        };
    }
    // The feeds begun before a minute only grow with it: halve down to a hundredth of a second.
    let (mut enough, mut short) = (0.0, 2880.0);
    while short - enough > 1e-4 {
        let middle = 0.5 * (enough + short);
        if used(middle) > u64::from(cubes) {
            short = middle;
        } else {
            enough = middle;
        }
    }
    let left = u64::from(cubes).saturating_sub(used(enough));
    Lasts { tins, cubes, runs_out_min: Some(enough), left_cubes: u32::try_from(left).unwrap_or(u32::MAX) }
}

/// Feed over the day, from the all-in to the last phase's end.
pub(super) fn series(request: &AmountRequest) -> Vec<FeedPoint> {
    let end = request.phases.iter().map(|p| p.start_min + p.minutes).fold(0.0, f64::max);
    (0..=SERIES_STEPS)
        .map(|step| {
            let minute = end * f64::from(step) / f64::from(SERIES_STEPS);
            let cubes = request.phases.iter().fold(0_u32, |sum, p| {
                sum.saturating_add(p.feeds_before(minute).saturating_mul(p.cubes_per_feed))
            });
            FeedPoint { minute, cubes, grams: f64::from(cubes) * request.cube_mass_g }
        })
        .collect()
}
