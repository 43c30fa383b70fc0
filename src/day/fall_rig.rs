//! From a rig of the plan to the rig that is dropped in: its line in two pieces, its shot in place, hook and bait.
//!
//! The water is still and the float is held, as under a tight pole tip; the rig is laid straight and flat. Shots of
//! several materials are given one density, the mean by mass, since the fall knows one.

use super::{Day, NYLON_KG_PER_M3, STEEL_KG_PER_M3, metres};
use crate::plan::Plan;
use crate::rig::fall::{Bait, Float, Hook, Line, Rig, Shot};

/// Kilograms from tenths of a milligram.
fn kg(tenth_mg: i32) -> f64 {
    f64::from(tenth_mg) * 1e-7
}

/// The rig at place `place` of the plan as the fall wants it, from the plan's worked day; nothing when the day has no
/// layout for it, with the reason in that rig's `trouble`.
///
/// Followed for 40 s on links of 5 cm at most; change the fields for another launch, drift or length of time.
#[must_use]
pub fn fall_rig(plan: &Plan, day: &Day, place: usize) -> Option<Rig> {
    let rig = plan.rigs.get(place)?;
    let layout = day.rigs.get(place)?.layout.as_ref()?;
    let hooklength_m = f64::from(layout.hooklength_mm) * 1e-3;
    let length_m = f64::from(layout.float_to_hook_mm) * 1e-3;
    let mut shots = Vec::new();
    let (mut mass_kg, mut volume_m3) = (0.0, 0.0);
    for group in &layout.groups {
        let boxed = plan.shot_box.get(group.shot)?;
        let shot = Shot {
            from_hook_m: f64::from(group.from_hook_mm) * 1e-3,
            mass_kg: kg(boxed.mass_tenth_mg),
            count: group.count,
        };
        let all_kg = shot.mass_kg * f64::from(shot.count);
        mass_kg += all_kg;
        volume_m3 += all_kg / f64::from(boxed.density_kg_per_m3.max(1));
        shots.push(shot);
    }
    let metres_of = |um: i32| f64::from(um) * 1e-6;
    Some(Rig {
        name: rig.name.clone(),
        temperature_c: day.water_c,
        launch_angle_deg: 90.0,
        lowered_m_per_s: None,
        line_density: NYLON_KG_PER_M3,
        shot_density: if volume_m3 > 0.0 { mass_kg / volume_m3 } else { 11_340.0 },
        main: Line { length_m: length_m - hooklength_m, diameter_m: metres_of(rig.main_um) },
        hooklength: Line { length_m: hooklength_m, diameter_m: metres_of(rig.hooklength_um) },
        shots,
        hook: Hook { mass_kg: kg(rig.hook_tenth_mg), density: STEEL_KG_PER_M3 },
        bait: Bait {
            side_m: metres(plan.bait.edge_tenth_mm),
            density: day.sink.as_ref().map_or(1040.0, |sink| sink.density_kg_per_m3.mid),
        },
        current: None,
        float: Float::Fixed,
        max_link_m: 0.05,
        t_end_s: 40.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::day::day;
    use crate::plan::presets::presets;
    use crate::rig::fall::{Settings, fall};
    use crate::units::Units;

    #[test]
    fn every_rig_of_every_worked_day_falls_to_its_depth() {
        for preset in presets() {
            let day = day(&preset.plan, Units::default());
            for (place, rig) in preset.plan.rigs.iter().enumerate() {
                let dropped = fall_rig(&preset.plan, &day, place).expect("a worked day has its layouts");
                let lead_kg: f64 = dropped.shots.iter().map(|s| s.mass_kg * f64::from(s.count)).sum();
                assert!((lead_kg / kg(rig.load_tenth_mg) - 1.0).abs() < 0.3, "{}: {lead_kg}", preset.id);
                let fell = fall(&dropped, &Settings::searching()).expect("it falls");
                assert!((fell.final_depth_m - metres(rig.depth_tenth_mm)).abs() < 1e-3);
                assert!(fell.settle_s.is_some(), "{} rig {}", preset.id, rig.name);
            }
        }
    }

    #[test]
    fn several_materials_share_a_density_between_theirs() {
        let mut plan = crate::plan::presets::first();
        for (i, shot) in plan.shot_box.iter_mut().enumerate() {
            shot.density_kg_per_m3 = if i % 2 == 0 { 7310 } else { 11_350 };
        }
        let day = day(&plan, Units::default());
        for place in 0..plan.rigs.len() {
            if let Some(rig) = fall_rig(&plan, &day, place) {
                assert!((7310.0 - 1e-6..=11_350.0 + 1e-6).contains(&rig.shot_density));
            }
        }
        assert_eq!(fall_rig(&plan, &day, 99), None);
    }
}
