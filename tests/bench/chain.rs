//! A rig as a chain of points, for solvers that know nothing of lines: masses, weights and explicit forces.
//!
//! Written apart from the library so that what is compared shares no stepping code with it. It differs from the
//! library's model in one thing: the water carried along by a link counts in all directions.

use core::f64::consts::PI;

use dotdown::physics::{G_M_PER_S2, line_drag, water};
use dotdown::rig::fall::{Float, Rig};

/// A rig as points.
pub(crate) struct Chain {
    /// Distances from the top, m.
    pub(crate) s: Vec<f64>,
    /// Inertia of each point, kg.
    pub(crate) mass: Vec<f64>,
    /// Weight in water of each point, N.
    pub(crate) weight: Vec<f64>,
    diameter: Vec<f64>,
    /// (point, equivalent diameter m, count, cube or not)
    bodies: Vec<(usize, f64, f64, bool)>,
    rho: f64,
    mu: f64,
    /// Drag of a sliding float, N s2/m2.
    pub(crate) float_drag: Option<f64>,
}

impl Chain {
    /// A rig in still water with points at the distances `s` from the top.
    pub(crate) fn new(rig: &Rig, s: Vec<f64>) -> Self {
        let (rho, mu) =
            (water::density_kg_per_m3(rig.temperature_c), water::viscosity_kestin_pa_s(rig.temperature_c));
        let n = s.len();
        let mut chain = Self {
            mass: vec![0.0; n],
            weight: vec![0.0; n],
            diameter: Vec::new(),
            bodies: Vec::new(),
            rho,
            mu,
            float_drag: None,
            s,
        };
        for k in 1..n {
            let d = if chain.s[k] <= rig.main.length_m + 1e-9 {
                rig.main.diameter_m
            } else {
                rig.hooklength.diameter_m
            };
            let volume = PI * d * d * (chain.s[k] - chain.s[k - 1]) / 4.0;
            chain.diameter.push(d);
            for i in [k - 1, k] {
                chain.mass[i] += 0.5 * (rig.line_density + rho) * volume;
                chain.weight[i] += 0.5 * (rig.line_density - rho) * volume * G_M_PER_S2;
            }
        }
        let length = rig.length_m();
        for shot in &rig.shots {
            let at = length - shot.from_hook_m;
            let i =
                (0..n).min_by(|&a, &b| (chain.s[a] - at).abs().total_cmp(&(chain.s[b] - at).abs())).unwrap();
            chain.add(i, shot.mass_kg, rig.shot_density, f64::from(shot.count), false);
        }
        chain.add(n - 1, rig.hook.mass_kg, rig.hook.density, 1.0, false);
        chain.add(n - 1, rig.bait.density * rig.bait.side_m.powi(3), rig.bait.density, 1.0, true);
        if let Float::Slide { mass_kg, cda_m2 } = rig.float {
            chain.mass[0] += mass_kg;
            chain.float_drag = Some(0.5 * rho * cda_m2);
        }
        chain
    }

    fn add(&mut self, i: usize, mass: f64, density: f64, count: f64, cube: bool) {
        let volume = mass / density;
        let carried = if cube { 0.67 } else { 0.5 };
        self.mass[i] += count * (mass + carried * self.rho * volume);
        self.weight[i] += count * (mass - self.rho * volume) * G_M_PER_S2;
        self.bodies.push((i, (6.0 * volume / PI).cbrt(), count, cube));
    }

    /// Weight and drag on each point, N, in still water.
    pub(crate) fn forces(&self, r: &[[f64; 2]], v: &[[f64; 2]], out: &mut [[f64; 2]]) {
        for (f, w) in out.iter_mut().zip(&self.weight) {
            *f = [0.0, *w];
        }
        for k in 1..r.len() {
            let q = [r[k][0] - r[k - 1][0], r[k][1] - r[k - 1][1]];
            let now = q[0].hypot(q[1]).max(1e-12);
            let (t, l, d) = ([q[0] / now, q[1] / now], self.s[k] - self.s[k - 1], self.diameter[k - 1]);
            for i in [k - 1, k] {
                let (across, along) = (v[i][0] * t[1] - v[i][1] * t[0], v[i][0] * t[0] + v[i][1] * t[1]);
                let g = line_drag::across(self.rho * across.abs() * d / self.mu).0;
                let (n, a) =
                    (0.25 * self.mu * l * g * across, 0.5 * line_drag::TANGENTIAL * self.mu * l * along);
                out[i][0] -= n * t[1] + a * t[0];
                out[i][1] -= a * t[1] - n * t[0];
            }
        }
        for &(i, d, count, cube) in &self.bodies {
            let re = self.rho * v[i][0].hypot(v[i][1]) * d / self.mu;
            let g = if cube {
                24.0 * (1.0 + 0.27645 * re.powf(0.54494)) + 1.35216 * re * re / (re + 491.617)
            } else {
                24.0 * (1.0 + 0.15 * re.powf(0.687)) + 0.42 * re / (1.0 + 42500.0 * re.max(1e-9).powf(-1.16))
            };
            for axis in 0..2 {
                out[i][axis] -= count * PI / 8.0 * self.mu * d * g * v[i][axis];
            }
        }
        if let Some(drag) = self.float_drag {
            out[0][0] -= drag * v[0][0].abs() * v[0][0];
        }
    }
}
