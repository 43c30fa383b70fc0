//! The rig that falls.

use serde::{Deserialize, Serialize};

/// A rig and how it is put in, as plain data. It travels to the worker as postcard bytes, which hold every field in order:
/// no field of it may be skipped or tagged.
///
/// # Example
/// ```
/// use dotdown::rig::fall::{Rig, FallSettings, fall};
/// let rig: Rig = serde_json::from_str(r#"{
///   "temperature_C": 15, "launch_angle_deg": 90,
///   "main": {"length_m": 0.6, "diameter_m": 0.00015}, "hooklength": {"length_m": 0.15, "diameter_m": 0.0001},
///   "shots": [{"from_hook_m": 0.4, "mass_kg": 3.4e-5, "count": 4}],
///   "hook": {"mass_kg": 1e-5, "density": 7850}, "bait": {"side_m": 0.006, "density": 1040},
///   "current": null, "float": {"mode": "fixed"}, "max_link_m": 0.05, "t_end_s": 40
/// }"#).unwrap();
/// let fall = fall(&rig, &FallSettings::default()).unwrap();
/// assert_eq!(fall.final_depth_m, 0.75);
/// assert!(fall.t_fraction_of_final_depth_s.f99.unwrap() > 5.0);
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallRig"))]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// A name for the eye; not used.
    #[serde(default)]
    pub name: String,
    /// Water temperature, °C, 0 to 40.
    #[serde(rename = "temperature_C")]
    pub temperature_c: f64,
    /// Angle of the straight line at the launch from straight down, degrees, -90 to 90; 90 is laid flat, down-current.
    #[serde(default = "defaults::laid_flat")]
    pub launch_angle_deg: f64,
    /// When given, the rig is not laid but lowered straight at this speed, m/s, from the hook bait touching the water.
    #[serde(default)]
    pub lowered_m_per_s: Option<f64>,
    /// Density of the line, kg/m3 (nylon 1140); at least that of the water.
    #[serde(default = "defaults::line_density")]
    pub line_density: f64,
    /// Density of the shot, kg/m3; lead as the worked examples of this format have it, 11340, if not given.
    #[serde(default = "defaults::shot_density")]
    pub shot_density: f64,
    /// Main line from the float to the knot.
    pub main: Line,
    /// Hooklength from the knot to the hook.
    pub hooklength: Line,
    /// Shots, in any order.
    #[serde(default)]
    pub shots: Vec<Shot>,
    /// The hook.
    pub hook: Hook,
    /// The hook bait.
    pub bait: Bait,
    /// Surface drift, or still water.
    #[serde(default)]
    pub current: Option<Current>,
    /// What the float does.
    #[serde(default)]
    pub float: Float,
    /// Longest link, m (0.05 for showing), before the grading towards the hook.
    #[serde(default = "defaults::max_link")]
    pub max_link_m: f64,
    /// How long to follow the fall, s.
    #[serde(default = "defaults::t_end")]
    pub t_end_s: f64,
}

impl Rig {
    /// Length of the rig from float to hook, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.main.length_m + self.hooklength.length_m
    }
}

mod defaults {
    pub(super) fn laid_flat() -> f64 {
        90.0
    }
    pub(super) fn line_density() -> f64 {
        crate::trade::NYLON_KG_PER_M3
    }
    pub(super) fn shot_density() -> f64 {
        11340.0
    }
    pub(super) fn hook_density() -> f64 {
        crate::trade::STEEL_KG_PER_M3
    }
    pub(super) fn sphericity() -> f64 {
        super::CUBE_SPHERICITY
    }
    pub(super) fn added_mass() -> f64 {
        super::CUBE_ADDED_MASS
    }
    pub(super) fn max_link() -> f64 {
        0.05
    }
    pub(super) fn t_end() -> f64 {
        40.0
    }
}

/// A length of line.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallLine"))]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Length, m.
    pub length_m: f64,
    /// Diameter, m; 0 is an ideal line without mass or drag.
    pub diameter_m: f64,
}

/// Equal shots at one place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallShot"))]
#[serde(deny_unknown_fields)]
pub struct Shot {
    /// Distance from the hook along the line, m.
    pub from_hook_m: f64,
    /// Mass of one, kg.
    pub mass_kg: f64,
    /// How many.
    #[serde(default = "one")]
    pub count: u32,
}

fn one() -> u32 {
    1
}

/// The hook, taken as a sphere of its mass.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallHook"))]
#[serde(deny_unknown_fields)]
pub struct Hook {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Density, kg/m3 (steel 7850).
    #[serde(default = "defaults::hook_density")]
    pub density: f64,
}

/// Sphericity of a cube as the model rounds it.
pub(super) const CUBE_SPHERICITY: f64 = 0.806;

/// Water that a cube moves along, over the water it displaces: the model's figure, from memory. A panel method gives 0.638;
/// it shifts the first moments of a fall alone.
const CUBE_ADDED_MASS: f64 = 0.67;

/// The hook bait: a cube, or another body by the cube of its volume.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallBait"))]
#[serde(deny_unknown_fields)]
pub struct Bait {
    /// Side of the cube of its volume, m; 0 is a bare hook.
    pub side_m: f64,
    /// Density, kg/m3.
    pub density: f64,
    /// Sphericity, 0.5 to 1; a cube's when left out.
    #[serde(default = "defaults::sphericity")]
    pub sphericity: f64,
    /// Water moved along over water displaced, 0 to 10; a cube's when left out.
    #[serde(default = "defaults::added_mass")]
    pub added_mass: f64,
    /// Speed at which it falls free in this water, m/s, where that is known better than by the law of its sphericity (from
    /// drops in a bucket, say): its drag is the law's, scaled to that speed.
    #[serde(default)]
    pub free_m_per_s: Option<f64>,
}

impl Bait {
    /// A cube of a side, m, and a density, kg/m3, that falls by the law.
    #[must_use]
    pub fn cube(side_m: f64, density: f64) -> Self {
        Self { side_m, density, sphericity: CUBE_SPHERICITY, added_mass: CUBE_ADDED_MASS, free_m_per_s: None }
    }
}

/// Steady surface drift that fades with depth: u(z) = u0 exp(−z/decay).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallCurrent"))]
#[serde(deny_unknown_fields)]
pub struct Current {
    /// Speed at the surface, m/s; positive along x.
    pub u0: f64,
    /// Depth over which it falls to 1/e, m.
    pub decay_m: f64,
}

/// What the float does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "FloatFields", into = "FloatFields")]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallFloat", !try_from, !into, tag = "mode", rename_all = "snake_case"))]
pub enum Float {
    /// Held where it is, as under a tight pole tip.
    #[default]
    Fixed,
    /// Free to slide along the surface.
    Slide {
        /// Mass, kg.
        mass_kg: f64,
        /// Drag coefficient times area in the water, m2.
        cda_m2: f64,
    },
}

/// [`Float`] as its JSON object has it, and as it travels to the worker.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FloatFields {
    mode: FloatMode,
    #[serde(default)]
    mass_kg: Option<f64>,
    #[serde(default)]
    cda_m2: Option<f64>,
}

#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum FloatMode {
    Fixed,
    Slide,
}

impl TryFrom<FloatFields> for Float {
    type Error = &'static str;

    fn try_from(fields: FloatFields) -> Result<Self, Self::Error> {
        match (fields.mode, fields.mass_kg, fields.cda_m2) {
            (FloatMode::Fixed, ..) => Ok(Self::Fixed),
            (FloatMode::Slide, Some(mass_kg), Some(cda_m2)) => Ok(Self::Slide { mass_kg, cda_m2 }),
            (FloatMode::Slide, ..) => Err("a float that slides needs mass_kg and cda_m2"),
        }
    }
}

impl From<Float> for FloatFields {
    fn from(float: Float) -> Self {
        match float {
            Float::Fixed => Self { mode: FloatMode::Fixed, mass_kg: None, cda_m2: None },
            Float::Slide { mass_kg, cda_m2 } => {
                Self { mode: FloatMode::Slide, mass_kg: Some(mass_kg), cda_m2: Some(cda_m2) }
            }
        }
    }
}
