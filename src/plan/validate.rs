//! What the table of fields cannot say: a whole plan that came from outside, and numbers held against each other.

use super::edit::clean;
use super::fields::{
    FIELDS, FieldMut, LISTS, MAX_DROPS, bounds_of, list_of, no_such_field, out_of_range, path_of,
};
use super::sections::{BaitMore, KitCount, Tin};
use super::{Plan, VERSION};
use crate::refusal::Refusal;
use crate::trade::tin::{ENERGY_OFF, KCAL_PER_G, MEAT_KG_PER_M3, block_mm3};
use crate::units::{Units, fixed};

impl Plan {
    /// Holds every number, list and text of a plan that came from outside against the table.
    ///
    /// What a label's energy and a block's mass say of its other numbers is refused at their own fields alone: a number typed
    /// after them leads to the same plan, which the page holds and warns of. So a link and a script bring it too.
    ///
    /// # Errors
    /// The first refusal, in the order of the table.
    pub fn check(&mut self) -> Result<(), Refusal> {
        if self.version > VERSION {
            let came = self.version;
            let sentence = format!(
                "This plan was written by a newer version ({came}). Update this page, then open it again."
            );
            return Err(Refusal::new("newer_version", "version", sentence));
        }
        let units = Units::default();
        for &(pattern, least, most, _) in LISTS {
            for path in self.paths(pattern) {
                let length = self.length(&path).unwrap_or(0);
                if !(least..=most).contains(&length) {
                    let came = format!("{length} entries");
                    return Err(out_of_range(&path, &came, &least.to_string(), &most.to_string()));
                }
            }
        }
        for field in FIELDS {
            for at in self.places(field.path) {
                match (field.open(self, at), &field.bounds) {
                    (
                        Some(FieldMut::Number(&mut value) | FieldMut::Maybe(&mut Some(value))),
                        Some(bounds),
                    ) if !(bounds.least..=bounds.most).contains(&value) => {
                        bounds.check(&path_of(field.path, at), i64::from(value), units)?;
                    }
                    (Some(FieldMut::Place(&mut place, length)), _)
                        if usize::try_from(place).map_or(true, |place| place >= length) =>
                    {
                        let (came, most) = (format!("Place {place}"), length.saturating_sub(1).to_string());
                        return Err(out_of_range(&path_of(field.path, at), &came, "0", &most));
                    }
                    (Some(FieldMut::Text(text)), _) => *text = clean(text),
                    _ => {}
                }
            }
        }
        self.tin.check("tin.fat")?;
        self.bait_more.check("tub.floated")?;
        let sizes = self.shot_box.len();
        for (i, rig) in self.rigs.iter().enumerate() {
            let bad = rig.set.len() > 24
                || rig.set.iter().any(|s| {
                    usize::try_from(s.shot).map_or(true, |p| p >= sizes) || !(0..=500).contains(&s.count)
                });
            if bad {
                return Err(no_such_field(&format!("rigs.{i}.set")));
            }
        }
        self.version = VERSION;
        Ok(())
    }

    /// Sets how many of a derived thing the kit holds; the list's own number again when `count` is `None`.
    pub fn set_kit_count(&mut self, id: &str, count: Option<i32>) {
        self.kit_counts.retain(|c| c.id != id);
        let full = list_of("kit_counts").is_some_and(|(_, most)| self.kit_counts.len() >= most);
        if let Some(count) = count
            && !full
        {
            self.kit_counts.push(KitCount { id: clean(id), count: count.clamp(0, 500) });
        }
    }

    /// Holds the bait's counts against each other, and puts them back as they were when they do not fit.
    pub(super) fn keep_bait(&mut self, path: &str, before: Option<BaitMore>) -> Result<(), Refusal> {
        match (before, self.bait_more.check(path)) {
            (Some(before), Err(e)) => {
                self.bait_more = before;
                Err(e)
            }
            _ => Ok(()),
        }
    }
}

impl Tin {
    /// The parts named on the label leave some water in 100 g.
    pub(super) fn check(&self, path: &str) -> Result<(), Refusal> {
        let sum = self.fat_tenth_g
            + self.protein_tenth_g
            + self.carbohydrate_tenth_g
            + self.fibre_tenth_g.unwrap_or(0)
            + self.salt_tenth_g;
        if sum < 1000 {
            return match path {
                "tin.energy" => self.check_energy(),
                "tin.size_off" => self.check_block(),
                _ => Ok(()),
            };
        }
        let sentence = format!(
            "Fat, protein, carbohydrate, fibre and salt come to {} g of 100 g, and some of it is water. Check the label.",
            fixed(f64::from(sum) / 10.0, 1)
        );
        Err(Refusal::new("label_over_100", path.to_owned(), sentence))
    }

    /// The energy that fat, protein, carbohydrate and fibre make is about the label's, if that was copied.
    ///
    /// # Errors
    /// `energy` at `tin.energy`, with what was expected.
    pub fn check_energy(&self) -> Result<(), Refusal> {
        let parts = [
            self.fat_tenth_g,
            self.protein_tenth_g,
            self.carbohydrate_tenth_g,
            self.fibre_tenth_g.unwrap_or(0),
        ];
        let sum: f64 =
            parts.iter().zip(KCAL_PER_G).map(|(tenths, kcal)| f64::from(*tenths) / 10.0 * kcal).sum();
        let Some(energy) = self.energy_kcal else { return Ok(()) };
        let (least, most) = (sum * (1.0 - ENERGY_OFF), sum * (1.0 + ENERGY_OFF));
        if (least..=most).contains(&f64::from(energy)) {
            return Ok(());
        }
        let sentence = format!(
            "The parts of this label make {} to {} kcal, not {energy}. Check fat, protein and carbohydrate, and that it is kcal in 100 g.",
            fixed(least, 0),
            fixed(most, 0)
        );
        Err(Refusal::new("energy", "tin.energy", sentence))
    }

    /// The block's size and mass make a density that meat can have, if they were measured.
    ///
    /// # Errors
    /// `block_density` at `tin.size_off`, with what was expected.
    pub fn check_block(&self) -> Result<(), Refusal> {
        let mm = |tenths: i32| f64::from(tenths) / 10.0;
        let [length, width, height, corner] =
            [self.length_tenth_mm, self.width_tenth_mm, self.height_tenth_mm, self.corner_tenth_mm].map(mm);
        let fits = corner <= 0.5 * length.min(width);
        let cm3 = block_mm3(length, width, height, corner) / 1000.0;
        let (least, most) = (cm3 * MEAT_KG_PER_M3.0 / 1000.0, cm3 * MEAT_KG_PER_M3.1 / 1000.0);
        if self.size_off_tenth_mm.is_none() || fits && (least..=most).contains(&f64::from(self.net_g)) {
            return Ok(());
        }
        let sentence = format!(
            "A block of this size weighs from {} to {} g, not {}. Check its mass, sides and corners.",
            fixed(least.max(0.0), 0),
            fixed(most.max(0.0), 0),
            self.net_g
        );
        Err(Refusal::new("block_density", "tin.size_off", sentence))
    }
}

impl BaitMore {
    /// Holds what the table cannot: each drop, how many there are, and floaters against pieces.
    ///
    /// # Errors
    /// `out_of_range` at `path`, or at the list of drops.
    pub fn check(&self, path: &str) -> Result<(), Refusal> {
        let tub = &self.tub;
        let (value, least, most) = match path {
            "tub.pieces" => {
                (tub.pieces, tub.floated, bounds_of(path).map_or(tub.pieces, |bounds| bounds.most))
            }
            "tub.came_up" => (tub.came_up, 0, tub.floated),
            _ => (tub.floated, tub.came_up, tub.pieces),
        };
        if value < least || value > most {
            return Err(out_of_range(path, &value.to_string(), &least.to_string(), &most.to_string()));
        }
        let drops = "tub.drops";
        if tub.drops_ms.len() > MAX_DROPS {
            let came = format!("{} drops", tub.drops_ms.len());
            return Err(out_of_range(drops, &came, "0", &MAX_DROPS.to_string()));
        }
        if let Some(bounds) = bounds_of("tub.by_hand") {
            for &ms in &tub.drops_ms {
                bounds.check(drops, i64::from(ms), Units::default())?;
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
        if self.tub.drops_ms.len() >= MAX_DROPS {
            return Err(out_of_range(path, "One drop more", "0", &format!("{MAX_DROPS} drops")));
        }
        let Some(bounds) = bounds_of(path) else { return Ok(()) };
        self.tub.drops_ms.push(bounds.check(path, ms, Units::default())?);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::first;
    use crate::plan::{Around, Form, Other};

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
