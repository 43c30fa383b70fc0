//! Water density, viscosity and surface tension against the steam tables.
//!
//! Sources: IAPWS-95 density and IAPWS 2008 viscosity at 101 325 Pa, computed with the `iapws` 1.5.5 library; the check
//! value of IAPWS SR6-08(2011) eq. 7; IAPWS R1-76(2014) surface tension, its release's own check and the NRC's table.
//! Tolerances: density 1.5 ppm (Tanaka's formula is up to 1.2 ppm low), viscosity 0.005 %, Kestin's form 0.11 % (it is
//! here scaled to 1.0016 mPa s at 20 °C), surface tension 0.01 % (the NRC's table 0.05 %).
//! Left out: salt and dissolved matter, temperatures above 40 °C.
//! The tables are made by `tests/reference/bait_tables.py`, as far as it says.

use crate::common::claim::claim;
use dotdown::physics::water;

const FALL: &str = "fall of a cube";
const RIG: &str = "fall of a rig";
const SHOT: &str = "shot that dots a float";

const T_RHO_MU: [(f64, f64, f64); 10] = [
    (0.0, 999.84309, 1791.7562),
    (4.0, 999.97487, 1567.2918),
    (5.0, 999.96663, 1518.1728),
    (10.0, 999.70247, 1305.8997),
    (15.0, 999.10262, 1137.5676),
    (20.0, 998.20715, 1001.5961),
    (25.0, 997.04764, 890.0225),
    (30.0, 995.64945, 797.2218),
    (35.0, 994.03331, 719.1256),
    (40.0, 992.21635, 652.7287),
];

#[test]
pub(crate) fn density_is_that_of_iapws_95() {
    for (t, rho, _) in T_RHO_MU {
        let ours = water::density_kg_per_m3(t);
        claim(FALL, format!("water, density at {t} °C, kg/m3"), "IAPWS-95", [ours, rho, 1.5e-6 * rho]);
    }
}

#[test]
pub(crate) fn viscosity_is_that_of_iapws_2008() {
    for (t, _, mu) in T_RHO_MU {
        let ours = 1e6 * water::viscosity_pa_s(t);
        claim(FALL, format!("water, viscosity at {t} °C, µPa s"), "IAPWS 2008", [ours, mu, 5e-5 * mu]);
        let kestin = 1e6 * water::viscosity_kestin_pa_s(t);
        claim(
            RIG,
            format!("water, Kestin’s viscosity at {t} °C, µPa s"),
            "IAPWS 2008",
            [kestin, mu, 1.1e-3 * mu],
        );
    }
    assert!((1e6 * water::viscosity_pa_s(25.0) - 889.996774).abs() < 1e-5, "check value of SR6-08");
}

#[test]
pub(crate) fn surface_tension_is_that_of_the_release() {
    assert!((water::surface_tension_n_per_m(300.0 - 273.15) - 0.0716859625).abs() < 1e-9);
    assert!((water::surface_tension_n_per_m(450.0 - 273.15) - 0.0428914992).abs() < 1e-9);
    let iapws = [
        (0.0, 75.6477),
        (5.0, 74.9417),
        (10.0, 74.221),
        (15.0, 73.4858),
        (20.0, 72.7361),
        (30.0, 71.1942),
        (40.0, 69.5963),
    ];
    for (t, sigma) in iapws {
        let ours = 1e3 * water::surface_tension_n_per_m(t);
        claim(
            SHOT,
            format!("water, surface tension at {t} °C, mN/m"),
            "IAPWS R1-76(2014)",
            [ours, sigma, 1e-4 * sigma],
        );
    }
    for (t, sigma) in [(10.0, 74.22), (20.0, 72.74), (30.0, 71.20), (40.0, 69.60)] {
        assert!((1e3 * water::surface_tension_n_per_m(t) / sigma - 1.0).abs() < 5e-4, "NRC {t} °C");
    }
}

/// The force at the waterline of an upright tip, mg, at 15 °C: perimeter times tension times cosine, as worked out apart in the
/// shared list of facts (part 2), to a tenth of a milligram.
#[test]
pub(crate) fn the_surface_pulls_a_tip_as_wilhelmys_rule_says() {
    let table = [
        (0.8, [18.8, 14.4, 9.4, 6.4, 0.0]),
        (1.0, [23.5, 18.0, 11.8, 8.0, 0.0]),
        (1.2, [28.2, 21.6, 14.1, 9.7, 0.0]),
        (1.5, [35.3, 27.0, 17.7, 12.1, 0.0]),
        (2.0, [47.1, 36.1, 23.5, 16.1, 0.0]),
    ];
    for (tip_mm, pulls) in table {
        for (angle, mg) in [0.0, 40.0, 60.0, 70.0, 90.0].into_iter().zip(pulls) {
            let ours = water::meniscus_ng(tip_mm, angle, 15.0) * 1e-6;
            claim(
                SHOT,
                format!("surface’s pull on a {tip_mm} mm tip at {angle}°, mg"),
                "Wilhelmy, worked apart",
                [ours, mg, 0.06],
            );
        }
    }
    assert!(water::meniscus_ng(1.0, 102.0, 15.0) < 0.0, "water that stands off lifts");
}
