//! What a piece is made of: the label of its tin or a density, and the generic tins.

use crate::physics::food::Composition;
use crate::refusal::{Refusal, short, within};
use crate::trade::tin::{MEAT_KG_PER_M3, block_mm3};
use serde::{Deserialize, Serialize};

/// What the tin's label says, in grams per 100 g; water is the rest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Label {
    /// Fat, g per 100 g.
    pub fat_g: f64,
    /// Protein, g per 100 g.
    pub protein_g: f64,
    /// Carbohydrate without fibre, g per 100 g.
    pub carbohydrate_g: f64,
    /// Salt, g per 100 g (2.5 times the sodium).
    pub salt_g: f64,
    /// Fibre, g per 100 g; 0 when the label has none.
    #[serde(default)]
    pub fibre_g: f64,
    /// Ash, g per 100 g, where it is known; labels do not state it, composition tables do.
    pub ash_g: Option<f64>,
}

impl Label {
    /// Ash, g per 100 g: as stated, else the salt plus 0.05 g for each gram of protein.
    ///
    /// Lean meat holds about 1 g of minerals with some 20 g of protein (from memory). Against the four canned entries
    /// of the USDA table, which state ash and sodium both, this is within 0.5 g, which is worth 3 kg/m3 of density.
    #[must_use]
    pub fn ash_per_100_g(&self) -> f64 {
        self.ash_g.unwrap_or(self.salt_g + 0.05 * self.protein_g)
    }

    /// The label as mass fractions, water as the rest.
    ///
    /// # Errors
    /// A part that is negative, above 100 g or not a number; parts that add up to more than 100 g.
    pub fn composition(&self) -> Result<Composition, Refusal> {
        let part = |field, name, value| within(field, name, value, (0.0, 100.0), "g");
        part("label.fat_g", "fat per 100 g", self.fat_g)?;
        part("label.protein_g", "protein per 100 g", self.protein_g)?;
        part("label.carbohydrate_g", "carbohydrate per 100 g", self.carbohydrate_g)?;
        part("label.salt_g", "salt per 100 g", self.salt_g)?;
        part("label.fibre_g", "fibre per 100 g", self.fibre_g)?;
        let ash = part("label.ash_g", "ash per 100 g", self.ash_per_100_g())?;
        let solids_g = self.fat_g + self.protein_g + self.carbohydrate_g + self.fibre_g + ash;
        if solids_g > 100.0 + 1e-9 {
            let sentence = format!(
                "The label adds up to {} g in 100 g, ash included; check fat, protein, carbohydrate, fibre and salt.",
                short(solids_g)
            );
            return Err(Refusal::new("label_over_100", "label", sentence));
        }
        Ok(Composition {
            protein: self.protein_g / 100.0,
            fat: self.fat_g / 100.0,
            carbohydrate: self.carbohydrate_g / 100.0,
            fibre: self.fibre_g / 100.0,
            ash: ash / 100.0,
            water: (100.0 - solids_g).max(0.0) / 100.0,
            ice: 0.0,
        })
    }
}

/// A generic tin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GenericTin {
    /// A short name that does not change: an entry's number in its table.
    pub id: &'static str,
    /// What it is, in plain words.
    pub name: &'static str,
    /// Where its label is from, for a screen.
    pub source: &'static str,
    /// Its label.
    pub label: Label,
}

const fn usda(id: &'static str, name: &'static str, parts: [f64; 4], sodium_mg: f64) -> GenericTin {
    let [fat_g, protein_g, carbohydrate_g, ash_g] = parts;
    let salt_g = sodium_mg * 2.5e-3;
    let label = Label { fat_g, protein_g, carbohydrate_g, salt_g, fibre_g: 0.0, ash_g: Some(ash_g) };
    GenericTin { id, name, source: "USDA Standard Reference", label }
}

/// The generic tins a plan starts from. The first is the default.
///
/// # Source
/// The typical tin is no entry of a table: about the middle of those of six tables for tinned luncheon meat (USDA Standard
/// Reference, German BLS 4.0, Australian AUSNUT 2011-13, British `CoFID` 2021; a Hong Kong survey of ten tins in 2010 found
/// six of 20 g of fat or less and none above 29 g). The others are entries of the USDA National Nutrient Database for
/// Standard Reference, public domain, salt as 2.5 times its sodium; that of jellied beef is left out, for its parts add up
/// to 100.3 g. The fat pork is fatter than any tin of that survey.
pub const TINS: [GenericTin; 5] = [
    GenericTin {
        id: "typical",
        name: "Typical tin",
        source: "no entry of a table: about the middle of six",
        label: Label {
            fat_g: 23.5,
            protein_g: 13.5,
            carbohydrate_g: 3.0,
            salt_g: 2.3,
            fibre_g: 0.0,
            ash_g: None,
        },
    },
    usda("07045", "Fat pork", [30.30, 12.50, 2.10, 3.60], 1289.0),
    usda("07044", "Leaner pork", [12.77, 17.50, 1.04, 2.82], 820.0),
    usda("07026", "Chopped ham", [18.83, 16.06, 0.26, 4.08], 1280.0),
    usda("07042", "Beef loaf", [26.20, 14.40, 2.90, 4.00], 1125.0),
];

/// A block out of its tin, weighed and measured: its density without any label.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WeighedBlock {
    /// Mass, g (10 to 10 000).
    pub mass_g: f64,
    /// Length, mm (20 to 300).
    pub length_mm: f64,
    /// Width, mm (20 to 300).
    pub width_mm: f64,
    /// Height, mm (20 to 300).
    pub height_mm: f64,
    /// Radius of the four edges along its height, mm (0 to half the width and half the length).
    #[serde(default)]
    pub corner_mm: f64,
    /// How far each size may be off, mm (0.05 to 10), as a limit.
    pub off_mm: f64,
}

/// How far the mass of a block may be off, g, as a limit: half a step of a kitchen scale that shows whole grams, zero and
/// reading together (judgement).
const MASS_OFF_G: f64 = 1.0;

impl WeighedBlock {
    /// Density, kg/m3, and its standard deviation: three sizes and the mass, each within its limits with the same chance
    /// anywhere (JCGM 100:2008, 4.3.7: limit over the square root of 3), independent of each other.
    ///
    /// # Errors
    /// A number outside its range; a density no meat has (600 to 1400 kg/m3): one of the numbers is wrong then.
    pub fn density_kg_per_m3(&self) -> Result<(f64, f64), Refusal> {
        let sides = [self.length_mm, self.width_mm, self.height_mm];
        for (field, side) in ["block.length_mm", "block.width_mm", "block.height_mm"].into_iter().zip(sides) {
            within(field, "side of the block", side, (20.0, 300.0), "mm")?;
        }
        within("block.mass_g", "mass of the block", self.mass_g, (10.0, 10_000.0), "g")?;
        within("block.off_mm", "error of a side", self.off_mm, (0.05, 10.0), "mm")?;
        let most = 0.5 * self.length_mm.min(self.width_mm);
        within("block.corner_mm", "radius of the corners", self.corner_mm, (0.0, most), "mm")?;
        let volume_mm3 = block_mm3(self.length_mm, self.width_mm, self.height_mm, self.corner_mm);
        let density = self.mass_g / volume_mm3 * 1e6;
        let (least, most) = MEAT_KG_PER_M3;
        if !(least..=most).contains(&density) {
            let g = |density: f64| short((volume_mm3 * density * 1e-6).round());
            let sentence = format!(
                "A block of this size weighs from {} to {} g; check its mass and its sides.",
                g(least),
                g(most)
            );
            return Err(Refusal::new("block_density", "block", sentence));
        }
        let share = |off: f64, of: f64| (off / of).powi(2) / 3.0;
        let variance = share(MASS_OFF_G, self.mass_g)
            + sides.into_iter().map(|side| share(self.off_mm, side)).sum::<f64>();
        Ok((density, density * variance.sqrt()))
    }
}

/// What tub tests of other tins of a label found together.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct EarlierTests {
    /// The mean density of a piece at [`TESTED_C`], kg/m3 (500 to 3000).
    pub kg_per_m3: f64,
    /// The spread from piece to piece (one standard deviation), kg/m3 (0 to 1000).
    pub spread_kg_per_m3: f64,
    /// Pieces dropped (1 to 10 000).
    pub drops: u32,
}

/// The temperature that densities of tub tests are given at, °C.
pub const TESTED_C: f64 = 15.0;

/// How far one tin's mean density may be from that of the others of its label, and what the tests' buckets and thumbs share,
/// as a standard deviation, kg/m3 (judgement, no published source; beside 6.5 for a label alone).
const BETWEEN_TINS_KG_PER_M3: f64 = 3.5;

impl EarlierTests {
    /// Density at [`TESTED_C`], kg/m3, and its standard deviation: of the mean of so many pieces, and of one tin beside others.
    ///
    /// # Errors
    /// A number outside its range.
    pub fn density_kg_per_m3(&self) -> Result<(f64, f64), Refusal> {
        within("tests.kg_per_m3", "density in earlier tests", self.kg_per_m3, (500.0, 3000.0), "kg/m3")?;
        let spread = self.spread_kg_per_m3;
        within("tests.spread_kg_per_m3", "spread in earlier tests", spread, (0.0, 1000.0), "kg/m3")?;
        let drops = f64::from(self.drops);
        within("tests.drops", "drops in earlier tests", drops, (1.0, 10_000.0), "")?;
        Ok((self.kg_per_m3, BETWEEN_TINS_KG_PER_M3.hypot(spread / drops.sqrt())))
    }
}

/// What the piece weighs for its size.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Matter {
    /// By the label of its tin.
    Label {
        /// The label.
        label: Label,
        /// Share of the volume that is air, 0 to 0.3.
        #[serde(default)]
        air_share: f64,
        /// The block, if it was weighed and measured.
        #[serde(default)]
        block: Option<WeighedBlock>,
        /// What tub tests of other tins of this label found.
        #[serde(default)]
        tests: Option<EarlierTests>,
    },
    /// By a density known from elsewhere, at the water's temperature.
    Density {
        /// Density, kg/m3 (500 to 3000).
        kg_per_m3: f64,
        /// Standard deviation of it, kg/m3 (0 to 200).
        #[serde(default)]
        sd_kg_per_m3: f64,
    },
}

/// What a label leaves open of the density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LabelDoubt {
    /// Standard deviation of a density from a label, but for the air, kg/m3; default 5. More widens the band on both sides.
    pub sd_kg_per_m3: f64,
    /// Standard deviation of the share of air, 0 to 1; default 0.004.
    pub air_share_sd: f64,
}

impl Default for LabelDoubt {
    fn default() -> Self {
        Self { sd_kg_per_m3: 5.0, air_share_sd: 0.004 }
    }
}

impl LabelDoubt {
    /// Standard deviation of the density of meat that has `solid_kg_per_m3` without air, kg/m3.
    #[must_use]
    pub fn density_sd_kg_per_m3(&self, solid_kg_per_m3: f64) -> f64 {
        self.sd_kg_per_m3.hypot(self.air_share_sd * solid_kg_per_m3)
    }
}

/// The density of some matter, kg/m3.
#[derive(Clone, Copy, Debug)]
pub(super) struct MatterDensity {
    /// The middle.
    pub(super) mid: f64,
    /// Its standard deviation.
    pub(super) sd: f64,
    /// The part of its variance that comes from air, 0 to 1.
    pub(super) air: f64,
}

/// Density of the matter in water of `t_c` °C. The label, a weighed block and earlier tests are joined by the inverses of their
/// variances; with temperature all move as the label's solids do.
pub(super) fn matter_density(
    matter: &Matter,
    t_c: f64,
    doubt: &LabelDoubt,
) -> Result<MatterDensity, Refusal> {
    match *matter {
        Matter::Label { label, air_share, block, tests } => {
            within("air_share", "share of air", air_share, (0.0, 0.3), "")?;
            let composition = label.composition()?;
            let solid = composition.density_kg_per_m3(t_c);
            let sd = doubt.density_sd_kg_per_m3(solid);
            let air = (doubt.air_share_sd * solid / sd.max(f64::MIN_POSITIVE)).powi(2);
            let mut density = MatterDensity { mid: solid * (1.0 - air_share), sd, air };
            let weighed = block.map(|block| block.density_kg_per_m3()).transpose()?;
            let tested = tests.map(|tests| tests.density_kg_per_m3()).transpose()?;
            let tested =
                tested.map(|(mean, sd)| (mean + solid - composition.density_kg_per_m3(TESTED_C), sd));
            for (found, found_sd) in weighed.into_iter().chain(tested) {
                let weight = (density.sd / density.sd.hypot(found_sd)).powi(2);
                density.mid += weight * (found - density.mid);
                density.sd *= (1.0 - weight).sqrt();
            }
            Ok(density)
        }
        Matter::Density { kg_per_m3, sd_kg_per_m3 } => {
            within("density_kg_per_m3", "density", kg_per_m3, (500.0, 3000.0), "kg/m3")?;
            within("sd_kg_per_m3", "standard deviation of the density", sd_kg_per_m3, (0.0, 200.0), "kg/m3")?;
            Ok(MatterDensity { mid: kg_per_m3, sd: sd_kg_per_m3, air: 0.0 })
        }
    }
}
