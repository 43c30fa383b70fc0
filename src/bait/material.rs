//! What a piece is made of: the label of its tin or a density, and the generic tins.

use crate::physics::food::Composition;
use crate::refusal::{Refusal, short, within};
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

/// A generic tin, from a public composition table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GenericTin {
    /// Number of the entry in the USDA's Standard Reference.
    pub ndb: &'static str,
    /// What it is, in plain words.
    pub name: &'static str,
    /// Its label; salt is 2.5 times the table's sodium.
    pub label: Label,
}

const fn tin(ndb: &'static str, name: &'static str, parts: [f64; 4], sodium_mg: f64) -> GenericTin {
    let [fat_g, protein_g, carbohydrate_g, ash_g] = parts;
    let label = Label {
        fat_g,
        protein_g,
        carbohydrate_g,
        salt_g: sodium_mg * 2.5e-3,
        fibre_g: 0.0,
        ash_g: Some(ash_g),
    };
    GenericTin { ndb, name, label }
}

/// The generic tins a plan starts from. The first is the default.
///
/// # Source
/// USDA National Nutrient Database for Standard Reference, public domain (the entry for jellied beef is left out: its
/// parts add up to 100.3 g).
pub const TINS: [GenericTin; 4] = [
    tin("07045", "Luncheon meat, pork, canned", [30.30, 12.50, 2.10, 3.60], 1289.0),
    tin("07044", "Luncheon meat, pork, leaner", [12.77, 17.50, 1.04, 2.82], 820.0),
    tin("07026", "Ham, chopped, canned", [18.83, 16.06, 0.26, 4.08], 1280.0),
    tin("07042", "Luncheon meat, beef, loaf", [26.20, 14.40, 2.90, 4.00], 1125.0),
];

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

/// Density of the matter in water of `t_c` °C and its standard deviation, kg/m3.
pub(super) fn matter_density(
    matter: &Matter,
    t_c: f64,
    label_sd_kg_per_m3: f64,
) -> Result<(f64, f64), Refusal> {
    match *matter {
        Matter::Label { label, air_share } => {
            within("air_share", "share of air", air_share, (0.0, 0.3), "")?;
            let density = label.composition()?.density_kg_per_m3(t_c) * (1.0 - air_share);
            Ok((density, label_sd_kg_per_m3))
        }
        Matter::Density { kg_per_m3, sd_kg_per_m3 } => {
            within("density_kg_per_m3", "density", kg_per_m3, (500.0, 3000.0), "kg/m3")?;
            within("sd_kg_per_m3", "standard deviation of the density", sd_kg_per_m3, (0.0, 200.0), "kg/m3")?;
            Ok((kg_per_m3, sd_kg_per_m3))
        }
    }
}
