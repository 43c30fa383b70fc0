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
mod rig;
mod run;
mod samples;
mod solver;

pub use measure::{FreeSpeeds, free_speeds};
pub use rig::{Bait, Current, Float, Hook, Line, Rig, Shot};
pub(super) use run::{MAX_MOVES, Quick};
pub use run::{Simulator, fall};

use rig::CUBE_SPHERICITY;
use serde::{Deserialize, Serialize};

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

    /// For a search over many patterns: 50 ms, links twice as long. Times are within 2 %, or a step, of the settings for showing.
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
