//! Facts of the trade, with their sources.

pub mod lead;
pub mod shot;

/// Density of nylon line, kg/m3.
///
/// # Source
/// EN 12524:2000 (design value) and NIST's list: 1140 to 1150.
pub const NYLON_KG_PER_M3: f64 = 1140.0;
/// Density of a steel hook, kg/m3.
///
/// # Source
/// EN 12524:2000: 7800, stainless 7900; 7850 is the usual figure.
pub const STEEL_KG_PER_M3: f64 = 7850.0;
