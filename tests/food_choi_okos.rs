//! Food components and mixtures against `CoolProp`'s food fluids, a published worked example and the USDA's table.
//!
//! Sources: Choi and Okos 1986 as carried by `CoolProp` 8.0.0 (incompressible food fluids; it has no carbohydrate, whose
//! values were computed from the printed coefficients); density of 83 % water, 12 % protein and 5 % carbohydrate at
//! 22 °C, 1045.8 kg/m3 (published with the coefficients in a public code's comment); composition of canned luncheon
//! meat, USDA Standard Reference; freezing points computed from Pham 1996, J. Food Eng. 30:95–107.
//! Tolerances: half a digit of the last printed place. Left out: `CoolProp`'s heat capacity of water (a constant there).
//! The tables are made by `tests/reference/bait_tables.py`, as far as it says.

use crate::common::claim::claim;
use dotdown::bait::material::{GenericTin, Label, TINS};
use dotdown::physics::food::{Component, Composition};

const COLD: &str = "freezing and thawing";

/// The tins that are entries of the table: all but the first.
fn entries() -> impl Iterator<Item = GenericTin> {
    TINS.into_iter().skip(1)
}

#[test]
pub(crate) fn components_are_coolprops() {
    use Component::{Ash, Carbohydrate, Fat, Fibre, Ice, Protein, Water};
    let table = [
        (Protein, 4.0, 1327.8264, 2013.015, 0.18355),
        (Protein, 10.0, 1324.716, 2020.158, 0.190496),
        (Protein, 20.0, 1319.532, 2031.853, 0.201639),
        (Fat, 4.0, 923.9197, 1990.016, 0.179603),
        (Fat, 10.0, 921.4143, 1998.453, 0.177932),
        (Fat, 20.0, 917.2386, 2011.746, 0.175118),
        (Carbohydrate, 4.0, 1597.8582, 1556.555, 0.20689),
        (Carbohydrate, 10.0, 1595.9954, 1567.831, 0.214851),
        (Carbohydrate, 20.0, 1592.8908, 1585.674, 0.227426),
        (Fibre, 4.0, 1310.0364, 1853.148, 0.188258),
        (Fibre, 10.0, 1307.8411, 1863.741, 0.19549),
        (Fibre, 20.0, 1304.1822, 1880.652, 0.207037),
        (Ash, 4.0, 2422.6775, 1100.099, 0.335178),
        (Ash, 10.0, 2420.9937, 1111.128, 0.34334),
        (Ash, 20.0, 2418.1874, 1128.919, 0.356479),
        (Water, 4.0, 997.1325, 4175.924, 0.578033),
        (Water, 10.0, 996.8357, 4175.839, 0.588045),
        (Water, 20.0, 995.7399, 4176.572, 0.603659),
        (Ice, -20.0, 919.5042, 1940.762, 2.385194),
        (Ice, -10.0, 918.1971, 2001.531, 2.292243),
    ];
    for (c, t, rho, cp, k) in table {
        const SOURCE: &str = "Choi and Okos 1986, by CoolProp";
        let what = |of: &str| format!("{c:?} at {t} °C, {of}");
        claim("fall of a cube", what("kg/m3"), SOURCE, [c.density_kg_per_m3(t), rho, 6e-5]);
        claim(COLD, what("J/(kg K)"), SOURCE, [c.heat_capacity_j_per_kg_k(t), cp, 6e-4]);
        claim(COLD, what("W/(m K)"), SOURCE, [c.conductivity_w_per_m_k(t), k, 6e-7]);
    }
}

#[test]
fn the_mixing_rule_gives_the_published_example() {
    let parts = [(Component::Protein, 0.12), (Component::Carbohydrate, 0.05), (Component::Water, 0.83)];
    let rho = 1.0 / parts.iter().map(|(c, x)| x / c.density_kg_per_m3(22.0)).sum::<f64>();
    assert!((rho - 1045.78).abs() < 0.01, "{rho}");
    // The same with the better water: 1.7 kg/m3 more.
    let ours = Composition { protein: 0.12, carbohydrate: 0.05, water: 0.83, ..Composition::default() };
    assert!((ours.density_kg_per_m3(22.0) - rho - 1.7).abs() < 0.5, "{}", ours.density_kg_per_m3(22.0));
}

#[test]
pub(crate) fn canned_meat_has_the_tabled_density_and_freezing_point() {
    let table = [
        ("07045", [1036.157, 1034.786, 1033.436, 1031.922], -4.565),
        ("07044", [1056.106, 1055.124, 1054.032, 1052.722], -3.298),
        ("07026", [1051.593, 1050.469, 1049.281, 1047.893], -4.367),
        ("07042", [1050.756, 1049.431, 1048.11, 1046.617], -5.071),
    ];
    for ((ndb, densities, freezing), tin) in table.into_iter().zip(entries()) {
        assert_eq!(tin.id, ndb);
        let made_of = tin.label.composition().unwrap();
        for (t, rho) in [4.0, 10.0, 15.0, 20.0].into_iter().zip(densities) {
            // 0.003: the table used IAPWS-95, we Tanaka's formula.
            let (what, ours) = (format!("USDA {ndb} at {t} °C, kg/m3"), made_of.density_kg_per_m3(t));
            claim("fall of a cube", what, "USDA SR, IAPWS water", [ours, rho, 3e-3]);
        }
        let ours = made_of.initial_freezing_point_c().unwrap();
        claim(COLD, format!("USDA {ndb}, first ice, °C"), "Pham 1996", [ours, freezing, 6e-4]);
    }
}

/// About 57 g of water, 3 of ash and 1042.3 kg/m3 at 15 °C (facts, part 2: computed there with IAPWS water).
#[test]
pub(crate) fn the_typical_tin_is_what_it_is_said_to_be() {
    let made_of = TINS[0].label.composition().unwrap();
    assert!((100.0 * made_of.water - 57.0).abs() < 0.1 && (100.0 * made_of.ash - 3.0).abs() < 0.05);
    let rho = made_of.density_kg_per_m3(15.0);
    claim("fall of a cube", "typical tin at 15 °C, kg/m3", "middle of six tables", [rho, 1042.3, 0.3]);
}

#[test]
fn water_by_difference_is_the_tables_water() {
    for (tin, water) in entries().zip([51.50, 65.87, 60.77, 52.50]) {
        assert!((100.0 * tin.label.composition().unwrap().water - water).abs() < 1e-9, "{}", tin.id);
    }
}

#[test]
fn ash_from_salt_and_protein_is_within_half_a_gram_of_the_tables() {
    for tin in entries() {
        let guessed = Label { ash_g: None, ..tin.label };
        let off = guessed.ash_per_100_g() - tin.label.ash_per_100_g();
        assert!(off.abs() < 0.5, "{}: {off}", tin.id);
        let density = |label: Label| label.composition().unwrap().density_kg_per_m3(15.0);
        let dense = density(guessed) - density(tin.label);
        assert!(dense.abs() < 3.1, "{}: {dense} kg/m3", tin.id);
    }
}
