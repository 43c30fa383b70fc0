//! Split shot as the trade sizes it.
//!
//! A size number stands for a mass: a substitute of the same number is a larger ball, not a lighter one. Tin is the
//! default where lead is not allowed, because it is soft enough to pinch on a line and is one metal with one density.

use super::lead::{self, lead_law};
use crate::units::TenthMg;

/// How far a nominal mass may be off, as a part of it. Common practice, no published source.
pub const NOMINAL_MASS_SPREAD: f64 = 0.10;
/// Density of tin, kg/m3 (element).
pub const TIN_KG_PER_M3: i32 = 7_310;

/// The sizes with their nominal masses, lightest first: what is used until the user has weighed some.
///
/// # Source
/// Common practice, no published source. No. 8 to SSG lie within 6 % of the English shot table (Spencer 2001), from
/// which the numbers probably come; AB and SA are not in it, nor are No. 9 to 13. Makers differ by more.
pub const SHOT_SIZES: [(&str, TenthMg); 18] = [
    ("No. 13", TenthMg(150)),
    ("No. 12", TenthMg(200)),
    ("No. 11", TenthMg(260)),
    ("No. 10", TenthMg(340)),
    ("No. 9", TenthMg(480)),
    ("No. 8", TenthMg(600)),
    ("No. 7", TenthMg(810)),
    ("No. 6", TenthMg(1_050)),
    ("No. 5", TenthMg(1_300)),
    ("No. 4", TenthMg(1_700)),
    ("No. 3", TenthMg(2_000)),
    ("No. 2", TenthMg(2_400)),
    ("No. 1", TenthMg(2_800)),
    ("BB", TenthMg(4_000)),
    ("AB", TenthMg(6_000)),
    ("AAA", TenthMg(8_000)),
    ("SA", TenthMg(12_000)),
    ("SSG", TenthMg(18_900)),
];

/// The nominal mass of the size of that name, as the table spells it.
#[must_use]
pub fn nominal_mass(name: &str) -> Option<TenthMg> {
    SHOT_SIZES.iter().find(|size| size.0 == name).map(|size| size.1)
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
        assert!(SHOT_SIZES.windows(2).all(|pair| pair[0].1 < pair[1].1));
        for (name, mass) in SHOT_SIZES {
            assert_eq!(nominal_mass(name), Some(mass), "the name stands once");
            // Size 8 and smaller may be lead: Natural Resources Wales, angling byelaws page.
            assert_eq!(usual_kg_per_m3(name, mass) == lead::KG_PER_M3, mass.0 <= 600, "{name}");
        }
        assert_eq!(nominal_mass("No. 99"), None);
    }

    /// English shot table, Spencer 2001: diameters from a gunmaker, pure lead, given as pellets to the ounce (28.3495 g).
    #[test]
    fn masses_are_those_of_the_english_shot_table_within_six_percent() {
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
        for (name, g) in table.into_iter().chain([("No. 8", 0.98 * 0.064799)]) {
            let ours = nominal_mass(name).unwrap().g();
            assert!((ours / g - 1.0).abs() < 0.06, "{name}: {ours} g, {g} g");
        }
    }
}
