//! A body let go in still water: the steady speed it reaches under a drag law, and how long it takes from rest.
//!
//! Everything is on the diameter of the sphere of the same volume. Valid for the Reynolds numbers of each law
//! (see [`DragLaw::most_re`]); a body that is not heavier than water has no falling speed.

use super::drag::{
    Ganser, HaiderLevenspiel, PettyjohnChristiansen, cd_brown_lawler, cd_clift_gauvin, cd_schiller_naumann,
};
use crate::units::between;

/// A published drag law made ready for one sphericity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DragLaw {
    /// Haider and Levenspiel 1989.
    HaiderLevenspiel(HaiderLevenspiel),
    /// Ganser 1993.
    Ganser(Ganser),
    /// Pettyjohn and Christiansen 1948, joined by Coelho and Massarani.
    PettyjohnChristiansen(PettyjohnChristiansen),
    /// Schiller and Naumann 1935, spheres.
    SchillerNaumann,
    /// Clift and Gauvin 1971, spheres.
    CliftGauvin,
    /// Brown and Lawler 2003, spheres.
    BrownLawler,
}

impl DragLaw {
    /// The three laws for sphericity `phi`: those of spheres at 1, else the three for any shape.
    #[must_use]
    pub fn three(phi: f64) -> [Self; 3] {
        if phi >= 1.0 {
            [Self::SchillerNaumann, Self::CliftGauvin, Self::BrownLawler]
        } else {
            [
                Self::HaiderLevenspiel(HaiderLevenspiel::new(phi)),
                Self::Ganser(Ganser::new(phi)),
                Self::PettyjohnChristiansen(PettyjohnChristiansen::new(phi)),
            ]
        }
    }

    /// Authors and year, for a screen.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::HaiderLevenspiel(_) => "Haider & Levenspiel 1989",
            Self::Ganser(_) => "Ganser 1993",
            Self::PettyjohnChristiansen(_) => "Pettyjohn & Christiansen 1948",
            Self::SchillerNaumann => "Schiller & Naumann 1935",
            Self::CliftGauvin => "Clift & Gauvin 1971",
            Self::BrownLawler => "Brown & Lawler 2003",
        }
    }

    /// Drag coefficient at `re` > 0.
    #[must_use]
    pub fn cd(&self, re: f64) -> f64 {
        match self {
            Self::HaiderLevenspiel(law) => law.cd(re),
            Self::Ganser(law) => law.cd(re),
            Self::PettyjohnChristiansen(law) => law.cd(re),
            Self::SchillerNaumann => cd_schiller_naumann(re),
            Self::CliftGauvin => cd_clift_gauvin(re),
            Self::BrownLawler => cd_brown_lawler(re),
        }
    }

    /// The highest Reynolds number at which the law may be used.
    #[must_use]
    pub fn most_re(&self) -> f64 {
        match self {
            Self::HaiderLevenspiel(_) | Self::Ganser(_) | Self::PettyjohnChristiansen(_) => 25_000.0,
            Self::SchillerNaumann | Self::CliftGauvin | Self::BrownLawler => 200_000.0,
        }
    }
}

/// A body in a fluid, as far as its steady fall is concerned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettlingBody {
    /// Diameter of the sphere of the same volume, m.
    pub diameter_m: f64,
    /// Density of the body less that of the water, kg/m3.
    pub excess_kg_per_m3: f64,
    /// Density of the water, kg/m3.
    pub water_kg_per_m3: f64,
    /// Viscosity of the water, Pa s.
    pub viscosity_pa_s: f64,
    /// Gravity, m/s2.
    pub g_m_per_s2: f64,
}

impl SettlingBody {
    /// Cd Re2 at the steady speed: 4/3 (excess) rho g d3 / mu2 (Davies' or Best's number), dimensionless.
    #[must_use]
    pub fn cd_re2(&self) -> f64 {
        let d = self.diameter_m;
        4.0 / 3.0 * self.excess_kg_per_m3 * self.water_kg_per_m3 * self.g_m_per_s2 * d * d * d
            / (self.viscosity_pa_s * self.viscosity_pa_s)
    }

    /// Steady speed under `law`, m/s; 0 for a body not heavier than water.
    ///
    /// The force balance pi/6 d3 (excess) g = Cd pi/8 d2 rho v2, as Cd(Re) Re2 = constant, solved in the logarithm of
    /// Re by the secant rule inside a bracket that always holds the root, to 1e-12.
    #[must_use]
    pub fn speed_m_per_s(&self, law: &DragLaw) -> f64 {
        reynolds_at(law, self.cd_re2()) * self.viscosity_pa_s / (self.water_kg_per_m3 * self.diameter_m)
    }

    /// Reynolds number of speed `speed_m_per_s`.
    #[must_use]
    pub fn reynolds(&self, speed_m_per_s: f64) -> f64 {
        self.water_kg_per_m3 * speed_m_per_s * self.diameter_m / self.viscosity_pa_s
    }

    /// First acceleration from rest, m/s2, with `added_mass` times the displaced water moved along:
    /// excess times g, over body density plus `added_mass` times water density.
    #[must_use]
    pub fn first_acceleration_m_per_s2(&self, added_mass: f64) -> f64 {
        self.excess_kg_per_m3 * self.g_m_per_s2
            / (self.excess_kg_per_m3 + (1.0 + added_mass) * self.water_kg_per_m3)
    }
}

/// Reynolds number at which Cd(Re) Re2 equals `cd_re2`; 0 when that is not above 0.
fn reynolds_at(law: &DragLaw, cd_re2: f64) -> f64 {
    if !cd_re2.is_finite() || cd_re2 <= 0.0 {
        return 0.0;
    }
    let target = cd_re2.ln();
    let miss = |y: f64| law.cd(y.exp()).ln() + 2.0 * y - target;
    // No law falls below Stokes' 24/Re, and none is above 1000 (1/Re + 1).
    let mut low = (cd_re2 / 2000.0).min((cd_re2 / 2000.0).sqrt()).ln();
    let mut high = (cd_re2 / 24.0).ln() + 1e-9;
    // A first guess between Stokes' and Newton's ends, then secant steps with a slope that lies from 1 to 2.
    let mut y = between((-(24.0_f64.ln()) + target).min(0.5 * target), low, high);
    let mut f = miss(y);
    let mut slope = 1.7;
    for _ in 0..200 {
        if f.abs() < 1e-13 || high - low < 1e-14 * y.abs().max(1.0) {
            break;
        }
        if f > 0.0 {
            high = y;
        } else {
            low = y;
        }
        let mut next = y - f / slope;
        if next.is_nan() || next <= low || next >= high {
            next = 0.5 * (low + high);
        }
        let f_next = miss(next);
        let secant = (f_next - f) / (next - y);
        slope = if secant.is_finite() { between(secant, 0.5, 3.0) } else { 1.7 };
        y = next;
        f = f_next;
    }
    y.exp()
}

/// Time to fall `depth_m` from rest, s, for a body whose steady speed is `speed_m_per_s` (> 0) and whose first
/// acceleration is `acceleration_m_per_s2` (> 0): (v/a) arcosh(exp(depth a / v2)).
///
/// Exact for a drag coefficient that does not change with speed; a cube of meat is within 0.05 s of the full law.
/// The drag of the wake's history (Basset's force) is left out.
#[must_use]
pub fn time_from_rest_s(depth_m: f64, speed_m_per_s: f64, acceleration_m_per_s2: f64) -> f64 {
    let (v, a) = (speed_m_per_s, acceleration_m_per_s2);
    let u = depth_m * a / (v * v);
    // arcosh(e^u) = u + ln(1 + sqrt(1 - e^-2u)), which does not overflow; expm1 keeps short falls exact.
    v / a * (u + (-(-2.0 * u).exp_m1()).sqrt().ln_1p())
}
