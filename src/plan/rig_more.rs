//! What a rig needs beyond its balance: how it falls, its elastic, its back shot, its test in a glass of water.

use super::{FieldMut, Pick, ShotCount, at};
use serde::{Deserialize, Serialize};

pick! {
    /// How the rig goes in.
    Entry {
        /// Swung out and laid straight.
        Laid = "laid straight",
        /// Let down by hand from the float.
        Lowered = "lowered",
    }
}
pick! {
    /// What the float does while the rig sinks.
    Hold {
        /// Held by the pole on a tight line.
        Held = "held",
        /// Free to be drawn along.
        Free = "free",
    }
}
pick! {
    /// Where a line's strength comes from.
    StrengthBy {
        /// What its spool says.
        Spool = "spool",
        /// Its diameter, by a rule of thumb.
        Diameter = "diameter",
    }
}

/// What a rig needs beyond its balance. Lengths in tenths of a millimetre.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
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
    /// Whether two No. 8 hang halfway up it.
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
        }
    }
}

impl RigMore {
    /// The field at the rest of a path.
    pub(super) fn slot(&mut self, rest: &[&str], sizes: usize) -> Option<FieldMut<'_>> {
        use FieldMut::{Maybe, Number};
        Some(match rest {
            ["entry"] => FieldMut::Pick(&mut self.entry),
            ["hold"] => FieldMut::Pick(&mut self.hold),
            ["below_flat"] => Number(&mut self.below_flat_deg),
            ["lowered"] => Number(&mut self.lowered_mm_per_s),
            ["drift"] => Number(&mut self.drift_mm_per_s),
            ["drift_depth"] => Number(&mut self.drift_depth_tenth_mm),
            ["above"] => Number(&mut self.above_tenth_mm),
            ["back_shot"] => FieldMut::Flag(&mut self.back_shot),
            ["strength_by"] => FieldMut::Pick(&mut self.strength_by),
            ["knot"] => Maybe(&mut self.knot_tenth_percent),
            ["elastic"] => Maybe(&mut self.elastic_um),
            ["bore"] => Maybe(&mut self.bore_um),
            ["elastic_length"] => Number(&mut self.elastic_tenth_mm),
            ["kit"] => Number(&mut self.kit_tenth_mm),
            ["shortened"] => Number(&mut self.shortened_tenth_mm),
            ["run"] => Number(&mut self.run_tenth_mm),
            ["glass_water"] => Number(&mut self.glass_tenth_c),
            ["glass_show"] => Number(&mut self.glass_show_tenth_mm),
            ["maker"] => Maybe(&mut self.maker_tenth_mg),
            ["glass", i, "shot"] => FieldMut::Place(&mut at(&mut self.glass, i)?.shot, sizes),
            ["glass", i, "count"] => Number(&mut at(&mut self.glass, i)?.count),
            _ => return None,
        })
    }
}
