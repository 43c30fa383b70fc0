//! Tackle that holds: which link breaks first, how hard the elastic pulls, and where a back shot goes.
//!
//! # The model
//! A line breaks at its knot. Its strength there is the spool's figure, or the area of its section times a strength of
//! nylon (and less when wet), times a knot factor. **These are rules of thumb**; each comes with a band, and [`TackleSettings`]
//! holds them. What the spool says goes before both. The hooklength has to be the weak link, so that only the hook is lost;
//! whether it is, is judged with the bands, each line's own.
//!
//! # Validity
//! A slow, steady pull. A fish that rushes, a pole that bends, stretch of the line, wear, sun and old elastic are left out.

mod elastic;
mod warning;

use super::within;
use crate::estimate::{Estimate, Z90, chance_below};
use crate::physics::G_M_PER_S2;
use crate::refusal::Refusal;
pub use elastic::{Elastic, ElasticReport, Pull, Reach, Section};
use serde::{Deserialize, Serialize};
pub use warning::TackleWarning;

/// What a broken line does. Shown wherever a strength is shown.
pub const CAUTION: &str = "A line that breaks leaves hook and line in a fish. Keep the hooklength the weakest link, use \
                           barbless hooks where the rules ask for them, and never pull for a break with a fish on.";

/// The rules of thumb.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TackleSettings {
    /// Strength of nylon line over its section, `MPa`: 550 to 1040, 700 between. Fibres of nylon 6.6 are given 547 to 752,
    /// industrial ones 1037 (Morton and Hearle, table 13.2); two lines of an angling guide come to 680 and 694.
    pub nylon_mpa: Estimate,
    /// What is left of that when wet: 0.8 to 1.
    pub wet: Estimate,
    /// Part of the strength left at a knot: 0.5 (Pieranski et al. 2001) to 0.95, 0.8 between (judgement).
    pub knot: Estimate,
    /// How a spool's figure holds, as a part of it: 0.85 to 1.1, 1 between (judgement, no published source).
    pub spool: Estimate,
    /// A hooklength that breaks first in fewer cases than this, as a chance, is told as too close (0.75).
    pub sure: f64,
}

impl Default for TackleSettings {
    fn default() -> Self {
        Self {
            nylon_mpa: Estimate { low: 550.0, mid: 700.0, high: 1040.0 },
            wet: Estimate { low: 0.8, mid: 0.9, high: 1.0 },
            knot: Estimate { low: 0.5, mid: 0.8, high: 0.95 },
            spool: Estimate { low: 0.85, mid: 1.0, high: 1.1 },
            sure: 0.75,
        }
    }
}

/// A line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LineSpec {
    /// Diameter, mm (0.03 to 1).
    pub diameter_mm: f64,
    /// Strength that the spool tells, kg (0.05 to 50), if it does.
    #[serde(default)]
    pub spool_kg: Option<f64>,
}

/// What is to be checked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TackleRequest {
    /// The main line.
    pub main: LineSpec,
    /// The hooklength; none if the hook is tied to the main line.
    #[serde(default)]
    pub hooklength: Option<LineSpec>,
    /// Knot factor, if the user measured or knows one (0.2 to 1); else the band of the settings.
    #[serde(default)]
    pub knot: Option<f64>,
    /// The elastic, if it is to be counted.
    #[serde(default)]
    pub elastic: Option<Elastic>,
}

/// A strength at the knot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Strength {
    /// Newtons, low to high.
    pub newtons: Estimate,
    /// Kilograms-force, low to high.
    pub kg: Estimate,
    /// Whether it is from the spool's figure (else from the diameter by the rule of thumb).
    pub from_spool: bool,
}

/// The tackle, checked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tackle {
    /// The main line at its knot.
    pub main: Strength,
    /// The hooklength at its knot.
    pub hooklength: Option<Strength>,
    /// By how much the hooklength is weaker, N of the middle figures (below 0: it is the stronger).
    pub weaker_by_n: Option<f64>,
    /// Hooklength over main line, middle figures.
    pub ratio: Option<f64>,
    /// The chance that the hooklength is the weaker of the two, 0 to 1.
    pub weaker_chance: Option<f64>,
    /// The elastic.
    pub elastic: Option<ElasticReport>,
    /// What to change, gravest first.
    pub warnings: Vec<TackleWarning>,
}

impl TackleRequest {
    fn check(&self) -> Result<(), Refusal> {
        within("main.diameter_mm", self.main.diameter_mm, 0.03, 1.0, "mm")?;
        within("main.spool_kg", self.main.spool_kg.unwrap_or(1.0), 0.05, 50.0, "kg")?;
        if let Some(line) = &self.hooklength {
            within("hooklength.diameter_mm", line.diameter_mm, 0.03, 1.0, "mm")?;
            within("hooklength.spool_kg", line.spool_kg.unwrap_or(1.0), 0.05, 50.0, "kg")?;
        }
        within("knot", self.knot.unwrap_or(1.0), 0.2, 1.0, "of the line's strength")?;
        self.elastic.as_ref().map_or(Ok(()), Elastic::check)
    }
}

/// The product of two figures that are independent of each other: their bands add as squares of logarithms.
fn joined(a: Estimate, b: Estimate) -> Estimate {
    let mid = a.mid * b.mid;
    let low = (a.mid / a.low).ln().hypot((b.mid / b.low).ln());
    let high = (a.high / a.mid).ln().hypot((b.high / b.mid).ln());
    Estimate { low: mid * (-low).exp(), mid, high: mid * high.exp() }
}

/// Strength of a line at its knot.
fn strength(line: &LineSpec, knot: Option<f64>, settings: &TackleSettings) -> Strength {
    let knot = knot.map_or(settings.knot, Estimate::exact);
    let area_mm2 = core::f64::consts::FRAC_PI_4 * line.diameter_mm * line.diameter_mm;
    let straight = match line.spool_kg {
        Some(kg) => settings.spool.times(kg * G_M_PER_S2),
        // 1 MPa on 1 mm2 is 1 N.
        None => joined(settings.nylon_mpa, settings.wet).times(area_mm2),
    };
    let newtons = joined(straight, knot);
    Strength { newtons, kg: newtons.times(1.0 / G_M_PER_S2), from_spool: line.spool_kg.is_some() }
}

/// The chance that the hooklength is weaker than the main line: the logarithms of both strengths are taken as normal, their
/// bands as 90 %, and their errors as independent.
fn weaker_chance(main: &Strength, hooklength: &Strength) -> f64 {
    let sd = |strength: &Strength| (strength.newtons.high / strength.newtons.low).ln() / (2.0 * Z90);
    let apart = (main.newtons.mid / hooklength.newtons.mid).ln();
    chance_below(apart / sd(main).hypot(sd(hooklength)).max(1e-9))
}

/// What is wrong between hooklength and main line.
fn link_warnings(
    main: &Strength,
    hooklength: Option<&Strength>,
    settings: &TackleSettings,
) -> Vec<TackleWarning> {
    let Some(hooklength) = hooklength else { return vec![TackleWarning::NoHooklength] };
    let ratio = hooklength.newtons.mid / main.newtons.mid;
    let mut warnings = Vec::new();
    if ratio >= 1.0 {
        warnings.push(TackleWarning::HooklengthNotWeaker { ratio });
    } else if weaker_chance(main, hooklength) < settings.sure {
        warnings.push(TackleWarning::HooklengthClose { ratio });
    }
    if main.from_spool != hooklength.from_spool && hooklength.newtons.high >= main.newtons.low {
        warnings.push(TackleWarning::MixedSources);
    }
    warnings
}

/// Checks lines and elastic against each other.
///
/// # Errors
/// Numbers outside their limits.
///
/// # Example
/// ```
/// use dotdown::rig::tackle::{LineSpec, TackleSettings, TackleRequest, check_tackle};
/// let tackle = check_tackle(
///     &TackleRequest {
///         main: LineSpec { diameter_mm: 0.15, spool_kg: None },
///         hooklength: Some(LineSpec { diameter_mm: 0.12, spool_kg: None }),
///         knot: None,
///         elastic: None,
///     },
///     &TackleSettings::default(),
/// )?;
/// // Two lines of the same nylon are as strong as their sections: (0.12 / 0.15)^2.
/// assert!((tackle.ratio.unwrap() - 0.64).abs() < 1e-12);
/// assert!(tackle.warnings.is_empty());
/// # Ok::<(), dotdown::refusal::Refusal>(())
/// ```
pub fn check_tackle(request: &TackleRequest, settings: &TackleSettings) -> Result<Tackle, Refusal> {
    request.check()?;
    let main = strength(&request.main, request.knot, settings);
    let hooklength = request.hooklength.as_ref().map(|line| strength(line, request.knot, settings));
    let mut warnings = link_warnings(&main, hooklength.as_ref(), settings);
    let mut weakest = main.newtons;
    if let Some(other) = hooklength.as_ref().filter(|other| other.newtons.mid < weakest.mid) {
        weakest = other.newtons;
    }
    let elastic = request.elastic.as_ref().map(|elastic| {
        let report = elastic.report(&weakest);
        warnings.extend(elastic.warnings(&report, &weakest));
        report
    });
    Ok(Tackle {
        weaker_by_n: hooklength.as_ref().map(|h| main.newtons.mid - h.newtons.mid),
        ratio: hooklength.as_ref().map(|h| h.newtons.mid / main.newtons.mid),
        weaker_chance: hooklength.as_ref().map(|h| weaker_chance(&main, h)),
        main,
        hooklength,
        elastic,
        warnings,
    })
}

/// A back shot: shot on the line between pole tip and float, that keeps it from being blown about. It hangs from the
/// pole and the water, not from the float, and so is not balanced.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BackShot {
    /// The size's name in the table of shot sizes.
    pub size: String,
    /// How many.
    pub count: u32,
    /// Distance above the float along the line, mm.
    pub above_float_mm: i32,
}

/// The usual back shot: how many, and of what size. Common practice, no published source.
pub const BACK_SHOT: (u32, &str) = (2, "No. 8");

/// The back shot for a line of this length between pole tip and float: the usual one, halfway, in wind.
///
/// `wanted` is whether the rig is to carry one. None when it is not, or with less than 300 mm of line (no room; from
/// memory).
///
/// # Source
/// Common practice, no published source.
#[must_use]
pub fn back_shot(tip_to_float_mm: i32, wanted: bool) -> Option<BackShot> {
    (wanted && tip_to_float_mm >= 300).then(|| BackShot {
        size: BACK_SHOT.1.to_owned(),
        count: BACK_SHOT.0,
        above_float_mm: tip_to_float_mm / 2,
    })
}

#[cfg(test)]
mod tests;
