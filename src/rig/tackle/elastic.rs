//! How hard an elastic pulls.
//!
//! Elastic is rubber ([`crate::physics::rubber`]): force is nominal stress times relaxed section, stretch is length over
//! relaxed length. In the pole it fills the kit's length; a fish that pulls out so many metres makes it longer by that.
//! A stop bead at the pole's end takes relaxed length out of use, so that the same metres stretch the rest further and
//! pull harder. The published points are of a bench vulcanisate, **not of angling elastic**: read the band.

use super::warning::TackleWarning;
use crate::estimate::Estimate;
use crate::physics::rubber::{STRETCH_RANGE, band_mpa};
use crate::refusal::Refusal;
use crate::rig::within;
use serde::{Deserialize, Serialize};

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
    /// How far its diameter may be off, as a part of it (0 to 0.5): 0 where it was measured.
    #[serde(default)]
    pub off_share: f64,
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

impl Elastic {
    pub(super) fn check(&self) -> Result<(), Refusal> {
        match self.section {
            Section::Solid { diameter_mm } => {
                within("elastic.section.diameter_mm", diameter_mm, 0.3, 6.0, "mm")?;
            }
            Section::Hollow { outer_mm, inner_mm } => {
                within("elastic.section.outer_mm", outer_mm, 0.5, 6.0, "mm")?;
                within("elastic.section.inner_mm", inner_mm, 0.1, outer_mm - 0.1, "mm")?;
            }
        }
        within("elastic.off_share", self.off_share, 0.0, 0.5, "of the diameter")?;
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
        let pull = band_mpa(stretch).times(self.section.area_mm2());
        let (low, high) = ((1.0 - self.off_share).powi(2), (1.0 + self.off_share).powi(2));
        Pull {
            out_m,
            stretch,
            newtons: Estimate { low: pull.low * low, mid: pull.mid, high: pull.high * high },
        }
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

    pub(super) fn report(&self, weakest: &Estimate) -> ElasticReport {
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

    pub(super) fn warnings(&self, report: &ElasticReport, weakest: &Estimate) -> Vec<TackleWarning> {
        let mut warnings = Vec::new();
        let run = &report.run;
        if run.newtons.mid >= weakest.mid {
            let (pull_n, strength_n) = (run.newtons.mid, weakest.mid);
            warnings.push(TackleWarning::ElasticBreaksLine { pull_n, strength_n });
        } else if run.newtons.high >= weakest.low {
            let (pull_n, strength_n) = (run.newtons.high, weakest.low);
            warnings.push(TackleWarning::ElasticMayBreakLine { pull_n, strength_n });
        }
        if run.stretch > STRETCH_RANGE[1] {
            warnings.push(TackleWarning::ElasticBeyondPoints { stretch: run.stretch });
        }
        let slack_m = self.relaxed_m - self.taken_up_m - self.kit_m;
        if slack_m > 0.0 {
            warnings.push(TackleWarning::ElasticSlack { slack_m });
        }
        warnings
    }
}
