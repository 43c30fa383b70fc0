//! The classical formulas for the time to freeze a slab, for comparison.

use super::slab::{FUSION_J_PER_KG, Slab};
use crate::physics::food::Composition;

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
pub(super) fn formula(food: &Composition, freezing: f64, slab: &Slab, until_c: f64) -> Option<Formula> {
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
