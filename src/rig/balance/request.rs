//! What is asked and answered, and what a request may hold.

use crate::refusal::Refusal;
use crate::rig::within;
use crate::units::TenthMg;
use serde::{Deserialize, Serialize};

/// Most sizes in one box.
pub const MAX_BOX_SIZES: usize = 24;
/// Most distinct sizes in one set.
pub const MAX_SET_SIZES: u32 = 4;
/// Most shots in one set.
pub const MAX_SET_SHOTS: u32 = 60;
/// Sets kept that are equal on all three counts.
pub const TIES_KEPT: usize = 4;
/// The temperature at which a load is defined, °C.
pub const LOAD_TEMPERATURE_C: f64 = 15.0;

/// The float: what it carries and its tip.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "BalanceFloat"))]
#[serde(deny_unknown_fields)]
pub struct Float {
    /// Mass of lead that brings the water to the base of the tip in fresh water at 15 °C: 10 to 500 000 (50 g).
    pub load_tenth_mg: TenthMg,
    /// Diameter of the tip, mm (0.3 to 10).
    pub tip_diameter_mm: f64,
    /// Length of the tip, mm (1 to 150).
    pub tip_length_mm: f64,
    /// Mass of the float itself, if it was weighed. With it, the change of the float's own lift with the water's
    /// density is counted; without it, that change is left out and [`Balance::left_out_mm`] says how much it may be.
    #[serde(default)]
    pub own_mass_tenth_mg: Option<TenthMg>,
    /// The angle at which water meets the tip, degrees (0 to 180): the allowance for water that climbs it and pulls it down,
    /// or stands off and lifts it. None when the load was found by shotting this float, for it is in the load then.
    #[serde(default)]
    pub contact_deg: Option<f64>,
}

/// One size of shot in the box.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BoxedShot {
    /// The size's name, as the answer repeats it.
    pub name: String,
    /// Mass of one shot (1 to 500 000).
    pub mass_tenth_mg: TenthMg,
    /// Density, kg/m3 (1500 to 23 000).
    pub density_kg_per_m3: f64,
    /// How many there are. A size with none is not used.
    pub count: u32,
    /// How many of them must be in every set (droppers, a back shot's pair is not counted here as it does not hang).
    #[serde(default)]
    pub fixed: u32,
}

/// The hook.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "BalanceHook"))]
#[serde(deny_unknown_fields)]
pub struct Hook {
    /// Mass (0 to 50 000).
    pub mass_tenth_mg: TenthMg,
    /// Density, kg/m3 (1500 to 23 000); steel is 7800 to 7850.
    pub density_kg_per_m3: f64,
}

/// The bait, a cube.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "BalanceBait"))]
#[serde(deny_unknown_fields)]
pub struct Bait {
    /// Side of the cube, mm (0 to 50; 0 is no bait).
    pub side_mm: f64,
    /// Density, kg/m3 (500 to 3000). Below water's the bait lifts the rig, and is not held by the bottom.
    pub density_kg_per_m3: f64,
}

/// A length of line under the surface.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LinePiece {
    /// Length under water, m (0 to 30).
    pub length_m: f64,
    /// Diameter, mm (0 to 2).
    pub diameter_mm: f64,
    /// Density, kg/m3 (500 to 3000); nylon is 1140.
    pub density_kg_per_m3: f64,
}

/// What the bed carries when the bait lies on the bottom, besides the bait.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Resting {
    /// Whether the hook lies with the bait (default: yes, it is in the bait).
    pub hook: bool,
    /// Length of line that lies there, m (default 0), from the hook up. Shots on it are not taken off: set it shorter
    /// than the distance of the lowest shot.
    pub line_m: f64,
}

impl Default for Resting {
    fn default() -> Self {
        Self { hook: true, line_m: 0.0 }
    }
}

/// Which state the wanted tip holds for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "BaitState"))]
#[serde(rename_all = "snake_case")]
pub enum DottedWith {
    /// The bait hangs under the float.
    #[default]
    BaitHanging,
    /// The bait lies on the bottom.
    BaitOnBottom,
}

/// How the user likes to fish; it only orders the sets.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "ShotTaste"))]
#[serde(rename_all = "snake_case")]
pub enum ShotPreference {
    /// Many small shots first.
    #[default]
    ManySmall,
    /// Few large shots first.
    FewLarge,
}

/// Everything that the balancer is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BalanceRequest {
    /// The float.
    pub float: Float,
    /// Temperature of the water, °C (0 to 40).
    pub temperature_c: f64,
    /// The shot in the box, in any order.
    pub shot_box: Vec<BoxedShot>,
    /// The hook, if it is to be counted.
    #[serde(default)]
    pub hook: Option<Hook>,
    /// The bait, if it is to be counted.
    #[serde(default)]
    pub bait: Option<Bait>,
    /// The line under the surface, from the float down; the last piece is the hooklength.
    #[serde(default)]
    pub line: Vec<LinePiece>,
    /// What the bed carries when the bait is on the bottom.
    #[serde(default)]
    pub resting: Resting,
    /// Tip that is to be left showing, mm (0 to the tip's length).
    pub wanted_tip_mm: f64,
    /// The state for which the wanted tip holds.
    #[serde(default)]
    pub wanted_state: DottedWith,
    /// At most so many distinct sizes in a set (1 to 4).
    pub max_sizes: u32,
    /// At most so many shots in a set (1 to 60), the fixed ones included.
    pub max_shots: u32,
    /// How the user likes to fish.
    #[serde(default)]
    pub taste: ShotPreference,
    /// Sets whose tips differ by no more than this, mm (0 or more), count as equally good: among them one size comes before
    /// two, then taste decides. Default 0.5 mm, about what the eye sees on the water.
    #[serde(default = "close_enough_default")]
    pub close_enough_mm: f64,
}

fn close_enough_default() -> f64 {
    0.5
}

/// Where the water stands at the float.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Waterline {
    /// The body shows: too little hangs under it.
    BodyShows,
    /// The water is on the tip.
    OnTip,
    /// The float goes under.
    Under,
}

/// So many of one size.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "ShotOfSet"))]
pub struct ShotCount {
    /// Place of the size in the request's box, from 0.
    pub index: usize,
    /// The size's name.
    pub name: String,
    /// How many.
    pub count: u32,
}

/// One set that no other set beats.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct ShotSet {
    /// The shots, heaviest size in water first.
    pub shots: Vec<ShotCount>,
    /// Distinct sizes.
    pub sizes: u32,
    /// Shots in all.
    pub shots_total: u32,
    /// Mass of the shots in air, tenths of a milligram.
    pub mass_tenth_mg: u64,
    /// Exactly what is missing from the weight in water that the wanted tip asks for, in nanograms: more than nothing
    /// when the set is too light (more tip shows than wanted), less when it is too heavy.
    pub remainder_ng: i64,
    /// Distance from the wanted tip, mm (0 or more).
    pub off_mm: f64,
    /// Tip left with the bait hanging, mm. Below 0: the float goes under; above the tip's length: the body shows.
    pub tip_hanging_mm: f64,
    /// Tip left with the bait on the bottom, mm. Signs as above.
    pub tip_bottom_mm: f64,
    /// Where the water stands with the bait hanging.
    pub hanging: Waterline,
    /// Where the water stands with the bait on the bottom.
    pub bottom: Waterline,
    /// How many sets are equal to this one on all three counts, itself included.
    pub equals: u32,
}

/// The answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Balance {
    /// Density of the water, kg/m3.
    pub water_kg_per_m3: f64,
    /// Lift of the float with the water at the base of its tip, ng.
    pub lift_ng: i64,
    /// What the water's surface pulls the tip down with, ng; 0 without an angle, below 0 where it lifts.
    pub meniscus_ng: i64,
    /// Water displaced by one millimetre of tip, ng.
    pub tip_ng_per_mm: i64,
    /// Weight in water of the hook, ng.
    pub hook_ng: i64,
    /// Weight in water of the bait, ng.
    pub bait_ng: i64,
    /// Weight in water of the line, ng.
    pub line_ng: i64,
    /// Weight in water that the bed takes over when the bait is on the bottom, ng.
    pub resting_ng: i64,
    /// Weight in water that the shot has to have for the wanted tip, ng.
    pub wanted_shot_ng: i64,
    /// Millimetres of tip that the hanging bait is worth.
    pub bait_worth_mm: f64,
    /// What the float's own change of lift with the water's density may be, mm of tip (more than nothing: the float
    /// sits higher than told): counted, and so 0, when the float was weighed; else left out, and told here for a float
    /// as heavy as its load.
    pub left_out_mm: f64,
    /// Whether any set brings the water onto the tip. If not, `sets` holds the nearest set alone.
    pub on_tip: bool,
    /// The sets that no other beats, in the order of the user's taste.
    pub sets: Vec<ShotSet>,
}
const TENTH_MG: &str = "tenths of a mg";

impl Float {
    /// Checks a request's `float`.
    pub(in crate::rig) fn check(&self) -> Result<(), Refusal> {
        within("float.load_tenth_mg", f64::from(self.load_tenth_mg.0), 10.0, 500_000.0, TENTH_MG)?;
        within("float.tip_diameter_mm", self.tip_diameter_mm, 0.3, 10.0, "mm")?;
        within("float.tip_length_mm", self.tip_length_mm, 1.0, 150.0, "mm")?;
        let own_mass = self.own_mass_tenth_mg.map_or(0.0, |mass| f64::from(mass.0));
        within("float.own_mass_tenth_mg", own_mass, 0.0, 500_000.0, TENTH_MG)?;
        within("float.contact_deg", self.contact_deg.unwrap_or(90.0), 0.0, 180.0, "°")
    }
}

impl Hook {
    /// Checks a request's `hook`.
    pub(in crate::rig) fn check(&self) -> Result<(), Refusal> {
        within("hook.mass_tenth_mg", f64::from(self.mass_tenth_mg.0), 0.0, 50_000.0, TENTH_MG)?;
        within("hook.density_kg_per_m3", self.density_kg_per_m3, 1500.0, 23_000.0, "kg/m3")
    }
}

impl BalanceRequest {
    /// Checks every number against its limits.
    pub(super) fn check(&self) -> Result<(), Refusal> {
        const D: &str = "kg/m3";
        let float = &self.float;
        float.check()?;
        within("temperature_c", self.temperature_c, 0.0, 40.0, "°C")?;
        within("wanted_tip_mm", self.wanted_tip_mm, 0.0, float.tip_length_mm, "mm")?;
        within("close_enough_mm", self.close_enough_mm, 0.0, 150.0, "mm")?;
        within("max_sizes", f64::from(self.max_sizes), 1.0, f64::from(MAX_SET_SIZES), "sizes")?;
        within("max_shots", f64::from(self.max_shots), 1.0, f64::from(MAX_SET_SHOTS), "shots")?;
        if let Some(hook) = &self.hook {
            hook.check()?;
        }
        if let Some(bait) = &self.bait {
            within("bait.side_mm", bait.side_mm, 0.0, 50.0, "mm")?;
            within("bait.density_kg_per_m3", bait.density_kg_per_m3, 500.0, 3000.0, D)?;
        }
        within("line", self.line.len() as f64, 0.0, 8.0, "pieces")?;
        for (i, piece) in self.line.iter().enumerate() {
            within(format!("line.{i}.length_m"), piece.length_m, 0.0, 30.0, "m")?;
            within(format!("line.{i}.diameter_mm"), piece.diameter_mm, 0.0, 2.0, "mm")?;
            within(format!("line.{i}.density_kg_per_m3"), piece.density_kg_per_m3, 500.0, 3000.0, D)?;
        }
        let line_m: f64 = self.line.iter().map(|piece| piece.length_m).sum();
        within("resting.line_m", self.resting.line_m, 0.0, line_m, "m")?;
        self.check_box()
    }

    /// Checks the shot box and its fixed shots.
    fn check_box(&self) -> Result<(), Refusal> {
        if self.shot_box.iter().all(|shot| shot.count == 0) {
            let sentence = "The shot box is empty: put in at least one size and how many there are.";
            return Err(Refusal::new("empty_box", "shot_box", sentence));
        }
        if self.shot_box.len() > MAX_BOX_SIZES {
            let sentence = format!(
                "The shot box has {} sizes; at most {MAX_BOX_SIZES} can be searched: leave out those you do not use.",
                self.shot_box.len()
            );
            return Err(Refusal::new("box_too_large", "shot_box", sentence));
        }
        let (mut sizes, mut shots) = (0_u32, 0_u32);
        for (index, shot) in self.shot_box.iter().enumerate() {
            let mass = f64::from(shot.mass_tenth_mg.0);
            within(format!("shot_box.{index}.mass_tenth_mg"), mass, 1.0, 500_000.0, TENTH_MG)?;
            let density = shot.density_kg_per_m3;
            within(format!("shot_box.{index}.density_kg_per_m3"), density, 1500.0, 23_000.0, "kg/m3")?;
            within(format!("shot_box.{index}.count"), f64::from(shot.count), 0.0, 100_000.0, "shots")?;
            if shot.fixed > shot.count {
                let sentence = format!(
                    "{} of {} are fixed on the rig, but only {} are in the box: add some or fix fewer.",
                    shot.fixed, shot.name, shot.count
                );
                return Err(Refusal::new("fixed_not_in_box", format!("shot_box.{index}.fixed"), sentence));
            }
            sizes += u32::from(shot.fixed > 0);
            shots += shot.fixed;
        }
        if sizes > self.max_sizes || shots > self.max_shots {
            let sentence = format!(
                "The fixed droppers alone are {shots} shots of {sizes} sizes, more than one set may have: allow more or fix \
                 fewer."
            );
            return Err(Refusal::new("fixed_too_many", "max_sizes", sentence));
        }
        Ok(())
    }
}
