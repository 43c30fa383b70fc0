//! Rubber pulled in one direction: nominal stress against stretch.
//!
//! Stretch is length over relaxed length; nominal stress is force over the relaxed section. Incompressible rubber, slow
//! pull, no history: hysteresis, softening after the first stretch, set, temperature and age are left out.
//!
//! All constants here describe one bench vulcanisate (8 % sulphur), pulled by Treloar in 1944. Another rubber may be
//! half as stiff or twice as stiff (judgement); what is computed for one is told with [`band_mpa`], never as a single figure.
//!
//! # Source
//! Treloar 1944, Trans. Faraday Soc. 40:59 (points); Mooney 1940, J. Appl. Phys. 11:582; Ogden 1972, Proc. R. Soc. Lond.
//! A 326:565 (law and constants); Bower 2009, Applied Mechanics of Solids, table 3.7.

use crate::estimate::Estimate;

/// Least and most stretch of the published points.
pub const STRETCH_RANGE: [f64; 2] = [1.0, 7.6];

/// A law for the nominal stress in simple elongation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RubberLaw {
    /// Neo-Hooke: `P = mu (s - s^-2)`.
    NeoHooke {
        /// Shear modulus, `MPa`.
        mu_mpa: f64,
    },
    /// Mooney: `P = 2 (s - s^-2) (c10 + c01 / s)`.
    Mooney {
        /// First constant, `MPa`.
        c10_mpa: f64,
        /// Second constant, `MPa`.
        c01_mpa: f64,
    },
    /// Ogden, three terms: `P = sum of mu_i (s^(alpha_i - 1) - s^(-alpha_i / 2 - 1))`.
    Ogden {
        /// Pairs of `alpha` (-) and `mu` (`MPa`).
        terms: [(f64, f64); 3],
    },
}

/// Megapascals in a kilogram-force per square centimetre.
const MPA_PER_KGF_PER_CM2: f64 = 0.0980665;

/// Ogden's constants for Treloar's rubber, stretch to 7.6. Against the points 7.3 % (root mean square of the relative
/// error), at most 20 % low at the last point; to a stretch of 4.1, 5.8 %.
///
/// # Source
/// Ogden 1972, Proc. R. Soc. Lond. A 326:565.
pub const OGDEN_1972: RubberLaw = RubberLaw::Ogden {
    terms: [
        (1.3, 6.3 * MPA_PER_KGF_PER_CM2),
        (5.0, 0.012 * MPA_PER_KGF_PER_CM2),
        (-2.0, -0.1 * MPA_PER_KGF_PER_CM2),
    ],
};

/// The most that Ogden's law is off one of Treloar's points between a stretch of 1.1 and 7.3, as a part of it.
const MAX_OGDEN_ERROR: f64 = 0.12;

/// Neo-Hooke fitted (least squares of the stress) to Treloar's points up to a stretch of 1.6: 10.0 %.
pub const NEO_HOOKE_TO_1_6: RubberLaw = RubberLaw::NeoHooke { mu_mpa: 0.357 };
/// Neo-Hooke fitted (least squares of the stress) to Treloar's points up to a stretch of 2.5: 15.6 %.
pub const NEO_HOOKE_TO_2_5: RubberLaw = RubberLaw::NeoHooke { mu_mpa: 0.312 };
/// Neo-Hooke fitted (least squares of the stress) to Treloar's points up to a stretch of 4.1: 14.2 %.
pub const NEO_HOOKE_TO_4_1: RubberLaw = RubberLaw::NeoHooke { mu_mpa: 0.306 };
/// Neo-Hooke as a finite-element library publishes it for the same rubber: the stiffest of the published constants.
pub const NEO_HOOKE_STIFFEST: RubberLaw = RubberLaw::NeoHooke { mu_mpa: 0.5673 };
/// Neo-Hooke of Bower 2009, table 3.7.
pub const NEO_HOOKE_BOWER: RubberLaw = RubberLaw::NeoHooke { mu_mpa: 0.4 };
/// Mooney of Bower 2009, table 3.7 (`mu1` 0.39 and `mu2` 0.015 `MPa`, twice the constants here).
pub const MOONEY_BOWER: RubberLaw = RubberLaw::Mooney { c10_mpa: 0.195, c01_mpa: 0.0075 };
/// Mooney fitted (least squares of the stress) to Treloar's points up to a stretch of 1.6: 1.2 %.
pub const MOONEY_TO_1_6: RubberLaw = RubberLaw::Mooney { c10_mpa: 0.1017, c01_mpa: 0.1112 };
/// Mooney fitted (least squares of the stress) to Treloar's points up to a stretch of 2.5: 2.6 %.
pub const MOONEY_TO_2_5: RubberLaw = RubberLaw::Mooney { c10_mpa: 0.1043, c01_mpa: 0.1038 };
/// Mooney fitted (least squares of the stress) to Treloar's points up to a stretch of 4.1: 9.0 %.
pub const MOONEY_TO_4_1: RubberLaw = RubberLaw::Mooney { c10_mpa: 0.1413, c01_mpa: 0.0339 };

/// Nominal stress, `MPa`, at a stretch `s` (-, more than 0; 1 is relaxed). Negative below 1, where rubber pushes.
#[must_use]
pub fn nominal_stress_mpa(law: &RubberLaw, s: f64) -> f64 {
    match law {
        RubberLaw::NeoHooke { mu_mpa } => mu_mpa * (s - s.powi(-2)),
        RubberLaw::Mooney { c10_mpa, c01_mpa } => 2.0 * (s - s.powi(-2)) * (c10_mpa + c01_mpa / s),
        RubberLaw::Ogden { terms } => {
            terms.iter().map(|(alpha, mu)| mu * (s.powf(alpha - 1.0) - s.powf(-0.5 * alpha - 1.0))).sum()
        }
    }
}

/// Nominal stress, `MPa`, with a band: the middle is Ogden's law, the ends are the softest and the stiffest of all laws
/// here, each taken only as far as it was fitted, and never nearer to the middle than 12 %, the most that Ogden's law is
/// off any point between a stretch of 1.1 and 7.3.
///
/// A stretch below 1 counts as slack and gives nothing. Above 7.6 the figures are those at 7.6: no point was published
/// beyond, and the caller has to say so.
#[must_use]
pub fn band_mpa(s: f64) -> Estimate {
    let [least, most] = STRETCH_RANGE;
    let s = crate::units::between(s, least, most);
    let mid = nominal_stress_mpa(&OGDEN_1972, s);
    let (mut low, mut high) = (mid * (1.0 - MAX_OGDEN_ERROR), mid * (1.0 + MAX_OGDEN_ERROR));
    let laws = [
        (NEO_HOOKE_TO_1_6, 1.6),
        (NEO_HOOKE_TO_2_5, 2.5),
        (NEO_HOOKE_TO_4_1, 4.1),
        (NEO_HOOKE_BOWER, most),
        (MOONEY_BOWER, most),
        (MOONEY_TO_1_6, 1.6),
        (MOONEY_TO_2_5, 2.5),
        (MOONEY_TO_4_1, 4.1),
        (NEO_HOOKE_STIFFEST, most),
    ];
    for (law, _) in laws.iter().filter(|(_, to)| s <= *to) {
        let stress = nominal_stress_mpa(law, s);
        low = low.min(stress);
        high = high.max(stress);
    }
    Estimate { low, mid, high }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const LAWS: [RubberLaw; 10] = [
        OGDEN_1972,
        NEO_HOOKE_TO_1_6,
        NEO_HOOKE_TO_2_5,
        NEO_HOOKE_TO_4_1,
        NEO_HOOKE_STIFFEST,
        NEO_HOOKE_BOWER,
        MOONEY_BOWER,
        MOONEY_TO_1_6,
        MOONEY_TO_2_5,
        MOONEY_TO_4_1,
    ];

    #[test]
    fn relaxed_rubber_does_not_pull() {
        for law in LAWS {
            assert!(nominal_stress_mpa(&law, 1.0).abs() < 1e-15);
        }
        assert_eq!(band_mpa(0.5), band_mpa(1.0));
        assert_eq!(band_mpa(9.0), band_mpa(7.6));
    }

    /// The slope at rest is three times the shear modulus (Young's modulus of an incompressible solid).
    #[test]
    fn slope_at_rest_is_youngs_modulus() {
        let slope =
            |law| (nominal_stress_mpa(&law, 1.0 + 1e-6) - nominal_stress_mpa(&law, 1.0 - 1e-6)) / 2e-6;
        assert!((slope(NEO_HOOKE_BOWER) - 3.0 * 0.4).abs() < 1e-5);
        assert!((slope(MOONEY_BOWER) - 6.0 * (0.195 + 0.0075)).abs() < 1e-5);
        // Ogden: mu = half the sum of mu_i alpha_i.
        let mu = 0.5 * MPA_PER_KGF_PER_CM2 * (6.3 * 1.3 + 0.012 * 5.0 + 0.1 * 2.0);
        assert!((slope(OGDEN_1972) - 3.0 * mu).abs() < 1e-5);
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x2bb, 256, 20_000))]

        /// Pulled further, rubber pulls harder, by every law and at every end of the band.
        #[test]
        fn pull_rises_with_stretch(s in 1.0_f64..7.5, more in 0.001_f64..0.1) {
            for law in LAWS {
                prop_assert!(nominal_stress_mpa(&law, s + more) > nominal_stress_mpa(&law, s));
            }
            let band = band_mpa(s);
            prop_assert!(band.low >= 0.0 && band.low <= band.mid && band.mid <= band.high);
        }
    }
}
