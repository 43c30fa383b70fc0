//! What food weighs, how much heat it takes and how it freezes, from what it is made of.
//!
//! A food is a mixture of protein, fat, carbohydrate, fibre, ash, water and ice, each with a density, a heat capacity
//! and a conductivity that depend on temperature. Valid from -40 to 40 °C (the components to 150 °C; liquid water here
//! to 40 °C). Air is left to the caller, as a share of the volume.
//!
//! Source: Choi and Okos 1986, in Food Engineering and Process Applications vol. 1, as printed in the ASHRAE
//! Refrigeration handbook's chapter on thermal properties of foods. Its liquid water is 0.25 % too light at 20 °C, so
//! mixtures take their water from [`crate::physics::water`] instead.

use super::water;

/// One part of a food.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Component {
    /// Protein.
    Protein,
    /// Fat.
    Fat,
    /// Carbohydrate without fibre.
    Carbohydrate,
    /// Fibre.
    Fibre,
    /// Ash: what is left when all else is burnt, in tinned meat mostly salt.
    Ash,
    /// Liquid water.
    Water,
    /// Ice.
    Ice,
}

impl Component {
    /// Every component, in the order of the sources' table.
    pub const ALL: [Self; 7] =
        [Self::Protein, Self::Fat, Self::Carbohydrate, Self::Fibre, Self::Ash, Self::Water, Self::Ice];

    /// Density, kg/m3, at `t` in °C (-40 to 150).
    ///
    /// # Source
    /// Choi and Okos 1986. Its water is up to 0.25 % light; [`Composition::density_kg_per_m3`] does not use it.
    #[must_use]
    pub fn density_kg_per_m3(self, t: f64) -> f64 {
        match self {
            Self::Protein => 1329.9 - 0.51840 * t,
            Self::Fat => 925.59 - 0.41757 * t,
            Self::Carbohydrate => 1599.1 - 0.31046 * t,
            Self::Fibre => 1311.5 - 0.36589 * t,
            Self::Ash => 2423.8 - 0.28063 * t,
            Self::Water => 997.18 + 3.1439e-3 * t - 3.7574e-3 * t * t,
            Self::Ice => 916.89 - 0.13071 * t,
        }
    }

    /// Heat capacity, J/(kg K), at `t` in °C (-40 to 150).
    ///
    /// # Source
    /// Choi and Okos 1986. Below 0 °C liquid water takes the source's separate row for unfrozen water.
    #[must_use]
    pub fn heat_capacity_j_per_kg_k(self, t: f64) -> f64 {
        let t2 = t * t;
        1000.0
            * match self {
                Self::Protein => 2.0082 + 1.2089e-3 * t - 1.3129e-6 * t2,
                Self::Fat => 1.9842 + 1.4733e-3 * t - 4.8008e-6 * t2,
                Self::Carbohydrate => 1.5488 + 1.9625e-3 * t - 5.9399e-6 * t2,
                Self::Fibre => 1.8459 + 1.8306e-3 * t - 4.6509e-6 * t2,
                Self::Ash => 1.0926 + 1.8896e-3 * t - 3.6817e-6 * t2,
                Self::Water if t >= 0.0 => 4.1762 - 9.0864e-5 * t + 5.4731e-6 * t2,
                Self::Water => 4.1289 - 5.3062e-3 * t + 9.9516e-4 * t2,
                Self::Ice => 2.0623 + 6.0769e-3 * t,
            }
    }

    /// Heat conductivity, W/(m K), at `t` in °C (-40 to 150).
    ///
    /// # Source
    /// Choi and Okos 1986.
    #[must_use]
    pub fn conductivity_w_per_m_k(self, t: f64) -> f64 {
        let t2 = t * t;
        match self {
            Self::Protein => 0.17881 + 1.1958e-3 * t - 2.7178e-6 * t2,
            Self::Fat => 0.18071 - 2.7604e-4 * t - 1.7749e-7 * t2,
            Self::Carbohydrate => 0.20141 + 1.3874e-3 * t - 4.3312e-6 * t2,
            Self::Fibre => 0.18331 + 1.2497e-3 * t - 3.1683e-6 * t2,
            Self::Ash => 0.32962 + 1.4011e-3 * t - 2.9069e-6 * t2,
            Self::Water => 0.57109 + 1.7625e-3 * t - 6.7036e-6 * t2,
            Self::Ice => 2.2196 - 6.2489e-3 * t + 1.0154e-4 * t2,
        }
    }
}

/// What a food is made of, as mass fractions that add up to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Composition {
    /// Protein, kg/kg.
    pub protein: f64,
    /// Fat, kg/kg.
    pub fat: f64,
    /// Carbohydrate without fibre, kg/kg.
    pub carbohydrate: f64,
    /// Fibre, kg/kg.
    pub fibre: f64,
    /// Ash, kg/kg.
    pub ash: f64,
    /// Liquid water, kg/kg.
    pub water: f64,
    /// Ice, kg/kg.
    pub ice: f64,
}

impl Composition {
    fn parts(&self) -> [(Component, f64); 7] {
        [
            (Component::Protein, self.protein),
            (Component::Fat, self.fat),
            (Component::Carbohydrate, self.carbohydrate),
            (Component::Fibre, self.fibre),
            (Component::Ash, self.ash),
            (Component::Water, self.water),
            (Component::Ice, self.ice),
        ]
    }

    fn component_density(component: Component, t_c: f64) -> f64 {
        if component == Component::Water {
            water::density_kg_per_m3(t_c)
        } else {
            component.density_kg_per_m3(t_c)
        }
    }

    /// Density without air, kg/m3, at `t_c` in °C (-20 to 40): 1/rho = sum of x/rho over the parts.
    ///
    /// Water is that of Tanaka et al. 2001; below 0 °C, where it stays liquid only inside food, the same formula is
    /// carried on (within about 0.2 % of supercooled water at -18 °C, from memory).
    #[must_use]
    pub fn density_kg_per_m3(&self, t_c: f64) -> f64 {
        1.0 / self.specific_volume(t_c)
    }

    fn specific_volume(&self, t_c: f64) -> f64 {
        self.parts().iter().map(|&(c, x)| x / Self::component_density(c, t_c)).sum()
    }

    /// Heat capacity without any freezing or melting, J/(kg K): sum of x cp over the parts.
    #[must_use]
    pub fn heat_capacity_j_per_kg_k(&self, t_c: f64) -> f64 {
        self.parts().iter().map(|&(c, x)| x * c.heat_capacity_j_per_kg_k(t_c)).sum()
    }

    /// Heat conductivity, W/(m K), with the parts in parallel: sum of (volume share) k. The parallel rule is the upper
    /// bound of what a mixture can conduct.
    #[must_use]
    pub fn conductivity_w_per_m_k(&self, t_c: f64) -> f64 {
        let volume = self.specific_volume(t_c);
        self.parts()
            .iter()
            .map(|&(c, x)| x / Self::component_density(c, t_c) / volume * c.conductivity_w_per_m_k(t_c))
            .sum()
    }

    /// Temperature at which the first ice forms, °C: -4.66 xo/xw - 46.4 xa/xw, with xo the solids other than fat and
    /// ash, xa the ash and xw the water (ice counted as water). `None` without water.
    ///
    /// # Source
    /// Pham 1996, J. Food Eng. 30:95–107.
    #[must_use]
    pub fn initial_freezing_point_c(&self) -> Option<f64> {
        let xw = self.water + self.ice;
        (xw > 0.0).then(|| (-4.66 * (self.protein + self.carbohydrate + self.fibre) - 46.4 * self.ash) / xw)
    }

    /// The same food at `t_c` °C with its water split into ice and what is still liquid:
    /// ice = (xw - xb)(1 - Tf/t) below the freezing point Tf, with xb = 0.4 times the protein as water that never
    /// freezes.
    ///
    /// # Source
    /// ASHRAE Refrigeration handbook, thermal properties of foods, after Schwartzberg 1976 (form from memory).
    #[must_use]
    pub fn at_temperature(&self, t_c: f64) -> Self {
        let all_water = self.water + self.ice;
        let Some(tf) = self.initial_freezing_point_c() else { return *self };
        let freezable = (all_water - 0.4 * self.protein).max(0.0);
        let ice = if t_c < tf { freezable * (1.0 - tf / t_c) } else { 0.0 };
        Self { water: all_water - ice, ice, ..*self }
    }
}
