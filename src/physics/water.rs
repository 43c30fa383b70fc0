//! Fresh water at one atmosphere: density, viscosity, surface tension.
//!
//! Valid for liquid water from 0 to 40 °C. Lakes differ from pure water by a few tenths of a kg/m3 at most.

/// Density of air-free water, kg/m3, at `t_c` in °C (0 to 40).
///
/// # Source
/// Tanaka, Girard, Davis, Peuto and Bignell 2001, Metrologia 38:301–309. Within 1.2 ppm (low) of IAPWS-95.
#[must_use]
pub fn density_kg_per_m3(t_c: f64) -> f64 {
    let d = t_c - 3.983035;
    999.97495 * (1.0 - d * d * (t_c + 301.797) / (522528.9 * (t_c + 69.34881)))
}

/// Dynamic viscosity, Pa s, at `t_c` in °C (0 to 40).
///
/// # Source
/// IAPWS SR6-08(2011), equation 7 (Pátek, Hrubý, Klomfar, Součková and Harvey 2009, J. Phys. Chem. Ref. Data 38).
#[must_use]
pub fn viscosity_pa_s(t_c: f64) -> f64 {
    let tau = (t_c + 273.15) / 300.0;
    1e-6 * (280.68 * tau.powf(-1.9)
        + 511.45 * tau.powf(-7.7)
        + 61.131 * tau.powf(-19.6)
        + 0.45903 * tau.powi(-40))
}

/// Dynamic viscosity, Pa s, at `t_c` in °C (-8 to 150), in the form that the rig model is written with.
///
/// # Source
/// Kestin, Sokolov and Wakeham 1978, J. Phys. Chem. Ref. Data 7:941 (form from memory; within 0.09 % of IAPWS 2008),
/// scaled to 1.0016 mPa s at 20 °C.
#[must_use]
pub fn viscosity_kestin_pa_s(t_c: f64) -> f64 {
    let d = 20.0 - t_c;
    1.0016e-3 * 10_f64.powf(d / (t_c + 96.0) * (1.2364 - 1.37e-3 * d + 5.7e-6 * d * d))
}

/// Surface tension against air, N/m, at `t_c` in °C.
///
/// # Source
/// IAPWS R1-76(2014).
#[must_use]
pub fn surface_tension_n_per_m(t_c: f64) -> f64 {
    let tau = 1.0 - (t_c + 273.15) / 647.096;
    0.2358 * tau.powf(1.256) * (1.0 - 0.625 * tau)
}

/// With what force the water's surface pulls an upright tip down, as the mass in nanograms that would pull as hard:
/// `pi d sigma cos(angle) / g`. Below nothing for an angle over 90°, where the water stands off and lifts it.
///
/// `tip_diameter_mm` the tip's diameter, `contact_deg` the angle in the water between tip and surface (0 to 180), `t_c` the
/// water (0 to 40 °C).
///
/// # Source
/// Wilhelmy's plate (perimeter times tension times cosine; Volpe and Siboni 2018, from memory).
#[must_use]
pub fn meniscus_ng(tip_diameter_mm: f64, contact_deg: f64, t_c: f64) -> f64 {
    core::f64::consts::PI * tip_diameter_mm * surface_tension_n_per_m(t_c) * contact_deg.to_radians().cos()
        / super::G_M_PER_S2
        * 1e9
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
///
/// # Example
/// ```
/// // A gram of lead.
/// assert_eq!(dotdown::physics::water::weight_in_water_ng(1e9, 11_350.0, 1_000.0), 911_894_273);
/// ```
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    reason = "a float-to-integer cast saturates; inputs stay below 1e14"
)]
pub fn weight_in_water_ng(mass_ng: f64, density_kg_per_m3: f64, water_kg_per_m3: f64) -> i64 {
    (mass_ng * (1.0 - water_kg_per_m3 / density_kg_per_m3)).round() as i64
}
