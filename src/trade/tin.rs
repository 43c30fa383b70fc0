//! What a tin's label and its block can say.

/// Densities between which a block can be meat, kg/m3: full of holes, and as heavy as starch and salt can make it.
/// Judgement; the tables' entries lie from 1032 to 1072.
pub const MEAT_KG_PER_M3: (f64, f64) = (600.0, 1400.0);

/// Energy of a gram of fat, protein, carbohydrate and fibre, kcal.
///
/// # Source
/// Regulation (EU) 1169/2011, annex XIV (from memory). The four tins of the USDA's table lie within 2 % of their sums.
pub const KCAL_PER_G: [f64; 4] = [9.0, 4.0, 4.0, 2.0];
/// How far a label's energy may be from that sum, as a part of it: rounding and a table's own factors. Judgement.
pub const ENERGY_OFF: f64 = 0.1;

/// Volume of a block, mm3, with its four upright edges rounded to a radius.
#[must_use]
pub fn block_mm3(length_mm: f64, width_mm: f64, height_mm: f64, corner_mm: f64) -> f64 {
    (length_mm * width_mm - (4.0 - core::f64::consts::PI) * corner_mm * corner_mm) * height_mm
}
