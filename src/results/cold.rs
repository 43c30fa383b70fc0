//! Bags in the freezer and out of it, cubes with ice in them, and the rinses.

use super::requests::{air_share, label, mm, shape, water_c};
use crate::bait::cold::{self, FreezingRequest, FreezingTime, FrozenCurve, Surface, frozen_curve};
use crate::bait::wash::{Wash, WashRequest, wash};
use crate::plan::Around;
use crate::plan::Plan;
use crate::refusal::Refusal;
use crate::units::between;
use std::cell::RefCell;

/// The middle of a bag counts as frozen here, °C: most of the ice that forms at all is there.
const FROZEN_C: f64 = -15.0;
/// Hot and cold water at the tap, °C. Common practice.
pub(crate) const TAPS_C: (f64, f64) = (60.0, 10.0);
/// What may be left of the first cloudiness: it looks clear.
const CLEAR: f64 = 0.01;

thread_local! {
    /// What was asked last and its answer: the heat balance is the dearest part of a plan's results, and changes seldom.
    static LAST: RefCell<Vec<(FreezingRequest, Result<FreezingTime, Refusal>)>> = const { RefCell::new(Vec::new()) };
}

/// [`cold::freezing_time`], kept for the last few requests.
fn freezing_time(request: FreezingRequest) -> Result<FreezingTime, Refusal> {
    LAST.with_borrow_mut(|last| {
        if let Some((_, time)) = last.iter().find(|(asked, _)| *asked == request) {
            return time.clone();
        }
        let time = cold::freezing_time(&request);
        last.truncate(3);
        last.insert(0, (request, time.clone()));
        time
    })
}

fn chill(
    plan: &Plan,
    start: i32,
    medium: i32,
    until_c: f64,
    around: Around,
) -> Result<FreezingTime, Refusal> {
    freezing_time(FreezingRequest {
        label: label(plan),
        thickness_mm: mm(plan.bait_more.cold.bag_tenth_mm),
        start_c: f64::from(start) / 10.0,
        medium_c: f64::from(medium) / 10.0,
        until_c,
        surface: match around {
            Around::StillAir => Surface::StillAir,
            Around::Fan => Surface::Fan,
            Around::OnMetal => Surface::OnMetal,
            Around::StillWater => Surface::StillWater,
            Around::RunningWater => Surface::RunningWater,
        },
    })
}

/// How long a bag of this plan takes to freeze.
///
/// # Errors
/// As [`cold::freezing_time`] refuses.
pub fn freezing(plan: &Plan) -> Result<FreezingTime, Refusal> {
    let cold = &plan.bait_more.cold;
    // A freezer that is itself warmer than "frozen" freezes to within a degree of its own temperature.
    let until = FROZEN_C.max(f64::from(cold.freezer_tenth_c) / 10.0 + 1.0);
    chill(plan, cold.start_tenth_c, cold.freezer_tenth_c, until, cold.freeze_in)
}

/// How long a bag of this plan takes to thaw, until its middle has no ice left.
///
/// # Errors
/// As [`cold::freezing_time`] refuses.
pub fn thawing(plan: &Plan) -> Result<FreezingTime, Refusal> {
    let cold = &plan.bait_more.cold;
    chill(plan, cold.freezer_tenth_c, cold.thaw_tenth_c, 0.0, cold.thaw_in)
}

/// Whole quarters of an hour that are long enough for the slow side of the band, minutes; within what a step may last.
pub(crate) fn proposed_min(chill: &FreezingTime) -> i32 {
    let quarters = between((chill.minutes.high / 15.0).ceil(), 1.0, 192.0);
    #[expect(clippy::cast_possible_truncation, reason = "held between 1 and 192")]
    let quarters = quarters as i32;
    quarters * 15
}

/// How frozen cubes of this plan sink.
///
/// # Errors
/// As [`frozen_curve`] refuses.
pub(crate) fn frozen(plan: &Plan) -> Result<FrozenCurve, Refusal> {
    frozen_curve(&label(plan), air_share(plan), shape(plan), water_c(plan))
}

/// The plan's rinses.
///
/// # Errors
/// As [`wash`] refuses.
pub(crate) fn rinses(plan: &Plan) -> Result<Wash, Refusal> {
    let rinse = &plan.bait_more.rinse;
    wash(&WashRequest {
        kept_ml: f64::from(rinse.kept_ml),
        added_ml: f64::from(rinse.added_ml),
        left_share: CLEAR,
        water_c: f64::from(rinse.water_tenth_c) / 10.0,
        hot_c: TAPS_C.0,
        cold_c: TAPS_C.1,
    })
}
