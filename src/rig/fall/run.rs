//! Dropping a rig in: the start-up, the steps, what is kept on the way, and the lowered rig's straight path.

use super::drag::Curves;
use super::measure::{self, Track};
use super::mesh::Mesh;
use super::samples::{keep, samples};
use super::solver::{Outcome, Solver};
use super::{Fall, FallSettings, Frames, Rig, check};
use crate::refusal::{Refusal, short};
use crate::rig::within;
use crate::units::fixed;

/// Most times that a fall is taken up again with short steps before it is given up.
const MAX_RESTARTS: u32 = 20;
/// Steps of the start-up are cut in four, and again, down to this share of what was asked, where Newton fails.
const MIN_RAMP_SHARE: f64 = 0.02;
/// Most numbers kept for drawing.
const MAX_FRAME_NUMBERS: f64 = 8e6;
/// Most moves of a node, in all steps and iterations of one fall: just under a second natively. The heaviest rig that a
/// plan can hold takes half as many.
pub(in crate::rig) const MAX_MOVES: u64 = 12_000_000;
/// In a search, a rig in a current hangs when, after the first second, no node moves faster than this past its float, m/s.
const HANGS_M_PER_S: f64 = 1e-6;
/// A rig in a current rests when no node moves faster than this past its float, m/s.
const AT_REST_M_PER_S: f64 = 1e-9;

/// The fall of one rig. For many rigs in a row keep a [`Simulator`].
///
/// `rig` is checked in full; `settings` say how fine the steps are and what is kept.
///
/// # Errors
/// When the rig is impossible, when a step does not converge, or when a current never lets it rest.
///
/// # Source
/// See the module's head.
pub fn fall(rig: &Rig, settings: &FallSettings) -> Result<Fall, Refusal> {
    Simulator::new().fall(rig, settings)
}

/// Tables and memory for dropping one rig after another.
pub struct Simulator {
    curves: Curves,
    mesh: Mesh,
    solver: Solver,
    track: Track,
    /// The fall in hand is given up when the solver has made so many moves.
    moves_end: u64,
    /// And so is every fall once it has made so many.
    all_end: u64,
}

impl Default for Simulator {
    fn default() -> Self {
        Self::new()
    }
}

/// The few figures that a search asks of a fall.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[expect(clippy::struct_field_names, reason = "each name ends in its unit")]
pub(in crate::rig) struct Quick {
    /// Time to 99 % of the final depth, s.
    pub(in crate::rig) to_bottom_s: f64,
    /// Mean speed through the last third, m/s.
    pub(in crate::rig) last_third_m_per_s: f64,
    /// Time from 30 cm above the final depth to 99 % of it, s.
    pub(in crate::rig) last_30_cm_s: f64,
    /// Time until the bait stays within a hundredth of its way from rest, s.
    pub(in crate::rig) settle_s: f64,
    /// Time in the upper two thirds, s.
    pub(in crate::rig) upper_s: f64,
}

/// What goes on after a step.
enum Go {
    On,
    Stop,
}

impl Simulator {
    /// Builds the drag tables.
    #[must_use]
    pub fn new() -> Self {
        Self {
            curves: Curves::new(),
            mesh: Mesh::default(),
            solver: Solver::default(),
            track: Track::default(),
            moves_end: 0,
            all_end: u64::MAX,
        }
    }

    /// The same where all falls together have no more work than so many parts in a hundred of what one may have: what does not
    /// fit is refused.
    #[must_use]
    pub fn bounded(percent: u64) -> Self {
        Self { all_end: MAX_MOVES / 100 * percent, ..Self::new() }
    }

    /// Moves of a node so far, in all falls.
    pub(in crate::rig) fn moves(&self) -> u64 {
        self.solver.moves
    }

    /// The fall of a rig; as [`fall`].
    ///
    /// # Errors
    /// As [`fall`].
    pub fn fall(&mut self, rig: &Rig, settings: &FallSettings) -> Result<Fall, Refusal> {
        check::rig(rig)?;
        check::settings(settings)?;
        self.take(rig, settings)?;
        let nodes = self.mesh.s.len();
        let mut out = Fall {
            n_links: self.mesh.links.len(),
            sample_dt_s: settings.sample_dt_s,
            depth_bin_m: settings.depth_bin_m,
            least_tension_n: f64::INFINITY,
            ..Fall::default()
        };
        if let Some(dt_s) = settings.frame_dt_s {
            let least = (rig.t_end_s * nodes as f64 * 2.0 / MAX_FRAME_NUMBERS).max(0.001);
            within("frame_dt_s", dt_s, least, 10.0, "s")?;
            let length = self.mesh.length;
            #[expect(clippy::cast_possible_truncation, reason = "single precision is for drawing")]
            let from_hook_m = self.mesh.s.iter().map(|s| (length - s) as f32).collect();
            out.frames = Some(Frames { dt_s, nodes, from_hook_m, xz_m: Vec::new() });
        }
        let steps = rig.t_end_s / settings.step_s + settings.start_s / settings.start_step_s;
        if steps * nodes as f64 > MAX_MOVES as f64 {
            return Err(too_much_work());
        }

        if let Some(speed) = rig.lowered_m_per_s {
            self.lower(rig, settings, speed, &mut out)?;
            out.final_depth_m = self.mesh.length;
        } else {
            self.lay(rig, settings, &mut out)?;
            out.final_depth_m = self.rest(settings)?;
        }
        measure::fill(&mut out, &self.track, rig);
        Ok(out)
    }

    /// The few figures of a search, of a rig already checked. In still water it stops `linger_s` after the bottom, in a
    /// current when it hangs; what is not reached is infinitely late.
    pub(in crate::rig) fn quick(
        &mut self,
        rig: &Rig,
        settings: &FallSettings,
        linger_s: f64,
    ) -> Result<Quick, Refusal> {
        self.take(rig, settings)?;
        let still = self.mesh.current == 0.0;
        let bottom = if still { self.mesh.length * 0.991 } else { f64::INFINITY };
        self.start(settings);
        let mut end = f64::INFINITY;
        self.march(rig.t_end_s, settings, |solver, track, t| {
            let (r, v) = solver.hook();
            track.push(t, r, v);
            if r[1] > bottom {
                end = end.min(t + linger_s);
            }
            let hangs = !still && t > 1.0 && solver.unrest() < HANGS_M_PER_S;
            if hangs || t >= end { Go::Stop } else { Go::On }
        })?;
        let depth = self.rest(settings)?;
        Ok(measure::quick(&self.track, depth))
    }

    /// Takes a checked rig in hand.
    fn take(&mut self, rig: &Rig, settings: &FallSettings) -> Result<(), Refusal> {
        self.moves_end = (self.solver.moves + MAX_MOVES).min(self.all_end);
        self.curves.take_bait(rig.bait.sphericity);
        self.mesh.fill(rig, settings)
    }

    /// Puts the rig in and forgets the last one.
    fn start(&mut self, settings: &FallSettings) {
        self.solver.tolerance_m = settings.newton_tolerance_m;
        self.solver.most_iterations = settings.newton_most;
        self.solver.launch(&self.mesh);
        self.track.clear();
        let (r, v) = self.solver.hook();
        self.track.push(0.0, r, v);
    }

    /// A laid rig, to its end, with all that is kept.
    fn lay(&mut self, rig: &Rig, settings: &FallSettings, out: &mut Fall) -> Result<(), Refusal> {
        self.start(settings);
        let mesh = self.mesh.clone();
        let mut before = 0.0;
        keep(out, &self.solver, 0.0, 0.0, rig.t_end_s);
        if settings.keep_energy {
            out.energy_j.push(self.solver.energy(&mesh));
        }
        out.restarts = self.march(rig.t_end_s, settings, |solver, track, t| {
            let (r, v) = solver.hook();
            track.push(t, r, v);
            out.least_tension_n = out.least_tension_n.min(solver.least_tension(&mesh));
            keep(out, solver, before, t, rig.t_end_s);
            if settings.keep_energy {
                out.energy_j.push(solver.energy(&mesh));
            }
            before = t;
            Go::On
        })?;
        Ok(())
    }

    /// Steps to `t_end`, telling `seen` of every step taken. Returns how often it had to start up again.
    fn march(
        &mut self,
        t_end: f64,
        settings: &FallSettings,
        mut seen: impl FnMut(&Solver, &mut Track, f64) -> Go,
    ) -> Result<u32, Refusal> {
        let mut restarts = 0;
        // Times are counted from the start of a run of equal steps, so that they do not drift.
        let (mut t, mut from, mut taken) = (0.0, 0.0, 0.0);
        let (mut ramp_end, mut ramp_step) = (settings.start_s, settings.start_step_s);
        let mut in_ramp = true;
        while t < t_end - 1e-9 {
            self.within_work()?;
            let h = if in_ramp { ramp_step } else { settings.step_s };
            let outcome = if in_ramp || taken == 0.0 {
                self.solver.euler(&self.mesh, &self.curves, h)
            } else {
                self.solver.bdf2(&self.mesh, &self.curves, h)
            };
            if outcome == Outcome::Failed {
                restarts += 1;
                if !in_ramp {
                    (in_ramp, ramp_end, ramp_step) = (true, t + settings.start_s, settings.start_step_s);
                } else if ramp_step > settings.start_step_s * MIN_RAMP_SHARE {
                    ramp_step *= 0.25;
                } else {
                    return Err(not_converged(t));
                }
                if restarts > MAX_RESTARTS {
                    return Err(not_converged(t));
                }
                (from, taken) = (t, 0.0);
                continue;
            }
            taken += 1.0;
            t = from + taken * h;
            if in_ramp && t > ramp_end - 0.5 * h {
                in_ramp = false;
                (from, taken) = (t, 0.0);
            }
            if let Go::Stop = seen(&self.solver, &mut self.track, t) {
                break;
            }
        }
        Ok(restarts)
    }

    /// Whether there is work left for the fall in hand.
    fn within_work(&self) -> Result<(), Refusal> {
        if self.solver.moves > self.moves_end { Err(too_much_work()) } else { Ok(()) }
    }

    /// Depth of the hook at rest: the length in still water, else where the rig comes to hang in the current.
    ///
    /// Implicit Euler with growing steps: at rest it does not matter how long they are.
    fn rest(&mut self, settings: &FallSettings) -> Result<f64, Refusal> {
        if self.mesh.current == 0.0 {
            return Ok(self.mesh.length);
        }
        let mut h = settings.step_s;
        for _ in 0..8000 {
            self.within_work()?;
            match self.solver.euler(&self.mesh, &self.curves, h) {
                Outcome::Taken => h = (h * 1.15).min(0.25),
                Outcome::Failed if h > 1e-4 => h *= 0.25,
                Outcome::Failed => break,
            }
            if self.solver.unrest() < AT_REST_M_PER_S {
                return Ok(self.solver.hook().0[1]);
            }
        }
        let sentence = "The rig does not come to rest in this drift, so it has no final depth.";
        Err(Refusal::new("never_rests", "", sentence))
    }

    /// A rig lowered straight at one speed: from the hook at the surface and the float a rig's length above it, until
    /// the float sits on the water. The path is known in full; what must be checked is that the line stays tight.
    fn lower(
        &mut self,
        rig: &Rig,
        settings: &FallSettings,
        speed: f64,
        out: &mut Fall,
    ) -> Result<(), Refusal> {
        let most = self.fastest_lowering();
        if speed > most {
            let sentence = format!(
                "Lowered at {} m/s the line goes slack: this rig sinks at {} m/s at most. Lower it more slowly.",
                short(speed),
                short(most)
            );
            return Err(Refusal::new("lowered_too_fast", "lowered_m_per_s", sentence));
        }
        let length = self.mesh.length;
        let arrival = length / speed;
        self.track.clear();
        let mut k = 0.0;
        loop {
            let t: f64 = (k * settings.step_s).min(rig.t_end_s);
            if t >= arrival && self.track.last_t() < arrival {
                self.track.push(arrival, [0.0, length], [0.0, speed]);
            } else if t < arrival {
                self.track.push(t, [0.0, speed * t], [0.0, speed]);
            }
            if t > arrival {
                self.track.push(t, [0.0, length], [0.0; 2]);
            }
            if t >= rig.t_end_s {
                break;
            }
            k += 1.0;
        }
        let count = samples(rig.t_end_s, settings.sample_dt_s);
        for k in 0..count {
            out.hook_x_m.push(0.0);
            out.hook_z_m.push((speed * settings.sample_dt_s * k as f64).min(length));
        }
        out.least_tension_n = 0.0;
        if let Some(frames) = &mut out.frames {
            for k in 0..samples(rig.t_end_s, frames.dt_s) {
                let hook = (speed * frames.dt_s * k as f64).min(length);
                for from_hook in &frames.from_hook_m {
                    #[expect(clippy::cast_possible_truncation, reason = "single precision is for drawing")]
                    frames.xz_m.extend([0.0, hook as f32 - from_hook]);
                }
            }
        }
        Ok(())
    }

    /// Fastest lowering with every link tight, m/s: below each link the weight in water must beat the drag.
    fn fastest_lowering(&self) -> f64 {
        let (mut least, mut most) = (0.0, 10.0);
        for _ in 0..60 {
            let speed = 0.5 * (least + most);
            if self.tight_at(speed) {
                least = speed;
            } else {
                most = speed;
            }
        }
        least
    }

    fn tight_at(&self, speed: f64) -> bool {
        let mesh = &self.mesh;
        let mut bodies = mesh.bodies.iter().rev().peekable();
        let mut below = 0.0;
        for node in (1..mesh.s.len()).rev() {
            let link = &mesh.links[node - 1];
            below += mesh.weight[node] - link.along * speed;
            if let Some(lower) = mesh.links.get(node) {
                below -= lower.along * speed;
            }
            while let Some(body) = bodies.next_if(|b| b.node == node) {
                let curve = if body.is_bait { &self.curves.bait } else { &self.curves.sphere };
                below -= body.drag * curve.at(body.re * speed).0 * speed;
            }
            if below <= 0.0 {
                return false;
            }
        }
        true
    }
}

/// A fall whose steps and links are too many.
fn too_much_work() -> Refusal {
    let sentence = format!(
        "This fall takes more than {} million moves of a piece of line, which is the most that is worked out. Use longer \
         steps, longer links or a shorter time.",
        MAX_MOVES / 1_000_000
    );
    Refusal::new("too_much_work", "step_s", sentence)
}

/// A step did not converge, even with short steps.
fn not_converged(at_s: f64) -> Refusal {
    let sentence = format!(
        "The fall could not be followed past {} s: a step did not converge, mostly because the line goes slack. \
         Change the launch or the drift.",
        fixed(at_s, 2)
    );
    Refusal::new("not_converged", "", sentence)
}

#[cfg(test)]
mod tests {
    use super::super::Float;
    use super::*;

    #[test]
    fn links_keep_their_length() {
        let text = include_str!("../../../tests/data/rig_fall/g6_deck_spread_90_20C_slide.json");
        let golden: serde_json::Value = serde_json::from_str(text).unwrap();
        let mut rig: Rig = serde_json::from_value(golden["rig"].clone()).unwrap();
        for float in [Float::Fixed, rig.float] {
            rig.float = float;
            for step_s in [0.01, 0.05] {
                let settings = FallSettings { step_s, ..FallSettings::default() };
                let mut simulator = Simulator::new();
                simulator.take(&rig, &settings).unwrap();
                simulator.start(&settings);
                let (mesh, mut worst) = (simulator.mesh.clone(), 0.0_f64);
                simulator
                    .march(30.0, &settings, |solver, _, _| {
                        worst = worst.max(solver.stretch(&mesh));
                        Go::On
                    })
                    .unwrap();
                assert!(worst < 1e-10, "{worst:e} m");
            }
        }
    }
}
