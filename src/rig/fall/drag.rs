//! Drag of the bodies and the line as G(Re) = Re Cd with its slope Re dG/dRe, read from tables.
//!
//! A fall asks for some 150 drag values a step, each with two powers. The tables are cubic Hermite pieces, sixteen
//! to every doubling of Re, found by the bits of the number: no logarithm, no power. They differ from the laws by
//! less than 1e-7 of G and 2e-5 of the slope (tested below), which moves nothing that is shown.

use crate::physics::drag::HaiderLevenspiel;
use crate::physics::line_drag;

/// Sphericity of a cube as the rig model rounds it.
const CUBE_SPHERICITY: f64 = 0.806;

/// A law of drag: G and Re dG/dRe at Re >= 0.
pub(super) type Law = fn(f64) -> (f64, f64);

/// G and Re dG/dRe of a sphere.
///
/// # Source
/// Clift and Gauvin 1971, Can. J. Chem. Eng. 49:439–448 (valid to Re 3e5).
pub(super) fn sphere(re: f64) -> (f64, f64) {
    if re <= 0.0 {
        return (24.0, 0.0);
    }
    let slow = 3.6 * re.powf(0.687);
    let fade = 42500.0 * re.powf(-1.16);
    let fast = 0.42 * re / (1.0 + fade);
    (24.0 + slow + fast, 0.687 * slow + fast * (1.0 + 1.16 * fade / (1.0 + fade)))
}

/// G and Re dG/dRe of a cube on the diameter of the sphere of the same volume.
///
/// # Source
/// Haider and Levenspiel 1989, Powder Technol. 58:63–70.
pub(super) fn cube(re: f64) -> (f64, f64) {
    let law = HaiderLevenspiel::new(CUBE_SPHERICITY);
    let slow = 24.0 * law.a * re.powf(law.b);
    let fast = law.c * re * re / (re + law.d);
    (24.0 + slow + fast, law.b * slow + fast * (1.0 + law.d / (re + law.d)))
}

/// Pieces per doubling: the top four bits of the mantissa.
const SHIFT: u32 = 48;
/// First and one past the last power of two in the table.
const LEAST_POWER: i32 = -14;
const PAST_POWER: i32 = 18;
const LEAST_KEY: u64 = ((1023 + LEAST_POWER) as u64) << 4;
const COUNT: usize = ((PAST_POWER - LEAST_POWER) as usize) << 4;

/// One law as a table, with the law itself for what lies outside.
pub(super) struct Curve {
    law: Law,
    pieces: Box<[[f64; 4]; COUNT]>,
}

impl Curve {
    pub(super) fn new(law: Law) -> Self {
        let mut pieces = Box::new([[0.0; 4]; COUNT]);
        for (piece, key) in pieces.iter_mut().zip(LEAST_KEY..) {
            let (from, to) = (f64::from_bits(key << SHIFT), f64::from_bits((key + 1) << SHIFT));
            let ((g0, s0), (g1, s1)) = (law(from), law(to));
            let (d0, d1, width) = (s0 / from, s1 / to, to - from);
            let chord = (g1 - g0) / width;
            *piece =
                [g0, d0, (3.0 * chord - 2.0 * d0 - d1) / width, (d0 + d1 - 2.0 * chord) / (width * width)];
        }
        Self { law, pieces }
    }

    /// G and Re dG/dRe at `re` >= 0.
    #[inline]
    pub(super) fn at(&self, re: f64) -> (f64, f64) {
        let bits = re.to_bits();
        let key = (bits >> SHIFT).wrapping_sub(LEAST_KEY);
        let Some(c) = usize::try_from(key).ok().and_then(|key| self.pieces.get(key)) else {
            return (self.law)(re);
        };
        let x = re - f64::from_bits(bits >> SHIFT << SHIFT);
        let g = c[0] + x * (c[1] + x * (c[2] + x * c[3]));
        (g, re * (c[1] + x * (2.0 * c[2] + 3.0 * x * c[3])))
    }
}

/// The three laws of a rig.
pub(super) struct Curves {
    pub(super) sphere: Curve,
    pub(super) cube: Curve,
    pub(super) line: Curve,
}

impl Curves {
    pub(super) fn new() -> Self {
        Self { sphere: Curve::new(sphere), cube: Curve::new(cube), line: Curve::new(line_drag::smooth) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_the_laws() {
        let laws: [Law; 3] = [sphere, cube, line_drag::smooth];
        for (which, law) in laws.into_iter().enumerate() {
            let curve = Curve::new(law);
            let mut re = 1.001e-4;
            while re < 2e5 {
                let ((g, slope), (table_g, table_slope)) = (law(re), curve.at(re));
                assert!((table_g / g - 1.0).abs() < 1e-7, "law {which} Re {re}: {table_g} for {g}");
                assert!(
                    (table_slope - slope).abs() < 2e-5 * g,
                    "law {which} Re {re}: {table_slope} for {slope}"
                );
                re *= 1.0037;
            }
            for re in [0.0, 1e-9, 1e-5, 3e5, 1e6] {
                assert_eq!(curve.at(re), law(re));
            }
        }
    }

    #[test]
    fn slopes_are_the_derivatives() {
        for law in [sphere as Law, cube] {
            for k in -2..5 {
                let re = 2.3 * 10_f64.powi(k);
                let step = 1e-5 * re;
                let measured = re * (law(re + step).0 - law(re - step).0) / (2.0 * step);
                assert!((law(re).1 - measured).abs() < 1e-6 * measured.abs().max(1e-3), "Re {re}");
            }
        }
    }

    #[test]
    fn sphere_and_cube_are_the_published_figures() {
        for (re, cd) in [(0.1, 247.40), (10.0, 4.1512), (100.0, 1.0938), (1000.0, 0.4662), (1e4, 0.4167)] {
            assert!((sphere(re).0 / re / cd - 1.0).abs() < 2e-4, "Re {re}");
        }
        assert!((cube(1000.0).0 / 1000.0 - 1.2167).abs() < 2e-4);
    }
}
