//! What a rig must be before it is dropped in.

use core::fmt;

use super::{Float, Line, Rig, Settings};
use crate::error::Fault;
use crate::physics::water;
use crate::units::fixed;

/// Most metres from float to hook.
const MOST_LENGTH_M: f64 = 20.0;
/// Most places with shot, and most shots.
const MOST_PLACES: usize = 200;
const MOST_SHOTS: u64 = 400;
/// Slack for places given at the very ends, m.
const SAME_PLACE_M: f64 = 1e-9;

/// Why a rig cannot be dropped in, or did not come down.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum FallError {
    /// A number is missing its value (not a number, or infinite) or outside what is allowed.
    OutOfRange {
        /// The field, as the rig's JSON names it.
        field: &'static str,
        /// What came.
        value: f64,
        /// The least allowed.
        least: f64,
        /// The most allowed.
        most: f64,
        /// Unit of all three, and the decimals worth writing.
        unit: (&'static str, u8),
    },
    /// A shot does not lie between hook and float.
    ShotOffTheLine {
        /// Which one, from 0.
        index: usize,
        /// Where it was put, m from the hook.
        from_hook_m: f64,
        /// From float to hook, m.
        length_m: f64,
    },
    /// More shots than a rig carries.
    TooManyShots {
        /// What came.
        count: u64,
        /// The most allowed.
        most: u64,
    },
    /// More places with shot than a rig has.
    TooManyPlaces {
        /// What came.
        count: usize,
        /// The most allowed.
        most: usize,
    },
    /// The rig is longer than any pole fishes.
    TooLong {
        /// From float to hook, m.
        length_m: f64,
        /// The most allowed, m.
        most_m: f64,
    },
    /// Longest link too short for the rig.
    TooManyLinks {
        /// The most allowed.
        most: usize,
    },
    /// Something is lighter than the water.
    Floats {
        /// The field of its density.
        field: &'static str,
        /// What came, kg/m3.
        density: f64,
        /// The water's, kg/m3.
        water: f64,
    },
    /// A lowered rig is worked out in still water only.
    LoweredInCurrent,
    /// Lowered faster than the hook bait sinks on its line.
    LoweredTooFast {
        /// What came, m/s.
        m_per_s: f64,
        /// The most allowed, m/s.
        most_m_per_s: f64,
    },
    /// A step did not converge, even with short steps.
    NotConverged {
        /// When, s after the launch.
        at_s: f64,
    },
    /// The rig did not come to rest in the current, so its final depth is not known.
    NeverRests,
}

impl fmt::Display for FallError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { field, value, least, most, unit: (unit, decimals) } => {
                let came = if value.is_finite() { fixed(*value, *decimals) } else { "no number".to_owned() };
                write!(
                    f,
                    "{field} must be from {} to {} {unit}; {came} came.",
                    fixed(*least, *decimals),
                    fixed(*most, *decimals)
                )
            }
            Self::ShotOffTheLine { index, from_hook_m, length_m } => {
                let index = index + 1;
                if *from_hook_m < 0.0 {
                    write!(
                        f,
                        "Shot {index} lies below the hook: give its distance from the hook as 0 m or more."
                    )
                } else if from_hook_m.is_finite() {
                    write!(
                        f,
                        "Shot {index} lies above the float: {} m from the hook on a rig of {} m. Move it down.",
                        fixed(*from_hook_m, 3),
                        fixed(*length_m, 3)
                    )
                } else {
                    write!(f, "Shot {index} has no place: give its distance from the hook in metres.")
                }
            }
            Self::TooManyShots { count, most } => {
                write!(f, "{count} shots came; a rig here carries at most {most}. Use fewer, larger shots.")
            }
            Self::TooManyPlaces { count, most } => {
                write!(f, "{count} places with shot came; at most {most} are worked out. Put shots together.")
            }
            Self::TooLong { length_m, most_m } => write!(
                f,
                "The rig is {} m from float to hook; at most {} m is worked out.",
                fixed(*length_m, 2),
                fixed(*most_m, 0)
            ),
            Self::TooManyLinks { most } => {
                write!(
                    f,
                    "max_link_m is too short for this rig: it needs more than {most} links. Use longer links."
                )
            }
            Self::Floats { field, density, water } => {
                let what = match *field {
                    "bait.density" => "The bait floats",
                    "line_density" => "The line floats",
                    "shot_density" => "The shot floats",
                    _ => "The hook floats",
                };
                write!(
                    f,
                    "{what}: {} kg/m3 in water of {} kg/m3. It will not sink with the rig, so no fall is worked out.",
                    fixed(*density, 1),
                    fixed(*water, 1)
                )
            }
            Self::LoweredInCurrent => {
                write!(
                    f,
                    "A lowered rig is worked out in still water only: take the drift away, or lay the rig."
                )
            }
            Self::LoweredTooFast { m_per_s, most_m_per_s } => write!(
                f,
                "Lowered at {} m/s the line goes slack: this rig sinks at {} m/s at most. Lower it more slowly.",
                fixed(*m_per_s, 3),
                fixed(*most_m_per_s, 3)
            ),
            Self::NotConverged { at_s } => write!(
                f,
                "The fall could not be followed past {} s: a step did not converge, mostly because the line goes slack. Change the launch or the drift.",
                fixed(*at_s, 2)
            ),
            Self::NeverRests => {
                write!(f, "The rig does not come to rest in this drift, so it has no final depth.")
            }
        }
    }
}

impl Fault for FallError {
    fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "out_of_range",
            Self::ShotOffTheLine { .. } => "shot_off_the_line",
            Self::TooManyShots { .. } => "too_many_shots",
            Self::TooManyPlaces { .. } => "too_many_places",
            Self::TooLong { .. } => "too_long",
            Self::TooManyLinks { .. } => "too_many_links",
            Self::Floats { .. } => "floats",
            Self::LoweredInCurrent => "lowered_in_current",
            Self::LoweredTooFast { .. } => "lowered_too_fast",
            Self::NotConverged { .. } => "not_converged",
            Self::NeverRests => "never_rests",
        }
    }

    fn field(&self) -> String {
        match self {
            Self::OutOfRange { field, .. } | Self::Floats { field, .. } => (*field).to_owned(),
            Self::ShotOffTheLine { index, .. } => {
                let mut field = "shots.".to_owned();
                field.push_str(&index.to_string());
                field.push_str(".from_hook_m");
                field
            }
            Self::TooManyShots { .. } | Self::TooManyPlaces { .. } => "shots".to_owned(),
            Self::TooLong { .. } => "main.length_m".to_owned(),
            Self::TooManyLinks { .. } => "max_link_m".to_owned(),
            Self::LoweredInCurrent => "current".to_owned(),
            Self::LoweredTooFast { .. } => "lowered_m_per_s".to_owned(),
            Self::NotConverged { .. } | Self::NeverRests => String::new(),
        }
    }
}

/// Metres to the millimetre; metres to the hundredth of a millimetre; kg to the milligram; and so on.
const METRES: (&str, u8) = ("m", 3);
const THIN: (&str, u8) = ("m", 5);
const KG: (&str, u8) = ("kg", 6);
const DENSITY: (&str, u8) = ("kg/m3", 1);
const SECONDS: (&str, u8) = ("s", 4);

fn within(
    field: &'static str,
    value: f64,
    least: f64,
    most: f64,
    unit: (&'static str, u8),
) -> Result<(), FallError> {
    if value >= least && value <= most {
        Ok(())
    } else {
        Err(FallError::OutOfRange { field, value, least, most, unit })
    }
}

fn line(line: &Line, fields: [&'static str; 2]) -> Result<(), FallError> {
    within(fields[0], line.length_m, 0.005, 1000.0, METRES)?;
    within(fields[1], line.diameter_m, 0.0, 0.002, THIN)
}

/// Checks every number of a rig.
pub(super) fn rig(rig: &Rig) -> Result<(), FallError> {
    within("temperature_C", rig.temperature_c, 0.0, 40.0, ("°C", 1))?;
    within("launch_angle_deg", rig.launch_angle_deg, -90.0, 90.0, ("degrees", 1))?;
    line(&rig.main, ["main.length_m", "main.diameter_m"])?;
    line(&rig.hooklength, ["hooklength.length_m", "hooklength.diameter_m"])?;
    let length_m = rig.length_m();
    if length_m > MOST_LENGTH_M {
        return Err(FallError::TooLong { length_m, most_m: MOST_LENGTH_M });
    }
    let count = rig.shots.iter().map(|shot| u64::from(shot.count)).sum();
    if count > MOST_SHOTS {
        return Err(FallError::TooManyShots { count, most: MOST_SHOTS });
    }
    if rig.shots.len() > MOST_PLACES {
        return Err(FallError::TooManyPlaces { count: rig.shots.len(), most: MOST_PLACES });
    }
    for (index, shot) in rig.shots.iter().enumerate() {
        let from_hook_m = shot.from_hook_m;
        if !(-SAME_PLACE_M..=length_m + SAME_PLACE_M).contains(&from_hook_m) {
            return Err(FallError::ShotOffTheLine { index, from_hook_m, length_m });
        }
        within("shots.mass_kg", shot.mass_kg, 0.0, 0.05, KG)?;
    }
    within("hook.mass_kg", rig.hook.mass_kg, 0.0, 0.02, KG)?;
    within("bait.side_m", rig.bait.side_m, 0.0, 0.05, METRES)?;
    within("bait.sphericity", rig.bait.sphericity, 0.5, 1.0, ("(1 is a ball)", 3))?;
    within("bait.added_mass", rig.bait.added_mass, 0.0, 10.0, ("times the water displaced", 2))?;
    if let Some(speed) = rig.bait.free_m_per_s {
        within("bait.free_m_per_s", speed, 1e-5, 5.0, ("m/s", 5))?;
    }

    let water = water::density_kg_per_m3(rig.temperature_c);
    let densities = [
        ("line_density", rig.line_density, true),
        ("shot_density", rig.shot_density, !rig.shots.is_empty()),
        ("hook.density", rig.hook.density, rig.hook.mass_kg > 0.0),
        ("bait.density", rig.bait.density, rig.bait.side_m > 0.0),
    ];
    for (field, density, used) in densities {
        within(field, density, 0.0, 25000.0, DENSITY)?;
        if used && density < water {
            return Err(FallError::Floats { field, density, water });
        }
    }
    if let Some(current) = rig.current {
        within("current.u0", current.u0, -2.0, 2.0, ("m/s", 2))?;
        within("current.decay_m", current.decay_m, 0.01, 1e6, ("m", 2))?;
    }
    if let Float::Slide { mass_kg, cda_m2 } = rig.float {
        within("float.mass_kg", mass_kg, 0.0, 0.5, KG)?;
        within("float.cda_m2", cda_m2, 0.0, 0.1, ("m2", 6))?;
    }
    if let Some(speed) = rig.lowered_m_per_s {
        within("lowered_m_per_s", speed, 0.001, 10.0, ("m/s", 3))?;
        if rig.current.is_some_and(|c| c.u0 != 0.0) {
            return Err(FallError::LoweredInCurrent);
        }
    }
    within("max_link_m", rig.max_link_m, 0.0005, 1000.0, ("m", 4))?;
    within("t_end_s", rig.t_end_s, 0.1, 600.0, SECONDS)
}

/// Checks the tuning numbers.
pub(super) fn settings(s: &Settings) -> Result<(), FallError> {
    within("step_s", s.step_s, 0.0001, 0.1, SECONDS)?;
    within("start_step_s", s.start_step_s, 0.0001, 0.02, SECONDS)?;
    within("start_s", s.start_s, s.start_step_s, 1.0, SECONDS)?;
    within("link_factor", s.link_factor, 0.01, 100.0, ("times", 2))?;
    within("finest_link_share", s.finest_link_share, 0.01, 1.0, ("times", 2))?;
    within("newton_tolerance_m", s.newton_tolerance_m, 1e-13, 1e-5, ("m", 6))?;
    within("newton_most", f64::from(s.newton_most), 1.0, 1000.0, ("iterations", 0))?;
    within("sample_dt_s", s.sample_dt_s, 0.001, 10.0, SECONDS)?;
    if let Some(dt) = s.frame_dt_s {
        within("frame_dt_s", dt, 0.001, 10.0, SECONDS)?;
    }
    within("depth_bin_m", s.depth_bin_m, 0.001, 10.0, METRES)
}
