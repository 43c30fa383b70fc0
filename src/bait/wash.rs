//! Washing cubes: how many rinses to clear water, and how warm it may be for hands.
//!
//! # Model
//! Each rinse mixes what the sieve keeps back with fresh water: of what clouds it, the share kept/(kept + added) stays.
//! n rinses leave that share to the nth power (simple dilution; grease that is still on the cubes comes off into the
//! next water and is not counted, so warm water comes first). Many small rinses clear with less water than a few large
//! ones.
//!
//! # Hands
//! Fat of pork softens from about 30 to 40 °C (from memory), so warm water cleans better. Water up to 43 °C is called
//! safe for hands; above it hands that stay in are warned about, from 50 °C (a blister in minutes) all hands.
//!
//! The 43 °C are our own caution. The UK's Health and Safety Executive ("Scalding and burning"; sheet HSIS6) gives no
//! limit for the hands of healthy adults: its 44 °C is for vulnerable people in care whose whole body is in the water,
//! and surfaces that they may touch stay at 43 °C or less.
//!
//! The time to a burn is the shortest of the published ones for adults ([`burns_in_s`]). Children's and old people's
//! skin burns sooner.

use super::whole;
use crate::refusal::{Refusal, within};
use serde::{Deserialize, Serialize};

/// What [`wash`] is asked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WashRequest {
    /// Water that stays with the drained cubes in the sieve, ml (1 to 20 000).
    pub kept_ml: f64,
    /// Fresh water in each rinse, ml (10 to 50 000).
    pub added_ml: f64,
    /// How much of the first cloudiness may be left, as a share (0.0001 to 0.5); 0.01 looks clear.
    #[serde(default = "usual::left_share")]
    pub left_share: f64,
    /// Temperature of the washing water, °C (0 to 90).
    pub water_c: f64,
    /// Hot water at hand, °C (30 to 100).
    #[serde(default = "usual::hot_c")]
    pub hot_c: f64,
    /// Cold water at hand, °C (0 to 30).
    #[serde(default = "usual::cold_c")]
    pub cold_c: f64,
}

/// What is taken where a request leaves it out.
mod usual {
    pub(super) fn left_share() -> f64 {
        0.01
    }
    pub(super) fn hot_c() -> f64 {
        60.0
    }
    pub(super) fn cold_c() -> f64 {
        10.0
    }
}

/// How hot water is for hands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Heat {
    /// Up to 43 °C: safe for as long as it takes.
    Safe,
    /// Above 43 °C: burns hands that stay in for long.
    Prolonged,
    /// From 50 °C: burns within minutes to less than a second.
    Scalds,
}

/// How to wash.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Wash {
    /// Rinses.
    pub rinses: u32,
    /// Fresh water for all of them, litres.
    pub total_l: f64,
    /// Share of the cloudiness left after each rinse.
    pub left_after: Vec<f64>,
    /// Hot water in each rinse, ml, to come to the washing temperature; `None` when the two waters cannot make it.
    pub hot_ml: Option<f64>,
    /// Warm enough to soften fat.
    pub softens_fat: bool,
    /// What the washing water does to hands.
    pub heat: Heat,
    /// Seconds in which the washing water burns an adult's skin, as [`burns_in_s`].
    pub burns_in_s: Option<f64>,
    /// The same of the hot water alone; `None` when none is mixed in.
    pub hot_burns_in_s: Option<f64>,
    /// What to mind, in a sentence.
    pub caution: &'static str,
}

/// Hottest water that is called safe for hands, °C; above it the tables of burns begin.
pub const SAFE_HAND_C: f64 = 43.0;
/// From here the warning is a strong one, °C: the tables come from minutes (49 °C) to seconds (55 °C).
pub const SCALDS_C: f64 = 50.0;
/// From here skin blisters in less than a second, °C: "well under 1 s", UK housing ministry 2004.
pub const UNDER_A_SECOND_C: f64 = 70.0;
/// From here fat of pork is soft, °C (from memory).
pub const SOFT_FAT_C: f64 = 35.0;
const MAX_RINSES: u32 = 30;

/// Shortest published times to a burn of an adult's skin, (°C, s).
const BURNS: [(f64, f64); 10] = [
    // Moritz and Henriques 1947, Am. J. Pathol. 23:695, as quoted.
    (44.0, 21_600.0),
    // To a blister: an industry table, consistent with Moritz and Henriques.
    (45.0, 7200.0),
    (47.0, 1200.0),
    (48.0, 900.0),
    // US Consumer Product Safety Commission (third degree; the industry's blister takes 8 min).
    (49.0, 300.0),
    // The industry table again.
    (51.0, 120.0),
    (55.0, 17.0),
    (60.0, 3.0),
    // A children's hospital in the US (150 and 155 °F); 68 °C is Moritz and Henriques's too, as quoted.
    (66.0, 1.5),
    (68.0, 1.0),
];
/// Plans the washing.
///
/// # Errors
/// A number outside its range; more than 30 rinses.
///
/// # Example
/// ```
/// use dotdown::bait::wash::{Heat, WashRequest, wash};
/// // 200 ml stay in the sieve, 1 l goes in: each rinse leaves a sixth, three leave half a percent.
/// let plan = wash(&WashRequest {
///     kept_ml: 200.0, added_ml: 1000.0, left_share: 0.01, water_c: 40.0, hot_c: 60.0, cold_c: 10.0,
/// })
/// .unwrap();
/// assert_eq!((plan.rinses, plan.total_l), (3, 3.0));
/// assert!(plan.heat == Heat::Safe && plan.softens_fat && plan.hot_ml == Some(600.0));
/// // The tap that 40 °C is mixed with is another matter.
/// assert!(plan.hot_burns_in_s.unwrap() < 3.01);
/// ```
pub fn wash(request: &WashRequest) -> Result<Wash, Refusal> {
    let kept_ml = within("kept_ml", "water that stays in the sieve", request.kept_ml, (1.0, 20_000.0), "ml")?;
    let added = within("added_ml", "water in each rinse", request.added_ml, (10.0, 50_000.0), "ml")?;
    let goal = within("left_share", "share of cloudiness left", request.left_share, (0.0001, 0.5), "")?;
    let water_c = within("water_c", "temperature of the washing water", request.water_c, (0.0, 90.0), "°C")?;
    let hot_c = within("hot_c", "temperature of the hot water", request.hot_c, (30.0, 100.0), "°C")?;
    let cold_c = within("cold_c", "temperature of the cold water", request.cold_c, (0.0, 30.0), "°C")?;
    let each = kept_ml / (kept_ml + added);
    let rinses = whole((goal.ln() / each.ln() - 1e-9).ceil()).max(1);
    if rinses > MAX_RINSES {
        let sentence = format!(
            "It takes more than {MAX_RINSES} such rinses to clear the water; add more water each time or drain better."
        );
        return Err(Refusal::new("too_many", "added_ml", sentence));
    }
    let mut left = 1.0;
    let left_after = (0..rinses)
        .map(|_| {
            left *= each;
            left
        })
        .collect();
    let hot_share = (water_c - cold_c) / (hot_c - cold_c);
    let hot_ml = (0.0..=1.0).contains(&hot_share).then_some(hot_share * added);
    let heat = if water_c <= SAFE_HAND_C {
        Heat::Safe
    } else if water_c < SCALDS_C {
        Heat::Prolonged
    } else {
        Heat::Scalds
    };
    Ok(Wash {
        rinses,
        total_l: f64::from(rinses) * added / 1000.0,
        left_after,
        hot_ml,
        softens_fat: water_c >= SOFT_FAT_C,
        heat,
        burns_in_s: burns_in_s(water_c),
        hot_burns_in_s: hot_ml.filter(|ml| *ml > 0.0).and_then(|_| burns_in_s(hot_c)),
        caution: match heat {
            Heat::Scalds => {
                "Too hot for hands: use a spoon, or cooler water. Pour hot water away from you, and keep children away."
            }
            Heat::Prolonged => {
                "Too warm for hands that stay in for long: cool it to 43 °C, or stir with a spoon. Keep children away."
            }
            Heat::Safe if water_c < SOFT_FAT_C => {
                "Cold water leaves grease on: start with hand-warm water, 35 to 43 °C, and finish cold."
            }
            Heat::Safe => {
                "Safe for hands, and warm enough for grease. Grease makes floors and tins slippery."
            }
        },
    })
}

/// Seconds in which water of `t_c` °C burns an adult's skin, by the shortest published time; `None` up to 43 °C.
///
/// Between the published temperatures the logarithm of time goes in a straight line. Past both ends it is held: 6 h up to
/// 44 °C, and 1 s from 68 °C on, of which [`UNDER_A_SECOND_C`] says more.
#[must_use]
pub fn burns_in_s(t_c: f64) -> Option<f64> {
    if t_c <= SAFE_HAND_C {
        return None;
    }
    let after = BURNS.iter().position(|&(c, _)| c >= t_c);
    Some(match after {
        None => BURNS[BURNS.len() - 1].1,
        Some(0) => BURNS[0].1,
        Some(i) => {
            let ((c0, s0), (c1, s1)) = (BURNS[i - 1], BURNS[i]);
            (s0.ln() + (t_c - c0) / (c1 - c0) * (s1.ln() - s0.ln())).exp()
        }
    })
}
