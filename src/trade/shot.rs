//! Split shot as the trade sizes it.
//!
//! A size number stands for a mass: a substitute of the same number is a larger ball, not a lighter one. Tin is the
//! default where lead is not allowed, because it is soft enough to pinch on a line and is one metal with one density.

use super::lead::{self, lead_law};
use crate::units::TenthMg;

/// Density of tin, kg/m3 (element).
pub const TIN_KG_PER_M3: i32 = 7_310;

/// What shot and small weights are made of, each with its density, kg/m3: the elements (handbook values, from memory).
pub const METALS: [(&str, i32); 4] =
    [("lead", lead::KG_PER_M3), ("tin", TIN_KG_PER_M3), ("bismuth", 9_790), ("tungsten", 19_300)];

/// What something of this density, kg/m3, is made of: a metal of the table within 5 %, which alloys stay within.
#[must_use]
pub fn metal_of(density_kg_per_m3: i32) -> Option<&'static str> {
    let near = |&&(_, density): &&(&str, i32)| (density_kg_per_m3 - density).abs() * 20 < density;
    METALS.iter().find(near).map(|(name, _)| *name)
}

/// A size of shot: what its number stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShotSize {
    /// Its name, as it is written everywhere.
    pub name: &'static str,
    /// The mass that is used until the user has weighed some. Common practice, no published source.
    pub mass: TenthMg,
    /// Its mass by the English shot table, if that has it.
    pub gun: Option<TenthMg>,
    /// Its mass by a chart of the angling trade, if that has it.
    pub chart: Option<TenthMg>,
}

impl ShotSize {
    /// How far a shot of this size that was not weighed may be off, as a part of its mass: what the two tables differ by,
    /// and a tenth at least, since makers differ by more than tables do (judgement).
    #[must_use]
    pub fn spread(&self) -> f64 {
        let apart =
            |other: Option<TenthMg>| other.map_or(0.0, |other| (other.g() / self.mass.g() - 1.0).abs());
        apart(self.gun).max(apart(self.chart)).max(LEAST_SPREAD)
    }
}

/// The least spread of a mass that was not weighed, as a part of it. Common practice, no published source.
const LEAST_SPREAD: f64 = 0.10;

/// The sizes with their nominal masses, lightest first.
///
/// # Source
/// Gun table: Spencer 2001, diameters from a gunmaker, pure lead, as pellets to the ounce; the angling numbers probably come
/// from it, and the slot takes some metal off. Chart: a chart of the angling trade, masses to a hundredth of a gram. The two
/// differ by 6 % for No. 8, 15 % for SSG and 20 % for No. 4; other makers' numbers differ by more (a "No. 10" of 0.06 g
/// exists).
pub const SHOT_SIZES: [ShotSize; 18] = [
    ShotSize { name: "No. 13", mass: TenthMg(150), gun: None, chart: Some(TenthMg(100)) },
    ShotSize { name: "No. 12", mass: TenthMg(200), gun: None, chart: Some(TenthMg(200)) },
    ShotSize { name: "No. 11", mass: TenthMg(260), gun: None, chart: Some(TenthMg(300)) },
    ShotSize { name: "No. 10", mass: TenthMg(340), gun: None, chart: Some(TenthMg(400)) },
    ShotSize { name: "No. 9", mass: TenthMg(480), gun: None, chart: Some(TenthMg(500)) },
    ShotSize { name: "No. 8", mass: TenthMg(600), gun: Some(TenthMg(635)), chart: Some(TenthMg(600)) },
    ShotSize { name: "No. 7", mass: TenthMg(810), gun: Some(TenthMg(829)), chart: None },
    ShotSize { name: "No. 6", mass: TenthMg(1_050), gun: Some(TenthMg(1_027)), chart: Some(TenthMg(1_000)) },
    ShotSize { name: "No. 5", mass: TenthMg(1_300), gun: Some(TenthMg(1_289)), chart: None },
    ShotSize { name: "No. 4", mass: TenthMg(1_700), gun: Some(TenthMg(1_668)), chart: Some(TenthMg(2_000)) },
    ShotSize { name: "No. 3", mass: TenthMg(2_000), gun: Some(TenthMg(2_025)), chart: None },
    ShotSize { name: "No. 2", mass: TenthMg(2_400), gun: Some(TenthMg(2_382)), chart: None },
    ShotSize { name: "No. 1", mass: TenthMg(2_800), gun: Some(TenthMg(2_835)), chart: Some(TenthMg(3_000)) },
    ShotSize { name: "BB", mass: TenthMg(4_000), gun: Some(TenthMg(4_050)), chart: Some(TenthMg(4_000)) },
    ShotSize { name: "AB", mass: TenthMg(6_000), gun: None, chart: None },
    ShotSize { name: "AAA", mass: TenthMg(8_000), gun: Some(TenthMg(8_100)), chart: Some(TenthMg(8_000)) },
    ShotSize { name: "SA", mass: TenthMg(12_000), gun: None, chart: None },
    ShotSize { name: "SSG", mass: TenthMg(18_900), gun: Some(TenthMg(18_900)), chart: Some(TenthMg(16_000)) },
];

/// The size of that name, as the table spells it.
#[must_use]
pub fn size_named(name: &str) -> Option<&'static ShotSize> {
    SHOT_SIZES.iter().find(|size| size.name == name)
}

/// The nominal mass of the size of that name, as the table spells it.
#[must_use]
pub fn nominal_mass(name: &str) -> Option<TenthMg> {
    size_named(name).map(|size| size.mass)
}

/// Density of what a shot of this name and mass is made of until the user says otherwise, kg/m3: lead where the law
/// allows it, else tin.
#[must_use]
pub fn usual_kg_per_m3(name: &str, mass: TenthMg) -> i32 {
    if lead_law(name, mass, lead::KG_PER_M3).is_banned() { TIN_KG_PER_M3 } else { lead::KG_PER_M3 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_rise_and_are_lead_as_far_as_the_law_allows() {
        assert!(SHOT_SIZES.windows(2).all(|pair| pair[0].mass < pair[1].mass));
        for ShotSize { name, mass, .. } in SHOT_SIZES {
            assert_eq!(nominal_mass(name), Some(mass), "the name stands once");
            // Size 8 and smaller may be lead: Natural Resources Wales, angling byelaws page.
            assert_eq!(usual_kg_per_m3(name, mass) == lead::KG_PER_M3, mass.0 <= 600, "{name}");
        }
        assert_eq!(nominal_mass("No. 99"), None);
    }

    /// English shot table, Spencer 2001: diameters from a gunmaker, pure lead, given as pellets to the ounce (28.3495 g).
    #[test]
    fn the_gun_tables_masses_are_its_pellets_to_the_ounce_and_ours_are_within_six_percent() {
        let to_the_ounce = [
            ("No. 7", 342.0),
            ("No. 6", 276.0),
            ("No. 5", 220.0),
            ("No. 4", 170.0),
            ("No. 3", 140.0),
            ("No. 2", 119.0),
            ("No. 1", 100.0),
            ("BB", 70.0),
            ("AAA", 35.0),
            ("SSG", 15.0),
        ];
        // No. 8 by its 0.98 grain (64.799 mg).
        let table = to_the_ounce.map(|(name, pellets)| (name, 28.3495 / pellets));
        let table: Vec<_> = table.into_iter().chain([("No. 8", 0.98 * 0.064799)]).collect();
        assert_eq!(SHOT_SIZES.iter().filter(|size| size.gun.is_some()).count(), table.len());
        for (name, g) in table {
            let size = size_named(name).unwrap();
            assert!((size.gun.unwrap().g() - g).abs() < 1e-4, "{name}: {g} g");
            assert!((size.mass.g() / g - 1.0).abs() < 0.06, "{name}: {g} g");
        }
    }

    /// The two tables apart, as they were compared when they were found: SSG 15 %, No. 4 20 %, No. 8 6 %.
    #[test]
    fn the_two_tables_differ_by_six_to_twenty_percent() {
        for (name, percent) in [("SSG", -15.0), ("No. 4", 20.0), ("No. 8", -6.0)] {
            let size = size_named(name).unwrap();
            let apart = 100.0 * (size.chart.unwrap().g() / size.gun.unwrap().g() - 1.0);
            assert!((apart - percent).abs() < 0.6, "{name}: {apart} %");
        }
        for size in SHOT_SIZES {
            let spread = size.spread();
            assert!((0.1..0.34).contains(&spread), "{}: {spread}", size.name);
            let holds =
                |other: Option<TenthMg>| other.is_none_or(|g| (g.g() / size.mass.g() - 1.0).abs() <= spread);
            assert!(holds(size.gun) && holds(size.chart), "{}", size.name);
        }
    }
}
