//! What a rig must be before it is dropped in.

use super::{FallSettings, Float, Line, Rig};
use crate::physics::water;
use crate::refusal::{Refusal, short};
use crate::rig::within;
use crate::units::fixed;

/// Most metres from float to hook.
const MAX_LENGTH_M: f64 = 20.0;
/// Most places with shot, and most shots.
const MAX_PLACES: usize = 200;
const MAX_SHOTS: u64 = 400;
/// Slack for places given at the very ends, m.
const SAME_PLACE_M: f64 = 1e-9;
fn line(line: &Line, fields: [&'static str; 2]) -> Result<(), Refusal> {
    within(fields[0], line.length_m, 0.005, 1000.0, "m")?;
    within(fields[1], line.diameter_m, 0.0, 0.002, "m")
}

/// A shot that does not lie between hook and float.
fn shot_off_the_line(index: usize, from_hook_m: f64, length_m: f64) -> Refusal {
    let number = index + 1;
    let sentence = if from_hook_m < 0.0 {
        format!("Shot {number} lies below the hook: give its distance from the hook as 0 m or more.")
    } else if from_hook_m.is_finite() {
        format!(
            "Shot {number} lies above the float: {} m from the hook on a rig of {} m. Move it down.",
            short(from_hook_m),
            short(length_m)
        )
    } else {
        format!("Shot {number} has no place: give its distance from the hook in metres.")
    };
    Refusal::new("shot_off_the_line", format!("shots.{index}.from_hook_m"), sentence)
}

/// Checks every number of a rig.
pub(super) fn rig(rig: &Rig) -> Result<(), Refusal> {
    within("temperature_C", rig.temperature_c, 0.0, 40.0, "°C")?;
    within("launch_angle_deg", rig.launch_angle_deg, -90.0, 90.0, "degrees")?;
    line(&rig.main, ["main.length_m", "main.diameter_m"])?;
    line(&rig.hooklength, ["hooklength.length_m", "hooklength.diameter_m"])?;
    let length_m = rig.length_m();
    if length_m > MAX_LENGTH_M {
        let sentence = format!(
            "The rig is {} m from float to hook; at most {} m is worked out.",
            short(length_m),
            short(MAX_LENGTH_M)
        );
        return Err(Refusal::new("too_long", "main.length_m", sentence));
    }
    let count: u64 = rig.shots.iter().map(|shot| u64::from(shot.count)).sum();
    if count > MAX_SHOTS {
        let sentence =
            format!("{count} shots came; a rig here carries at most {MAX_SHOTS}. Use fewer, larger shots.");
        return Err(Refusal::new("too_many_shots", "shots", sentence));
    }
    if rig.shots.len() > MAX_PLACES {
        let sentence = format!(
            "{} places with shot came; at most {MAX_PLACES} are worked out. Put shots together.",
            rig.shots.len()
        );
        return Err(Refusal::new("too_many_places", "shots", sentence));
    }
    for (index, shot) in rig.shots.iter().enumerate() {
        let from_hook_m = shot.from_hook_m;
        if !(-SAME_PLACE_M..=length_m + SAME_PLACE_M).contains(&from_hook_m) {
            return Err(shot_off_the_line(index, from_hook_m, length_m));
        }
        within("shots.mass_kg", shot.mass_kg, 0.0, 0.05, "kg")?;
    }
    within("hook.mass_kg", rig.hook.mass_kg, 0.0, 0.02, "kg")?;
    within("bait.side_m", rig.bait.side_m, 0.0, 0.05, "m")?;
    within("bait.sphericity", rig.bait.sphericity, 0.5, 1.0, "(1 is a ball)")?;
    within("bait.added_mass", rig.bait.added_mass, 0.0, 10.0, "times the water displaced")?;
    if let Some(speed) = rig.bait.free_m_per_s {
        within("bait.free_m_per_s", speed, 1e-5, 5.0, "m/s")?;
    }

    let water = water::density_kg_per_m3(rig.temperature_c);
    let densities = [
        ("line_density", rig.line_density, true),
        ("shot_density", rig.shot_density, !rig.shots.is_empty()),
        ("hook.density", rig.hook.density, rig.hook.mass_kg > 0.0),
        ("bait.density", rig.bait.density, rig.bait.side_m > 0.0),
    ];
    for (field, density, used) in densities {
        within(field, density, 0.0, 25000.0, "kg/m3")?;
        if used && density < water {
            let what = match field {
                "bait.density" => "bait",
                "line_density" => "line",
                "shot_density" => "shot",
                _ => "hook",
            };
            let sentence = format!(
                "The {what} floats: {} kg/m3 in water of {} kg/m3. It will not sink with the rig, so no \
                 fall is worked out.",
                fixed(density, 1),
                fixed(water, 1)
            );
            return Err(Refusal::new("floats", field, sentence));
        }
    }
    if let Some(current) = rig.current {
        within("current.u0", current.u0, -2.0, 2.0, "m/s")?;
        within("current.decay_m", current.decay_m, 0.01, 1e6, "m")?;
    }
    if let Float::Slide { mass_kg, cda_m2 } = rig.float {
        within("float.mass_kg", mass_kg, 0.0, 0.5, "kg")?;
        within("float.cda_m2", cda_m2, 0.0, 0.1, "m2")?;
    }
    if let Some(speed) = rig.lowered_m_per_s {
        within("lowered_m_per_s", speed, 0.001, 10.0, "m/s")?;
        if rig.current.is_some_and(|c| c.u0 != 0.0) {
            let sentence =
                "A lowered rig is worked out in still water only: take the drift away, or lay the rig.";
            return Err(Refusal::new("lowered_in_current", "current", sentence));
        }
    }
    within("max_link_m", rig.max_link_m, 0.0005, 1000.0, "m")?;
    within("t_end_s", rig.t_end_s, 0.1, 600.0, "s")
}

/// Checks the tuning numbers.
pub(super) fn settings(s: &FallSettings) -> Result<(), Refusal> {
    within("step_s", s.step_s, 0.0001, 0.1, "s")?;
    within("start_step_s", s.start_step_s, 0.0001, 0.02, "s")?;
    within("start_s", s.start_s, s.start_step_s, 1.0, "s")?;
    within("link_factor", s.link_factor, 0.01, 100.0, "times")?;
    within("finest_link_share", s.finest_link_share, 0.01, 1.0, "times")?;
    within("newton_tolerance_m", s.newton_tolerance_m, 1e-13, 1e-5, "m")?;
    within("newton_most", f64::from(s.newton_most), 1.0, 1000.0, "iterations")?;
    within("sample_dt_s", s.sample_dt_s, 0.001, 10.0, "s")?;
    if let Some(dt) = s.frame_dt_s {
        within("frame_dt_s", dt, 0.001, 10.0, "s")?;
    }
    within("depth_bin_m", s.depth_bin_m, 0.001, 10.0, "m")
}
