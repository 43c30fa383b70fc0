//! Why cubes float: held up by the surface, or lighter than water; and the cure for each.
//!
//! Push a floating piece under. If it sinks, the surface held it: grease keeps the water off its top. If it comes up
//! again it is lighter than water: fat, air or ice.
//!
//! # Model
//! A cube whose wet edge is pinned at its top face can be carried by the surface as long as
//! `(rho_s - rho)/rho <= 4 (lc/a)^2 sin psi + H/a`: the pull of the surface along four edges plus the weight of the water
//! that the dimple keeps away (Keller 1998: together the weight of all liquid displaced by the meniscus). lc is the
//! capillary length sqrt(sigma/(rho g)), a the edge, psi the angle of the skin, at most the advancing contact angle and
//! 90°, and H the depth of the dimple. The pull grows with the edge and the weight with its cube, so the surface carries
//! a 6 mm cube (8/6)^2 = 1.8 times as many times its own weight as an 8 mm cube (1.5 times with the dimple): small cubes
//! need the better wash. It can hold both, greasy or washed, so it does not tell why the trade washes 6 mm and not 8 mm.
//!
//! H is that of a disc of the same area: 2 lc sin(psi/2) K0(r/lc)/K1(r/lc), exact for small angles and for large discs,
//! and within 3 % of the integrated meniscus over 3 to 10 mm and 10 to 90°. Without it the limit is a lower bound.
//!
//! Validity: cubes 2 to 30 mm laid gently on still clean water. A cube that is thrown, or wet on top, breaks through.
//! The contact angles of [`Skin`] are judgement (no published source for tinned meat).
//!
//! Sources: Keller 1998, Phys. Fluids 10:3009; Vella 2015, Annu. Rev. Fluid Mech. 47 (review); the cube's rule is
//! derived here.

use super::binomial::jeffreys;
use crate::estimate::Estimate;
use crate::physics::{G_M_PER_S2, water};
use crate::refusal::{Refusal, within};
use core::f64::consts::{FRAC_PI_2, PI};
use serde::{Deserialize, Serialize};

/// How well water takes to the skin of a cube. The angles are judgement, no published source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Skin {
    /// Straight from the tin, fat smeared over the cut: 90°.
    Greasy,
    /// Rinsed cold: 45°.
    Rinsed,
    /// Washed warm until the water stays clear: 10°.
    Washed,
}

impl Skin {
    /// All of them, the worst first.
    pub const ALL: [Self; 3] = [Self::Greasy, Self::Rinsed, Self::Washed];

    /// Advancing contact angle, degrees.
    #[must_use]
    pub fn angle_deg(self) -> f64 {
        match self {
            Self::Greasy => 90.0,
            Self::Rinsed => 45.0,
            Self::Washed => 10.0,
        }
    }
}

/// What to do about floaters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Cure {
    /// Nothing floats: nothing to do.
    None,
    /// Grease: wash again.
    WashAgain,
    /// A few light ones: skim them off.
    SkimOff,
    /// Ice: let them thaw.
    Thaw,
    /// Too many are light: another tin.
    ChangeTin,
}

impl Cure {
    /// What to do, as a sentence.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::None => "None floated: they are ready.",
            Self::WashAgain => {
                "Grease holds them at the surface: wash again in warm water until it stays clear, and wet them before \
                 they go in."
            }
            Self::SkimOff => {
                "A few are lighter than water, from fat or air: skim them off and throw them away."
            }
            Self::Thaw => {
                "They still hold ice, which is lighter than water: let them thaw right through, then test again."
            }
            Self::ChangeTin => {
                "Too many are lighter than water. The meat holds too much fat or air: take another tin or a leaner one."
            }
        }
    }
}

/// What [`floaters`] is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FloatRequest {
    /// Edge of the cubes, mm (2 to 30).
    pub edge_mm: f64,
    /// Excess density of a typical cube over the water, kg/m3 (-200 to 1000).
    pub excess_kg_per_m3: f64,
    /// Water, °C (0 to 40).
    pub water_temperature_c: f64,
    /// Pieces looked at (0 to 10 000).
    pub pieces: u32,
    /// Of these, pieces that floated.
    pub floated: u32,
    /// Of these, pieces that came up again when pushed under.
    pub came_up_again: u32,
    /// The pieces come from the freezer and may not be thawed through.
    #[serde(default)]
    pub maybe_frozen: bool,
}

/// What the surface can do with one size of cube.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Hold {
    /// Edge, mm.
    pub edge_mm: f64,
    /// For each [`Skin`]: the excess density that the surface can just carry, kg/m3, dimple counted.
    pub carries_kg_per_m3: [f64; 3],
    /// How many times its weight under water a typical cube's four edges can carry with a greasy skin; `None` for a cube
    /// not heavier than water.
    pub times_its_weight: Option<f64>,
    /// The contact angle below which the surface lets a typical cube go, degrees: how good the wash has to be.
    pub clean_enough_deg: f64,
}

/// Why pieces floated and what to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Floaters {
    /// Share held by the surface, 95 % interval and median.
    pub held_share: Estimate,
    /// Share lighter than water, 95 % interval and median.
    pub light_share: Estimate,
    /// What to do, the most pressing first; never empty.
    pub cures: Vec<Cure>,
    /// The surface's hold on this size.
    pub this_size: Hold,
    /// The same for 6 and 8 mm, the sizes anglers compare.
    pub six_and_eight: [Hold; 2],
}

/// Share of light pieces from which another tin is better than skimming. Judgement, no published source.
pub const TOO_MANY_LIGHT: f64 = 0.2;
/// Tells pieces held by the surface from pieces lighter than water.
///
/// # Errors
/// A number outside its range; more floaters than pieces.
///
/// # Example
/// ```
/// use dotdown::bait::floaters::{Cure, FloatRequest, floaters};
/// let told = floaters(&FloatRequest {
///     edge_mm: 6.0, excess_kg_per_m3: 34.0, water_temperature_c: 15.0,
///     pieces: 50, floated: 12, came_up_again: 1, maybe_frozen: false,
/// })
/// .unwrap();
/// assert_eq!(told.cures, [Cure::WashAgain, Cure::SkimOff]);
/// ```
pub fn floaters(request: &FloatRequest) -> Result<Floaters, Refusal> {
    let edge = within("edge_mm", "edge of the cube", request.edge_mm, (2.0, 30.0), "mm")?;
    let excess = request.excess_kg_per_m3;
    within("excess_kg_per_m3", "excess density", excess, (-200.0, 1000.0), "kg/m3")?;
    let t_c =
        within("water_temperature_c", "water temperature", request.water_temperature_c, (0.0, 40.0), "°C")?;
    within("pieces", "number of pieces", request.pieces.into(), (0.0, 10_000.0), "")?;
    let (pieces, floated, came_up) = (request.pieces, request.floated, request.came_up_again);
    let too_many = |field, sentence: String| Err(Refusal::new("more_floaters_than_pieces", field, sentence));
    if floated > pieces {
        let sentence =
            format!("{floated} floated out of {pieces} pieces; give at least as many pieces as floaters.");
        return too_many("floated", sentence);
    }
    if came_up > floated {
        let sentence = format!("{came_up} came up again out of {floated} that floated; it cannot be more.");
        return too_many("came_up_again", sentence);
    }
    let held = request.floated - request.came_up_again;
    let light_share = jeffreys(request.came_up_again, request.pieces);
    Ok(Floaters {
        held_share: jeffreys(held, request.pieces),
        light_share,
        cures: cures(request, held, light_share),
        this_size: hold(edge, excess, t_c),
        six_and_eight: [hold(6.0, excess, t_c), hold(8.0, excess, t_c)],
    })
}

fn cures(request: &FloatRequest, held: u32, light_share: Estimate) -> Vec<Cure> {
    let mut cures = Vec::new();
    if request.came_up_again > 0 && request.maybe_frozen {
        cures.push(Cure::Thaw);
    } else if request.came_up_again > 0 && light_share.mid > TOO_MANY_LIGHT {
        cures.push(Cure::ChangeTin);
    }
    if held > 0 {
        cures.push(Cure::WashAgain);
    }
    if request.came_up_again > 0 && cures.iter().all(|cure| *cure == Cure::WashAgain) {
        cures.push(Cure::SkimOff);
    }
    if cures.is_empty() {
        cures.push(Cure::None);
    }
    cures
}

fn hold(edge_mm: f64, excess: f64, t_c: f64) -> Hold {
    let rho = water::density_kg_per_m3(t_c);
    let edge_m = edge_mm * 1e-3;
    let carries = Skin::ALL.map(|skin| rho * carried_share(edge_m, skin.angle_deg().to_radians(), t_c, true));
    let greasy_edges = rho * carried_share(edge_m, FRAC_PI_2, t_c, false);
    Hold {
        edge_mm,
        carries_kg_per_m3: carries,
        times_its_weight: (excess > 0.0).then(|| greasy_edges / excess),
        clean_enough_deg: clean_enough_rad(edge_m, excess / rho, t_c).to_degrees(),
    }
}

/// The largest `(rho_s - rho)/rho` that the surface carries, for a cube of `edge_m` and a skin at `psi` radians (0 to
/// pi/2), at `t_c` °C; with the dimple's depth or, as a lower bound, without it.
#[must_use]
pub fn carried_share(edge_m: f64, psi: f64, t_c: f64, dimple: bool) -> f64 {
    let lc = capillary_length_m(t_c) / edge_m;
    let dimple = if dimple { dimple_share(lc) } else { 0.0 };
    4.0 * lc * lc * psi.sin() + dimple * (0.5 * psi).sin()
}

/// H/a over sin(psi/2), for a capillary length of `lc` edges.
fn dimple_share(lc: f64) -> f64 {
    2.0 * lc * bessel_k0_over_k1(1.0 / (PI.sqrt() * lc))
}

/// The angle at which [`carried_share`] with its dimple is `share`; 90° when it is not reached, 0 when `share` is not
/// above 0.
fn clean_enough_rad(edge_m: f64, share: f64, t_c: f64) -> f64 {
    let lc = capillary_length_m(t_c) / edge_m;
    let dimple = dimple_share(lc);
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..40 {
        let middle: f64 = 0.5 * (low + high);
        if 4.0 * lc * lc * middle.sin() + dimple * (0.5 * middle).sin() < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// sqrt(sigma/(rho g)), m: 2.74 mm at 15 °C.
#[must_use]
pub fn capillary_length_m(t_c: f64) -> f64 {
    (water::surface_tension_n_per_m(t_c) / (water::density_kg_per_m3(t_c) * G_M_PER_S2)).sqrt()
}

/// K0(x)/K1(x) for x from 0.1 to 20, from Kn(x) = integral of exp(-x cosh t) cosh nt over t > 0 by the trapezoid rule,
/// which is exact to 1e-9 for so smooth a function.
fn bessel_k0_over_k1(x: f64) -> f64 {
    let (mut k0, mut k1) = (0.5 * (-x).exp(), 0.5 * (-x).exp());
    for i in 1..60 {
        let cosh = (0.1 * f64::from(i)).cosh();
        let weight = (-x * cosh).exp();
        k0 += weight;
        k1 += weight * cosh;
    }
    k0 / k1
}
