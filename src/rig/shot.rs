//! Shot and floats as the trade sizes them, and how much of a shot is left when it hangs in water.
//!
//! The tables are starting points only: every nominal mass is **from memory and holds within ± 10 %**. They are
//! replaced when the user weighs twenty of theirs (`glass`).
//!
//! A size defaults to lead where the law allows it ([`crate::trade::lead`]) and to tin where not. Tin is the default
//! substitute because it is soft enough to pinch on a line and is one metal with one density; mixtures of tungsten and
//! putty or plastic have no density of their own and lie far below tungsten's.

use crate::trade::lead::{self, lead_law};
use crate::units::TenthMg;
use serde::{Deserialize, Serialize};

/// How far a nominal mass of the tables may be off, as a part of it (from memory).
pub const NOMINAL_MASS_SPREAD: f64 = 0.10;

/// What a shot is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    /// Lead.
    Lead,
    /// Tin, the default substitute.
    Tin,
    /// Solid tungsten (not putty, not a mixture).
    Tungsten,
    /// Bismuth.
    Bismuth,
    /// Brass.
    Brass,
    /// Steel.
    Steel,
}

impl Material {
    /// Every material, lead first.
    pub const ALL: [Self; 6] =
        [Self::Lead, Self::Tin, Self::Tungsten, Self::Bismuth, Self::Brass, Self::Steel];

    /// Density, kg/m3.
    ///
    /// # Source
    /// Elements: periodic-table data (Pb 11350, Sn 7310, W 19300, Bi 9747). Brass 8400 and steel 7800: EN 12524:2000,
    /// design values.
    #[must_use]
    pub const fn density_kg_per_m3(self) -> f64 {
        match self {
            Self::Lead => lead::KG_PER_M3 as f64,
            Self::Tin => 7310.0,
            Self::Tungsten => 19300.0,
            Self::Bismuth => 9747.0,
            Self::Brass => 8400.0,
            Self::Steel => 7800.0,
        }
    }

    /// The word a screen shows.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lead => "lead",
            Self::Tin => "tin",
            Self::Tungsten => "tungsten",
            Self::Bismuth => "bismuth",
            Self::Brass => "brass",
            Self::Steel => "steel",
        }
    }
}

/// One size of shot in the trade's numbering.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShotSize {
    /// The trade's name: `No. 10`, `BB`.
    pub name: &'static str,
    /// Nominal mass (from memory, ± 10 %).
    pub mass: TenthMg,
}

impl ShotSize {
    /// The material of this size until the user says otherwise: lead where it is lawful, else tin.
    #[must_use]
    pub fn material(&self) -> Material {
        if lead_law(self.name, self.mass, lead::KG_PER_M3).is_banned() {
            Material::Tin
        } else {
            Material::Lead
        }
    }
}

/// The trade's usual sizes of split shot, lightest first. Masses from memory, ± 10 %.
///
/// A size number stands for a mass: a substitute of the same number is a larger ball, not a lighter one.
pub const SHOT_SIZES: [ShotSize; 18] = [
    ShotSize { name: "No. 13", mass: TenthMg(160) },
    ShotSize { name: "No. 12", mass: TenthMg(200) },
    ShotSize { name: "No. 11", mass: TenthMg(260) },
    ShotSize { name: "No. 10", mass: TenthMg(350) },
    ShotSize { name: "No. 9", mass: TenthMg(470) },
    ShotSize { name: "No. 8", mass: TenthMg(600) },
    ShotSize { name: "No. 7", mass: TenthMg(810) },
    ShotSize { name: "No. 6", mass: TenthMg(1050) },
    ShotSize { name: "No. 5", mass: TenthMg(1300) },
    ShotSize { name: "No. 4", mass: TenthMg(1700) },
    ShotSize { name: "No. 3", mass: TenthMg(2000) },
    ShotSize { name: "No. 2", mass: TenthMg(2400) },
    ShotSize { name: "No. 1", mass: TenthMg(2800) },
    ShotSize { name: "BB", mass: TenthMg(4000) },
    ShotSize { name: "AB", mass: TenthMg(6000) },
    ShotSize { name: "AAA", mass: TenthMg(8100) },
    ShotSize { name: "SA", mass: TenthMg(12000) },
    ShotSize { name: "SSG", mass: TenthMg(18900) },
];

/// The size of that name, as the table spells it.
#[must_use]
pub fn shot_size(name: &str) -> Option<&'static ShotSize> {
    SHOT_SIZES.iter().find(|size| size.name == name)
}

/// One size of pole float.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FloatSize {
    /// The trade's name: `4x14`, or its load in grams.
    pub name: &'static str,
    /// The mass of lead that brings the water to the base of the tip (from memory, ± 10 %).
    pub load: TenthMg,
    /// Diameter of a usual tip for this size, mm (from memory).
    pub tip_diameter_mm: f64,
    /// Length of a usual tip for this size, mm (from memory).
    pub tip_length_mm: f64,
}

/// Pole floats in the trade's usual sizes, lightest first. All figures from memory; loads ± 10 %, tips vary more.
pub const FLOAT_SIZES: [FloatSize; 11] = [
    FloatSize { name: "4x8", load: TenthMg(600), tip_diameter_mm: 1.0, tip_length_mm: 15.0 },
    FloatSize { name: "4x10", load: TenthMg(1000), tip_diameter_mm: 1.0, tip_length_mm: 18.0 },
    FloatSize { name: "4x12", load: TenthMg(2000), tip_diameter_mm: 1.0, tip_length_mm: 20.0 },
    FloatSize { name: "0.3 g", load: TenthMg(3000), tip_diameter_mm: 1.0, tip_length_mm: 22.0 },
    FloatSize { name: "4x14", load: TenthMg(4000), tip_diameter_mm: 1.0, tip_length_mm: 25.0 },
    FloatSize { name: "4x16", load: TenthMg(5500), tip_diameter_mm: 1.2, tip_length_mm: 25.0 },
    FloatSize { name: "4x18", load: TenthMg(7500), tip_diameter_mm: 1.2, tip_length_mm: 25.0 },
    FloatSize { name: "4x20", load: TenthMg(10000), tip_diameter_mm: 1.2, tip_length_mm: 28.0 },
    FloatSize { name: "1.5 g", load: TenthMg(15000), tip_diameter_mm: 1.5, tip_length_mm: 30.0 },
    FloatSize { name: "2 g", load: TenthMg(20000), tip_diameter_mm: 1.5, tip_length_mm: 30.0 },
    FloatSize { name: "3 g", load: TenthMg(30000), tip_diameter_mm: 1.5, tip_length_mm: 30.0 },
];

/// The float of that name, as the table spells it.
#[must_use]
pub fn float_size(name: &str) -> Option<&'static FloatSize> {
    FLOAT_SIZES.iter().find(|size| size.name == name)
}

/// What a body of this mass weighs in water, as the mass in whole nanograms that would pull as hard in air-free space:
/// `m (1 - rho_w / rho)`.
///
/// Negative for a body lighter than water. Rounded once, here, to the nearest nanogram; whatever is summed or compared
/// later is whole numbers.
///
/// `mass_ng` nanograms (up to 1e14), `density_kg_per_m3` of the body (> 0), `water_kg_per_m3` of the water.
///
/// # Source
/// Archimedes' principle.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    reason = "a float-to-integer cast saturates; inputs stay below 1e14"
)]
pub fn weight_in_water_ng(mass_ng: f64, density_kg_per_m3: f64, water_kg_per_m3: f64) -> i64 {
    (mass_ng * (1.0 - water_kg_per_m3 / density_kg_per_m3)).round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_rise_and_names_are_unique() {
        assert!(SHOT_SIZES.windows(2).all(|pair| pair[0].mass < pair[1].mass));
        assert!(FLOAT_SIZES.windows(2).all(|pair| pair[0].load < pair[1].load));
        for size in &SHOT_SIZES {
            assert_eq!(shot_size(size.name), Some(size));
        }
        for size in &FLOAT_SIZES {
            assert_eq!(float_size(size.name), Some(size));
        }
        assert_eq!(shot_size("No. 99"), None);
    }

    #[test]
    fn sizes_are_lead_as_far_as_the_law_allows() {
        for size in &SHOT_SIZES {
            assert_eq!(size.material() == Material::Lead, size.mass.0 <= 600, "{}", size.name);
        }
        // Size 8 and smaller may be lead: Natural Resources Wales, angling byelaws page.
        assert_eq!(shot_size("No. 8").map(ShotSize::material), Some(Material::Lead));
        assert_eq!(shot_size("No. 7").map(ShotSize::material), Some(Material::Tin));
    }

    /// Common practice, no published source: a float of about 0.4 g takes 11 No. 10.
    #[test]
    fn eleven_number_tens_make_about_four_tenths_of_a_gram() {
        let ten = shot_size("No. 10").unwrap().mass.g();
        assert!((11.0 * ten - 0.4).abs() < 0.4 * NOMINAL_MASS_SPREAD);
        assert!((0.4 / ten - 11.0).abs() < 0.5);
    }

    #[test]
    fn a_gram_of_lead_weighs_912_milligrams_in_water() {
        let w = weight_in_water_ng(1e9, 11350.0, 1000.0);
        assert_eq!(w, 911_894_273);
        assert!(weight_in_water_ng(1e9, 900.0, 1000.0) < 0);
    }
}
