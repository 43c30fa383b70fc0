//! Frozen and half-thawed cubes, and how long a bag takes to freeze and to thaw.
//!
//! # Density
//! Below its freezing point meat holds ice, which is light: at -18 °C the excess density over the water is a quarter of
//! the thawed cube's in a usual tin and half of it in a beef loaf, and the speed 0.45 to 0.66 of it. The first ice is by
//! Pham 1996, its share below that by the ASHRAE handbook's form ([`Composition::at_temperature`]). See [`frozen_curve`].
//!
//! # Times
//! A bag is a slab cooled or warmed through both faces. [`change`] solves the heat balance through half of it in small
//! steps of time and depth (enthalpy method, implicit), with the meat's own heat content and conductivity from its
//! label, so that the same sum serves freezing and thawing. Against a much finer explicit solution it is within 2 %.
//! What is not known so well is the surface: a coefficient chosen in words is uncertain by a third or more, and the
//! printed band shows that. The classical formulas stand beside it for comparison: [`plank_s`] (Plank 1913),
//! [`pham_s`] (Pham 1986) and [`cleland_earle_s`] (Cleland and Earle 1977). None of them is used for thawing: the ice of
//! salted meat melts over a range of ten degrees and more. Plank's formula turned round, with all the water as latent heat,
//! came out 22 to 48 % over ours (four tins, 10 to 60 mm, still air of 10 to 25 °C), and 24 and 28 % over a separate
//! program in two slabs (20 mm: 3.88 against 3.12 h; 40 mm: 8.71 against 6.79 h).
//!
//! Validity: slabs 5 to 120 mm, -40 to 40 °C, no wrapping beyond a thin film, no air gaps.

use super::sink::{Band, Label, Matter, Shape, SinkRequest, sink};
use crate::physics::food::{Component, Composition};
use crate::refusal::{Refusal, short, within};
use crate::units::between;
use serde::{Deserialize, Serialize};

/// Heat given up by water that freezes at 0 °C, J/kg (IAPWS: 333.4 to 333.6 kJ/kg).
const FUSION_J_PER_KG: f64 = 333_500.0;

/// Doubt in the meat's own heat content and conductivity, as half a band of the logarithm of time: about a tenth, judged
/// by letting all of its water freeze (8 % longer).
const MATTER_LN: f64 = 0.1;

/// What the bag lies in, in words. The coefficients are usual engineering ranges, from memory; no published source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
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
    pub fn coefficient_w_per_m2_k(self) -> Band {
        let (low, mid, high) = match self {
            Self::StillAir => (6.0, 9.0, 13.0),
            Self::Fan => (15.0, 25.0, 40.0),
            Self::OnMetal => (30.0, 60.0, 120.0),
            Self::StillWater => (80.0, 150.0, 300.0),
            Self::RunningWater => (300.0, 500.0, 1000.0),
        };
        Band { low, mid, high }
    }
}

/// What [`change`] is asked.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ChillRequest {
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

/// One moment of a freezing or thawing bag.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Moment {
    /// Minutes from the start.
    pub minute: f64,
    /// Temperature in the middle, °C.
    pub core_c: f64,
    /// Temperature of the face, °C.
    pub face_c: f64,
}

/// How long a bag takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FreezingTime {
    /// It freezes (else it thaws, or only warms or cools).
    pub cooling: bool,
    /// Minutes until the middle is at the wanted temperature; low and high by the range of the surface
    /// coefficient and a tenth for the meat itself.
    pub minutes: Band,
    /// Temperature at which the first ice forms, °C.
    pub freezing_point_c: f64,
    /// Plank's formula for the latent heat alone, minutes; `None` when it does not freeze.
    pub plank_min: Option<f64>,
    /// Pham's formula for the whole freezing, minutes; `None` when it does not freeze, or outside its range.
    pub pham_min: Option<f64>,
    /// The way there, at most 41 moments.
    pub course: Vec<Moment>,
}

/// A cube with some of its water frozen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FrozenPoint {
    /// Temperature right through the cube, °C.
    pub core_c: f64,
    /// Ice, share of the cube's mass.
    pub ice_share: f64,
    /// Density, kg/m3.
    pub density_kg_per_m3: f64,
    /// Steady speed in the lake, m/s; 0 when it floats.
    pub speed_m_per_s: f64,
    /// That speed over the thawed cube's; 0 when it floats.
    pub speed_share: f64,
}

/// How frozen cubes sink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrozenCurve {
    /// From -20 °C to 0 °C.
    pub points: Vec<FrozenPoint>,
    /// Temperature at which the last ice is gone and a cube sinks at full speed, °C.
    pub full_speed_c: f64,
    /// Temperature at which it sinks at nine tenths of full speed, °C.
    pub nine_tenths_c: f64,
    /// Share of air by volume at which a cube at -18 °C floats; 0 when it floats without any.
    pub floats_at_air_share: f64,
}
/// Food without water does not freeze.
fn no_water() -> Refusal {
    Refusal::new("no_water", "label", "This label leaves no water; it does not freeze. Check the label.")
}

/// Density and speed of a cube from the freezer, against its temperature.
///
/// In the lake a 6 mm cube loses its last ice in about a minute (a third of the slab's time, for its six faces); the curve
/// is for a cube that is still as cold as given, the water around it at `water_temperature_c`.
///
/// # Errors
/// A number outside its range, a label over 100 g or without water.
pub fn frozen_curve(
    label: &Label,
    air_share: f64,
    shape: Shape,
    water_temperature_c: f64,
) -> Result<FrozenCurve, Refusal> {
    within("air_share", "share of air", air_share, (0.0, 0.3), "")?;
    let made_of = label.composition()?;
    let freezing = made_of.initial_freezing_point_c().ok_or_else(no_water)?;
    let at = |core_c: f64| -> Result<(f64, f64, f64), Refusal> {
        let frozen = made_of.at_temperature(core_c);
        let kg_per_m3 = frozen.density_kg_per_m3(core_c) * (1.0 - air_share);
        let matter = Matter::Density { kg_per_m3, sd_kg_per_m3: 0.0 };
        let fall = sink(&SinkRequest { matter, shape, water_temperature_c, depths_m: Vec::new() })?;
        Ok((frozen.ice, kg_per_m3, fall.speed_m_per_s.mid))
    };
    let (_, _, full) = at(freezing.max(0.0))?;
    let share = |speed: f64| if full > 0.0 { speed / full } else { 0.0 };
    let mut points = Vec::new();
    for core_c in [-20.0, -18.0, -15.0, -12.0, -10.0, -8.0, -7.0, -6.0, -5.0, -4.0, -3.0, -2.0, -1.0, 0.0] {
        let (ice_share, density_kg_per_m3, speed) = at(core_c)?;
        points.push(FrozenPoint {
            core_c,
            ice_share,
            density_kg_per_m3,
            speed_m_per_s: speed,
            speed_share: share(speed),
        });
    }
    let (mut cold, mut warm) = (f64::min(-40.0, freezing), freezing.min(0.0));
    for _ in 0..14 {
        let middle = 0.5 * (cold + warm);
        if share(at(middle)?.2) < 0.9 {
            cold = middle;
        } else {
            warm = middle;
        }
    }
    let at_18 = made_of.at_temperature(-18.0).density_kg_per_m3(-18.0);
    let water = crate::physics::water::density_kg_per_m3(water_temperature_c);
    Ok(FrozenCurve {
        points,
        full_speed_c: freezing,
        nine_tenths_c: warm,
        floats_at_air_share: (1.0 - water / at_18).max(0.0),
    })
}

/// Heat content and conductivity of a slab's matter against temperature, as a table.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatTable {
    /// Temperatures, °C, rising.
    t_c: Vec<f64>,
    /// Heat content, J/m3, rising.
    heat_j_per_m3: Vec<f64>,
    /// Conductivity, W/(m K).
    k_w_per_m_k: Vec<f64>,
}

impl HeatTable {
    /// A table from points (°C, J/m3, W/(m K)), in rising order of both temperature and heat content. `None` for less
    /// than two points, or points out of order.
    #[must_use]
    pub fn from_points(points: &[(f64, f64, f64)]) -> Option<Self> {
        let rising = points.len() >= 2 && points.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 < w[1].1);
        rising.then(|| Self {
            t_c: points.iter().map(|p| p.0).collect(),
            heat_j_per_m3: points.iter().map(|p| p.1).collect(),
            k_w_per_m_k: points.iter().map(|p| p.2).collect(),
        })
    }

    /// Food from -40 to 40 °C, its ice by [`Composition::at_temperature`], conductivity by the parallel rule. Volume is
    /// taken as the unfrozen food's: a bag that freezes swells by a few percent, which is left out. `None` without
    /// water.
    #[must_use]
    pub fn of(food: &Composition) -> Option<Self> {
        let freezing = between(food.initial_freezing_point_c()?, -39.0, -0.05);
        let density = food.density_kg_per_m3(10.0);
        let mut points = Vec::with_capacity(48);
        let mut push = |t: f64| {
            let now = food.at_temperature(t);
            points.push((t, density * heat_j_per_kg(&now, t), now.conductivity_w_per_m_k(t)));
        };
        // Close together just below the freezing point, where most of the ice forms.
        for i in 0..32_u32 {
            let part = 1.0 - f64::from(i) / 32.0;
            push(freezing + (-40.0 - freezing) * part * part * part);
        }
        for i in 0..=8_u32 {
            push(freezing + (40.0 - freezing) * f64::from(i) / 8.0);
        }
        Self::from_points(&points)
    }

    /// (temperature, d temperature / d heat content, conductivity) at a heat content.
    fn at_heat(&self, heat: f64) -> (f64, f64, f64) {
        let i = self.heat_j_per_m3.partition_point(|&h| h <= heat).clamp(1, self.t_c.len() - 1);
        let (h0, h1) = (self.heat_j_per_m3[i - 1], self.heat_j_per_m3[i]);
        let part = (heat - h0) / (h1 - h0);
        let (t0, t1) = (self.t_c[i - 1], self.t_c[i]);
        let (k0, k1) = (self.k_w_per_m_k[i - 1], self.k_w_per_m_k[i]);
        (t0 + part * (t1 - t0), (t1 - t0) / (h1 - h0), k0 + between(part, 0.0, 1.0) * (k1 - k0))
    }

    /// Heat content at a temperature, J/m3.
    #[must_use]
    pub fn heat_at(&self, t_c: f64) -> f64 {
        let i = self.t_c.partition_point(|&t| t <= t_c).clamp(1, self.t_c.len() - 1);
        let part = (t_c - self.t_c[i - 1]) / (self.t_c[i] - self.t_c[i - 1]);
        self.heat_j_per_m3[i - 1] + part * (self.heat_j_per_m3[i] - self.heat_j_per_m3[i - 1])
    }
}

/// Heat content over that of the same food, all liquid, at 0 °C, J/kg.
fn heat_j_per_kg(food: &Composition, t_c: f64) -> f64 {
    // The heat capacities are quadratic in temperature, so Simpson's rule is exact.
    let warmed = |c: Component| {
        let cp = |t: f64| c.heat_capacity_j_per_kg_k(t);
        t_c / 6.0 * (cp(0.0) + 4.0 * cp(0.5 * t_c) + cp(t_c))
    };
    food.protein * warmed(Component::Protein)
        + food.fat * warmed(Component::Fat)
        + food.carbohydrate * warmed(Component::Carbohydrate)
        + food.fibre * warmed(Component::Fibre)
        + food.ash * warmed(Component::Ash)
        + food.water * warmed(Component::Water)
        + food.ice * (warmed(Component::Ice) - FUSION_J_PER_KG)
}

/// A slab between two equal surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slab {
    /// Full thickness, m.
    pub thickness_m: f64,
    /// Temperature at the start, °C.
    pub start_c: f64,
    /// Temperature around, °C.
    pub medium_c: f64,
    /// Surface coefficient, W/(m2 K).
    pub h_w_per_m2_k: f64,
}

/// How a slab got there.
#[derive(Clone, Debug, PartialEq)]
pub struct SlabRun {
    /// Seconds until the middle was there.
    pub seconds: f64,
    /// Every step on the way; the last may lie a step past the end.
    pub course: Vec<Moment>,
}

/// Layers in half a slab.
const LAYERS: usize = 10;

/// Seconds until the middle of a slab reaches `until_c` °C, and the course on the way.
///
/// Half the slab in ten layers, each with one heat content; heat flows between their middles and out through half a
/// layer and the surface. Steps of time are implicit (each solves for the heat at its end by Newton's rule) and are
/// chosen so that a step moves about a 300th of the heat. `None` when the middle does not get there.
#[must_use]
pub fn slab_time_s(matter: &HeatTable, slab: &Slab, until_c: f64) -> Option<SlabRun> {
    let dx = 0.5 * slab.thickness_m / LAYERS as f64;
    let cooling = slab.medium_c < slab.start_c;
    let mut heat = [matter.heat_at(slab.start_c); LAYERS];
    let end_heat = matter.heat_at(slab.medium_c);
    let whole_heat = (heat[0] - end_heat).abs() * 0.5 * slab.thickness_m;
    let mut course = vec![Moment { minute: 0.0, core_c: slab.start_c, face_c: slab.start_c }];
    let mut t = 0.0;
    let mut before_core = slab.start_c;
    for _ in 0..6000 {
        let (face_t, _, face_k) = matter.at_heat(heat[LAYERS - 1]);
        let outside = 1.0 / (1.0 / slab.h_w_per_m2_k + 0.5 * dx / face_k);
        let flux = (outside * (face_t - slab.medium_c)).abs().max(1e-6);
        let step = whole_heat / 300.0 / flux;
        heat = implicit_step(matter, &heat, dx, step, slab);
        t += step;
        let (core, _, _) = matter.at_heat(heat[0]);
        let (outer, _, k) = matter.at_heat(heat[LAYERS - 1]);
        let inside = k / (0.5 * dx);
        let face = (inside * outer + slab.h_w_per_m2_k * slab.medium_c) / (inside + slab.h_w_per_m2_k);
        course.push(Moment { minute: t / 60.0, core_c: core, face_c: face });
        if (cooling && core <= until_c) || (!cooling && core >= until_c) {
            let part = if (core - before_core).abs() > 0.0 {
                (until_c - before_core) / (core - before_core)
            } else {
                1.0
            };
            return Some(SlabRun { seconds: t - step * (1.0 - between(part, 0.0, 1.0)), course });
        }
        before_core = core;
    }
    None
}

/// Heat contents a step later: Newton's rule on the implicit balance, a tridiagonal solve each.
fn implicit_step(matter: &HeatTable, old: &[f64; LAYERS], dx: f64, step: f64, slab: &Slab) -> [f64; LAYERS] {
    let mut heat = *old;
    let rate = step / dx;
    for _ in 0..25 {
        let state: [(f64, f64, f64); LAYERS] = core::array::from_fn(|i| matter.at_heat(heat[i]));
        // Conductance from layer i to i + 1: half a layer of each, in series; the last one to the surroundings.
        let between: [f64; LAYERS] = core::array::from_fn(|i| {
            let here = 0.5 * dx / state[i].2;
            let next = state.get(i + 1).map_or(1.0 / slab.h_w_per_m2_k, |s| 0.5 * dx / s.2);
            1.0 / (here + next)
        });
        let mut lower = [0.0; LAYERS];
        let mut diagonal = [0.0; LAYERS];
        let mut upper = [0.0; LAYERS];
        let mut miss = [0.0; LAYERS];
        for i in 0..LAYERS {
            let (t, slope, _) = state[i];
            let next_t = state.get(i + 1).map_or(slab.medium_c, |s| s.0);
            let next_slope = state.get(i + 1).map_or(0.0, |s| s.1);
            let mut net = between[i] * (t - next_t);
            diagonal[i] = 1.0 + rate * between[i] * slope;
            upper[i] = -rate * between[i] * next_slope;
            if i > 0 {
                net -= between[i - 1] * (state[i - 1].0 - t);
                diagonal[i] += rate * between[i - 1] * slope;
                lower[i] = -rate * between[i - 1] * state[i - 1].1;
            }
            miss[i] = old[i] - heat[i] - rate * net;
        }
        let change = tridiagonal(&lower, &diagonal, &upper, &miss);
        let mut largest: f64 = 0.0;
        for (h, d) in heat.iter_mut().zip(change) {
            *h += d;
            largest = largest.max(d.abs());
        }
        // A thousandth of a degree's worth of heat.
        if largest < 2000.0 {
            break;
        }
    }
    heat
}

/// Thomas' method.
fn tridiagonal(
    lower: &[f64; LAYERS],
    diagonal: &[f64; LAYERS],
    upper: &[f64; LAYERS],
    right: &[f64; LAYERS],
) -> [f64; LAYERS] {
    let mut c = [0.0; LAYERS];
    let mut x = [0.0; LAYERS];
    for i in 0..LAYERS {
        let (before_c, before_x) = if i > 0 { (c[i - 1], x[i - 1]) } else { (0.0, 0.0) };
        let pivot = diagonal[i] - lower[i] * before_c;
        c[i] = upper[i] / pivot;
        x[i] = (right[i] - lower[i] * before_x) / pivot;
    }
    for i in (0..LAYERS - 1).rev() {
        x[i] -= c[i] * x[i + 1];
    }
    x
}

/// How long a bag takes to freeze or to thaw.
///
/// # Errors
/// A number outside its range; a label over 100 g or without water; a wanted temperature that is not between the start
/// and the surroundings, half a degree or more from the latter.
pub fn change(request: &ChillRequest) -> Result<FreezingTime, Refusal> {
    within("thickness_mm", "thickness of the bag", request.thickness_mm, (5.0, 120.0), "mm")?;
    for (field, name, value) in [
        ("start_c", "temperature at the start", request.start_c),
        ("medium_c", "temperature around the bag", request.medium_c),
        ("until_c", "wanted temperature", request.until_c),
    ] {
        within(field, name, value, (-40.0, 40.0), "°C")?;
    }
    let ChillRequest { start_c, medium_c, until_c, .. } = *request;
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
        minutes: Band {
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

/// What the classical formulas are given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Formula {
    /// Full thickness of the slab D, m.
    pub thickness_m: f64,
    /// Surface coefficient h, W/(m2 K).
    pub h_w_per_m2_k: f64,
    /// Conductivity of the frozen food k, W/(m K).
    pub frozen_k_w_per_m_k: f64,
    /// Density of the unfrozen food, kg/m3.
    pub unfrozen_kg_per_m3: f64,
    /// Density of the frozen food, kg/m3.
    pub frozen_kg_per_m3: f64,
    /// Heat capacity of the unfrozen food, J/(kg K).
    pub unfrozen_j_per_kg_k: f64,
    /// Heat capacity of the frozen food, J/(kg K).
    pub frozen_j_per_kg_k: f64,
    /// Latent heat of the food L, J/kg.
    pub latent_j_per_kg: f64,
    /// Temperature at which the first ice forms Tf, °C.
    pub freezing_point_c: f64,
    /// Temperature at the start Ti, °C.
    pub start_c: f64,
    /// Wanted temperature in the middle Tc, °C.
    pub until_c: f64,
    /// Temperature around Tm, °C.
    pub medium_c: f64,
}

/// The formulas' inputs from the food; `None` when it does not freeze: its freezing point is not passed on the way down.
fn formula(food: &Composition, freezing: f64, slab: &Slab, until_c: f64) -> Option<Formula> {
    let (warm, cold) = (slab.start_c, slab.medium_c);
    if until_c >= freezing || warm <= freezing {
        return None;
    }
    let frozen = food.at_temperature(cold);
    Some(Formula {
        thickness_m: slab.thickness_m,
        h_w_per_m2_k: slab.h_w_per_m2_k,
        frozen_k_w_per_m_k: frozen.conductivity_w_per_m_k(cold),
        unfrozen_kg_per_m3: food.density_kg_per_m3(warm.max(0.0)),
        frozen_kg_per_m3: frozen.density_kg_per_m3(cold),
        unfrozen_j_per_kg_k: food.heat_capacity_j_per_kg_k(warm.max(0.0)),
        frozen_j_per_kg_k: frozen.heat_capacity_j_per_kg_k(cold),
        latent_j_per_kg: frozen.ice * FUSION_J_PER_KG,
        freezing_point_c: freezing,
        start_c: slab.start_c,
        until_c,
        medium_c: slab.medium_c,
    })
}

/// Plank's time for the latent heat of a slab, s: rho L/|Tf - Tm| (D/(2h) + D2/(8k)), D the full thickness.
///
/// Leaves out all sensible heat, so it is short for freezing.
///
/// # Source
/// Plank 1913, Z. Gesamte Kälte-Ind. 20:109; 1941. Checked by Geankoplis, Transport Processes, example 5.5-2.
#[must_use]
pub fn plank_s(f: &Formula) -> f64 {
    let d = f.thickness_m;
    f.unfrozen_kg_per_m3 * f.latent_j_per_kg / (f.freezing_point_c - f.medium_c).abs()
        * (d / (2.0 * f.h_w_per_m2_k) + d * d / (8.0 * f.frozen_k_w_per_m_k))
}

/// Pham's time for a slab to freeze from the start until its middle is at the wanted temperature, s.
///
/// `None` when the surroundings are not colder than the mean freezing temperature 1.8 + 0.263 Tc + 0.105 Tm, or the
/// start is not warmer than it.
///
/// # Source
/// Pham 1986, as printed in the ASHRAE Refrigeration handbook. In an open worked example it lies 10 % over a numeric
/// solution; no published mean error was found.
#[must_use]
pub fn pham_s(f: &Formula) -> Option<f64> {
    let half = 0.5 * f.thickness_m;
    let mean = 1.8 + 0.263 * f.until_c + 0.105 * f.medium_c;
    let heat_1 = f.unfrozen_kg_per_m3 * f.unfrozen_j_per_kg_k * (f.start_c - mean);
    let heat_2 = f.frozen_kg_per_m3 * (f.latent_j_per_kg + f.frozen_j_per_kg_k * (mean - f.until_c));
    let drive_1 = 0.5 * (f.start_c + mean) - f.medium_c;
    let drive_2 = mean - f.medium_c;
    if heat_1 <= 0.0 || drive_2 <= 0.0 {
        return None;
    }
    let biot = f.h_w_per_m2_k * half / f.frozen_k_w_per_m_k;
    Some(half / f.h_w_per_m2_k * (heat_1 / drive_1 + heat_2 / drive_2) * (1.0 + 0.5 * biot))
}

/// Cleland and Earle's time for a slab to freeze from the start to -10 °C in its middle, s.
///
/// `None` outside what it was fitted to: h 10 to 500 W/(m2 K), D up to 0.12 m, start up to 40 °C and above the freezing
/// point, surroundings -45 to -15 °C.
///
/// # Source
/// Cleland and Earle 1977, J. Food Sci. 42:1390 (slabs).
#[must_use]
pub fn cleland_earle_s(f: &Formula) -> Option<f64> {
    let fits = (10.0..=500.0).contains(&f.h_w_per_m2_k)
        && f.thickness_m <= 0.12
        && (f.freezing_point_c..=40.0).contains(&f.start_c)
        && (-45.0..=-15.0).contains(&f.medium_c);
    if !fits {
        return None;
    }
    let heat = f.unfrozen_kg_per_m3 * f.latent_j_per_kg;
    let biot = f.h_w_per_m2_k * f.thickness_m / f.frozen_k_w_per_m_k;
    let planks = f.unfrozen_kg_per_m3 * f.unfrozen_j_per_kg_k * (f.start_c - f.freezing_point_c) / heat;
    let stefan = f.frozen_kg_per_m3 * f.frozen_j_per_kg_k * (f.freezing_point_c - f.medium_c) / heat;
    let p = 0.5072 + 0.2018 * planks + stefan * (0.3224 * planks + 0.0105 / biot + 0.0681);
    let r = 0.1684 + stefan * (0.2740 * planks - 0.0135);
    let d = f.thickness_m;
    Some(
        heat / (f.freezing_point_c - f.medium_c)
            * (p * d / f.h_w_per_m2_k + r * d * d / f.frozen_k_w_per_m_k),
    )
}
