//! My tackle: floats, the shot box, lines, hooks, elastics, tins; what was measured of each; how a plan takes them.

mod owned;

pub use owned::{Measured, Owned, Test, put_hooklength};

use super::fields::{Members, check, parts, parts_of, read};
use super::merge::{Record, Value};
use crate::plan::{BoxShot, FieldMut, Rig, Tin, TipOf};
use crate::refusal::Refusal;

/// The most tests kept of one float or tin.
pub(super) const MAX_TESTS: usize = 60;

parts! {
    /// A float.
    Float {
        /// What it is called, such as `4×10`.
        name: String = "name", "", String::new();
        /// Its load as printed, tenths of a milligram.
        load_tenth_mg: i32 = "load", "rigs.0.load", 1_000;
        /// Diameter of its tip, micrometres.
        tip_um: i32 = "tip", "rigs.0.tip", 1_500;
        /// Length of its tip, tenths of a millimetre.
        tip_length_tenth_mm: i32 = "tip_length", "rigs.0.tip_length", 200;
        /// What its tip is made of.
        tip_of: TipOf = "tip_of", "", TipOf::Painted;
    }
}
parts! {
    /// A size of the shot box.
    Shot {
        /// What it is called, such as `No. 10`.
        name: String = "name", "", String::new();
        /// Mass of one, tenths of a milligram.
        mass_tenth_mg: i32 = "mass", "shot_box.0.mass", 340;
        /// Whether that was weighed, not printed.
        weighed: bool = "weighed", "", false;
        /// Density of its material, kg/m3: lead, or what stands for it.
        density_kg_per_m3: i32 = "density", "shot_box.0.density", 11_340;
        /// How many are carried.
        count: i32 = "count", "shot_box.0.count", 0;
    }
}
parts! {
    /// A line.
    Line {
        /// What its spool says.
        name: String = "name", "", String::new();
        /// Diameter, micrometres.
        diameter_um: i32 = "diameter", "rigs.0.main", 160;
        /// Strength, grams.
        strength_g: i32 = "strength", "rigs.0.main_strength", 2_000;
    }
}
parts! {
    /// A hook.
    Hook {
        /// What its packet says.
        name: String = "name", "", String::new();
        /// Size.
        size: i32 = "size", "rigs.0.hook_size", 16;
        /// Mass of one, tenths of a milligram.
        mass_tenth_mg: i32 = "mass", "rigs.0.hook_mass", 150;
    }
}
parts! {
    /// An elastic.
    Elastic {
        /// Its trade size, such as `No. 8`.
        name: String = "name", "", String::new();
        /// Diameter, micrometres.
        elastic_um: Option<i32> = "diameter", "rigs.0.more.elastic", None;
        /// Bore of a hollow one, micrometres.
        bore_um: Option<i32> = "bore", "rigs.0.more.bore", None;
        /// Its number in the trade.
        number: Option<i32> = "number", "rigs.0.more.elastic_number", None;
    }
}
parts! {
    /// A tin, as its label tells; members as those of [`Tin`].
    TinLabel {
        /// What it is called.
        name: String = "name", "", String::new();
        /// Fat, tenths of a gram in 100 g.
        fat_tenth_g: i32 = "fat", "tin.fat", 250;
        /// Protein, tenths of a gram in 100 g.
        protein_tenth_g: i32 = "protein", "tin.protein", 130;
        /// Carbohydrate, tenths of a gram in 100 g.
        carbohydrate_tenth_g: i32 = "carbohydrate", "tin.carbohydrate", 30;
        /// Fibre, tenths of a gram in 100 g, if the label says.
        fibre_tenth_g: Option<i32> = "fibre", "tin.fibre", None;
        /// Salt, tenths of a gram in 100 g.
        salt_tenth_g: i32 = "salt", "tin.salt", 25;
        /// Energy, kilocalories in 100 g, if the label says.
        energy_kcal: Option<i32> = "energy", "tin.energy", None;
        /// Net mass of a tin, grams.
        net_g: i32 = "net", "tin.net", 340;
        /// The block's length, tenths of a millimetre.
        length_tenth_mm: i32 = "length", "tin.length", 950;
        /// The block's width, tenths of a millimetre.
        width_tenth_mm: i32 = "width", "tin.width", 520;
        /// The block's height, tenths of a millimetre.
        height_tenth_mm: i32 = "height", "tin.height", 680;
        /// Radius of the edges along its height, tenths of a millimetre.
        corner_tenth_mm: i32 = "corner", "tin.corner", 100;
        /// By how much a measured size of the block may be off, tenths of a millimetre.
        size_off_tenth_mm: Option<i32> = "size_off", "tin.size_off", None;
    }
}

/// What is in a plan and its fellow in the box have the same members.
macro_rules! same_members {
    ($one:ident, $other:ident: $($member:ident),*) => {
        same_members!(from $one, $other: $($member),*);
        same_members!(from $other, $one: $($member),*);
    };
    (from $one:ident, $other:ident: $($member:ident),*) => {
        impl From<&$one> for $other {
            fn from(one: &$one) -> Self {
                let $one { $($member),* } = one.clone();
                Self { $($member),* }
            }
        }
    };
}
same_members!(Tin, TinLabel: name, fat_tenth_g, protein_tenth_g, carbohydrate_tenth_g, fibre_tenth_g, salt_tenth_g,
    energy_kcal, net_g, length_tenth_mm, width_tenth_mm, height_tenth_mm, corner_tenth_mm, size_off_tenth_mm);
same_members!(BoxShot, Shot: name, mass_tenth_mg, density_kg_per_m3, count, weighed);

/// A rig's float, its load as printed where the maker's is known.
impl From<&Rig> for Float {
    fn from(rig: &Rig) -> Self {
        Self {
            name: rig.float_name.clone(),
            load_tenth_mg: rig.more.maker_tenth_mg.unwrap_or(rig.load_tenth_mg),
            tip_um: rig.tip_um,
            tip_length_tenth_mm: rig.tip_length_tenth_mm,
            tip_of: rig.more.tip_of,
        }
    }
}

/// A kind of thing in the box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ItemKind {
    /// A float.
    Float,
    /// A size of shot.
    Shot,
    /// A line.
    Line,
    /// A hook.
    Hook,
    /// An elastic.
    Elastic,
    /// A tin.
    Tin,
}

impl ItemKind {
    /// All of them, with the word of each in records and the name of their list.
    pub const ALL: [(Self, &'static str, &'static str); 6] = [
        (Self::Float, "float", "Floats"),
        (Self::Shot, "shot", "Shot box"),
        (Self::Line, "line", "Lines"),
        (Self::Hook, "hook", "Hooks"),
        (Self::Elastic, "elastic", "Elastics"),
        (Self::Tin, "tin", "Tins"),
    ];

    /// The one that a word stands for.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, name, _)| *name == word).map(|(kind, ..)| *kind)
    }

    /// A new one, as a shop would have it.
    #[must_use]
    pub fn usual(self) -> Item {
        match self {
            Self::Float => Item::Float(Float { name: "New float".to_owned(), ..Float::default() }),
            Self::Shot => Item::Shot(Shot { name: "New size".to_owned(), ..Shot::default() }),
            Self::Line => Item::Line(Line { name: "New line".to_owned(), ..Line::default() }),
            Self::Hook => Item::Hook(Hook { name: "New hook".to_owned(), ..Hook::default() }),
            Self::Elastic => Item::Elastic(Elastic { name: "New elastic".to_owned(), ..Elastic::default() }),
            Self::Tin => Item::Tin(TinLabel { name: "New tin".to_owned(), ..TinLabel::default() }),
        }
    }
}

/// A thing in the box.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    /// A float.
    Float(Float),
    /// A size of shot.
    Shot(Shot),
    /// A line.
    Line(Line),
    /// A hook.
    Hook(Hook),
    /// An elastic.
    Elastic(Elastic),
    /// A tin.
    Tin(TinLabel),
}

impl Item {
    /// The word of its kind, as records have it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Float(_) => "float",
            Self::Shot(_) => "shot",
            Self::Line(_) => "line",
            Self::Hook(_) => "hook",
            Self::Elastic(_) => "elastic",
            Self::Tin(_) => "tin",
        }
    }

    /// What it is called.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Float(float) => &float.name,
            Self::Shot(shot) => &shot.name,
            Self::Line(line) => &line.name,
            Self::Hook(hook) => &hook.name,
            Self::Elastic(elastic) => &elastic.name,
            Self::Tin(tin) => &tin.name,
        }
    }

    /// The keys of its members, in their order.
    #[must_use]
    pub fn keys(&self) -> &'static [&'static str] {
        match self {
            Self::Float(_) => Float::KEYS,
            Self::Shot(_) => Shot::KEYS,
            Self::Line(_) => Line::KEYS,
            Self::Hook(_) => Hook::KEYS,
            Self::Elastic(_) => Elastic::KEYS,
            Self::Tin(_) => TinLabel::KEYS,
        }
    }

    /// The member of a key, such as `load`, opened for change, and the row that a number is held against.
    pub fn field(&mut self, key: &str) -> Option<(FieldMut<'_>, &'static str)> {
        self.members().member(key)
    }

    fn members(&mut self) -> &mut dyn Members {
        match self {
            Self::Float(float) => float,
            Self::Shot(shot) => shot,
            Self::Line(line) => line,
            Self::Hook(hook) => hook,
            Self::Elastic(elastic) => elastic,
            Self::Tin(tin) => tin,
        }
    }

    /// Everything of it as parts, held against the limits.
    ///
    /// # Errors
    /// `out_of_range` at the member; a label that leaves no water.
    pub(super) fn parts(mut self) -> Result<Vec<(String, Value)>, Refusal> {
        check(self.members())?;
        if let Self::Tin(tin) = &self {
            let mut plan = crate::plan::presets::first();
            plan.tin = Tin::from(tin);
            plan.check()?;
        }
        let mut parts = parts_of(self.members());
        parts.push(("kind".to_owned(), Value::Text(self.kind().to_owned())));
        Ok(parts)
    }

    /// What a record holds of it, if this version knows its kind.
    pub(super) fn read(record: &Record) -> Option<Self> {
        let Value::Text(kind) = record.get("kind") else { return None };
        let mut item = ItemKind::named(kind)?.usual();
        if let Some((FieldMut::Text(name), _)) = item.field("name") {
            name.clear();
        }
        read(item.members(), record);
        Some(item)
    }
}

/// The key of a test.
pub(super) fn test_key(name: &str) -> String {
    ["tests.", name].concat()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::first;

    #[test]
    fn glass_tests_of_one_float_join_and_go_into_a_rig() {
        let glass = |load_tenth_mg| (String::new(), Test::Glass { load_tenth_mg });
        let mut float = Owned { item: Item::Float(Float::default()), tests: vec![glass(1_010)] };
        assert_eq!(float.measured().unwrap().spread, None, "one test has no spread");
        float.tests.extend([glass(1_000), glass(1_020)]);
        let measured = float.measured().unwrap();
        assert_eq!((measured.tests, measured.mean, measured.spread), (3, 1_010.0, Some(10.0)));
        let mut plan = first();
        assert!(float.put(&mut plan, 1) && !float.put(&mut plan, 99));
        let rig = &plan.rigs[1];
        assert_eq!(
            (rig.load_tenth_mg, rig.load_measured, rig.more.maker_tenth_mg),
            (1_010, true, Some(1_000))
        );
        plan.check().unwrap();
    }

    #[test]
    fn tub_tests_join_by_their_drops_with_the_spread_between_them() {
        let tub = |density_kg_per_m3, drops| {
            (String::new(), Test::Tub { density_kg_per_m3, spread_kg_per_m3: 3, drops })
        };
        let tin = Item::Tin(TinLabel::default());
        let measured = Owned { item: tin, tests: vec![tub(1_040, 10), tub(1_060, 30)] }.measured().unwrap();
        assert!((measured.mean - 1_055.0).abs() < 1e-9);
        // Within 3; between, 10 drops 15 off and 30 drops 5 off: 75; together the root of 84.
        assert!((measured.spread.unwrap() - 84_f64.sqrt()).abs() < 1e-9);
        assert!((measured.count - 40.0).abs() < 1e-9);
    }

    #[test]
    fn a_size_of_shot_takes_the_place_of_its_name() {
        let mut plan = first();
        let size = plan.shot_box[3].clone();
        let mut shot = Shot { name: size.name.clone(), mass_tenth_mg: 351, weighed: true, ..Shot::default() };
        let owned = |shot: &Shot| Owned { item: Item::Shot(shot.clone()), tests: Vec::new() };
        assert!(owned(&shot).put(&mut plan, 0));
        assert_eq!(plan.shot_box[3].mass_tenth_mg, 351);
        let before = plan.shot_box.len();
        shot.name = "No. 7".to_owned();
        assert!(owned(&shot).put(&mut plan, 0));
        assert_eq!(plan.shot_box.len(), before + 1);
        plan.check().unwrap();
    }
}
