//! A rig cut into links, with every number that the stepping needs worked out once.

use core::f64::consts::PI;

use super::drag::{BodyLaw, Falling};
use super::{FallSettings, Rig};
use crate::physics::{G_M_PER_S2, line_drag, water};
use crate::refusal::Refusal;

/// Breakpoints nearer than this are one, m.
const SAME_PLACE_M: f64 = 1e-9;
/// Most links of one rig.
const MAX_LINKS: usize = 4000;
/// What an ideal node (no line, no body) weighs all the same, kg: without it nothing holds a node of a slack
/// massless line. It moves nothing that is shown (a millionth of a milligram).
const IDEAL_NODE_KG: f64 = 1e-12;

/// One link: what its drag and inertia need.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Link {
    /// Length, m, and its reciprocal.
    pub(super) length: f64,
    pub(super) per_length: f64,
    /// Half the added mass, kg (normal direction).
    pub(super) half_added: f64,
    /// Normal drag per G at each end, N s/m.
    pub(super) normal: f64,
    /// Reynolds number per normal speed, s/m.
    pub(super) re: f64,
    /// Tangential drag at each end, N s/m.
    pub(super) along: f64,
}

/// One kind of body at one node.
#[derive(Clone, Copy, Debug)]
pub(super) struct Body {
    pub(super) node: usize,
    /// The bait, with its own law; shot and hook are spheres.
    pub(super) is_bait: bool,
    /// Drag per G of all of them, N s/m.
    pub(super) drag: f64,
    /// Reynolds number per speed, s/m.
    pub(super) re: f64,
}

/// A rig ready to be stepped.
#[derive(Clone, Debug, Default)]
pub(super) struct Mesh {
    /// Distance from the top, m, of each node (links + 1).
    pub(super) s: Vec<f64>,
    pub(super) links: Vec<Link>,
    /// Isotropic inertia of each node, kg.
    pub(super) mass: Vec<f64>,
    /// True mass of each node without the water's share, kg (energy).
    pub(super) true_mass: Vec<f64>,
    /// Weight in water of each node, N.
    pub(super) weight: Vec<f64>,
    /// Bodies, by node.
    pub(super) bodies: Vec<Body>,
    /// Drag of a float that slides, ½ rho cda, N s2/m2; `None` when it is held.
    pub(super) float_drag: Option<f64>,
    /// Surface current, m/s, and one over its decay depth, 1/m.
    pub(super) current: f64,
    pub(super) per_decay: f64,
    /// sin and cos of the launch angle.
    pub(super) launch: (f64, f64),
    pub(super) length: f64,
    /// Shortest link, m.
    pub(super) shortest: f64,
}

impl Mesh {
    /// Cuts a checked rig into links. Reuses what is already allocated.
    pub(super) fn fill(&mut self, rig: &Rig, settings: &FallSettings) -> Result<(), Refusal> {
        let rho = water::density_kg_per_m3(rig.temperature_c);
        let mu = water::viscosity_kestin_pa_s(rig.temperature_c);
        let length = rig.length_m();
        self.length = length;
        self.cut(rig, settings)?;

        let nodes = self.s.len();
        self.mass.clear();
        self.mass.resize(nodes, 0.0);
        self.weight.clear();
        self.weight.resize(nodes, 0.0);
        self.links.clear();
        for k in 1..nodes {
            let (from, to) = (self.s[k - 1], self.s[k]);
            let on_main = to <= rig.main.length_m + SAME_PLACE_M;
            let d = if on_main { rig.main.diameter_m } else { rig.hooklength.diameter_m };
            let l = to - from;
            let section = PI * d * d * l / 4.0;
            // A line of no thickness is ideal: no mass, no drag.
            let thick = if d > 0.0 { 1.0 } else { 0.0 };
            self.links.push(Link {
                length: l,
                per_length: 1.0 / l,
                half_added: 0.5 * rho * section,
                normal: thick * 0.25 * mu * l,
                re: rho * d / mu,
                along: thick * 0.5 * line_drag::TANGENTIAL * mu * l,
            });
            for node in [k - 1, k] {
                self.mass[node] += 0.5 * rig.line_density * section;
                self.weight[node] += 0.5 * (rig.line_density - rho) * G_M_PER_S2 * section;
            }
        }
        self.shortest = self.links.iter().map(|link| link.length).fold(f64::INFINITY, f64::min);
        self.true_mass.clone_from(&self.mass);

        self.bodies.clear();
        let water = (rho, mu);
        for shot in &rig.shots {
            let node = self.node_at(length - shot.from_hook_m);
            self.add_spheres(node, shot.mass_kg, rig.shot_density, f64::from(shot.count), water);
        }
        let end = nodes - 1;
        self.add_spheres(end, rig.hook.mass_kg, rig.hook.density, 1.0, water);
        let bait = &rig.bait;
        if bait.side_m > 0.0 {
            let displaced_kg = rho * bait.side_m.powi(3);
            let mass = bait.density * bait.side_m.powi(3);
            self.add(end, 1.0, mass, bait.added_mass * displaced_kg, Falling::bait(bait, water));
            if let Some(body) = self.bodies.last_mut() {
                body.is_bait = true;
            }
        }
        crate::small::sort_by_key(&mut self.bodies, |b| b.node);
        for mass in &mut self.mass {
            *mass += IDEAL_NODE_KG;
        }

        self.float_drag = None;
        if let super::Float::Slide { mass_kg, cda_m2 } = rig.float {
            self.mass[0] += mass_kg;
            self.true_mass[0] += mass_kg;
            self.float_drag = Some(0.5 * rho * cda_m2);
        }
        (self.current, self.per_decay) = rig.current.map_or((0.0, 0.0), |c| (c.u0, 1.0 / c.decay_m));
        let angle = rig.launch_angle_deg.to_radians();
        self.launch = (angle.sin(), angle.cos());
        Ok(())
    }

    /// Fills `s`: graded equal links between the ends, the knot and the shots.
    fn cut(&mut self, rig: &Rig, settings: &FallSettings) -> Result<(), Refusal> {
        let length = rig.length_m();
        let mut breaks = vec![0.0, rig.main.length_m, length];
        breaks.extend(
            rig.shots.iter().map(|shot| crate::units::between(length - shot.from_hook_m, 0.0, length)),
        );
        crate::small::sort_by_key(&mut breaks, |at| *at);
        breaks.dedup_by(|later, earlier| *later - *earlier < SAME_PLACE_M);
        self.s.clear();
        self.s.push(0.0);
        for pair in breaks.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let fine = crate::units::between(length - 0.5 * (a + b), settings.finest_link_share, 1.0);
            let h = rig.max_link_m * settings.link_factor * fine;
            let n = ((b - a) / h - 1e-9).ceil().max(1.0);
            if self.s.len() as f64 + n > MAX_LINKS as f64 {
                let sentence = format!(
                    "max_link_m is too short for this rig: it needs more than {MAX_LINKS} links. Use longer links."
                );
                return Err(Refusal::new("too_many_links", "max_link_m", sentence));
            }
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 4000")]
            let n = n as usize;
            for i in 1..n {
                self.s.push(a + (b - a) * i as f64 / n as f64);
            }
            self.s.push(b);
        }
        Ok(())
    }

    /// The node at a distance from the top; there is one at every breakpoint.
    fn node_at(&self, s: f64) -> usize {
        let after = self.s.partition_point(|&at| at < s - 2.0 * SAME_PLACE_M);
        after.min(self.s.len() - 1)
    }

    /// Adds `count` equal spheres to a node.
    fn add_spheres(&mut self, node: usize, mass: f64, density: f64, count: f64, water: (f64, f64)) {
        if mass > 0.0 && count > 0.0 {
            let volume = mass / density;
            self.add(
                node,
                count,
                mass,
                0.5 * water.0 * volume,
                Falling::new(BodyLaw::Sphere, volume, density, water),
            );
        }
    }

    /// Adds `count` equal bodies to a node, each with its mass and the mass of water that it carries along, kg.
    fn add(&mut self, node: usize, count: f64, mass: f64, carried: f64, body: Falling) {
        self.mass[node] += count * (mass + carried);
        self.true_mass[node] += count * mass;
        self.weight[node] += count * body.weight;
        self.bodies.push(Body { node, is_bait: false, drag: count * body.drag, re: body.re });
    }
}
