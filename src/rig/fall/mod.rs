//! The fall of a rig: where the hook bait is, and how the line hangs, from the lay to the last inch.
//!
//! **Model.** A line without bending stiffness, in one upright plane, as links of fixed length between nodes. Shot and
//! hook are spheres at the nodes, the bait is a cube or another body, with buoyancy, drag and the water that they carry
//! along. Each
//! link has its own mass, the water's inertia across it, and drag across and along. The float is held, or slides on
//! the surface. Axes: x along the surface (down-current), z down, both from where the float was at the start.
//!
//! **Stepping.** BDF2 on positions with the links' lengths kept exactly (Newton, see `solver`), after a start-up of
//! short implicit Euler steps. At the step for showing (10 ms) the hook depth is within 0.1 mm of an adaptive
//! reference on the same links; at the step for searching (50 ms, links twice as long) times are within 2 %.
//!
//! **Validity.** Fresh water at 0 to 40 °C, a taut line laid straight or lowered straight. Not modelled: bending near
//! the hook, shots that shelter one another, slack line, the bed, a bunched launch. No experiment backs the absolute
//! numbers; drag along the line is the weakest input, and half or double of it moved times by up to 4.2 % on the three
//! rigs of `tests/rig_fall_golden.rs`.
//!
//! **Source.** Tanaka et al. 2001 (density), Kestin et al. 1978 (viscosity), Clift and Gauvin 1971 (spheres), Haider
//! and Levenspiel 1989 (cube and other bodies), Sucker and Brauer 1975 (line across the flow), Glauert and Lighthill 1955
//! (along it); Morison-type added mass. The drag coefficients were written from memory.

mod check;
mod drag;
mod hermite;
mod measure;
mod mesh;
mod run;
mod solver;

pub use measure::{FreeSpeeds, free_speeds};
pub(super) use run::{MAX_MOVES, Quick};
pub use run::{Simulator, fall};

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
const CUBE_SPHERICITY: f64 = 0.806;
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

/// The tuning numbers of the stepping and of what is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallSettings"))]
#[serde(default, deny_unknown_fields)]
pub struct FallSettings {
    /// Step after the start-up, s, 0.0001 to 0.1. Default 0.01; 0.05 for searching.
    pub step_s: f64,
    /// Step of the start-up, s. Default 0.0005. Longer saves time; Newton may fail where a current slackens the line.
    pub start_step_s: f64,
    /// Length of the start-up, s. Default 0.1.
    pub start_s: f64,
    /// Factor on the rig's longest link. Default 1; 2 for searching.
    pub link_factor: f64,
    /// Least share of the longest link, reached a quarter of a metre and less from the hook. Default 0.25.
    pub finest_link_share: f64,
    /// Newton stops when no node moves more than this, m. Default 1e-10.
    pub newton_tolerance_m: f64,
    /// Most Newton iterations of a step. Default 25; a step takes two, rarely three.
    pub newton_most: u32,
    /// Time between samples of the hook, s. Default 0.25.
    pub sample_dt_s: f64,
    /// Time between drawn shapes of the line, s; `None` (default) keeps none.
    pub frame_dt_s: Option<f64>,
    /// Height of a bin of the time spent in each depth, m. Default 0.1.
    pub depth_bin_m: f64,
    /// Keep the energy at every step. Default false.
    pub keep_energy: bool,
}

impl Default for FallSettings {
    fn default() -> Self {
        Self {
            step_s: 0.01,
            start_step_s: 0.0005,
            start_s: 0.1,
            link_factor: 1.0,
            finest_link_share: 0.25,
            newton_tolerance_m: 1e-10,
            newton_most: 25,
            sample_dt_s: 0.25,
            frame_dt_s: None,
            depth_bin_m: 0.1,
            keep_energy: false,
        }
    }
}

impl FallSettings {
    /// For the first look of a search: 100 ms, links four times as long. Times are within 1 %, measured on deck and
    /// shallow rigs of one to eleven places.
    #[must_use]
    pub fn scanning() -> Self {
        Self { step_s: 0.1, link_factor: 4.0, start_step_s: 0.005, ..Self::default() }
    }

    /// For a search over many patterns: 50 ms, links twice as long. Times are within 2 % of the settings for showing.
    #[must_use]
    pub fn searching() -> Self {
        Self { step_s: 0.05, link_factor: 2.0, ..Self::default() }
    }
}

/// First times at which the hook bait has passed a share of the way, s; `None` when it starts there or never does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallTimes"))]
pub struct Times {
    /// A quarter.
    #[serde(rename = "0.25")]
    pub f25: Option<f64>,
    /// Half.
    #[serde(rename = "0.5")]
    pub f50: Option<f64>,
    /// Three quarters.
    #[serde(rename = "0.75")]
    pub f75: Option<f64>,
    /// Nine tenths.
    #[serde(rename = "0.9")]
    pub f90: Option<f64>,
    /// 99 in a hundred.
    #[serde(rename = "0.99")]
    pub f99: Option<f64>,
}

/// Shapes of the whole line over time, for drawing.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FallFrames"))]
pub struct Frames {
    /// Time between frames, s.
    pub dt_s: f64,
    /// Nodes in a frame, from the float to the hook.
    pub nodes: usize,
    /// Distance of each node from the hook along the line, m.
    pub from_hook_m: Vec<f32>,
    /// x, z of each node, frame after frame, m: `frames * nodes * 2` numbers.
    pub xz_m: Vec<f32>,
}

/// The fall of a rig.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Fall {
    /// Links of the mesh.
    pub n_links: usize,
    /// Depth of the hook at rest, m.
    pub final_depth_m: f64,
    /// Times to shares of the final depth.
    pub t_fraction_of_final_depth_s: Times,
    /// Times to shares of the way from where the hook started.
    pub t_fraction_of_travel_s: Times,
    /// Time between samples, s.
    pub sample_dt_s: f64,
    /// Depth of the hook at each sample, m.
    pub hook_z_m: Vec<f64>,
    /// Place of the hook along the surface at each sample, m.
    pub hook_x_m: Vec<f64>,
    /// When the hook is within a hundredth of its way from rest and stays there, s; `None` if not by the end.
    pub settle_s: Option<f64>,
    /// Height of a bin of `time_in_depth_s`, m.
    pub depth_bin_m: f64,
    /// Time spent in each bin of depth from the surface down, s, until the bait has settled (or the end).
    pub time_in_depth_s: Vec<f64>,
    /// Mean speed down through the last third of the depth (until 99 % of it), m/s; `None` if not reached.
    pub last_third_m_per_s: Option<f64>,
    /// Time from 30 cm above the final depth to 99 % of it, s; `None` if not reached or never above.
    pub last_30_cm_s: Option<f64>,
    /// Speed of the free bait, as the feed falls, m/s; `None` without one.
    pub free_cube_m_per_s: Option<f64>,
    /// Speed of the free bait with the hook in it, m/s.
    pub free_cube_with_hook_m_per_s: Option<f64>,
    /// Least tension met at the end of any step, N. Below zero the line was slack for a moment, where the model is weak.
    pub least_tension_n: f64,
    /// Steps that had to be taken again with the start-up's small steps.
    pub restarts: u32,
    /// Shapes of the line, when asked for.
    #[serde(default)]
    pub frames: Option<Frames>,
    /// Energy at the end of every step, J, when asked for.
    #[serde(default)]
    pub energy_j: Vec<f64>,
}
