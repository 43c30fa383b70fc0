//! What the bait needs beyond the label: tub test, freezing and thawing, washing, other shapes.

use super::{FieldMut, Pick};
use crate::limits::{limit_of, out_of_range};
use crate::refusal::Refusal;
use crate::units::Units;
use serde::{Deserialize, Serialize};

pick! {
    /// The form of a piece.
    Form {
        /// A cube.
        Cube = "cube",
        /// A ball: a boilie, a pea, a ball of paste.
        Sphere = "ball",
        /// A cylinder, such as a pellet.
        Cylinder = "cylinder, pellet",
        /// A sliced disc.
        Disc = "sliced disc",
    }
}
pick! {
    /// What a bag lies in.
    Around {
        /// A freezer or fridge without a fan, a room.
        StillAir = "still air",
        /// A fan, or wind.
        Fan = "moving air, a fan",
        /// Cold metal, or ice packs.
        OnMetal = "on metal or ice packs",
        /// Brine or water that stands.
        StillWater = "still water or brine",
        /// Brine or water that runs.
        RunningWater = "running water",
    }
}

/// A tub test: pieces let fall in a bucket.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tub {
    /// From where a piece is let go to where it lands, tenths of a millimetre.
    pub depth_tenth_mm: i32,
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
}

/// The most drops of a test.
pub const MOST_DROPS: usize = crate::limits::MOST_DROPS;

impl Default for Tub {
    fn default() -> Self {
        Self {
            depth_tenth_mm: 3_048,
            water_tenth_c: 150,
            drops_ms: Vec::new(),
            size_tenth_mm: None,
            by_hand_ms: None,
            pieces: 0,
            floated: 0,
            came_up: 0,
        }
    }
}

/// Bags in the freezer and out of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
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
#[serde(deny_unknown_fields)]
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
#[serde(deny_unknown_fields)]
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
#[serde(deny_unknown_fields)]
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

impl BaitMore {
    /// The field at the rest of a path.
    pub(super) fn slot(&mut self, group: &str, rest: &[&str]) -> Option<FieldMut<'_>> {
        use FieldMut::{Maybe, Number};
        let &[name] = rest else { return None };
        let Self { tub, cold, rinse, other } = self;
        Some(match (group, name) {
            ("tub", "depth") => Number(&mut tub.depth_tenth_mm),
            ("tub", "water") => Number(&mut tub.water_tenth_c),
            ("tub", "size") => Maybe(&mut tub.size_tenth_mm),
            ("tub", "by_hand") => Maybe(&mut tub.by_hand_ms),
            ("tub", "pieces") => Number(&mut tub.pieces),
            ("tub", "floated") => Number(&mut tub.floated),
            ("tub", "came_up") => Number(&mut tub.came_up),
            ("cold", "bag") => Number(&mut cold.bag_tenth_mm),
            ("cold", "start") => Number(&mut cold.start_tenth_c),
            ("cold", "freezer") => Number(&mut cold.freezer_tenth_c),
            ("cold", "freeze_in") => FieldMut::Pick(&mut cold.freeze_in),
            ("cold", "thaw") => Number(&mut cold.thaw_tenth_c),
            ("cold", "thaw_in") => FieldMut::Pick(&mut cold.thaw_in),
            ("rinse", "kept") => Number(&mut rinse.kept_ml),
            ("rinse", "added") => Number(&mut rinse.added_ml),
            ("rinse", "water") => Number(&mut rinse.water_tenth_c),
            ("other", "form") => FieldMut::Pick(&mut other.form),
            ("other", "second") => Number(&mut other.second_tenth_mm),
            ("other", "density") => Maybe(&mut other.density_kg_per_m3),
            _ => return None,
        })
    }

    /// Holds what the table cannot: each drop, how many there are, and floaters against pieces.
    ///
    /// # Errors
    /// `out_of_range` at `path`, or at the list of drops.
    pub fn check(&self, path: &str) -> Result<(), Refusal> {
        let tub = &self.tub;
        let (value, least, most) = match path {
            "tub.pieces" => (tub.pieces, tub.floated, limit_of(path).map_or(tub.pieces, |l| l.most)),
            "tub.came_up" => (tub.came_up, 0, tub.floated),
            _ => (tub.floated, tub.came_up, tub.pieces),
        };
        if value < least || value > most {
            return Err(out_of_range(path, &value.to_string(), &least.to_string(), &most.to_string()));
        }
        let drops = "tub.drops";
        if tub.drops_ms.len() > MOST_DROPS {
            let came = format!("{} drops", tub.drops_ms.len());
            return Err(out_of_range(drops, &came, "0", &MOST_DROPS.to_string()));
        }
        if let Some(limit) = limit_of("tub.by_hand") {
            for &ms in &tub.drops_ms {
                limit.check(drops, i64::from(ms), Units::default())?;
            }
        }
        Ok(())
    }

    /// Takes a drop in.
    ///
    /// # Errors
    /// `out_of_range` for one that is too short or too long, or one more than a test takes.
    pub fn add_drop(&mut self, ms: i64) -> Result<(), Refusal> {
        let path = "tub.by_hand";
        if self.tub.drops_ms.len() >= MOST_DROPS {
            return Err(out_of_range(path, "One drop more", "0", &format!("{MOST_DROPS} drops")));
        }
        let Some(limit) = limit_of(path) else { return Ok(()) };
        self.tub.drops_ms.push(limit.check(path, ms, Units::default())?);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::first;

    #[test]
    fn floaters_are_held_against_pieces_and_the_field_that_is_wrong_is_named() {
        let units = Units::default();
        let mut plan = first();
        let refused = plan.set("tub.floated", "3", units).unwrap_err();
        assert_eq!(refused.to_string(), "3 is outside what is taken here. Write from 0 to 0.");
        plan.set("tub.pieces", "20", units).unwrap();
        plan.set("tub.floated", "5", units).unwrap();
        plan.set("tub.came_up", "2", units).unwrap();
        assert!(plan.set("tub.came_up", "6", units).is_err());
        let refused = plan.set("tub.pieces", "4", units).unwrap_err();
        assert_eq!(refused.to_string(), "4 is outside what is taken here. Write from 5 to 10000.");
        let refused = plan.set("tub.floated", "1", units).unwrap_err();
        assert_eq!(refused.to_string(), "1 is outside what is taken here. Write from 2 to 20.");
        let tub = &plan.bait_more.tub;
        assert_eq!((tub.pieces, tub.floated, tub.came_up), (20, 5, 2), "nothing is lost");
        plan.step("tub.came_up", 10, units).unwrap();
        assert_eq!(plan.bait_more.tub.came_up, 2, "a button does not go past it either");
    }

    #[test]
    fn drops_are_held_to_what_a_drop_can_take_and_to_fifty() {
        let mut more = BaitMore::default();
        for bad in [0, -1, -5_000, 299, 120_001, i64::MAX, i64::MIN] {
            assert!(more.add_drop(bad).is_err(), "{bad}");
        }
        for _ in 0..50 {
            more.add_drop(6_000).unwrap();
        }
        assert_eq!(
            more.add_drop(6_000).unwrap_err().to_string(),
            "One drop more is outside what is taken here. Write from 0 to 50 drops."
        );
        more.check("").unwrap();
        more.tub.drops_ms[3] = 0;
        assert!(more.check("").is_err());
        more.tub.drops_ms = vec![6_000; 51];
        assert!(more.check("").is_err());
    }

    #[test]
    fn a_tub_test_crosses_in_the_link() {
        let mut plan = first();
        for ms in [6_010, 5_870, 6_420] {
            plan.bait_more.add_drop(ms).unwrap();
        }
        plan.bait_more.cold.thaw_in = Around::StillWater;
        plan.bait_more.other =
            Other { form: Form::Cylinder, second_tenth_mm: 80, density_kg_per_m3: Some(1_180) };
        let read = crate::plan::link::read(&crate::plan::link::write(&plan)).unwrap();
        assert_eq!(read, plan);
        plan.bait_more.tub.drops_ms = vec![5_000; 51];
        assert!(crate::plan::link::read(&crate::plan::link::write(&plan)).is_err());
    }
}
