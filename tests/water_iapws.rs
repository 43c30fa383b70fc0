//! Water density, viscosity and surface tension against the steam tables.
//!
//! Sources: IAPWS-95 density and IAPWS 2008 viscosity at 101 325 Pa, computed with the `iapws` 1.5.5 library; the check
//! value of IAPWS SR6-08(2011) eq. 7; IAPWS R1-76(2014) surface tension, its release's own check and the NRC's table.
//! Tolerances: density 1.5 ppm (Tanaka's formula is up to 1.2 ppm low), viscosity 0.005 %, Kestin's form 0.11 % (it is
//! here scaled to 1.0016 mPa s at 20 °C), surface tension 0.01 % (the NRC's table 0.05 %).
//! Left out: salt and dissolved matter, temperatures above 40 °C.
//! The tables are made by `tests/reference/bait_tables.py`, as far as it says.

use dotdown::physics::water;

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
fn density_is_that_of_iapws_95() {
    for (t, rho, _) in T_RHO_MU {
        let ours = water::density_kg_per_m3(t);
        assert!((ours / rho - 1.0).abs() < 1.5e-6, "{t} °C: {ours} against {rho}");
    }
}

#[test]
fn viscosity_is_that_of_iapws_2008() {
    for (t, _, mu) in T_RHO_MU {
        let ours = 1e6 * water::viscosity_pa_s(t);
        assert!((ours / mu - 1.0).abs() < 5e-5, "{t} °C: {ours} against {mu}");
        let kestin = 1e6 * water::viscosity_kestin_pa_s(t);
        assert!((kestin / mu - 1.0).abs() < 1.1e-3, "{t} °C: Kestin {kestin} against {mu}");
    }
    assert!((1e6 * water::viscosity_pa_s(25.0) - 889.996774).abs() < 1e-5, "check value of SR6-08");
}

#[test]
fn surface_tension_is_that_of_the_release() {
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
        assert!((1e3 * water::surface_tension_n_per_m(t) / sigma - 1.0).abs() < 1e-4, "{t} °C");
    }
    for (t, sigma) in [(10.0, 74.22), (20.0, 72.74), (30.0, 71.20), (40.0, 69.60)] {
        assert!((1e3 * water::surface_tension_n_per_m(t) / sigma - 1.0).abs() < 5e-4, "NRC {t} °C");
    }
}
