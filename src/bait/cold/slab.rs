//! A slab that freezes or thaws: the heat balance through half of it, solved in small steps of time and depth.

use crate::physics::food::{Component, Composition};
use crate::units::between;
use serde::Serialize;

/// Heat given up by water that freezes at 0 °C, J/kg (IAPWS: 333.4 to 333.6 kJ/kg).
pub(super) const FUSION_J_PER_KG: f64 = 333_500.0;

/// One moment of a freezing or thawing bag.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "ChillMoment"))]
pub struct Moment {
    /// Minutes from the start.
    pub minute: f64,
    /// Temperature in the middle, °C.
    pub core_c: f64,
    /// Temperature of the face, °C.
    pub face_c: f64,
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
