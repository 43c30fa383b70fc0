//! Tackle that holds: which link breaks first, how hard the elastic pulls, and where a back shot goes.
//!
//! # The model
//! A line breaks at its knot. Its strength there is the spool's figure, or the area of its section times a strength of
//! nylon, times a knot factor. **The strength of nylon and the knot factor are rules of thumb, from memory**; each comes
//! with a band, and [`Settings`] holds them. The hooklength has to be the weak link, so that only the hook is lost.
//!
//! Elastic is rubber ([`crate::physics::rubber`]): force is nominal stress times relaxed section, stretch is length over
//! relaxed length. In the pole it fills the kit's length; a fish that pulls out so many metres makes it longer by that.
//! A stop bead at the pole's end takes relaxed length out of use, so that the same metres stretch the rest further and
//! pull harder. The published points are of a bench vulcanisate, **not of angling elastic**: read the band.
//!
//! # Validity
//! A slow, steady pull. A fish that rushes, a pole that bends, stretch of the line, wear, old elastic and wet line are
//! left out.

use super::within;
use crate::estimate::Estimate;
use crate::physics::G_M_PER_S2;
use crate::physics::rubber::{STRETCH_RANGE, band_mpa};
use crate::refusal::Refusal;
use crate::units::fixed;
use core::fmt;
use serde::{Deserialize, Serialize};

/// What a broken line does. Shown wherever a strength is shown.
pub const CAUTION: &str = "A line that breaks leaves hook and line in a fish. Keep the hooklength the weakest link, use \
                           barbless hooks where the rules ask for them, and never pull for a break with a fish on.";

/// The rules of thumb. All from memory, no published source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Strength of nylon line over its section, `MPa`: 600 to 1000, 800 between. Makers' diameters are often told thin, so
    /// a figure on the spool may well be higher.
    pub nylon_mpa: Estimate,
    /// Part of the strength left at a knot: 0.6 to 0.95, 0.8 between.
    pub knot: Estimate,
    /// How a spool's figure holds, as a part of it: 0.85 to 1.1, 1 between.
    pub spool: Estimate,
    /// A hooklength stronger than this part of the main line is told as too close (0.9).
    pub close: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            nylon_mpa: Estimate { low: 600.0, mid: 800.0, high: 1000.0 },
            knot: Estimate { low: 0.6, mid: 0.8, high: 0.95 },
            spool: Estimate { low: 0.85, mid: 1.0, high: 1.1 },
            close: 0.9,
        }
    }
}

/// A line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// Diameter, mm (0.03 to 1).
    pub diameter_mm: f64,
    /// Strength that the spool tells, kg (0.05 to 50), if it does.
    #[serde(default)]
    pub spool_kg: Option<f64>,
}

/// The section of an elastic, relaxed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Section {
    /// Solid elastic.
    Solid {
        /// Diameter, mm (0.3 to 6).
        diameter_mm: f64,
    },
    /// Hollow elastic.
    Hollow {
        /// Outer diameter, mm (0.5 to 6).
        outer_mm: f64,
        /// Bore, mm (0.1 to less than the outer).
        inner_mm: f64,
    },
}

impl Section {
    /// Area of the rubber, mm2.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        let disc = |d: f64| core::f64::consts::FRAC_PI_4 * d * d;
        match *self {
            Self::Solid { diameter_mm } => disc(diameter_mm),
            Self::Hollow { outer_mm, inner_mm } => disc(outer_mm) - disc(inner_mm),
        }
    }
}

/// An elastic as it is rigged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Elastic {
    /// Its section.
    pub section: Section,
    /// Relaxed length from bung to connector, m (0.2 to 10).
    pub relaxed_m: f64,
    /// Length of the kit that it fills, bung to pole tip, m (0.2 to 10).
    pub kit_m: f64,
    /// Relaxed length that a stop bead (or turns on the bung) takes out of use, m (0 or more; 0.1 has to be left).
    #[serde(default)]
    pub taken_up_m: f64,
    /// How far a fish may pull it out, m (0 to 30), for the warnings.
    pub run_m: f64,
}

/// What is to be checked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TackleRequest {
    /// The main line.
    pub main: Line,
    /// The hooklength; none if the hook is tied to the main line.
    #[serde(default)]
    pub hooklength: Option<Line>,
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

/// How hard the elastic pulls.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pull {
    /// Metres pulled out of the pole.
    pub out_m: f64,
    /// Stretch of the elastic in use (below 1: slack).
    pub stretch: f64,
    /// Newtons, low to high.
    pub newtons: Estimate,
}

/// Metres pulled out at which the pull reaches the hooklength's strength; none: not within the published stretch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reach {
    /// Stiffest rubber, weakest knot.
    pub soonest_m: Option<f64>,
    /// Middle of both bands.
    pub mid_m: Option<f64>,
    /// Softest rubber, strongest knot.
    pub latest_m: Option<f64>,
}

/// The elastic, checked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ElasticReport {
    /// At rest in the pole.
    pub rest: Pull,
    /// With the run pulled out.
    pub run: Pull,
    /// The run with nothing taken up: what the stop bead changes.
    pub run_not_taken_up: Pull,
    /// Pull against metres out, from nothing to the longest stretch of the published points, in 24 steps.
    pub curve: Vec<Pull>,
    /// Where it reaches the strength of the weakest link.
    pub reach: Reach,
}

/// Something to change before the rig is used.
#[non_exhaustive]
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "code")]
pub enum Warning {
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

impl fmt::Display for Warning {
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
    /// The elastic.
    pub elastic: Option<ElasticReport>,
    /// What to change, gravest first.
    pub warnings: Vec<Warning>,
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

impl Elastic {
    fn check(&self) -> Result<(), Refusal> {
        match self.section {
            Section::Solid { diameter_mm } => {
                within("elastic.section.diameter_mm", diameter_mm, 0.3, 6.0, "mm")?;
            }
            Section::Hollow { outer_mm, inner_mm } => {
                within("elastic.section.outer_mm", outer_mm, 0.5, 6.0, "mm")?;
                within("elastic.section.inner_mm", inner_mm, 0.1, outer_mm - 0.1, "mm")?;
            }
        }
        within("elastic.relaxed_m", self.relaxed_m, 0.2, 10.0, "m")?;
        within("elastic.kit_m", self.kit_m, 0.2, 10.0, "m")?;
        within("elastic.taken_up_m", self.taken_up_m, 0.0, self.relaxed_m - 0.1, "m")?;
        within("elastic.run_m", self.run_m, 0.0, 30.0, "m")
    }

    /// How hard it pulls with so many metres out of the pole (0 or more).
    ///
    /// Beyond a stretch of 7.6 the pull stays that at 7.6 and the stretch tells it.
    #[must_use]
    pub fn pull(&self, out_m: f64) -> Pull {
        let stretch = (self.kit_m + out_m) / (self.relaxed_m - self.taken_up_m);
        Pull { out_m, stretch, newtons: band_mpa(stretch).times(self.section.area_mm2()) }
    }

    /// Metres out at which the stretch of the last published point is met.
    fn out_at_last_point_m(&self) -> f64 {
        (STRETCH_RANGE[1] * (self.relaxed_m - self.taken_up_m) - self.kit_m).max(0.0)
    }

    /// Metres out at which `part` of the pull reaches a strength, by halving; none if it does not within the points.
    fn out_at_m(&self, strength_n: f64, part: fn(&Estimate) -> f64) -> Option<f64> {
        let (mut low, mut high) = (0.0, self.out_at_last_point_m());
        if part(&self.pull(high).newtons) < strength_n {
            return None;
        }
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if part(&self.pull(middle).newtons) < strength_n { low = middle } else { high = middle }
        }
        Some(high)
    }

    fn report(&self, weakest: &Estimate) -> ElasticReport {
        const STEPS: u32 = 24;
        let last = self.out_at_last_point_m();
        let untaken = Self { taken_up_m: 0.0, ..self.clone() };
        ElasticReport {
            rest: self.pull(0.0),
            run: self.pull(self.run_m),
            run_not_taken_up: untaken.pull(self.run_m),
            curve: (0..=STEPS).map(|i| self.pull(last * f64::from(i) / f64::from(STEPS))).collect(),
            reach: Reach {
                soonest_m: self.out_at_m(weakest.low, |band| band.high),
                mid_m: self.out_at_m(weakest.mid, |band| band.mid),
                latest_m: self.out_at_m(weakest.high, |band| band.low),
            },
        }
    }

    fn warnings(&self, report: &ElasticReport, weakest: &Estimate) -> Vec<Warning> {
        let mut warnings = Vec::new();
        let run = &report.run;
        if run.newtons.mid >= weakest.mid {
            let (pull_n, strength_n) = (run.newtons.mid, weakest.mid);
            warnings.push(Warning::ElasticBreaksLine { pull_n, strength_n });
        } else if run.newtons.high >= weakest.low {
            let (pull_n, strength_n) = (run.newtons.high, weakest.low);
            warnings.push(Warning::ElasticMayBreakLine { pull_n, strength_n });
        }
        if run.stretch > STRETCH_RANGE[1] {
            warnings.push(Warning::ElasticBeyondPoints { stretch: run.stretch });
        }
        let slack_m = self.relaxed_m - self.taken_up_m - self.kit_m;
        if slack_m > 0.0 {
            warnings.push(Warning::ElasticSlack { slack_m });
        }
        warnings
    }
}

/// Strength of a line at its knot.
fn strength(line: &Line, knot: Option<f64>, settings: &Settings) -> Strength {
    let knot = knot.map_or(settings.knot, Estimate::exact);
    let area_mm2 = core::f64::consts::FRAC_PI_4 * line.diameter_mm * line.diameter_mm;
    let straight = match line.spool_kg {
        Some(kg) => settings.spool.times(kg * G_M_PER_S2),
        // 1 MPa on 1 mm2 is 1 N.
        None => settings.nylon_mpa.times(area_mm2),
    };
    let newtons = Estimate {
        low: straight.low * knot.low,
        mid: straight.mid * knot.mid,
        high: straight.high * knot.high,
    };
    Strength { newtons, kg: newtons.times(1.0 / G_M_PER_S2), from_spool: line.spool_kg.is_some() }
}

/// What is wrong between hooklength and main line.
fn link_warnings(main: &Strength, hooklength: Option<&Strength>, settings: &Settings) -> Vec<Warning> {
    let Some(hooklength) = hooklength else { return vec![Warning::NoHooklength] };
    let ratio = hooklength.newtons.mid / main.newtons.mid;
    let mut warnings = Vec::new();
    if ratio >= 1.0 {
        warnings.push(Warning::HooklengthNotWeaker { ratio });
    } else if ratio > settings.close {
        warnings.push(Warning::HooklengthClose { ratio });
    }
    if main.from_spool != hooklength.from_spool && hooklength.newtons.high >= main.newtons.low {
        warnings.push(Warning::MixedSources);
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
/// use dotdown::rig::tackle::{Line, Settings, TackleRequest, check_tackle};
/// let tackle = check_tackle(
///     &TackleRequest {
///         main: Line { diameter_mm: 0.15, spool_kg: None },
///         hooklength: Some(Line { diameter_mm: 0.12, spool_kg: None }),
///         knot: None,
///         elastic: None,
///     },
///     &Settings::default(),
/// )?;
/// // Two lines of the same nylon are as strong as their sections: (0.12 / 0.15)^2.
/// assert!((tackle.ratio.unwrap() - 0.64).abs() < 1e-12);
/// assert!(tackle.warnings.is_empty());
/// # Ok::<(), dotdown::refusal::Refusal>(())
/// ```
pub fn check_tackle(request: &TackleRequest, settings: &Settings) -> Result<Tackle, Refusal> {
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

/// The back shot for a line of this length between pole tip and float: two No. 8 halfway, in wind.
///
/// `wanted` is whether the rig is to carry one. None when it is not, or with less than 300 mm of line (no room; from
/// memory).
///
/// # Source
/// Common practice, no published source.
#[must_use]
pub fn back_shot(tip_to_float_mm: i32, wanted: bool) -> Option<BackShot> {
    (wanted && tip_to_float_mm >= 300).then(|| BackShot {
        size: "No. 8".to_owned(),
        count: 2,
        above_float_mm: tip_to_float_mm / 2,
    })
}

#[cfg(test)]
mod tests;
