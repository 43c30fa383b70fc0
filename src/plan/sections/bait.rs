//! The tin, what is cut from it and when it goes in; the tub test, freezing, rinsing, and other baits.

use super::super::choices::{Around, Form, Method};
use serde::{Deserialize, Serialize};

/// The tin, as its label tells: grams in 100 g, in tenths; the rest is water.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tin {
    /// What the user calls it.
    pub name: String,
    /// Fat, tenths of a gram in 100 g.
    pub fat_tenth_g: i32,
    /// Protein, tenths of a gram in 100 g.
    pub protein_tenth_g: i32,
    /// Carbohydrate, tenths of a gram in 100 g.
    pub carbohydrate_tenth_g: i32,
    /// Fibre, tenths of a gram in 100 g, if the label says.
    pub fibre_tenth_g: Option<i32>,
    /// Salt, tenths of a gram in 100 g.
    pub salt_tenth_g: i32,
    /// Energy, kilocalories in 100 g, if the label says.
    #[serde(default)]
    pub energy_kcal: Option<i32>,
    /// Net mass of a tin, grams.
    pub net_g: i32,
    /// The block's length, tenths of a millimetre.
    pub length_tenth_mm: i32,
    /// The block's width, tenths of a millimetre.
    pub width_tenth_mm: i32,
    /// The block's height, tenths of a millimetre.
    pub height_tenth_mm: i32,
    /// Radius of the edges along its height, tenths of a millimetre; it counts only where the block was measured.
    #[serde(default)]
    pub corner_tenth_mm: i32,
    /// By how much a size of the block may be off, tenths of a millimetre; none where block and mass were not measured,
    /// and say nothing of its density then.
    #[serde(default)]
    pub size_off_tenth_mm: Option<i32>,
}

/// The bait cut from it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "PlanBait"))]
#[serde(deny_unknown_fields)]
pub struct Bait {
    /// Edge of a cube, tenths of a millimetre.
    pub edge_tenth_mm: i32,
    /// Edge of a cube on the hook, where it is another than the feed's, tenths of a millimetre.
    #[serde(default)]
    pub hook_edge_tenth_mm: Option<i32>,
    /// Air in the meat, tenths of a percent of its volume.
    pub air_tenth_percent: i32,
    /// Washed of its grease.
    pub washed: bool,
    /// What the cutter takes between two cubes, tenths of a millimetre.
    pub blade_tenth_mm: i32,
    /// Cubes kept for the hook.
    pub hook_baits: i32,
    /// What goes into one bag, grams.
    pub bag_g: i32,
    /// More than the feeding needs, tenths of a percent.
    pub reserve_tenth_percent: i32,
    /// Tins in hand, for the question how long they last; 0 for as many as the day needs.
    pub tins_in_hand: i32,
}

/// One stretch of feeding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FeedPhase"))]
#[serde(deny_unknown_fields)]
pub struct Feeding {
    /// Place of its pole line in the list.
    pub line: i32,
    /// How the feed goes in.
    pub method: Method,
    /// When it starts, minutes after the all-in.
    pub start_min: i32,
    /// How long it lasts, minutes.
    pub minutes: i32,
    /// Cubes in one feed.
    pub cubes: i32,
    /// Seconds from one feed to the next.
    pub every_s: i32,
}

/// A tub test: pieces let fall in a bucket.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Tub {
    /// From where a piece is let go to where it lands, tenths of a millimetre.
    pub depth_tenth_mm: i32,
    /// By how much that depth is off two times in three at most (a standard deviation), tenths of a millimetre.
    pub depth_off_tenth_mm: i32,
    /// Water in the bucket, tenths of a degree Celsius.
    pub water_tenth_c: i32,
    /// What was timed, milliseconds each.
    pub drops_ms: Vec<i32>,
    /// Size of the pieces that were dropped, tenths of a millimetre; today’s size when nothing is there.
    pub size_tenth_mm: Option<i32>,
    /// A drop timed elsewhere that waits to be taken in, milliseconds.
    pub by_hand_ms: Option<i32>,
    /// Pieces that were looked at for floating.
    pub pieces: i32,
    /// Of these, pieces that floated on landing.
    pub floated: i32,
    /// Of these, pieces that came up again when pushed under.
    pub came_up: i32,
    /// What tests of other tins of this label found: the mean density of a piece at 15 °C, kg/m3.
    pub before_density_kg_per_m3: Option<i32>,
    /// The spread from piece to piece in them, kg/m3.
    pub before_spread_kg_per_m3: Option<i32>,
    /// How many pieces were dropped in them; all three count together or not at all.
    pub before_drops: Option<i32>,
}

impl Default for Tub {
    fn default() -> Self {
        Self {
            depth_tenth_mm: 3_048,
            depth_off_tenth_mm: 30,
            water_tenth_c: 150,
            drops_ms: Vec::new(),
            size_tenth_mm: None,
            by_hand_ms: None,
            pieces: 0,
            floated: 0,
            came_up: 0,
            before_density_kg_per_m3: None,
            before_spread_kg_per_m3: None,
            before_drops: None,
        }
    }
}

/// Bags in the freezer and out of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Cold {
    /// Thickness of a bag laid flat, tenths of a millimetre.
    pub bag_tenth_mm: i32,
    /// The bait as it goes into the freezer, tenths of a degree Celsius.
    pub start_tenth_c: i32,
    /// The freezer, tenths of a degree Celsius.
    pub freezer_tenth_c: i32,
    /// What is around the bags there.
    pub freeze_in: Around,
    /// Where the bags thaw, tenths of a degree Celsius.
    pub thaw_tenth_c: i32,
    /// What is around them there.
    pub thaw_in: Around,
}

impl Default for Cold {
    fn default() -> Self {
        Self {
            bag_tenth_mm: 200,
            start_tenth_c: 80,
            freezer_tenth_c: -180,
            freeze_in: Around::StillAir,
            thaw_tenth_c: 150,
            thaw_in: Around::StillAir,
        }
    }
}

/// Rinsing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Rinse {
    /// Water that stays in the sieve with the cubes, millilitres.
    pub kept_ml: i32,
    /// Fresh water of each rinse, millilitres.
    pub added_ml: i32,
    /// The washing water, tenths of a degree Celsius.
    pub water_tenth_c: i32,
}

impl Default for Rinse {
    fn default() -> Self {
        Self { kept_ml: 200, added_ml: 1_000, water_tenth_c: 400 }
    }
}

/// Bait that is no cube of tinned meat.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "OtherBait"))]
#[serde(deny_unknown_fields, default)]
pub struct Other {
    /// Its form; its size is the cube’s edge or the diameter.
    pub form: Form,
    /// Length of a cylinder or thickness of a disc, tenths of a millimetre.
    pub second_tenth_mm: i32,
    /// Its density, kg/m3, where it has no label.
    pub density_kg_per_m3: Option<i32>,
}

impl Default for Other {
    fn default() -> Self {
        Self { form: Form::Cube, second_tenth_mm: 60, density_kg_per_m3: None }
    }
}

/// What the bait needs beyond the label: tub test, freezing and thawing, washing, other shapes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct BaitMore {
    /// The tub test.
    pub tub: Tub,
    /// Freezing and thawing.
    pub cold: Cold,
    /// Rinsing.
    pub rinse: Rinse,
    /// Another bait than a cube of the tin.
    pub other: Other,
}
