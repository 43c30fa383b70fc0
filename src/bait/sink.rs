//! How fast a piece of bait falls, and when it is at each depth, from the label on its tin.
//!
//! Label to density: the parts' densities (Choi and Okos 1986) with water by Tanaka et al. 2001, less a share of air.
//! Density to steady speed: three published drag laws for the shape's sphericity. Speed to time: from rest, with the
//! water that is moved along.
//!
//! # What the band is
//! The middle is the middle one of the three laws at the label's density, and nothing is tuned to it. `low` and `high`
//! hold the truth with about 90 % probability, our judgement from three sources, whose shares are told ([`BandShares`]):
//! * drag: the laws disagree with each other; and the one published fall of a single cube that we found, of steel with
//!   bevelled edges, was 1.33 times as fast as the fastest law at Re 380 (Wang et al. 2024), and a cut and washed cube has
//!   soft edges too; so the fast side of a cube reaches that far. Pettyjohn and Christiansen's ends, joined by a formula
//!   that they did not measure, are the furthest of the three from that cube (1.59 times too slow), and do not widen the
//!   band of a cube;
//! * the tin: a label is rounded and batches differ, 5 kg/m3 as a standard deviation in density (a few tenths of a gram of
//!   salt are worth two), so that the band of the typical tin holds the entries of all the tables;
//! * air: 0.4 % of the volume as a standard deviation, 4.2 kg/m3 (voids of 3.3 % would float the fattest of
//!   [`TINS`](super::material::TINS)).
//!
//! Drag and density are joined as independent doubts (in quadrature, but for pieces near water's own density). A block that
//! was weighed and measured speaks for tin and air together ([`WeighedBlock`](super::material::WeighedBlock)). The tub test
//! narrows all of it.
//!
//! Validity: fresh water 0 to 40 °C, pieces 2 to 30 mm, sphericity 0.6 to 1, Re up to 25 000 (spheres 200 000).

use super::material::{LabelDoubt, Matter, MatterDensity, matter_density};
use super::shape::Shape;
use crate::estimate::{Estimate, Z90};
use crate::physics::settling::{DragLaw, SettlingBody, time_from_rest_s};
use crate::physics::{G_M_PER_S2, water};
use crate::refusal::{Refusal, at_most, short, within};
use core::f64::consts::FRAC_PI_8;
use serde::{Deserialize, Serialize};

/// What [`sink`] is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SinkRequest {
    /// What it is made of.
    pub matter: Matter,
    /// Its shape and size.
    pub shape: Shape,
    /// Water, °C (0 to 40); the piece is taken to be as warm.
    pub water_temperature_c: f64,
    /// Depths to time, m (0 to 30), at most 40 of them.
    #[serde(default)]
    pub depths_m: Vec<f64>,
}

/// Time to one depth; `None` where the piece does not sink.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct FallTime {
    /// The depth, m.
    pub depth_m: f64,
    /// The shortest time, s.
    pub low_s: Option<f64>,
    /// The middle time, s.
    pub mid_s: Option<f64>,
    /// The longest time, s.
    pub high_s: Option<f64>,
}

/// Whether a piece sinks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Heavier than water over the whole band.
    Sinks,
    /// The band of its density reaches down to the water's.
    MaySink,
    /// Lighter than water at the middle of its band: it stays up or comes up again.
    Floats,
}

/// What one drag law says.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct LawSpeed {
    /// Authors and year.
    pub law: &'static str,
    /// Steady speed at the middle density, m/s.
    pub speed_m_per_s: f64,
    /// Reynolds number at that speed.
    pub reynolds: f64,
    /// Drag coefficient at that speed; 0 for a floating piece.
    pub drag_coefficient: f64,
    /// The band reaches to it.
    pub in_band: bool,
}

/// What makes the band of the speed: shares of the variance of its logarithm, which add up to 1.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct BandShares {
    /// The tin, or a density given in its place.
    pub tin: f64,
    /// Air in the meat; 0 without a label.
    pub air: f64,
    /// The law of drag.
    pub drag: f64,
}

/// A speed as it is told: what is slower than a centimetre in a quarter of an hour nobody sees sink.
pub(super) fn seen_m_per_s(speed: f64) -> f64 {
    if speed < 1e-5 { 0.0 } else { speed }
}

/// How a piece sinks.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Sink {
    /// Whether it does.
    pub verdict: Verdict,
    /// Density of the water, kg/m3.
    pub water_kg_per_m3: f64,
    /// Density of the piece, kg/m3.
    pub density_kg_per_m3: Estimate,
    /// Mass of one piece, g.
    pub mass_g: f64,
    /// Steady speed, m/s; 0 where it floats.
    pub speed_m_per_s: Estimate,
    /// What each law says.
    pub laws: [LawSpeed; 3],
    /// What makes the band of the speed.
    pub shares: BandShares,
    /// Time that the start from rest costs over a fall at the steady speed all the way, s, at the middle.
    pub start_lag_s: f64,
    /// Time to each depth that was asked, in the order asked.
    pub falls: Vec<FallTime>,
}

/// Tuning numbers of [`sink_with`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SinkSettings {
    /// What a label leaves open.
    pub label: LabelDoubt,
    /// Gravity, m/s2; default standard gravity.
    pub g_m_per_s2: f64,
}

impl Default for SinkSettings {
    fn default() -> Self {
        Self { label: LabelDoubt::default(), g_m_per_s2: G_M_PER_S2 }
    }
}

const MAX_DEPTHS: usize = 40;

/// Refuses more depths than are timed in one call, and any below what is fished.
pub(super) fn check_depths(field: &'static str, depths_m: &[f64]) -> Result<(), Refusal> {
    at_most("depths_m", depths_m.len(), MAX_DEPTHS, "depths are timed at once")?;
    depths_m.iter().try_for_each(|&depth| within(field, "depth", depth, (0.0, 30.0), "m").map(drop))
}

/// Speed and fall times of a piece, with the default [`SinkSettings`].
///
/// # Errors
/// A number outside its range, a label over 100 g, more than 40 depths, or a fall beyond the drag laws. A piece that
/// floats is an answer, not an error.
///
/// # Example
/// ```
/// use dotdown::bait::material::{Matter, TINS};
/// use dotdown::bait::shape::Shape;
/// use dotdown::bait::sink::{SinkRequest, Verdict, sink};
/// let fall = sink(&SinkRequest {
///     matter: Matter::Label { label: TINS[0].label, air_share: 0.0, block: None, tests: None },
///     shape: Shape::Cube { edge_mm: 6.0 },
///     water_temperature_c: 15.0,
///     depths_m: vec![0.4572],
/// })
/// .unwrap();
/// assert_eq!(fall.verdict, Verdict::Sinks);
/// assert!(fall.falls[0].low_s < Some(7.5) && fall.falls[0].high_s > Some(7.5));
/// ```
pub fn sink(request: &SinkRequest) -> Result<Sink, Refusal> {
    sink_with(request, &SinkSettings::default())
}

/// Speed and fall times of a piece.
///
/// # Errors
/// As [`sink`].
pub fn sink_with(request: &SinkRequest, settings: &SinkSettings) -> Result<Sink, Refusal> {
    let t_c =
        within("water_temperature_c", "water temperature", request.water_temperature_c, (0.0, 40.0), "°C")?;
    request.shape.check()?;
    check_depths("depths_m", &request.depths_m)?;
    let MatterDensity { mid: density, sd, air } = matter_density(&request.matter, t_c, &settings.label)?;
    let still = StillWater::new(request.shape, t_c, settings.g_m_per_s2);
    let excess = density - still.water_kg_per_m3;
    let reach = Z90 * sd;
    let laws = still.laws(excess);
    for (law, said) in still.laws.iter().zip(&laws) {
        if said.reynolds > law.most_re() {
            let sentence = format!(
                "This piece falls at a Reynolds number of {}; the drag laws hold up to {}. Take a smaller or lighter piece.",
                short(said.reynolds),
                short(law.most_re())
            );
            return Err(Refusal::new("beyond_drag_laws", "shape", sentence));
        }
    }
    let speed = still.speed_band(excess, sd).map(seen_m_per_s);
    let falls =
        request.depths_m.iter().map(|&depth_m| still.fall_time(depth_m, speed, excess, reach)).collect();
    Ok(Sink {
        verdict: if speed.mid <= 0.0 {
            Verdict::Floats
        } else if excess <= reach {
            Verdict::MaySink
        } else {
            Verdict::Sinks
        },
        water_kg_per_m3: still.water_kg_per_m3,
        density_kg_per_m3: Estimate { low: density - reach, mid: density, high: density + reach },
        mass_g: density * request.shape.volume_mm3() * 1e-6,
        speed_m_per_s: speed,
        laws,
        shares: still.shares(excess, sd, air),
        start_lag_s: if excess > 0.0 {
            core::f64::consts::LN_2 * speed.mid / still.acceleration_m_per_s2(excess)
        } else {
            0.0
        },
        falls,
    })
}

/// A shape in still water of one temperature, with its three laws ready.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StillWater {
    shape: Shape,
    pub(crate) water_kg_per_m3: f64,
    viscosity_pa_s: f64,
    g_m_per_s2: f64,
    laws: [DragLaw; 3],
}

impl StillWater {
    pub(crate) fn new(shape: Shape, t_c: f64, g_m_per_s2: f64) -> Self {
        Self {
            shape,
            water_kg_per_m3: water::density_kg_per_m3(t_c),
            viscosity_pa_s: water::viscosity_pa_s(t_c),
            g_m_per_s2,
            laws: DragLaw::three(shape.sphericity()),
        }
    }

    fn fall(&self, excess_kg_per_m3: f64) -> SettlingBody {
        SettlingBody {
            diameter_m: self.shape.equivalent_diameter_mm() * 1e-3,
            excess_kg_per_m3,
            water_kg_per_m3: self.water_kg_per_m3,
            viscosity_pa_s: self.viscosity_pa_s,
            g_m_per_s2: self.g_m_per_s2,
        }
    }

    fn laws(&self, excess: f64) -> [LawSpeed; 3] {
        let fall = self.fall(excess);
        let mut counted = 0;
        self.laws.map(|law| {
            counted += 1;
            let speed_m_per_s = fall.speed_m_per_s(&law);
            let reynolds = fall.reynolds(speed_m_per_s);
            let drag_coefficient = if reynolds > 0.0 { law.cd(reynolds) } else { 0.0 };
            let in_band = counted <= self.shape.laws_in_band();
            LawSpeed { law: law.name(), speed_m_per_s, reynolds, drag_coefficient, in_band }
        })
    }

    /// Slowest, middle and fastest of the laws, m/s; of the ends those that hold for the shape.
    pub(crate) fn law_speeds(&self, excess: f64) -> Estimate {
        let fall = self.fall(excess);
        let [a, b, c] = self.laws.map(|law| fall.speed_m_per_s(&law));
        let last = if self.shape.laws_in_band() < 3 { a } else { c };
        let (low, high) = (a.min(b).min(last), a.max(b).max(last));
        Estimate { low, mid: a.max(b).min(a.min(b).max(c)), high }
    }

    /// The 5th, 50th and 95th percentile of what drag alone leaves open around `laws`, as factors on the middle law.
    pub(crate) fn drag_factors(&self, laws: Estimate) -> Estimate {
        let (slow, fast) = self.shape.law_margins();
        Estimate { low: slow * laws.low / laws.mid, mid: 1.0, high: fast * laws.high / laws.mid }
    }

    /// The band of the steady speed for a density that is `sd` uncertain.
    ///
    /// Each end is the furthest that density and drag reach together while the squares of their shares of their own ends
    /// add up to one, tried in five proportions (first-order reliability, Hasofer and Lind 1974, J. Eng. Mech. Div.
    /// 100:111, from memory). Where speed is a power of the excess that is their quadrature on the logarithm of speed; it
    /// holds beside water's density as well, where that is not so. As every speed tried rises with the density, so do both
    /// ends.
    fn speed_band(&self, excess: f64, sd: f64) -> Estimate {
        let (slow, fast) = self.shape.law_margins();
        let laws = self.law_speeds(excess);
        let mut band = Estimate { low: slow * laws.low, mid: laws.mid, high: fast * laws.high };
        for part in 1..=4 {
            let (density, drag) = (f64::from(part) * FRAC_PI_8).sin_cos();
            let reach = Z90 * sd * density;
            let joined = |middle: f64, end: f64| middle.powf(1.0 - drag) * end.powf(drag);
            let (light, dense) = (self.law_speeds(excess - reach), self.law_speeds(excess + reach));
            band.low = band.low.min(joined(light.mid, slow * light.low));
            band.high = band.high.max(joined(dense.mid, fast * dense.high));
        }
        band
    }

    /// What makes that band, with `air` as air's part of the density's variance.
    fn shares(&self, excess: f64, sd: f64, air: f64) -> BandShares {
        let laws = self.law_speeds(excess);
        let (slow, fast) = self.shape.law_margins();
        let spread = |low: f64, high: f64, halves: f64| {
            if low > 0.0 { ((high / low).ln() / halves).powi(2) } else { 0.0 }
        };
        let drag = spread(slow * laws.low, fast * laws.high, 2.0);
        let at = |reach: f64| self.law_speeds(excess + reach * Z90 * sd).mid;
        // Beside water's own density the light side has no speed: the heavy side counts for both.
        let (light, dense) = (at(-1.0), at(1.0));
        let density = if light > 0.0 { spread(light, dense, 2.0) } else { spread(laws.mid, dense, 1.0) };
        let all = (density + drag).max(f64::MIN_POSITIVE);
        BandShares { tin: density * (1.0 - air) / all, air: density * air / all, drag: drag / all }
    }

    pub(crate) fn reynolds(&self, speed_m_per_s: f64) -> f64 {
        self.fall(0.0).reynolds(speed_m_per_s)
    }

    /// Acceleration from rest, m/s2.
    pub(crate) fn acceleration_m_per_s2(&self, excess: f64) -> f64 {
        self.fall(excess).first_acceleration_m_per_s2(self.shape.added_mass())
    }

    /// Time to fall `depth_m` at steady speed `speed`, s; `None` when it does not fall.
    pub(crate) fn time_s(&self, depth_m: f64, speed: f64, excess: f64) -> Option<f64> {
        (speed > 0.0 && excess > 0.0)
            .then(|| time_from_rest_s(depth_m, speed, self.acceleration_m_per_s2(excess)))
    }

    fn fall_time(&self, depth_m: f64, speed: Estimate, excess: f64, reach: f64) -> FallTime {
        FallTime {
            depth_m,
            low_s: self.time_s(depth_m, speed.high, excess + reach),
            mid_s: self.time_s(depth_m, speed.mid, excess),
            high_s: self.time_s(depth_m, speed.low, excess - reach),
        }
    }
}
