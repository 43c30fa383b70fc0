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
