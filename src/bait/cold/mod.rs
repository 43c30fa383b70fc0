//! Frozen and half-thawed cubes, and how long a bag takes to freeze and to thaw.
//!
//! # Density
//! Below its freezing point meat holds ice, which is light: at -18 °C the excess density over the water is a quarter of
//! the thawed cube's in a usual tin and half of it in a beef loaf, and the speed 0.45 to 0.66 of it. The first ice is by
//! Pham 1996, its share below that by the ASHRAE handbook's form ([`at_temperature`](crate::physics::food::Composition::at_temperature)). See [`frozen_curve`].
//!
//! # Times
//! A bag is a slab cooled or warmed through both faces. [`freezing_time`] solves the heat balance through half of it in small
//! steps of time and depth (enthalpy method, implicit), with the meat's own heat content and conductivity from its
//! label, so that the same sum serves freezing and thawing. Against a much finer explicit solution it is within 2 %, and within
//! 6 % where the wanted temperature is within 1 °C of the surroundings, which is told ([`FreezingTime::near`]).
//! What is not known so well is the surface: a coefficient chosen in words is uncertain by a third or more, and the
//! printed band shows that. The classical formulas stand beside it for comparison: [`plank_s`] (Plank 1913),
//! [`pham_s`] (Pham 1986). Neither of them is used for thawing: the ice of
//! salted meat melts over a range of ten degrees and more. Plank's formula turned round, with all the water as latent heat,
//! came out 21 to 48 % over ours (five tins, 10 to 60 mm, still air of 10 to 25 °C), and 24 and 28 % over a separate
//! program in two slabs (20 mm: 3.88 against 3.12 h; 40 mm: 8.71 against 6.79 h).
//!
//! Validity: slabs 5 to 120 mm, -40 to 40 °C, no wrapping beyond a thin film, no air gaps.

mod formulas;
mod frozen_cube;
mod slab;

use crate::estimate::Estimate;
use formulas::formula;
pub use formulas::{Formula, pham_s, plank_s};
use frozen_cube::no_water;
pub use frozen_cube::{FrozenCurve, FrozenPoint, frozen_curve};
pub use slab::{HeatTable, Moment, Slab, SlabRun, slab_time_s};

use super::material::Label;
use crate::refusal::{Refusal, short, within};
use serde::{Deserialize, Serialize};

/// Doubt in the meat's own heat content and conductivity, as half a band of the logarithm of time: about a tenth, judged
/// by letting all of its water freeze (8 % longer).
const MATTER_LN: f64 = 0.1;

/// What the bag lies in, in words. The coefficients are usual engineering ranges, from memory; no published source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// Still air: a freezer or fridge without a fan, a room, a cool box without ice.
    StillAir,
    /// Air moved by a fan or by wind.
    Fan,
    /// Pressed against cold metal, or between ice packs.
    OnMetal,
    /// Brine or water that stands still.
    StillWater,
    /// Brine or water that is stirred or runs.
    RunningWater,
}

impl Surface {
    /// Surface coefficient, W/(m2 K): the least, the middle and the most of the usual range.
    #[must_use]
    pub fn coefficient_w_per_m2_k(self) -> Estimate {
        let (low, mid, high) = match self {
            Self::StillAir => (6.0, 9.0, 13.0),
            Self::Fan => (15.0, 25.0, 40.0),
            Self::OnMetal => (30.0, 60.0, 120.0),
            Self::StillWater => (80.0, 150.0, 300.0),
            Self::RunningWater => (300.0, 500.0, 1000.0),
        };
        Estimate { low, mid, high }
    }
}

/// What [`freezing_time`] is asked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "ChillRequest"))]
#[serde(deny_unknown_fields)]
pub struct FreezingRequest {
    /// The tin's label.
    pub label: Label,
    /// Thickness of the bag, both faces in the cold or the warm, mm (5 to 120).
    pub thickness_mm: f64,
    /// Temperature of the bait at the start, °C (-40 to 40).
    pub start_c: f64,
    /// Temperature of what is around it, °C (-40 to 40).
    pub medium_c: f64,
    /// Temperature its middle is to reach, °C, between the two.
    pub until_c: f64,
    /// What is around it.
    pub surface: Surface,
}

/// How long a bag takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "Chill"))]
pub struct FreezingTime {
    /// It freezes (else it thaws, or only warms or cools).
    pub cooling: bool,
    /// Minutes until the middle is at the wanted temperature; low and high by the range of the surface
    /// coefficient and a tenth for the meat itself.
    pub minutes: Estimate,
    /// The wanted temperature is within 1 °C of what is around: up to 6 % more is left open then.
    pub near: bool,
    /// Temperature at which the first ice forms, °C.
    pub freezing_point_c: f64,
    /// Plank's formula for the latent heat alone, minutes; `None` when it does not freeze.
    pub plank_min: Option<f64>,
    /// Pham's formula for the whole freezing, minutes; `None` when it does not freeze, or outside its range.
    pub pham_min: Option<f64>,
    /// The way there, at most 41 moments.
    pub course: Vec<Moment>,
}

/// How long a bag takes to freeze or to thaw.
///
/// # Errors
/// A number outside its range; a label over 100 g or without water; a wanted temperature that is not between the start
/// and the surroundings, half a degree or more from the latter.
pub fn freezing_time(request: &FreezingRequest) -> Result<FreezingTime, Refusal> {
    within("thickness_mm", "thickness of the bag", request.thickness_mm, (5.0, 120.0), "mm")?;
    for (field, name, value) in [
        ("start_c", "temperature at the start", request.start_c),
        ("medium_c", "temperature around the bag", request.medium_c),
        ("until_c", "wanted temperature", request.until_c),
    ] {
        within(field, name, value, (-40.0, 40.0), "°C")?;
    }
    let FreezingRequest { start_c, medium_c, until_c, .. } = *request;
    let cooling = medium_c < start_c;
    let there = if cooling {
        until_c <= start_c && until_c >= medium_c + 0.5
    } else {
        until_c >= start_c && until_c <= medium_c - 0.5
    };
    let never_there = || {
        let (start, around, wanted) = (short(start_c), short(medium_c), short(until_c));
        let sentence = format!(
            "A bag at {start} °C with {around} °C around it never comes to {wanted} °C; give a temperature between the two, \
             half a degree or more from what is around."
        );
        Refusal::new("never_there", "until_c", sentence)
    };
    if !there {
        return Err(never_there());
    }
    let food = request.label.composition()?;
    let freezing_point_c = food.initial_freezing_point_c().ok_or_else(no_water)?;
    let matter = HeatTable::of(&food).ok_or_else(no_water)?;
    let h = request.surface.coefficient_w_per_m2_k();
    let slab = Slab { thickness_m: request.thickness_mm * 1e-3, start_c, medium_c, h_w_per_m2_k: h.mid };
    let run = slab_time_s(&matter, &slab, until_c).ok_or_else(never_there)?;
    // Time goes as D/(2h) + D2/(8k) in every slab formula (Plank); the band takes its ratio from that, and joins what the
    // ice curve, the conductivity and the label leave open.
    let k = food.at_temperature(start_c.min(medium_c)).conductivity_w_per_m_k(start_c.min(medium_c));
    let shape = |h: f64| slab.thickness_m / (2.0 * h) + slab.thickness_m * slab.thickness_m / (8.0 * k);
    let minutes = run.seconds / 60.0;
    let formula = formula(&food, freezing_point_c, &slab, until_c);
    let widened = |h: f64| (shape(h) / shape(slab.h_w_per_m2_k)).ln().hypot(MATTER_LN);
    Ok(FreezingTime {
        cooling,
        near: (until_c - medium_c).abs() < 1.0,
        minutes: Estimate {
            low: minutes * (-widened(h.high)).exp(),
            mid: minutes,
            high: minutes * widened(h.low).exp(),
        },
        freezing_point_c,
        plank_min: formula.map(|f| plank_s(&f) / 60.0),
        pham_min: formula.and_then(|f| pham_s(&f)).map(|s| s / 60.0),
        course: thin(&run.course),
    })
}

/// At most 41 moments of a course, the first and the last among them.
fn thin(course: &[Moment]) -> Vec<Moment> {
    let every = course.len().div_ceil(40).max(1);
    let last = course.len().saturating_sub(1);
    course
        .iter()
        .enumerate()
        .filter(|(i, _)| i % every == 0 || *i == last)
        .map(|(_, moment)| *moment)
        .collect()
}
