//! What is read off a fall: times to depths, time in each depth, the last third, and the free cube beside it.

use super::drag::{BodyLaw, Falling};
use super::hermite::{Vec2, hermite};
use super::{Fall, Quick, Rig, Times, check};
use crate::physics::water;
use crate::refusal::Refusal;

/// Longest gap between the points on which a crossing is looked for, s.
const CROSSING_DT_S: f64 = 0.005;
/// At the bottom: this share of the final depth.
const BOTTOM: f64 = 0.99;

/// Depth and sinking speed of the hook at every step.
#[derive(Debug, Default)]
pub(super) struct Track {
    t: Vec<f64>,
    z: Vec<f64>,
    speed: Vec<f64>,
}

impl Track {
    pub(super) fn clear(&mut self) {
        self.t.clear();
        self.z.clear();
        self.speed.clear();
    }

    pub(super) fn push(&mut self, t: f64, r: Vec2, v: Vec2) {
        self.t.push(t);
        self.z.push(r[1]);
        self.speed.push(v[1]);
    }

    pub(super) fn last_t(&self) -> f64 {
        self.t.last().copied().unwrap_or(-1.0)
    }

    fn first_z(&self) -> f64 {
        self.z.first().copied().unwrap_or(0.0)
    }

    /// First time at which the depth `z` is passed, s; `None` if it starts there or never comes.
    fn first_time(&self, z: f64) -> Option<f64> {
        if self.first_z() >= z {
            return None;
        }
        let i = self.z.iter().position(|&at| at >= z)?;
        let ([t0, t1], [z0, z1]) = ([self.t[i - 1], self.t[i]], [self.z[i - 1], self.z[i]]);
        let (v0, v1, h) = (self.speed[i - 1], self.speed[i], t1 - t0);
        let pieces = (h / CROSSING_DT_S - 1e-9).ceil().max(1.0);
        let (mut from_t, mut from_z, mut k) = (t0, z0, 1.0);
        while k <= pieces {
            let u = k / pieces;
            let to_z = if k < pieces { hermite([z0, z1], [v0, v1], h, u) } else { z1 };
            let to_t = t0 + u * h;
            if to_z >= z {
                return Some(from_t + (to_t - from_t) * (z - from_z) / (to_z - from_z));
            }
            (from_t, from_z) = (to_t, to_z);
            k += 1.0;
        }
        Some(t1)
    }

    fn fractions(&self, from: f64, to: f64) -> Times {
        let at = |f: f64| self.first_time(from + f * (to - from));
        Times { f25: at(0.25), f50: at(0.5), f75: at(0.75), f90: at(0.9), f99: at(BOTTOM) }
    }

    /// When the hook is within a hundredth of its way from rest for good, s.
    fn settle(&self, rest: f64) -> Option<f64> {
        let reach = (1.0 - BOTTOM) * (rest - self.first_z()).abs();
        let away = |z: f64| (z - rest).abs() - reach;
        let Some(last_out) = self.z.iter().rposition(|&z| away(z) > 1e-9) else {
            return Some(0.0);
        };
        let (z0, t0) = (self.z[last_out], self.t[last_out]);
        let (z1, t1) = (*self.z.get(last_out + 1)?, *self.t.get(last_out + 1)?);
        let (out, inside) = (away(z0), away(z1));
        Some(t0 + (t1 - t0) * out / (out - inside))
    }

    /// Time in each bin of depth until `until`, s.
    fn time_in_depth(&self, bin: f64, depth: f64, until: f64) -> Vec<f64> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most 20 m in bins of 1 mm"
        )]
        let count = (depth / bin - 1e-9).ceil().max(1.0) as usize;
        let mut bins = vec![0.0; count];
        for i in 1..self.t.len() {
            let (t0, mut t1) = (self.t[i - 1], self.t[i]);
            if t0 >= until {
                break;
            }
            let (z0, mut z1) = (self.z[i - 1], self.z[i]);
            if t1 > until {
                z1 = z0 + (z1 - z0) * (until - t0) / (t1 - t0);
                t1 = until;
            }
            let (low, high) = (z0.min(z1), z0.max(z1));
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to the bins"
            )]
            let of = |z: f64| ((z / bin).max(0.0) as usize).min(count - 1);
            let (first, last) = (of(low), of(high));
            for (k, spent) in bins.iter_mut().enumerate().take(last + 1).skip(first) {
                let from = if k == first { low } else { k as f64 * bin };
                let to = if k == last { high } else { (k + 1) as f64 * bin };
                let share = if high > low { (to - from) / (high - low) } else { 1.0 };
                *spent += (t1 - t0) * share;
            }
        }
        bins
    }

    /// Time to the bottom, and from the start of the last third and of the last 30 cm to the bottom.
    fn last_parts(&self, depth: f64) -> (Option<f64>, Option<f64>, Option<f64>) {
        let bottom = self.first_time(BOTTOM * depth);
        let since = |z: f64| Some(bottom? - self.first_time(z)?);
        (bottom, since(depth * 2.0 / 3.0), since(depth - 0.3))
    }
}

/// Fills in all that is read off the track.
pub(super) fn fill(out: &mut Fall, track: &Track, rig: &Rig) {
    let depth = out.final_depth_m;
    out.t_fraction_of_final_depth_s = track.fractions(0.0, depth);
    out.t_fraction_of_travel_s = track.fractions(track.first_z(), depth);
    out.settle_s = track.settle(depth);
    let until = out.settle_s.unwrap_or(f64::INFINITY);
    out.time_in_depth_s = track.time_in_depth(out.depth_bin_m, depth, until);
    let (_, third, last_30_cm) = track.last_parts(depth);
    out.last_third_m_per_s = third.map(|t| (BOTTOM - 2.0 / 3.0) * depth / t);
    out.last_30_cm_s = last_30_cm;
    if let Ok(free) = free_speeds(rig) {
        out.free_cube_m_per_s = free.cube_m_per_s;
        out.free_cube_with_hook_m_per_s = free.cube_with_hook_m_per_s;
    }
}

/// The few figures of a search; what is not reached is infinitely late or has no speed.
pub(super) fn quick(track: &Track, depth: f64) -> Quick {
    let (bottom, third, last_30_cm) = track.last_parts(depth);
    let late = f64::INFINITY;
    Quick {
        to_bottom_s: bottom.unwrap_or(late),
        last_third_m_per_s: third.map_or(0.0, |t| (BOTTOM - 2.0 / 3.0) * depth / t),
        // A rig shallower than that spends its whole fall there.
        last_30_cm_s: last_30_cm.or(bottom).unwrap_or(late),
        settle_s: track.settle(depth).unwrap_or(late),
        upper_s: track.first_time(depth * 2.0 / 3.0).unwrap_or(late),
    }
}

/// Terminal speeds of what falls free of the line.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct FreeSpeeds {
    /// The cube alone (or the bait that it is), as the feed falls, m/s; `None` without a bait.
    pub cube_m_per_s: Option<f64>,
    /// The cube with the hook in it, each dragged as if alone, m/s; `None` without a bait.
    pub cube_with_hook_m_per_s: Option<f64>,
}

/// Terminal speeds of the rig's bait, without and with its hook, in still water of the rig's temperature.
///
/// # Errors
/// As [`super::fall`] for an impossible rig.
///
/// # Source
/// Weight in water against Haider and Levenspiel 1989 (cube and other bodies) and Clift and Gauvin 1971 (hook and balls as
/// spheres), the bait's scaled to the speed that is known of it, if one is.
pub fn free_speeds(rig: &Rig) -> Result<FreeSpeeds, Refusal> {
    check::rig(rig)?;
    if rig.bait.side_m <= 0.0 {
        return Ok(FreeSpeeds::default());
    }
    let rho = water::density_kg_per_m3(rig.temperature_c);
    let mu = water::viscosity_kestin_pa_s(rig.temperature_c);
    let bait = Falling::bait(&rig.bait, (rho, mu));
    let hook =
        Falling::new(BodyLaw::Sphere, rig.hook.mass_kg / rig.hook.density, rig.hook.density, (rho, mu));
    let terminal = |bodies: &[Falling]| {
        // Net force falls steadily with speed: halve the bracket.
        let (mut slow, mut fast) = (0.0, 20.0);
        for _ in 0..64 {
            let speed = 0.5 * (slow + fast);
            if bodies.iter().map(|body| body.force(speed)).sum::<f64>() > 0.0 {
                slow = speed;
            } else {
                fast = speed;
            }
        }
        0.5 * (slow + fast)
    };
    Ok(FreeSpeeds {
        cube_m_per_s: Some(terminal(&[bait])),
        cube_with_hook_m_per_s: Some(terminal(&[bait, hook])),
    })
}
