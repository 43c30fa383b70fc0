//! Making a rig up: its tackle's strengths, its make-up sheet, the back shot, and the glass of water that tells a float's
//! load.

use super::requests::{exact, mass_uncertainty, metres, mm, water_c};
use super::rigs::RigResult;
use crate::physics::water::density_kg_per_m3;
use crate::plan::StrengthBy;
use crate::plan::{Plan, Rig, RigMore, Wind};
use crate::rig::balance::Float;
use crate::rig::glass_test::{GlassLoad, GlassTest, HungShot, load_from_glass};
use crate::rig::layout::MAX_RIG_LENGTH_MM;
use crate::rig::make_up::{self, Sheet, SheetRequest};
use crate::rig::tackle::{self, BackShot, Elastic, Section, Tackle, TackleRequest, check_tackle};
use crate::trade::{SALT_KG_PER_M3, elastic_mm};
use crate::units::{DecimalSign, LengthUnits, Units};

/// A thickness in millimetres.
fn thickness_mm(um: i32) -> f64 {
    f64::from(um) * 1e-3
}

/// Whether the wind asks for a back shot.
pub(crate) fn windy(plan: &Plan) -> bool {
    matches!(plan.weather.wind, Wind::Fresh | Wind::Strong)
}

/// The rig's back shot, if it carries one.
pub(crate) fn back_shot(rig: &Rig) -> Option<BackShot> {
    tackle::back_shot(rig.more.above_tenth_mm / 10, rig.more.back_shot)
}

/// The elastic's diameter, mm, and how far it may be off, as a part of it: as measured, else by its number.
pub(crate) fn elastic(more: &RigMore) -> Option<(f64, f64)> {
    let measured = more.elastic_um.map(|um| (thickness_mm(um), 0.0));
    measured.or_else(|| more.elastic_number.map(elastic_mm))
}

/// Strengths, weak link and elastic.
///
/// # Errors
/// A sentence that names what does not fit.
pub(crate) fn tackle(rig: &Rig) -> Result<Tackle, String> {
    let more = &rig.more;
    let spool = |g: i32| (more.strength_by == StrengthBy::Spool).then(|| f64::from(g) * 1e-3);
    let request = TackleRequest {
        main: tackle::LineSpec {
            diameter_mm: thickness_mm(rig.main_um),
            spool_kg: spool(rig.main_strength_g),
        },
        hooklength: Some(tackle::LineSpec {
            diameter_mm: thickness_mm(rig.hooklength_um),
            spool_kg: spool(rig.hooklength_strength_g),
        }),
        knot: more.knot_tenth_percent.map(|tenths| f64::from(tenths) * 1e-3),
        elastic: elastic(more).map(|(mm, off_share)| Elastic {
            section: match more.bore_um {
                Some(bore) => Section::Hollow { outer_mm: mm, inner_mm: thickness_mm(bore) },
                None => Section::Solid { diameter_mm: mm },
            },
            off_share,
            relaxed_m: metres(more.elastic_tenth_mm),
            kit_m: metres(more.kit_tenth_mm),
            taken_up_m: metres(more.shortened_tenth_mm),
            run_m: metres(more.run_tenth_mm),
        }),
    };
    check_tackle(&request, &tackle::TackleSettings::default()).map_err(|e| e.to_string())
}

/// The make-up sheet of the rig at place `i`.
///
/// # Errors
/// A sentence that says why there is none.
pub(crate) fn sheet(plan: &Plan, rigs: &[RigResult], i: usize, units: Units) -> Result<Sheet, String> {
    let (Some(rig), Some(result)) = (plan.rigs.get(i), rigs.get(i)) else {
        return Err("There is no such rig.".to_owned());
    };
    let Some(layout) = &result.layout else {
        let none = || "There is no shot to lay out: balance the float first.".to_owned();
        return Err(result.trouble.clone().unwrap_or_else(none));
    };
    let request = SheetRequest {
        name: rig.name.clone(),
        float: rig.float_name.clone(),
        hook: format!("size {}", rig.hook_size),
        layout: layout.clone(),
        shot_names: plan.shot_box.iter().map(|s| s.name.clone()).collect(),
        above_float_mm: (rig.more.above_tenth_mm / 10).min(MAX_RIG_LENGTH_MM),
        main_diameter_mm: thickness_mm(rig.main_um),
        hooklength_diameter_mm: thickness_mm(rig.hooklength_um),
        back_shot: back_shot(rig),
        inches: units.lengths == LengthUnits::Imperial,
        comma: units.sign == DecimalSign::Comma,
    };
    make_up::make_up(&request, &make_up::MakeUpAllowances::default()).map_err(|e| e.to_string())
}

/// The sheets of all rigs that have one.
pub(crate) fn sheets(plan: &Plan, rigs: &[RigResult], units: Units) -> Vec<Sheet> {
    (0..rigs.len()).filter_map(|i| sheet(plan, rigs, i, units).ok()).collect()
}

/// The load that the glass shows for a rig's float, or a sentence that says what does not fit; nothing where no shot
/// is listed.
pub(crate) fn glass_load(plan: &Plan, rig: &Rig) -> Option<Result<GlassLoad, String>> {
    if rig.more.glass.is_empty() {
        return None;
    }
    let shots = rig.more.glass.iter().filter_map(|hung| {
        let size = plan.shot_box.get(usize::try_from(hung.shot).ok()?)?;
        Some(HungShot {
            mass_tenth_mg: exact(size.mass_tenth_mg),
            density_kg_per_m3: f64::from(size.density_kg_per_m3),
            count: u32::try_from(hung.count).ok()?,
            uncertainty: mass_uncertainty(size),
        })
    });
    let test = GlassTest {
        float: Float {
            load_tenth_mg: exact(rig.more.maker_tenth_mg.unwrap_or(rig.load_tenth_mg)),
            tip_diameter_mm: thickness_mm(rig.tip_um),
            tip_length_mm: mm(rig.tip_length_tenth_mm),
            own_mass_tenth_mg: None,
            contact_deg: None,
        },
        temperature_c: f64::from(rig.more.glass_tenth_c) / 10.0,
        shots: shots.collect(),
        hook: None,
        tip_left_mm: mm(rig.more.glass_show_tenth_mm),
    };
    Some(load_from_glass(&test).map_err(|e| e.to_string()))
}

/// How much higher a rig's float sits for its own body, mm of tip, in the lake's water against the glass's, and for a gram of
/// salt in a litre. The float is taken to be as heavy as its load, as the balancer takes it (see `left_out_mm` there).
pub(crate) fn from_glass_to_lake(plan: &Plan, rig: &Rig) -> (f64, f64) {
    let volume_mm3 = 2.0 * f64::from(rig.load_tenth_mg) / 10.0;
    let tip_mm2 = core::f64::consts::FRAC_PI_4 * thickness_mm(rig.tip_um).powi(2);
    let lake = density_kg_per_m3(water_c(plan));
    let higher = |kg_per_m3: f64| volume_mm3 * kg_per_m3 / lake / tip_mm2;
    (higher(lake - density_kg_per_m3(f64::from(rig.more.glass_tenth_c) / 10.0)), higher(SALT_KG_PER_M3))
}
