//! One step of the falling line: BDF2 on positions with the links' lengths kept exactly.
//!
//! Unknown are the nodes' places r and, for each link, its tension over its length. Newton's linear system is a
//! chain of 3 x 3 blocks. It is eliminated from the hook up, in each link's own directions: the link's length fixes
//! the move along it, so one division is left per node. With B the stiffness that all below presses on a node (a
//! symmetric 2 x 2), q the link above it, n its normal, Q = |q|² and τ its tension over length:
//!
//! - dr = (q σ + n β)/Q with σ = q·dr' + g, where dr' is the move of the node above and g = ½(L² − Q);
//! - β = (Q(n·f + τ n·dr') − qBn σ)/(nBn + τQ);
//! - the node above gains the stiffness B P and the force f − B p, where dr = P dr' + p;
//! - dτ = (q·f − (qBq σ + qBn β)/Q − τ g)/Q.

use super::drag::Curves;
use super::hermite::{Vec2, hermite};
use super::mesh::Mesh;
use crate::physics::line_drag::MIN_RE;

/// One node's state and its linear system.
#[derive(Clone, Copy, Debug, Default)]
struct Node {
    // State now and one step back.
    r: Vec2,
    v: Vec2,
    r_old: Vec2,
    v_old: Vec2,
    // Two steps back, to start Newton close by.
    r_older: Vec2,
    // The step's iterate, and the constant parts of its velocity (v = γr + v_h) and acceleration.
    next: Vec2,
    v_h: Vec2,
    a_h: Vec2,
    // Water past the node at the predicted velocity, u − v*, and v_h − v*.
    wash: Vec2,
    lag: Vec2,
    // Tension over length of the link above, N/m, now and in the step's iterate.
    tau: f64,
    tau_old: f64,
    tau_next: f64,
    // A = γ²M + γD' (xx, xz, zz) and the constant force c, both frozen at the predicted place.
    a: [f64; 3],
    c: Vec2,
    // What the forward sweep needs of the backward one.
    q: Vec2,
    per_q2: f64,
    g: f64,
    beta: f64,
    turn: f64,
    lean: f64,
    pull: f64,
    bqq: f64,
    bqn: f64,
}

/// How a step ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Outcome {
    /// Taken.
    Taken,
    /// Newton's method did not settle; the state is as before the step.
    Failed,
}

/// Stepping state of one rig. Reused from rig to rig without new allocation.
#[derive(Debug, Default)]
pub(super) struct Solver {
    nodes: Vec<Node>,
    /// The last step's length, s, and how many steps in a row had it.
    last_h: f64,
    equal_steps: u32,
    /// Newton's tolerance, m, and its most iterations.
    pub(super) tolerance_m: f64,
    pub(super) most_iterations: u32,
    /// Nodes moved so far, in all iterations: the work done.
    pub(super) moves: u64,
}

impl Solver {
    /// Puts the rig at rest, straight at its launch angle.
    pub(super) fn launch(&mut self, mesh: &Mesh) {
        self.nodes.clear();
        self.equal_steps = 0;
        let (sin, cos) = mesh.launch;
        self.nodes.extend(mesh.s.iter().map(|&s| {
            let r = [s * sin, s * cos];
            Node { r, r_old: r, next: r, ..Node::default() }
        }));
    }

    /// Place and velocity of the hook.
    pub(super) fn hook(&self) -> (Vec2, Vec2) {
        self.nodes.last().map_or(([0.0; 2], [0.0; 2]), |n| (n.r, n.v))
    }

    /// Place of the hook at the share `u` of the last step, `h` long.
    pub(super) fn hook_between(&self, u: f64, h: f64) -> Vec2 {
        self.nodes.last().map_or([0.0; 2], |n| n.between(u, h))
    }

    /// Places of all nodes at the share `u` of the last step, `h` long.
    pub(super) fn shape_between(&self, u: f64, h: f64) -> impl Iterator<Item = Vec2> + '_ {
        self.nodes.iter().map(move |n| n.between(u, h))
    }

    /// Fastest node seen from the float, m/s: zero once the rig hangs, or drifts, at rest.
    pub(super) fn unrest(&self) -> f64 {
        let v0 = self.nodes.first().map_or([0.0; 2], |n| n.v);
        self.nodes.iter().map(|n| (n.v[0] - v0[0]).hypot(n.v[1] - v0[1])).fold(0.0, f64::max)
    }

    /// Largest error of a link's length, m.
    #[cfg(test)]
    pub(super) fn stretch(&self, mesh: &Mesh) -> f64 {
        let lengths = self.nodes.windows(2).map(|n| (n[1].r[0] - n[0].r[0]).hypot(n[1].r[1] - n[0].r[1]));
        lengths.zip(&mesh.links).map(|(l, link)| (l - link.length).abs()).fold(0.0, f64::max)
    }

    /// Least tension, N.
    pub(super) fn least_tension(&self, mesh: &Mesh) -> f64 {
        self.nodes
            .iter()
            .skip(1)
            .zip(&mesh.links)
            .map(|(n, l)| n.tau * l.length)
            .fold(f64::INFINITY, f64::min)
    }

    /// Energy in water, J: of motion (with the water's share of inertia) and of height, zero at the surface.
    pub(super) fn energy(&self, mesh: &Mesh) -> f64 {
        let mut sum = 0.0;
        for (i, n) in self.nodes.iter().enumerate() {
            sum += 0.5 * mesh.mass[i] * (n.v[0] * n.v[0] + n.v[1] * n.v[1]) - mesh.weight[i] * n.r[1];
        }
        for (pair, link) in self.nodes.windows(2).zip(&mesh.links) {
            let normal = [
                (pair[1].r[1] - pair[0].r[1]) * link.per_length,
                -(pair[1].r[0] - pair[0].r[0]) * link.per_length,
            ];
            for n in pair {
                let across = n.v[0] * normal[0] + n.v[1] * normal[1];
                sum += 0.5 * link.half_added * across * across;
            }
        }
        sum
    }

    /// Implicit Euler step of `h` s.
    pub(super) fn euler(&mut self, mesh: &Mesh, curves: &Curves, h: f64) -> Outcome {
        self.step(mesh, curves, h, true)
    }

    /// BDF2 step of `h` s; the step before must have been of the same length.
    pub(super) fn bdf2(&mut self, mesh: &Mesh, curves: &Curves, h: f64) -> Outcome {
        self.step(mesh, curves, h, false)
    }

    fn step(&mut self, mesh: &Mesh, curves: &Curves, h: f64, euler: bool) -> Outcome {
        let gamma = if euler { 1.0 / h } else { 1.5 / h };
        self.predict(mesh, gamma, h, euler);
        self.add_line(mesh, curves, gamma);
        self.add_bodies(mesh, curves, gamma);
        self.guess(h);
        // Newton's next move is about this one squared over a link: no need to make it to know that it is small.
        let small_squared = 0.05 * self.tolerance_m * mesh.shortest;
        for _ in 0..self.most_iterations {
            self.moves += self.nodes.len() as u64;
            let moved = self.newton(mesh);
            if moved < self.tolerance_m || moved * moved < small_squared {
                self.accept(gamma);
                return Outcome::Taken;
            }
            if !moved.is_finite() {
                break;
            }
        }
        self.equal_steps = 0;
        Outcome::Failed
    }

    /// Predicts the step and starts each node's A and c with its isotropic inertia and its weight.
    fn predict(&mut self, mesh: &Mesh, gamma: f64, h: f64, euler: bool) {
        let (per_h, per_2h) = (1.0 / h, 0.5 / h);
        for (n, (&mass, &weight)) in self.nodes.iter_mut().zip(mesh.mass.iter().zip(&mesh.weight)) {
            for axis in 0..2 {
                let (r, v, r_old, v_old) = (n.r[axis], n.v[axis], n.r_old[axis], n.v_old[axis]);
                let (guess, v_guess, v_h, a_h) = if euler {
                    (r + h * v, v, -r * per_h, -v * per_h)
                } else {
                    (2.0 * r - r_old, 2.0 * v - v_old, (r_old - 4.0 * r) * per_2h, (v_old - 4.0 * v) * per_2h)
                };
                n.next[axis] = guess;
                n.v_h[axis] = v_h;
                n.wash[axis] = -v_guess;
                n.lag[axis] = v_h - v_guess;
                n.a_h[axis] = gamma * v_h + a_h;
                n.c[axis] = mass * n.a_h[axis];
            }
            n.c[1] -= weight;
            let m = gamma * gamma * mass;
            n.a = [m, 0.0, m];
            n.tau_next = n.tau;
        }
        if mesh.current != 0.0 {
            for n in &mut self.nodes {
                n.wash[0] += mesh.current * (-n.next[1].max(0.0) * mesh.per_decay).exp();
            }
        }
        if let (Some(drag), Some(n)) = (mesh.float_drag, self.nodes.first_mut()) {
            // Quadratic drag of the float: its tangent is twice its secant.
            let d = drag * n.wash[0].abs();
            n.a[0] += 2.0 * gamma * d;
            n.c[0] += d * (2.0 * n.lag[0] - n.wash[0]);
        }
    }

    /// Starts Newton: after steps of one length from the parabola through the last three places, else from the
    /// prediction.
    fn guess(&mut self, h: f64) {
        if (h - self.last_h).abs() > 1e-12 {
            self.last_h = h;
            self.equal_steps = 0;
        }
        if self.equal_steps < 2 {
            return;
        }
        for n in &mut self.nodes {
            for axis in 0..2 {
                n.next[axis] = 3.0 * (n.r[axis] - n.r_old[axis]) + n.r_older[axis];
            }
            n.tau_next = 2.0 * n.tau - n.tau_old;
        }
    }

    /// Adds the links' inertia and drag to both of their ends.
    fn add_line(&mut self, mesh: &Mesh, curves: &Curves, gamma: f64) {
        let mut rest = self.nodes.as_mut_slice();
        for link in &mesh.links {
            let [up, down, ..] = rest else { return };
            let t = [
                (down.next[0] - up.next[0]) * link.per_length,
                (down.next[1] - up.next[1]) * link.per_length,
            ];
            let added = gamma * gamma * link.half_added;
            for n in [&mut *up, &mut *down] {
                let across = n.wash[0] * t[1] - n.wash[1] * t[0];
                let (g, slope) = curves.line.at((link.re * across.abs()).max(MIN_RE));
                let (secant, tangent) = (link.normal * g, link.normal * (g + slope));
                let lag_across = n.lag[0] * t[1] - n.lag[1] * t[0];
                let pull_across = n.a_h[0] * t[1] - n.a_h[1] * t[0];
                let c_across = link.half_added * pull_across + tangent * lag_across - secant * across;
                let c_along = link.along * ((n.lag[0] - n.wash[0]) * t[0] + (n.lag[1] - n.wash[1]) * t[1]);
                n.c[0] += c_across * t[1] + c_along * t[0];
                n.c[1] += c_along * t[1] - c_across * t[0];
                let (a_across, a_along) = (added + gamma * tangent, gamma * link.along);
                let (xx, xz, zz) = (t[0] * t[0], t[0] * t[1], t[1] * t[1]);
                n.a[0] += a_across * zz + a_along * xx;
                n.a[1] += (a_along - a_across) * xz;
                n.a[2] += a_across * xx + a_along * zz;
            }
            rest = rest.split_first_mut().map_or(&mut [], |(_, rest)| rest);
        }
    }

    /// Adds the drag of shot, hook and bait.
    fn add_bodies(&mut self, mesh: &Mesh, curves: &Curves, gamma: f64) {
        for body in &mesh.bodies {
            let Some(n) = self.nodes.get_mut(body.node) else { continue };
            let w = n.wash;
            let speed = (w[0] * w[0] + w[1] * w[1]).sqrt();
            let curve = if body.is_bait { &curves.bait } else { &curves.sphere };
            let (g, slope) = curve.at(body.re * speed);
            let secant = body.drag * g;
            // The tangent's share along the motion only.
            let extra = if speed > 0.0 { body.drag * slope / (speed * speed) } else { 0.0 };
            let lag_along = extra * (n.lag[0] * w[0] + n.lag[1] * w[1]);
            n.c[0] += secant * (n.lag[0] - w[0]) + lag_along * w[0];
            n.c[1] += secant * (n.lag[1] - w[1]) + lag_along * w[1];
            n.a[0] += gamma * (secant + extra * w[0] * w[0]);
            n.a[1] += gamma * extra * w[0] * w[1];
            n.a[2] += gamma * (secant + extra * w[1] * w[1]);
        }
    }

    /// One Newton iteration on all nodes. Returns the largest move, m (not a number if it broke down).
    fn newton(&mut self, mesh: &Mesh) -> f64 {
        // From the hook up: stiffness b and force f of all that is below.
        let (mut b, mut f) = ([0.0; 3], [0.0; 2]);
        let mut tau_below_q = [0.0; 2];
        let mut rest = self.nodes.as_mut_slice();
        for link in mesh.links.iter().rev() {
            let Some((n, above)) = rest.split_last_mut() else { break };
            let up = above.last().map_or([0.0; 2], |n| n.next);
            let q = [n.next[0] - up[0], n.next[1] - up[1]];
            let tau = n.tau_next;
            let tau_q = [tau * q[0], tau * q[1]];
            n.gather(&mut b, &mut f, [tau_q[0] - tau_below_q[0], tau_q[1] - tau_below_q[1]]);
            tau_below_q = tau_q;

            let q2 = q[0] * q[0] + q[1] * q[1];
            let per_q2 = 1.0 / q2;
            let bq = [b[0] * q[0] + b[1] * q[1], b[1] * q[0] + b[2] * q[1]];
            let bn = [b[0] * q[1] - b[1] * q[0], b[1] * q[1] - b[2] * q[0]];
            let bqq = q[0] * bq[0] + q[1] * bq[1];
            let bqn = q[0] * bn[0] + q[1] * bn[1];
            let bnn = q[1] * bn[0] - q[0] * bn[1];
            let per_s = 1.0 / (bnn + tau * q2);
            let fq = f[0] * q[0] + f[1] * q[1];
            let fn_ = f[0] * q[1] - f[1] * q[0];
            let g = 0.5 * (link.length * link.length - q2);
            let beta = (q2 * fn_ - bqn * g) * per_s;
            n.q = q;
            n.per_q2 = per_q2;
            n.g = g;
            n.beta = beta;
            n.turn = tau * q2 * per_s;
            n.lean = bqn * per_s;
            n.pull = fq - tau * g;
            n.bqq = bqq;
            n.bqn = bqn;

            // What is left for the node above: f − B p and B P.
            let (pq, pn) = ((bqq * g + bqn * beta) * per_q2, (bqn * g + bnn * beta) * per_q2);
            f[0] -= (q[0] * pq + q[1] * pn) * per_q2;
            f[1] -= (q[1] * pq - q[0] * pn) * per_q2;
            let w2 = per_q2 * per_q2;
            let (xqq, xqn, xnn) = (w2 * (bqq - bqn * n.lean), w2 * (bqn * n.turn), w2 * (bnn * n.turn));
            b[0] = xqq * q[0] * q[0] + 2.0 * xqn * q[0] * q[1] + xnn * q[1] * q[1];
            b[1] = (xqq - xnn) * q[0] * q[1] + xqn * (q[1] * q[1] - q[0] * q[0]);
            b[2] = xqq * q[1] * q[1] - 2.0 * xqn * q[0] * q[1] + xnn * q[0] * q[0];
            rest = above;
        }

        // The top: held, or free to slide along the surface.
        let mut move_up = [0.0; 2];
        let mut largest: f64 = 0.0;
        if let (Some(n), Some(_)) = (self.nodes.first_mut(), mesh.float_drag) {
            n.gather(&mut b, &mut f, [-tau_below_q[0], -tau_below_q[1]]);
            move_up[0] = f[0] / b[0];
            n.next[0] += move_up[0];
            largest = move_up[0].abs();
            if largest.is_nan() {
                return f64::NAN;
            }
        }
        // And down again.
        for n in self.nodes.iter_mut().skip(1) {
            let along = n.q[0] * move_up[0] + n.q[1] * move_up[1];
            let across = n.q[1] * move_up[0] - n.q[0] * move_up[1];
            let sigma = along + n.g;
            let beta = n.beta + n.turn * across - n.lean * along;
            n.tau_next += (n.pull - (n.bqq * sigma + n.bqn * beta) * n.per_q2) * n.per_q2;
            move_up =
                [(n.q[0] * sigma + n.q[1] * beta) * n.per_q2, (n.q[1] * sigma - n.q[0] * beta) * n.per_q2];
            n.next[0] += move_up[0];
            n.next[1] += move_up[1];
            let moved = move_up[0].abs().max(move_up[1].abs());
            // `max` would drop a value that is not a number: keep it.
            if moved > largest || moved.is_nan() {
                largest = moved;
            }
        }
        largest
    }

    fn accept(&mut self, gamma: f64) {
        self.equal_steps += 1;
        for n in &mut self.nodes {
            n.r_older = n.r_old;
            n.r_old = n.r;
            n.v_old = n.v;
            n.tau_old = n.tau;
            n.r = n.next;
            n.v = [gamma * n.next[0] + n.v_h[0], gamma * n.next[1] + n.v_h[1]];
            n.tau = n.tau_next;
        }
    }
}

impl Node {
    fn between(&self, u: f64, h: f64) -> Vec2 {
        [0, 1].map(|k| hermite([self.r_old[k], self.r[k]], [self.v_old[k], self.v[k]], h, u))
    }

    /// Adds this node's own stiffness and minus its residual; `tension` is τ q of the link above less the one below.
    #[inline]
    fn gather(&self, b: &mut [f64; 3], f: &mut Vec2, tension: Vec2) {
        let (a, r) = (self.a, self.next);
        f[0] -= a[0] * r[0] + a[1] * r[1] + self.c[0] + tension[0];
        f[1] -= a[1] * r[0] + a[2] * r[1] + self.c[1] + tension[1];
        for (sum, own) in b.iter_mut().zip(a) {
            *sum += own;
        }
    }
}
