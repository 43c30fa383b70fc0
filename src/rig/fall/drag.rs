//! Drag of the bodies and the line as G(Re) = Re Cd with its slope Re dG/dRe, read from tables.
//!
//! A fall asks for some 150 drag values a step, each with two powers. The tables are cubic Hermite pieces, sixteen
//! to every doubling of Re, found by the bits of the number: no logarithm, no power. They differ from the laws by
//! less than 1e-7 of G and 2e-5 of the slope (tested below), which moves nothing that is shown.

use core::f64::consts::PI;

use super::{Bait, CUBE_SPHERICITY};
use crate::physics::drag::HaiderLevenspiel;
use crate::physics::{G_M_PER_S2, line_drag};

/// A law of drag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum BodyLaw {
    /// A sphere: Clift and Gauvin 1971, Can. J. Chem. Eng. 49:439–448 (valid to Re 3e5).
    Sphere,
    /// Another body, on the diameter of the sphere of the same volume: Haider and Levenspiel 1989, Powder Technol.
    /// 58:63–70.
    Body(HaiderLevenspiel),
    /// Line across the flow, see [`line_drag`].
    Line,
}

impl BodyLaw {
    /// The law of a body of this sphericity.
    pub(super) fn of(sphericity: f64) -> Self {
        if sphericity >= 1.0 { Self::Sphere } else { Self::Body(HaiderLevenspiel::new(sphericity)) }
    }

    /// G and Re dG/dRe at Re >= 0.
    pub(super) fn at(self, re: f64) -> (f64, f64) {
        match self {
            Self::Sphere if re <= 0.0 => (24.0, 0.0),
            Self::Sphere => {
                let slow = 3.6 * re.powf(0.687);
                let fade = 42500.0 * re.powf(-1.16);
                let fast = 0.42 * re / (1.0 + fade);
                (24.0 + slow + fast, 0.687 * slow + fast * (1.0 + 1.16 * fade / (1.0 + fade)))
            }
            Self::Body(law) => {
                let slow = 24.0 * law.a * re.powf(law.b);
                let fast = law.c * re * re / (re + law.d);
                (24.0 + slow + fast, law.b * slow + fast * (1.0 + law.d / (re + law.d)))
            }
            Self::Line => line_drag::smooth(re),
        }
    }
}

/// A body falling through water: what its weight and its drag need.
#[derive(Clone, Copy, Debug)]
pub(super) struct Falling {
    law: BodyLaw,
    /// Weight in water, N.
    pub(super) weight: f64,
    /// Drag per G, N s/m.
    pub(super) drag: f64,
    /// Reynolds number per speed, s/m.
    pub(super) re: f64,
}

impl Falling {
    /// A body of a volume (m3) and a density (kg/m3) in water of density `rho` and viscosity `mu`.
    pub(super) fn new(law: BodyLaw, volume: f64, density: f64, (rho, mu): (f64, f64)) -> Self {
        let d = (6.0 * volume / PI).cbrt();
        Self { law, weight: (density - rho) * G_M_PER_S2 * volume, drag: PI / 8.0 * mu * d, re: rho * d / mu }
    }

    /// The hook bait: by the law of its sphericity, scaled so that it falls free at the speed that is known of it.
    pub(super) fn bait(bait: &Bait, water: (f64, f64)) -> Self {
        let mut body = Self::new(BodyLaw::of(bait.sphericity), bait.side_m.powi(3), bait.density, water);
        if let Some(speed) = bait.free_m_per_s {
            body.drag = body.weight / (body.law.at(body.re * speed).0 * speed);
        }
        body
    }

    /// Weight in water less drag at a speed, N.
    pub(super) fn force(&self, speed: f64) -> f64 {
        self.weight - self.drag * self.law.at(self.re * speed).0 * speed
    }
}

/// Pieces per doubling: the top four bits of the mantissa.
const SHIFT: u32 = 48;
/// First and one past the last power of two in the table.
const MIN_POWER: i32 = -14;
const PAST_POWER: i32 = 18;
const MIN_KEY: u64 = ((1023 + MIN_POWER) as u64) << 4;
const COUNT: usize = ((PAST_POWER - MIN_POWER) as usize) << 4;

/// One law as a table, with the law itself for what lies outside.
pub(super) struct Curve {
    law: BodyLaw,
    pieces: Box<[[f64; 4]; COUNT]>,
}

impl Curve {
    pub(super) fn new(law: BodyLaw) -> Self {
        let mut pieces = Box::new([[0.0; 4]; COUNT]);
        for (piece, key) in pieces.iter_mut().zip(MIN_KEY..) {
            let (from, to) = (f64::from_bits(key << SHIFT), f64::from_bits((key + 1) << SHIFT));
            let ((g0, s0), (g1, s1)) = (law.at(from), law.at(to));
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
        let key = (bits >> SHIFT).wrapping_sub(MIN_KEY);
        let Some(c) = usize::try_from(key).ok().and_then(|key| self.pieces.get(key)) else {
            return self.law.at(re);
        };
        let x = re - f64::from_bits(bits >> SHIFT << SHIFT);
        let g = c[0] + x * (c[1] + x * (c[2] + x * c[3]));
        (g, re * (c[1] + x * (2.0 * c[2] + 3.0 * x * c[3])))
    }
}

/// The three laws of a rig.
pub(super) struct Curves {
    pub(super) sphere: Curve,
    pub(super) bait: Curve,
    pub(super) line: Curve,
}

impl Curves {
    pub(super) fn new() -> Self {
        Self {
            sphere: Curve::new(BodyLaw::Sphere),
            bait: Curve::new(BodyLaw::of(CUBE_SPHERICITY)),
            line: Curve::new(BodyLaw::Line),
        }
    }

    /// Makes the bait's table that of its sphericity, where it is not.
    pub(super) fn take_bait(&mut self, sphericity: f64) {
        let law = BodyLaw::of(sphericity);
        if self.bait.law != law {
            self.bait = Curve::new(law);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_are_the_laws() {
        let laws = [
            BodyLaw::Sphere,
            BodyLaw::of(CUBE_SPHERICITY),
            BodyLaw::of(0.614),
            BodyLaw::of(0.874),
            BodyLaw::Line,
        ];
        for (which, law) in laws.into_iter().enumerate() {
            let curve = Curve::new(law);
            let mut re = 1.001e-4;
            while re < 2e5 {
                let ((g, slope), (table_g, table_slope)) = (law.at(re), curve.at(re));
                assert!((table_g / g - 1.0).abs() < 1e-7, "law {which} Re {re}: {table_g} for {g}");
                assert!(
                    (table_slope - slope).abs() < 2e-5 * g,
                    "law {which} Re {re}: {table_slope} for {slope}"
                );
                re *= 1.0037;
            }
            for re in [0.0, 1e-9, 1e-5, 3e5, 1e6] {
                assert_eq!(curve.at(re), law.at(re));
            }
        }
    }

    #[test]
    fn slopes_are_the_derivatives() {
        for law in [BodyLaw::Sphere, BodyLaw::of(CUBE_SPHERICITY), BodyLaw::of(0.614)] {
            for k in -2..5 {
                let re = 2.3 * 10_f64.powi(k);
                let step = 1e-5 * re;
                let measured = re * (law.at(re + step).0 - law.at(re - step).0) / (2.0 * step);
                assert!((law.at(re).1 - measured).abs() < 1e-6 * measured.abs().max(1e-3), "Re {re}");
            }
        }
    }

    #[test]
    fn sphere_and_cube_are_the_published_figures() {
        for (re, cd) in [(0.1, 247.40), (10.0, 4.1512), (100.0, 1.0938), (1000.0, 0.4662), (1e4, 0.4167)] {
            assert!((BodyLaw::Sphere.at(re).0 / re / cd - 1.0).abs() < 2e-4, "Re {re}");
        }
        assert!((BodyLaw::of(CUBE_SPHERICITY).at(1000.0).0 / 1000.0 - 1.2167).abs() < 2e-4);
    }
}
