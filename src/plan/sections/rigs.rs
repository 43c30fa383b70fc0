//! Rigs and the shot box.

use super::super::choices::{DottedWith, Entry, Hold, Pattern, Purpose, ShotPreference, StrengthBy, TipOf};
use crate::trade::lead::{LeadLaw, lead_law};
use crate::units::TenthMg;
use serde::{Deserialize, Serialize};

/// A single shot, or a few together, between the bulk and the hook.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Dropper {
    /// Distance from the hook, tenths of a millimetre.
    pub from_hook_tenth_mm: i32,
    /// Place of its size in the shot box.
    pub shot: i32,
    /// How many.
    pub count: i32,
}

/// A number of shot of one size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ShotCount {
    /// Place of the size in the shot box.
    pub shot: i32,
    /// How many.
    pub count: i32,
}

/// A rig.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// Its name, a letter or a word.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// Place of its pole line in the list.
    pub line: i32,
    /// From the float to the hook, tenths of a millimetre.
    pub depth_tenth_mm: i32,
    /// What the float is called.
    pub float_name: String,
    /// The float's load: the lead that, hung under it at 15 °C, brings the water to the base of its tip. Tenths of
    /// a milligram.
    pub load_tenth_mg: i32,
    /// The load was found in a glass of water, not read off the maker's mark.
    pub load_measured: bool,
    /// Diameter of the tip, micrometres.
    pub tip_um: i32,
    /// Length of the tip, tenths of a millimetre.
    pub tip_length_tenth_mm: i32,
    /// Length of tip to show, tenths of a millimetre.
    pub show_tenth_mm: i32,
    /// In which state it is to show.
    pub dotted: DottedWith,
    /// Main line's diameter, micrometres.
    pub main_um: i32,
    /// Main line's strength, grams.
    pub main_strength_g: i32,
    /// Hooklength, tenths of a millimetre.
    pub hooklength_tenth_mm: i32,
    /// Hooklength's diameter, micrometres.
    pub hooklength_um: i32,
    /// Hooklength's strength, grams.
    pub hooklength_strength_g: i32,
    /// Hook size.
    pub hook_size: i32,
    /// Hook's mass, tenths of a milligram.
    pub hook_tenth_mg: i32,
    /// How the shot is placed.
    pub pattern: Pattern,
    /// From the hook to the lowest shot of the bulk, tenths of a millimetre.
    pub bulk_from_hook_tenth_mm: i32,
    /// Droppers below the bulk.
    pub droppers: Vec<Dropper>,
    /// At most so many sizes.
    pub most_sizes: i32,
    /// At most so many shot.
    pub most_shots: i32,
    /// Which sets are liked better.
    pub taste: ShotPreference,
    /// A set the user chose; empty for the first of the list.
    #[serde(default)]
    pub set: Vec<ShotCount>,
    /// How it falls, its elastic and back shot.
    #[serde(default)]
    pub more: RigMore,
}

/// What a rig needs beyond its balance. Lengths in tenths of a millimetre.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct RigMore {
    /// How it goes in.
    pub entry: Entry,
    /// What the float does.
    pub hold: Hold,
    /// Degrees below flat at which it is laid, 0 to 90.
    pub below_flat_deg: i32,
    /// Speed at which it is lowered, mm/s.
    pub lowered_mm_per_s: i32,
    /// Drift at the surface, mm/s, away from the float where positive.
    pub drift_mm_per_s: i32,
    /// Depth over which the drift falls to a third (1/e).
    pub drift_depth_tenth_mm: i32,
    /// Line between pole tip and float.
    pub above_tenth_mm: i32,
    /// Whether it carries a back shot, halfway up.
    pub back_shot: bool,
    /// Where the strengths come from.
    pub strength_by: StrengthBy,
    /// Strength left at a knot, tenths of a percent, where it was tested.
    pub knot_tenth_percent: Option<i32>,
    /// Diameter of the elastic, micrometres; none where it is not counted.
    pub elastic_um: Option<i32>,
    /// Bore of a hollow elastic, micrometres; none for a solid one.
    pub bore_um: Option<i32>,
    /// Its relaxed length.
    pub elastic_tenth_mm: i32,
    /// Length of the kit that it fills.
    pub kit_tenth_mm: i32,
    /// Relaxed length that the stop bead takes out of use.
    pub shortened_tenth_mm: i32,
    /// How far a fish may pull it out.
    pub run_tenth_mm: i32,
    /// Shot that hung under the float in the glass.
    pub glass: Vec<ShotCount>,
    /// Temperature of the water in the glass, tenths of a degree.
    pub glass_tenth_c: i32,
    /// Tip left showing in the glass.
    pub glass_show_tenth_mm: i32,
    /// The maker's load, kept when the glass's took its place, tenths of a milligram.
    pub maker_tenth_mg: Option<i32>,
    /// What the float's tip is made of, where the water climbs it.
    pub tip_of: TipOf,
    /// The elastic's number in the trade; its diameter goes before it.
    pub elastic_number: Option<i32>,
}

impl Default for RigMore {
    fn default() -> Self {
        Self {
            entry: Entry::Laid,
            hold: Hold::Held,
            below_flat_deg: 0,
            lowered_mm_per_s: 30,
            drift_mm_per_s: 0,
            drift_depth_tenth_mm: 5_080,
            above_tenth_mm: 6_096,
            back_shot: false,
            strength_by: StrengthBy::Spool,
            knot_tenth_percent: None,
            elastic_um: None,
            bore_um: None,
            elastic_tenth_mm: 15_240,
            kit_tenth_mm: 18_288,
            shortened_tenth_mm: 0,
            run_tenth_mm: 30_480,
            glass: Vec::new(),
            glass_tenth_c: 150,
            glass_show_tenth_mm: 0,
            maker_tenth_mg: None,
            tip_of: TipOf::Painted,
            elastic_number: None,
        }
    }
}

/// One size in the shot box.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BoxShot {
    /// Its name, such as `No. 10`.
    pub name: String,
    /// Mass of one, tenths of a milligram.
    pub mass_tenth_mg: i32,
    /// Density of the material, kg/m3.
    pub density_kg_per_m3: i32,
    /// How many are there.
    pub count: i32,
    /// Its mass was weighed, not taken from the trade's table.
    #[serde(default)]
    pub weighed: bool,
}

impl BoxShot {
    /// Mass of one.
    #[must_use]
    pub fn mass(&self) -> TenthMg {
        TenthMg(u32::try_from(self.mass_tenth_mg).unwrap_or(0))
    }

    /// What the law says of it, if it is lead.
    #[must_use]
    pub fn lead_law(&self) -> LeadLaw {
        lead_law(&self.name, self.mass(), self.density_kg_per_m3)
    }
}
