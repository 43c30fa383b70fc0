//! Drag of a body falling steadily through water: published laws of the drag coefficient.
//!
//! `re` is the Reynolds number and `cd` the drag coefficient, both on the diameter of the sphere of the same volume.

/// Sphericity of a cube: the surface of the sphere of the same volume over the cube's, (pi/6)^(1/3).
pub const CUBE_SPHERICITY: f64 = 0.8059959770082348;

/// The four numbers of Haider and Levenspiel's law for one sphericity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HaiderLevenspiel {
    /// A, dimensionless.
    pub a: f64,
    /// B, dimensionless.
    pub b: f64,
    /// C, dimensionless.
    pub c: f64,
    /// D, dimensionless (a Reynolds number).
    pub d: f64,
}

impl HaiderLevenspiel {
    /// The numbers for sphericity `phi` (0.5 to 1).
    ///
    /// # Source
    /// Haider and Levenspiel 1989, Powder Technol. 58:63–70 (419 isometric points, Re < 25 000, 3.0 % RMS).
    #[must_use]
    pub fn new(phi: f64) -> Self {
        let (phi2, phi3) = (phi * phi, phi * phi * phi);
        Self {
            a: (2.3288 - 6.4581 * phi + 2.4486 * phi2).exp(),
            b: 0.0964 + 0.5565 * phi,
            c: (4.905 - 13.8944 * phi + 18.4222 * phi2 - 10.2599 * phi3).exp(),
            d: (1.4681 + 12.2584 * phi - 20.7322 * phi2 + 15.8855 * phi3).exp(),
        }
    }

    /// Drag coefficient at `re` > 0.
    #[must_use]
    pub fn cd(&self, re: f64) -> f64 {
        24.0 / re * (1.0 + self.a * re.powf(self.b)) + self.c / (1.0 + self.d / re)
    }
}

/// The two shape factors of Ganser's law for one sphericity, for bodies of about the same length each way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ganser {
    /// K1, Stokes' shape factor, dimensionless.
    pub k1: f64,
    /// K2, Newton's shape factor, dimensionless.
    pub k2: f64,
}

impl Ganser {
    /// The factors for sphericity `phi` (above 0, up to 1).
    ///
    /// # Source
    /// Ganser 1993, Powder Technol. 77:143–152. Exponent 1.8148 with the decimal logarithm: some public codes carry
    /// 1.84148 or the natural logarithm, which are misprints.
    #[must_use]
    pub fn new(phi: f64) -> Self {
        Self {
            k1: 1.0 / (1.0 / 3.0 + 2.0 / 3.0 / phi.sqrt()),
            k2: 10_f64.powf(1.8148 * (-phi.log10()).max(0.0).powf(0.5743)),
        }
    }

    /// Drag coefficient at `re` > 0 (up to 25 000).
    #[must_use]
    pub fn cd(&self, re: f64) -> f64 {
        let x = re * self.k1 * self.k2;
        self.k2 * (24.0 / x * (1.0 + 0.1118 * x.powf(0.6567)) + 0.4305 / (1.0 + 3305.0 / x))
    }
}

/// Pettyjohn and Christiansen's two ends of the drag law, joined by Coelho and Massarani.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PettyjohnChristiansen {
    /// K1, Stokes' shape factor, dimensionless.
    pub k1: f64,
    /// The drag coefficient at high Reynolds numbers, dimensionless.
    pub newton_cd: f64,
}

impl PettyjohnChristiansen {
    /// The numbers for sphericity `phi` (0.67 to 0.906 in the measurements; used here from 0.6 to 1).
    ///
    /// # Source
    /// Pettyjohn and Christiansen 1948, Chem. Eng. Prog. 44(2):157–172; the join with exponent 0.85 after Coelho and
    /// Massarani 1996 (form as in public codes; neither original was seen).
    #[must_use]
    pub fn new(phi: f64) -> Self {
        Self { k1: 0.843 * (phi / 0.065).log10(), newton_cd: 5.31 - 4.88 * phi }
    }

    /// Drag coefficient at `re` > 0.
    #[must_use]
    pub fn cd(&self, re: f64) -> f64 {
        ((24.0 / (self.k1 * re)).powf(0.85) + self.newton_cd.powf(0.85)).powf(1.0 / 0.85)
    }
}

/// Drag coefficient of a sphere at `re` > 0: 24/Re (1 + 0.15 Re^0.687) up to Re 1000, then 0.44.
///
/// # Source
/// Schiller and Naumann 1935, Z. Ver. Dtsch. Ing. 77:318–320, with Newton's constant above Re 1000.
#[must_use]
pub fn cd_schiller_naumann(re: f64) -> f64 {
    if re < 1000.0 { 24.0 / re * (1.0 + 0.15 * re.powf(0.687)) } else { 0.44 }
}

/// Drag coefficient of a sphere at `re` > 0 (up to 2e5).
///
/// # Source
/// Clift and Gauvin 1971, Can. J. Chem. Eng. 49:439–448: Schiller and Naumann's form plus 0.42 / (1 + 42 500 Re^-1.16).
/// Some cite a conference paper of theirs of 1970 for it; neither was seen.
#[must_use]
pub fn cd_clift_gauvin(re: f64) -> f64 {
    24.0 / re * (1.0 + 0.15 * re.powf(0.687)) + 0.42 / (1.0 + 42500.0 * re.powf(-1.16))
}

/// Drag coefficient of a sphere at `re` > 0 (up to 2e5).
///
/// # Source
/// Brown and Lawler 2003, J. Environ. Eng. 129:222–231.
#[must_use]
pub fn cd_brown_lawler(re: f64) -> f64 {
    24.0 / re * (1.0 + 0.150 * re.powf(0.681)) + 0.407 / (1.0 + 8710.0 / re)
}
