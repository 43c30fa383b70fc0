//! Everything but the shot by its weight in water, in whole nanograms.

use super::request::{BalanceRequest, Float, LOAD_TEMPERATURE_C, LinePiece};
use crate::physics::water::{self, weight_in_water_ng};
use crate::trade::lead;

/// Nanograms in a tenth of a milligram.
pub(super) const NG_PER_TENTH_MG: f64 = 1e5;

/// Everything but the shot, in whole nanograms.
pub(super) struct Loads {
    pub(super) water: f64,
    /// At the base of the tip, less what the surface pulls.
    pub(super) lift: i64,
    pub(super) meniscus: i64,
    pub(super) per_mm: i64,
    pub(super) hook: i64,
    pub(super) bait: i64,
    pub(super) line: i64,
    pub(super) resting: i64,
    pub(super) left_out: i64,
}

/// Area of a round section, mm2, of a diameter in mm.
fn area_mm2(diameter_mm: f64) -> f64 {
    core::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm
}

impl Loads {
    pub(super) fn of(request: &BalanceRequest) -> Self {
        let water = water::density_kg_per_m3(request.temperature_c);
        // 1 mm3 at 1 kg/m3 is 1000 ng.
        let ng =
            |volume_mm3: f64, density: f64| weight_in_water_ng(volume_mm3 * density * 1e3, density, water);
        let float = &request.float;
        let (lift, left_out) = float_lift(float, water);
        let meniscus = float.contact_deg.map_or(0, |contact_deg| {
            whole(water::meniscus_ng(float.tip_diameter_mm, contact_deg, request.temperature_c))
        });
        let lift = lift - meniscus;
        let per_mm = whole(area_mm2(request.float.tip_diameter_mm) * water * 1e3).max(1);
        let hook = request.hook.as_ref().map_or(0, |h| {
            weight_in_water_ng(f64::from(h.mass_tenth_mg.0) * NG_PER_TENTH_MG, h.density_kg_per_m3, water)
        });
        let bait = request.bait.as_ref().map_or(0, |b| ng(b.side_mm.powi(3), b.density_kg_per_m3));
        let piece_ng =
            |p: &LinePiece, length_m: f64| ng(area_mm2(p.diameter_mm) * length_m * 1e3, p.density_kg_per_m3);
        let line = request.line.iter().map(|p| piece_ng(p, p.length_m)).sum();
        let mut lying_m = request.resting.line_m;
        let mut resting = bait.max(0);
        if request.resting.hook && bait >= 0 {
            resting += hook;
        }
        for piece in request.line.iter().rev() {
            let length_m = lying_m.min(piece.length_m);
            resting += piece_ng(piece, length_m).max(0);
            lying_m -= length_m;
        }
        Self { water, lift, meniscus, per_mm, hook, bait, line, resting, left_out }
    }
}

/// The float's lift at the base of its tip, and the part that is left out when the float was not weighed, ng.
///
/// The float displaces a fixed volume V: load in water and own mass together, over the density of water at 15 °C. In
/// other water the lift changes by V times the change of density.
fn float_lift(float: &Float, water: f64) -> (i64, i64) {
    let at_15 = water::density_kg_per_m3(LOAD_TEMPERATURE_C);
    let load = f64::from(float.load_tenth_mg.0) * NG_PER_TENTH_MG;
    let lift = load * (1.0 - at_15 / f64::from(lead::KG_PER_M3));
    let change = |own_ng: f64| (lift + own_ng) * (water / at_15 - 1.0);
    match float.own_mass_tenth_mg {
        Some(own) => (whole(lift + change(f64::from(own.0) * NG_PER_TENTH_MG)), 0),
        None => (whole(lift), whole(change(load))),
    }
}

/// Rounds to the nearest whole number.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a float-to-integer cast saturates; inputs stay below 1e14"
)]
pub(super) fn whole(value: f64) -> i64 {
    value.round() as i64
}
