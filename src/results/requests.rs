//! What the rooms below are asked with in more than one place: the plan's whole numbers in their units, its water, and
//! what its bait is.

use crate::bait::material::{EarlierTests, Label, Matter, WeighedBlock};
use crate::bait::shape::Shape;
use crate::bait::sink::SinkRequest;
use crate::plan::{BoxShot, Form, Plan};
use crate::rig::glass_test::{BatchWeighing, weigh_batch};
use crate::trade::shot::{ShotSize, nominal_mass, size_named};
use crate::units::TenthMg;

/// Density of a bait whose own cannot be worked out, kg/m3: a usual cube's.
pub(super) const USUAL_KG_PER_M3: f64 = 1040.0;
/// Density of bait without a label: how far it may be off, kg/m3, one standard deviation. Judgement.
const DENSITY_SD: f64 = 15.0;

pub(super) fn metres(tenth_mm: i32) -> f64 {
    f64::from(tenth_mm) * 1e-4
}

pub(super) fn mm(tenth_mm: i32) -> f64 {
    f64::from(tenth_mm) / 10.0
}

pub(super) fn kilograms(tenth_mg: i32) -> f64 {
    f64::from(tenth_mg) * 1e-7
}

pub(super) fn exact(tenth_mg: i32) -> TenthMg {
    TenthMg(count(tenth_mg))
}

pub(super) fn count(n: i32) -> u32 {
    u32::try_from(n).unwrap_or(0)
}

/// Temperature that bait and rigs meet on their way down, °C.
pub(super) fn water_c(plan: &Plan) -> f64 {
    let surface = plan.water.surface_tenth_c;
    f64::from(surface + plan.water.bottom_tenth_c.unwrap_or(surface)) / 20.0
}

/// The name of a pole line by its place.
#[must_use]
pub fn line_name(plan: &Plan, place: i32) -> &str {
    usize::try_from(place).ok().and_then(|i| plan.lines.get(i)).map_or("", |line| &line.name)
}

/// The tin's label as the bait's room wants it.
#[must_use]
pub fn label(plan: &Plan) -> Label {
    let tin = &plan.tin;
    let g = |tenth: i32| f64::from(tenth) / 10.0;
    Label {
        fat_g: g(tin.fat_tenth_g),
        protein_g: g(tin.protein_tenth_g),
        carbohydrate_g: g(tin.carbohydrate_tenth_g),
        salt_g: g(tin.salt_tenth_g),
        fibre_g: g(tin.fibre_tenth_g.unwrap_or(0)),
        ash_g: None,
    }
}

/// The part of the meat's volume that is air.
pub(super) fn air_share(plan: &Plan) -> f64 {
    f64::from(plan.bait.air_tenth_percent) / 1000.0
}

/// The tin's block, where it was measured and its density is one that meat can have.
#[must_use]
pub fn weighed_block(plan: &Plan) -> Option<WeighedBlock> {
    let tin = &plan.tin;
    let block = WeighedBlock {
        mass_g: f64::from(tin.net_g),
        length_mm: mm(tin.length_tenth_mm),
        width_mm: mm(tin.width_tenth_mm),
        height_mm: mm(tin.height_tenth_mm),
        corner_mm: mm(tin.corner_tenth_mm),
        off_mm: mm(tin.size_off_tenth_mm?),
    };
    block.density_kg_per_m3().is_ok().then_some(block)
}

/// What tub tests of other tins of this label found, where that is in the plan.
#[must_use]
pub fn earlier_tests(plan: &Plan) -> Option<EarlierTests> {
    let tub = &plan.bait_more.tub;
    Some(EarlierTests {
        kg_per_m3: tub.before_density_kg_per_m3?.into(),
        spread_kg_per_m3: tub.before_spread_kg_per_m3?.into(),
        drops: count(tub.before_drops?),
    })
}

/// What the plan's bait is made of.
#[must_use]
pub fn matter(plan: &Plan) -> Matter {
    match plan.bait_more.other.density_kg_per_m3 {
        Some(density) => Matter::Density { kg_per_m3: f64::from(density), sd_kg_per_m3: DENSITY_SD },
        None => Matter::Label {
            label: label(plan),
            air_share: air_share(plan),
            block: weighed_block(plan),
            tests: earlier_tests(plan),
        },
    }
}

/// Whether the bait is something else than cubes cut from the tin, so that tins do not count it.
#[must_use]
pub fn is_other(plan: &Plan) -> bool {
    let other = &plan.bait_more.other;
    other.form != Form::Cube || other.density_kg_per_m3.is_some()
}

/// The shape of a piece of this size (tenths of a millimetre) in the plan's form.
pub(super) fn shape_of(plan: &Plan, size_tenth_mm: i32) -> Shape {
    let (size, second) = (mm(size_tenth_mm), mm(plan.bait_more.other.second_tenth_mm));
    match plan.bait_more.other.form {
        Form::Cube => Shape::Cube { edge_mm: size },
        Form::Sphere => Shape::Sphere { diameter_mm: size },
        Form::Cylinder => Shape::Cylinder { diameter_mm: size, length_mm: second },
        Form::Disc => Shape::Disc { diameter_mm: size, thickness_mm: second },
    }
}

/// The shape of the plan's bait.
pub(super) fn shape(plan: &Plan) -> Shape {
    shape_of(plan, plan.bait.edge_tenth_mm)
}

/// The shape of the piece on the hook, which may be larger.
pub(super) fn hook_shape(plan: &Plan) -> Shape {
    shape_of(plan, plan.bait.hook_edge_tenth_mm.unwrap_or(plan.bait.edge_tenth_mm))
}

/// Edge of a cube of the same volume as the piece on the hook, mm: what the shot balancer is given.
pub(super) fn hook_cube_mm(plan: &Plan) -> f64 {
    hook_shape(plan).volume_mm3().cbrt()
}

/// What the sinking of this plan's bait is asked with.
pub(super) fn sink_request(plan: &Plan, depths_m: Vec<f64>) -> SinkRequest {
    SinkRequest { matter: matter(plan), shape: shape(plan), water_temperature_c: water_c(plan), depths_m }
}

/// Whether the mass of a size in the box was weighed: it says so, or the mass is not the trade's usual one.
#[must_use]
pub fn is_weighed(size: &BoxShot) -> bool {
    size.weighed || nominal_mass(&size.name).is_some_and(|nominal| nominal != size.mass())
}

/// Standard uncertainty of a shot's mass in the box, as a part of it: what the trade's tables differ by for a mass that was
/// not weighed, taken as limits; one that was weighed counts as ten together on a scale that steps by 0.01 g.
pub(super) fn mass_uncertainty(size: &BoxShot) -> f64 {
    let nominal = size_named(&size.name).map_or(0.1, ShotSize::spread) / 3f64.sqrt();
    if !is_weighed(size) {
        return nominal;
    }
    let reading_g = (0.1 * f64::from(size.mass_tenth_mg)).round() / 100.0;
    weigh_batch(&BatchWeighing { count: 10, reading_g, resolution_g: 0.01 })
        .map_or(nominal, |weighed| weighed.relative.min(nominal))
}
