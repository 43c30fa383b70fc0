//! The shape and size of a piece, and what they mean for its fall.

use crate::physics::drag;
use crate::refusal::{Refusal, within};
use core::f64::consts::PI;
use serde::{Deserialize, Serialize};

/// Shape and size of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Shape {
    /// A cube.
    Cube {
        /// Edge, mm (2 to 30).
        edge_mm: f64,
    },
    /// A ball: a boilie, a pea, a ball of paste.
    Sphere {
        /// Diameter, mm (2 to 30).
        diameter_mm: f64,
    },
    /// A cylinder, such as a pellet.
    Cylinder {
        /// Diameter, mm (2 to 30).
        diameter_mm: f64,
        /// Length, mm (0.5 to 3 diameters).
        length_mm: f64,
    },
    /// A sliced disc.
    Disc {
        /// Diameter, mm (2 to 30).
        diameter_mm: f64,
        /// Thickness, mm (0.18 to 1 diameters).
        thickness_mm: f64,
    },
}

const SIZE_MM: (f64, f64) = (2.0, 30.0);

impl Shape {
    /// Passes a shape whose sizes and proportions the laws hold for.
    ///
    /// # Errors
    /// A size outside 2 to 30 mm; a cylinder or disc too long or too thin.
    pub fn check(&self) -> Result<(), Refusal> {
        match *self {
            Self::Cube { edge_mm } => {
                within("shape.edge_mm", "edge of the cube", edge_mm, SIZE_MM, "mm")?;
            }
            Self::Sphere { diameter_mm } => {
                within("shape.diameter_mm", "diameter", diameter_mm, SIZE_MM, "mm")?;
            }
            Self::Cylinder { diameter_mm: d, length_mm } => {
                within("shape.diameter_mm", "diameter", d, SIZE_MM, "mm")?;
                within("shape.length_mm", "length for this diameter", length_mm, (0.5 * d, 3.0 * d), "mm")?;
            }
            Self::Disc { diameter_mm: d, thickness_mm } => {
                within("shape.diameter_mm", "diameter", d, SIZE_MM, "mm")?;
                let allowed = (0.18 * d, d);
                within("shape.thickness_mm", "thickness for this diameter", thickness_mm, allowed, "mm")?;
            }
        }
        Ok(())
    }

    /// Volume, mm3.
    #[must_use]
    pub fn volume_mm3(&self) -> f64 {
        match *self {
            Self::Cube { edge_mm: a } => a * a * a,
            Self::Sphere { diameter_mm: d } => PI / 6.0 * d * d * d,
            Self::Cylinder { diameter_mm: d, length_mm: l }
            | Self::Disc { diameter_mm: d, thickness_mm: l } => PI / 4.0 * d * d * l,
        }
    }

    /// Diameter of the sphere of the same volume, mm.
    #[must_use]
    pub fn equivalent_diameter_mm(&self) -> f64 {
        (6.0 / PI * self.volume_mm3()).cbrt()
    }

    /// Sphericity: surface of the sphere of the same volume over that of the piece (Wadell 1932), 0 to 1.
    #[must_use]
    pub fn sphericity(&self) -> f64 {
        match *self {
            Self::Cube { .. } => drag::CUBE_SPHERICITY,
            Self::Sphere { .. } => 1.0,
            Self::Cylinder { diameter_mm: d, length_mm: l }
            | Self::Disc { diameter_mm: d, thickness_mm: l } => {
                let equal = self.equivalent_diameter_mm();
                equal * equal / (d * d / 2.0 + d * l)
            }
        }
    }

    /// Water moved along at the start, over the water displaced.
    ///
    /// Sphere 0.5, and an endless cylinder across its axis 1 (classical, from memory: Lamb 1932, Hydrodynamics, chapters IV
    /// and V). Cube 0.638, and a prism half as thick as wide along its axis 1.204, by a panel method of our own. Between: a
    /// disc, which falls flat, 0.638 (width over thickness)^0.9, a rough fit to the panel method; a cylinder longer than
    /// wide, which falls across, from the cube's to the endless one's in proportion to width over length. It only shifts the
    /// first moments of a fall.
    #[must_use]
    pub fn added_mass(&self) -> f64 {
        match *self {
            Self::Sphere { .. } => 0.5,
            Self::Cube { .. } => 0.638,
            Self::Cylinder { diameter_mm: d, length_mm: l }
            | Self::Disc { diameter_mm: d, thickness_mm: l } => {
                if l > d {
                    1.0 - 0.362 * d / l
                } else {
                    0.638 * (d / l).powf(0.9)
                }
            }
        }
    }

    /// How many of the three laws the band reaches to, the first ones: for a cube not the last, which is the furthest from
    /// the one cube that was measured (see [`crate::bait::sink`]).
    #[must_use]
    pub fn laws_in_band(&self) -> usize {
        if matches!(self, Self::Cube { .. }) { 2 } else { 3 }
    }

    /// How far the band reaches past the slowest and the fastest law, as factors on speed.
    ///
    /// Slow side 0.97 (scatter of the measurements behind the laws, 3 % in speed); 0.85 for a disc, which falls flat or
    /// flutters and which the laws were not fitted to. Fast side 1.33 for whatever has
    /// edges: 1.639 m/s measured over 1.2365 m/s by the fastest law for a bevelled cube at Re 380 (Wang et al. 2024,
    /// Powder Technol. 439:119713, case S18); 1.05 for a sphere, where the laws are good.
    #[must_use]
    pub fn law_margins(&self) -> (f64, f64) {
        match self {
            Self::Sphere { .. } => (0.95, 1.05),
            Self::Disc { .. } => (0.85, 1.639 / 1.2365),
            Self::Cube { .. } | Self::Cylinder { .. } => (0.97, 1.639 / 1.2365),
        }
    }
}
