//! Food components and mixtures against `CoolProp`'s food fluids, a published worked example and the USDA's table.
//!
//! Sources: Choi and Okos 1986 as carried by `CoolProp` 8.0.0 (incompressible food fluids; it has no carbohydrate, whose
//! values were computed from the printed coefficients); density of 83 % water, 12 % protein and 5 % carbohydrate at
//! 22 °C, 1045.8 kg/m3 (published with the coefficients in a public code's comment); composition of canned luncheon
//! meat, USDA Standard Reference; freezing points computed from Pham 1996, J. Food Eng. 30:95–107.
//! Tolerances: half a digit of the last printed place. Left out: `CoolProp`'s heat capacity of water (a constant there).
//! The tables are made by `tests/reference/bait_tables.py`, as far as it says.

use dotdown::bait::material::{Label, TINS};
use dotdown::physics::food::{Component, Composition};

#[test]
fn components_are_coolprops() {
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
        assert!((c.density_kg_per_m3(t) - rho).abs() < 6e-5, "{c:?} at {t}");
        assert!((c.heat_capacity_j_per_kg_k(t) - cp).abs() < 6e-4, "{c:?} at {t}");
        assert!((c.conductivity_w_per_m_k(t) - k).abs() < 6e-7, "{c:?} at {t}");
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
fn canned_meat_has_the_tabled_density_and_freezing_point() {
    let table = [
        ("07045", [1036.157, 1034.786, 1033.436, 1031.922], -4.565),
        ("07044", [1056.106, 1055.124, 1054.032, 1052.722], -3.298),
        ("07026", [1051.593, 1050.469, 1049.281, 1047.893], -4.367),
        ("07042", [1050.756, 1049.431, 1048.11, 1046.617], -5.071),
    ];
    for ((ndb, densities, freezing), tin) in table.into_iter().zip(TINS) {
        assert_eq!(tin.ndb, ndb);
        let made_of = tin.label.composition().unwrap();
        for (t, rho) in [4.0, 10.0, 15.0, 20.0].into_iter().zip(densities) {
            // 0.003: the table used IAPWS-95, we Tanaka's formula.
            assert!((made_of.density_kg_per_m3(t) - rho).abs() < 3e-3, "{ndb} at {t}");
        }
        assert!((made_of.initial_freezing_point_c().unwrap() - freezing).abs() < 6e-4, "{ndb}");
    }
}

#[test]
fn water_by_difference_is_the_tables_water() {
    for (tin, water) in TINS.into_iter().zip([51.50, 65.87, 60.77, 52.50]) {
        assert!((100.0 * tin.label.composition().unwrap().water - water).abs() < 1e-9, "{}", tin.ndb);
    }
}

#[test]
fn ash_from_salt_and_protein_is_within_half_a_gram_of_the_tables() {
    for tin in TINS {
        let guessed = Label { ash_g: None, ..tin.label };
        let off = guessed.ash_per_100_g() - tin.label.ash_per_100_g();
        assert!(off.abs() < 0.5, "{}: {off}", tin.ndb);
        let density = |label: Label| label.composition().unwrap().density_kg_per_m3(15.0);
        let dense = density(guessed) - density(tin.label);
        assert!(dense.abs() < 3.1, "{}: {dense} kg/m3", tin.ndb);
    }
}
